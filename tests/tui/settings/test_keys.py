"""The same key means the same at every place, and a person may choose others."""

from __future__ import annotations

import pytest
from textual.binding import Binding

from inspect_tui.tui.app import every_binding
from inspect_tui.tui.settings.keys import chosen

KNOWN = {
    "bench.skip": Binding("f8", "skip", "Skip", id="bench.skip"),
    "bench.note": Binding("f6", "note", "Note", id="bench.note"),
    "kit.fits": Binding("f", "look", "Fits", id="kit.fits"),
    "place.help": Binding("f1,question_mark", "help", "Keys", id="place.help"),
}

# what a function or Ctrl key is for, wherever it is one; a further meaning has to be a case of the first
MEANS = {
    "f1": {"help"},
    "f2": {"command_palette"},
    "f3": {"person", "sit"},
    "f4": {"instrument"},
    "f5": {"target", "expected"},
    "f6": {"note"},
    "f7": {"move"},
    "f8": {"skip", "cannot"},  # passed over, with why or without
    "f9": {"void_last", "void", "again"},  # the last one does not count
    "f10": {"places"},
    "ctrl+z": {"void_last", "void", "again", "take_back"},
    "ctrl+s": {"report", "done", "log"},  # what is at hand is entered or issued
    "ctrl+a": {"pictures"},  # nothing that changes anything
    "ctrl+c": {"copy"},
    "ctrl+k": {"units"},
    "ctrl+f": {"feature"},
    "ctrl+g": {"goto", "feature"},
    "ctrl+l": {"load"},
    "ctrl+n": {"cuts", "accept"},
    "ctrl+o": {"subject", "round"},  # what is measured
    "ctrl+q": {"leave"},
    "ctrl+r": {"again", "put_right"},  # this reading once more
    "ctrl+t": {"conditions", "temperature"},
    "ctrl+u": {"budget", "page"},  # what lies behind what is shown
}


def test_a_function_or_control_key_means_the_same_everywhere() -> None:
    used: dict[str, set[str]] = {}
    for binding in every_binding().values():
        action = binding.action.removeprefix("app.").partition("(")[0]
        for key in binding.key.split(","):
            if key.startswith(("ctrl+", "f")) and len(key) > 1:
                used.setdefault(key, set()).add(action)
    wrong = {key: actions - MEANS[key] for key, actions in used.items() if key in MEANS and actions - MEANS[key]}
    assert wrong == {}
    assert {key for key, actions in used.items() if len(actions) > 1} <= MEANS.keys()
    assert {"ctrl+z", "ctrl+s", "ctrl+k", "ctrl+c"} <= used.keys()


def test_what_can_be_used_is_used() -> None:
    assert chosen({"bench.skip": "F11, ctrl+k", "kit.fits": "x"}, KNOWN) == (
        {"bench.skip": "f11,ctrl+k", "kit.fits": "x"},
        [],
    )
    swapped = {"bench.skip": "f6", "bench.note": "f8"}
    assert chosen(swapped, KNOWN) == (swapped, [])


@pytest.mark.parametrize(
    ("wish", "why"),
    [
        ({"bench.skp": "f11"}, "there is no such command, nearest: bench.skip"),
        ({"place.help": "f11"}, "this one stays where everybody finds it"),
        ({"bench.skip": "5"}, "5 is typed into readings"),
        ({"bench.skip": "enter"}, "enter is typed into readings"),
        ({"bench.skip": "ctrl+"}, "ctrl+ is no key: write it such as f8"),
        ({"kit.fits": "banana"}, "banana is no key"),
        ({"bench.skip": "f6"}, "f6 is bench.note already (Note)"),
        ({"kit.fits": "f1"}, "f1 is place.help already"),
    ],
)
def test_what_cannot_be_is_said_and_its_key_stays(wish: dict[str, str], why: str) -> None:
    good, wrong = chosen(wish, KNOWN)
    assert good == {} and len(wrong) == 1 and why in wrong[0]
    name = next(iter(wish))
    assert wrong[0].endswith(f"its key stays {KNOWN[name].key if name in KNOWN else 'none'}")
