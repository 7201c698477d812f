"""The keys of a foot switch among those of the Bench, while its gauge is in hand."""

from __future__ import annotations

from collections.abc import Mapping

from textual.binding import Binding

from inspect_tui.tui.bench.screen import BenchScreen

COMMANDS = {
    "log": "bench.log",
    "retry": "bench.retry",
    "take-back": "bench.void",
    "next": "bench.next",
    "back": "bench.back",
    "skip": "bench.skip",
    "ask": "bench.ask",
}


def keys(deeds: Mapping[str, str], chosen: Mapping[str, str]) -> dict[str, str]:
    """The chosen keys (id of a command -> keys) with those of a foot switch, which is taken at its word before them."""
    made = {name: ",".join(key for key in listed.split(",") if key not in deeds) for name, listed in chosen.items()}
    own = {binding.id: binding.key for binding in BenchScreen.BINDINGS if isinstance(binding, Binding)}
    for key, deed in deeds.items():
        name = COMMANDS[deed]
        held = (made.get(name) or own[name]).split(",")
        made[name] = ",".join(held if key in held else [*held, key])
    return {name: listed for name, listed in made.items() if listed}
