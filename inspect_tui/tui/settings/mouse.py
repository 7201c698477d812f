"""What stands under the mouse: the key named at a place of the foot, the page at a place of the tabs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.cells import cell_len
from textual.binding import Binding

from inspect_tui.tui.settings.keys import key_name

NAMES = {"PgUp": "pageup", "PgDn": "pagedown", "Esc": "escape", "Enter": "enter", "/": "slash", "?": "question_mark"}


def foot_key(foot: str, column: int, bindings: Iterable[Binding]) -> str:
    """The key whose words stand at `column` of the foot, as the library names it; empty where none does.

    Words are parted by two blanks: "F1 keys  F3 who".
    """
    begins = 0
    for words in foot.split("  "):
        ends = begins + cell_len(words)
        if begins <= column < ends:
            shown = words.strip().partition(" ")[0]
            for binding in bindings:
                for key in binding.key.split(","):
                    if shown and shown in (key, key_name(key)):
                        return key
            return NAMES.get(shown, "")
        begins = ends + 2
    return ""


def tab_at(tabs: Sequence[str], column: int) -> int | None:
    """Which page stands at `column` of the line of tabs, as `place.tabs_text` writes them; None between them."""
    begins = 0
    for n, name in enumerate(tabs):
        ends = begins + cell_len(f" {n + 1} {name} ")
        if begins <= column < ends:
            return n
        begins = ends + 1
    return None


def foot_with(foot: str, moved: Sequence[tuple[str, str]]) -> str:
    """The foot with other keys: `moved` are the old and the new one, as the library names them."""
    parts = foot.split("  ")
    for old, new in moved:
        for n, words in enumerate(parts):
            shown, blank, rest = words.partition(" ")
            if shown in [key_name(key) for key in old.split(",")]:
                parts[n] = f"{key_name(new.split(',')[0])}{blank}{rest}"
                break
    return "  ".join(parts)


def foot_within(foot: str, width: int) -> str:
    """The foot in so many columns: the last key, which leads on, and F1, which lists all, outstay the others."""
    parts = foot.split("  ")
    while len(parts) > 1 and cell_len("  ".join(parts)) > width:
        rest = [n for n, words in enumerate(parts[:-1]) if words.partition(" ")[0] != "F1"]
        parts.pop(rest[-1] if rest else 0)
    return "  ".join(parts)
