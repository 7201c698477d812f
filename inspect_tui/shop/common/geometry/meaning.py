"""What a size is, read back while it is entered: whose outside or opening, and what is done where it is too large."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from inspect_tui.metrology.sizes import chain
from inspect_tui.shop.common.sizes import KIND_WORDS

if TYPE_CHECKING:
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Feature, Tool

DONE = {"metal": "cut on", "space": "built up in", "face": "moved on"}  # what is done to a tool whose size is too large


def of_feature(feature: Feature, tools: Sequence[Tool], core_numbers: Mapping[Id, int]) -> str:
    """`outside of core 9; too large is cut on stick 9, built up in box 9`; empty where nothing can be said."""
    what = _what(feature, core_numbers)
    done = _on_tools(feature, tools) if feature.ends else ""
    return "; ".join(part for part in (what, done) if part)


def _what(feature: Feature, core_numbers: Mapping[Id, int]) -> str:
    """Whose size it is: of one maker its outside or an opening in it, of two the metal or space between them."""
    if feature.quantity in ("attribute", "temperature", "flatness") or not feature.ends:
        return ""
    makers = []
    for end in feature.ends:
        number = core_numbers.get(end.core_id or b"")
        name = end.half or (f"core {number}" if number is not None else "a core")
        if name not in makers:
            makers.append(name)
    facing = {end.which: end.facing for end in feature.ends}
    one_way = len(facing) == 2 and facing["A"] == facing["B"]
    body = facing.get("B", 1) == 1 if len(facing) == 2 else feature.scale == "tool" or makers[0] in ("cope", "drag")
    core = makers[0].startswith(("core", "a core"))
    if one_way:
        return f"step on {makers[0]}" if len(makers) == 1 else f"step from {makers[0]} to {makers[1]}"
    if len(makers) == 2:
        return f"{'metal' if body else 'space'} between {makers[0]} and {makers[1]}"
    if feature.scale == "tool":
        return f"outside of {makers[0]}, such as a print" if body else f"opening in {makers[0]}, such as a seat"
    if core:
        return f"metal between two faces of {makers[0]}" if body else f"outside of {makers[0]}"
    return f"outside of the casting, made by the {makers[0]}" if body else f"opening made by the {makers[0]}"


def _on_tools(feature: Feature, tools: Sequence[Tool]) -> str:
    """What is done on each tool that makes it where it is too large."""
    done: dict[str, list[str]] = {}
    for tool in tools:
        if tool.kind in ("gauge_template", "mould", "other") or not chain.measurable_on(feature, tool):
            continue
        word = tool.label or KIND_WORDS.get(tool.kind, "tool")
        done.setdefault(DONE[chain.sense_on(feature, tool)], []).append(word)
    return "too large is " + ", ".join(f"{what} {' and '.join(names)}" for what, names in done.items()) if done else ""
