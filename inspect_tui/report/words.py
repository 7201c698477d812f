"""Words as papers print them: signs beside answers, nothing invisible, names in a row."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from inspect_tui.shop.common.standing import Standing

# what stands beside the word of an answer, so that neither colour nor the word alone carries it
SIGNS = {
    Standing.CONFORMS: "\u2713",
    Standing.DOES_NOT_CONFORM: "\u2717",
    Standing.UNDECIDED: "?",
    Standing.IN_QUESTION: "!",
    Standing.NO_LIMITS: "\u2013",
    Standing.TO_MEASURE: "\u2026",
    Standing.NOT_MEASURABLE: "\u2205",
}
LEVELS = {
    Standing.CONFORMS: "good",
    Standing.DOES_NOT_CONFORM: "bad",
    Standing.UNDECIDED: "doubt",
    Standing.IN_QUESTION: "doubt",
}

_GONE = (*range(0x00, 0x09), *range(0x0B, 0x20))
_STEER = (*range(0x80, 0xA0), 0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFFFE, 0xFFFF)


@cache
def _marks() -> dict[int, str]:
    """What stands for each of them; made when the first paper asks: the screen starts without."""
    marks = {code: chr(0x2400 + code) for code in _GONE} | {0x7F: "\u2421"}
    return marks | {code: f"\u2039U+{code:04X}\u203a" for code in (*_STEER, *range(0xD800, 0xE000))}


def visible(text: str) -> str:
    """The same text with every character that steers a screen or the reading direction shown as a mark.

    The record takes such characters out when they come in; a paper does not rely on it.
    """
    return text if text.isascii() and text.isprintable() else text.translate(_marks())


def deep_visible(thing: Any) -> Any:
    """`visible` for every text inside dictionaries and lists."""
    if isinstance(thing, str):
        return visible(thing)
    if isinstance(thing, dict):
        return {key: deep_visible(value) for key, value in thing.items()}
    if isinstance(thing, list | tuple):
        return [deep_visible(item) for item in thing]
    return thing


def listed(names: list[str] | tuple[str, ...], last: str = "and") -> str:
    """F1, F2 and F3."""
    names = list(names)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}" if names else ""


def clipped(text: str, width: int) -> str:
    """The text in at most `width` characters, with … where it goes on."""
    return text if len(text) <= width else text[: max(width - 1, 0)] + "…"


def fitted(name: str, width: int) -> str:
    """A name in at most `width` characters, with … for whole words of its middle: how it begins and ends tells it.

    core 3 port print 4 in 16: core 3 … print 4. A word is never cut: where none fits … stands for the name.
    """
    words = name.split()
    if len(name) <= width:
        return name
    if len(words) < 2:
        return "…"[:width]
    ends = [words[-1]]
    begins: list[str] = []
    rest = words[:-1]
    if len(f"… {ends[0]}") > width:
        return next((text for text in (f"{words[0]} …", words[0], "…") if len(text) <= width), "")
    front = True
    while rest:
        word = rest[0] if front else rest[-1]
        tried = [*begins, word, "…", *ends] if front else [*begins, "…", word, *ends]
        if len(" ".join(tried)) <= width:
            if front:
                begins.append(rest.pop(0))
            else:
                ends.insert(0, rest.pop())
        elif not front or not begins:
            break
        front = not front
    return " ".join([*begins, "…", *ends])


def roomy(said: Sequence[str], room: int) -> str:
    """The first of these that has room; the last where none has."""
    return next((each for each in said if len(each) <= room), said[-1])
