"""Keys: what they are called, which a person may choose for commands, and what is wrong with others."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches

from textual.binding import Binding
from textual.keys import Keys

KEY_NAMES = {
    "escape": "Esc",
    "pageup": "PgUp",
    "pagedown": "PgDn",
    "up": "↑",
    "down": "↓",
    "enter": "Enter",
    "left": "←",
    "right": "→",
    "question_mark": "?",
}

Ids = Mapping[str, Binding]  # every command of the program by its id, such as bench.skip

TYPED = {"space", "enter", "tab", "backspace", "delete", "left", "right"}  # what the entry line needs for itself
ENTRY = ("bench", "first", "check", "study", "place", "app")  # commands that are there while readings are typed
FIXED = {"app.quit": "ctrl+q", "place.help": "f1", "place.places": "f10"}  # what helps whoever is lost


def chosen(wish: Mapping[str, str], known: Ids) -> tuple[dict[str, str], list[str]]:
    """The part of a key map (id -> keys parted by commas) that can be used, and a sentence for each that cannot."""
    good: dict[str, str] = {}
    wrong = []
    for name, keys in wish.items():
        parts = ",".join(part.strip().lower() if len(part.strip()) > 1 else part.strip() for part in keys.split(","))
        why = _why_not(name, parts, known) or _taken(name, parts, {**wish, **good}, known)
        if why:
            wrong.append(f"keys.{name} = {keys}: {why}; its key stays {known[name].key if name in known else 'none'}")
        else:
            good[name] = parts
    return good, wrong


def _why_not(name: str, keys: str, known: Ids) -> str:
    if name not in known:
        near = get_close_matches(name, known, n=1, cutoff=0.5)
        return f"there is no such command{f', nearest: {near[0]}' if near else ''}"
    if name in FIXED:
        return "this one stays where everybody finds it"
    for key in keys.split(","):
        if not _is_key(key):
            return f"{key or 'nothing'} is no key: write it such as f8, ctrl+e or x"
        if name.partition(".")[0] in ENTRY and (len(key) == 1 or key in TYPED or key == "question_mark"):
            return f"{key} is typed into readings"
    return ""


def _is_key(key: str) -> bool:
    *held, last = key.split("+")
    named = {str(member.value) for member in Keys}
    return all(each in ("ctrl", "shift", "alt") for each in held) and (
        (len(last) == 1 and last.isprintable()) or last in named or last in ("question_mark", "slash", "space")
    )


def _taken(name: str, keys: str, wish: Mapping[str, str], known: Ids) -> str:
    """Which command that is there at the same time has one of the keys already."""
    place = name.partition(".")[0]
    wanted = set(keys.split(","))
    for other, binding in known.items():
        there = other.partition(".")[0]
        if other != name and (there in (place, "place", "app") or place in ("place", "app")):
            has = wish[other] if other in wish and other != name else binding.key
            if both := wanted & {key.strip() for key in has.split(",")}:
                return f"{min(both)} is {other} already ({binding.description})"
    return ""


def key_name(key: str) -> str:
    """A key as it stands on the keyboard: f7 -> F7, ctrl+r -> Ctrl+R."""
    if key in KEY_NAMES:
        return KEY_NAMES[key]
    return key if len(key) == 1 else "+".join(part.capitalize() for part in key.split("+"))
