"""Which key of a foot switch does what while a gauge is in hand: `f13=log f14=retry`, as it is typed and kept."""

from __future__ import annotations

import re

from inspect_tui.metrology.typed.fields import Wrong, choice

DEEDS = {  # what it is called where it is typed -> what it does
    "log": "logs what stands in the field",
    "retry": "reads the last size once more, blind",
    "take-back": "takes the last line back",
    "next": "goes on in the list",
    "back": "goes back in the list",
    "skip": "passes the size over",
    "ask": "asks the gauge for a reading",
}
# a key that is no part of a reading, and none that has to stay where everybody finds it
_KEYS = re.compile(r"(ctrl\+)?(shift\+)?f([2-9]|1[1-9]|2[0-4])|shift\+f1|pageup|pagedown")


def read(text: str) -> dict[str, str] | Wrong:
    """Key -> deed of `f13=log f14=retry`."""
    made: dict[str, str] = {}
    for part in text.replace(",", " ").split():
        key, equals, word = part.casefold().partition("=")
        if not equals:
            return Wrong(f"{part[:20]!r} says no key and what it does", "type them such as f13=log f14=retry")
        if not _KEYS.fullmatch(key):
            return Wrong(
                f"{key[:20] or 'nothing'} is no key for a foot switch",
                "let it type a function key but the first and tenth, such as f13=log or ctrl+f5=log, or pageup",
            )
        deed = choice(word, DEEDS, f"what {key} does")
        if isinstance(deed, Wrong):
            return deed
        if key in made:
            return Wrong(f"{key} does two things here", "leave one of them")
        made[key] = deed
    return made


def plain(deeds: dict[str, str]) -> str:
    """As it is kept: one order of the parts, one blank between them."""
    return " ".join(f"{key}={deed}" for key, deed in deeds.items())
