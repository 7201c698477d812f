"""Figures and words as papers print them: true minus, non-breaking units, signs beside words, nothing invisible."""

from __future__ import annotations

from math import isfinite

from inspect_tui.shop.common.standing import Standing

MINUS = "\u2212"
NARROW = "\u202f"  # narrow no-break space between figure and unit

# what stands beside the word of an answer, so that neither colour nor the word alone carries it
SIGNS = {
    Standing.CONFORMS: "\u2713",
    Standing.DOES_NOT_CONFORM: "\u2717",
    Standing.UNDECIDED: "?",
    Standing.IN_QUESTION: "!",
    Standing.NOT_JUDGED: "\u2013",
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
_MARKS = {code: chr(0x2400 + code) for code in _GONE} | {0x7F: "\u2421"}
_STEER = (*range(0x80, 0xA0), 0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A), 0xFFFE, 0xFFFF)
_MARKS |= {code: f"\u2039U+{code:04X}\u203a" for code in (*_STEER, *range(0xD800, 0xE000))}


def visible(text: str) -> str:
    """The same text with every character that steers a screen or the reading direction shown as a mark.

    The record takes such characters out when they come in; a paper does not rely on it.
    """
    return text if text.isascii() and text.isprintable() else text.translate(_MARKS)


def deep_visible(thing: object) -> object:
    """`visible` for every text inside dictionaries and lists."""
    if isinstance(thing, str):
        return visible(thing)
    if isinstance(thing, dict):
        return {key: deep_visible(value) for key, value in thing.items()}
    if isinstance(thing, list | tuple):
        return [deep_visible(item) for item in thing]
    return thing


def figure(value: float | None, places: int = 2) -> str:
    """82.13, \u22120.05; nothing for None; never \u22120.00."""
    if value is None or not isfinite(value):
        return ""
    text = f"{value:.{places}f}"
    if text.startswith("-"):
        text = text[1:] if float(text) == 0.0 else MINUS + text[1:]
    return text


def signed(value: float | None, places: int = 2) -> str:
    """+0.13, \u22120.05, 0.00: a deviation always says its direction."""
    if value is None or not isfinite(value):
        return ""
    text = figure(value, places)
    return text if text.startswith(MINUS) or float(text) == 0.0 else f"+{text}"


def limits(lower: float | None, upper: float | None, places: int = 2) -> str:
    """81.20 to 82.80; with one side open, at least or at most."""
    if lower is None and upper is None:
        return "no limits"
    if lower is None:
        return f"at most {figure(upper, places)}"
    if upper is None:
        return f"at least {figure(lower, places)}"
    return f"{figure(lower, places)} to {figure(upper, places)}"


def chance(p: float | None) -> str:
    """A probability as people read it: 97 %, above 99 %, below 1 %."""
    if p is None:
        return ""
    if p > 0.995:
        return f">{NARROW}99{NARROW}%"
    if p < 0.005:
        return f"<{NARROW}1{NARROW}%"
    return f"{100.0 * p:.0f}{NARROW}%"


def spread(value: float, half: float | None, places: int = 1) -> str:
    """44.3 ± 0.6; with more places where the half width would print as nought."""
    if not half:
        return figure(value, places)
    while places < 4 and half < 0.5 * 10.0**-places:
        places += 1
    return f"{figure(value, places)} ± {figure(half, places)}"


def share(fraction: float | None, places: int = 2) -> str:
    """A fraction as a percentage."""
    return "" if fraction is None else f"{figure(100.0 * fraction, places)}{NARROW}%"


def date(text: str | None) -> str:
    """The day of an ISO date or time, as it stands."""
    return (text or "")[:10]


def many(count: int, one: str, more: str | None = None) -> str:
    """1 feature, 2 features."""
    return f"{count} {one if count == 1 else more or one + 's'}"


def listed(names: list[str] | tuple[str, ...], last: str = "and") -> str:
    """F1, F2 and F3."""
    names = list(names)
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {last} {names[-1]}" if names else ""


def clipped(text: str, width: int) -> str:
    """The text in at most `width` characters, with … where it goes on."""
    return text if len(text) <= width else text[: max(width - 1, 0)] + "…"
