"""Turns a typed contraction (1.0 %, 1/8 in/ft, 10 mm/m, 1:96) into the fraction of the casting size."""

from __future__ import annotations

import re

from inspect_tui.metrology.typed._pattern import Pattern
from inspect_tui.metrology.typed.parsed import ContractionTyped, Unreadable
from inspect_tui.metrology.typed.plain_text import TYPED_MAX, Amount, amount_at, clean, plain, quote
from inspect_tui.metrology.typed.show import MM
from inspect_tui.metrology.typed.units import short_unit

LEAST, MOST = -0.05, 0.10  # castings that grow, and the largest contraction any table gives, with room
_BARE_MOST = 0.05  # a bare number up to here is a fraction; above it a percentage or mm/m is likelier
_EXAMPLE = "type it as 1.0 %, 1/8 in/ft or 10 mm/m"
_OF = Pattern(r"(?: ?of)?(?: ?the)? ?(pattern|casting|tool)", re.IGNORECASE)
_PERCENT = Pattern(r"(%|per ?cent|pct|‰|per ?mille?)(?: ?(.*))", re.IGNORECASE)
_RATIO = Pattern(r"(\"|''|[^\W\d_]+)\.? ?(?:/|per) ?(\"|'|''|[^\W\d_]+)\.?(?: ?(.*))", re.IGNORECASE)
_EXPONENT = Pattern(r"[0-9]e[+-]?[0-9]", re.IGNORECASE)
_ONE_IN = Pattern(r"1 ?: ?([0-9]+(?:[.,][0-9]+)?)")


def parse_contraction(text: str) -> ContractionTyped | Unreadable:
    """A contraction as a fraction of the CASTING size; never raises.

    in/ft and mm/m are per casting length (in/ft divided by 12). A percentage is of the casting unless it says
    "of pattern", as German tables mean it: a = p / (1 - p). A bare number up to 0.05 is a fraction; a larger one is
    asked back, because 10 may be mm/m and 1 per cent. Beyond -5 % to 10 % nothing is taken. Common practice, no source.
    """
    if len(text) > 4 * TYPED_MAX:
        return Unreadable(f"{len(text)} characters are too many for a contraction: {_EXAMPLE}", text)
    typed = clean(text)[0].strip()
    line = " ".join(plain(typed)[0].split())
    if not line:
        return Unreadable(f"nothing typed: {_EXAMPLE}", text)
    if len(typed) > TYPED_MAX:
        return Unreadable(f"{quote(typed)} is too long: at most {TYPED_MAX} characters", text)
    if one_in := _ONE_IN.fullmatch(line):
        part = float(one_in[1].replace(",", "."))
        return _believable(1.0 / part if part else 1.0, "casting", typed, text)
    if _EXPONENT.search(line):
        return Unreadable(f"{quote(typed)} has an exponent: {_EXAMPLE}", text)
    amount = amount_at(line, 0)
    if isinstance(amount, str):
        return Unreadable(amount, text)
    if amount is None:
        return Unreadable(f"{quote(typed)} is no contraction: {_EXAMPLE}", text)
    if amount.others:
        ways = " or ".join(how for _, _, _, how in amount.others)
        return Unreadable(f"{quote(typed)}: {ways}? type it so that only one fits", text)
    share, of = _share(amount, line[amount.end :].strip(), quote(typed))
    return Unreadable(share, text) if isinstance(share, str) else _believable(share, of, typed, text)


def _share(amount: Amount, unit: str, said: str) -> tuple[float | str, str]:
    """The number as a fraction and what of, casting or pattern; a sentence in its place when it has no meaning."""
    value = amount.num / amount.den
    if not unit:
        return _bare(value, amount.fraction, said), "casting"
    if match := _PERCENT.fullmatch(unit):
        base = match[2].strip()
        referred = _OF.fullmatch(base)
        if base and not referred:
            return f"{said}: {quote(base)} is neither casting nor pattern; type 1.0 % or 1.0 % of pattern", ""
        share = amount.num / (amount.den * (1000 if match[1] == "‰" or "mil" in match[1].lower() else 100))
        return share, "pattern" if referred and referred[1].lower() != "casting" else "casting"
    if match := _RATIO.fullmatch(unit):
        upper, lower = short_unit(match[1], "length"), short_unit(match[2], "length")
        base = match[3].strip()
        referred = _OF.fullmatch(base)
        if upper and lower and upper.family == lower.family == "length" and (referred or not base):
            share = amount.num * upper.num * lower.den / (amount.den * upper.den * lower.num)
            return share, "pattern" if referred and referred[1].lower() != "casting" else "casting"
    return f"{said}: {quote(unit)} is no unit of contraction; {_EXAMPLE}", ""


def _bare(value: float, fraction: bool, said: str) -> float | str:
    if fraction:
        return f"{said} of what? type 1/8 in/ft for an eighth of an inch per foot, or 1:96"
    if abs(value) <= _BARE_MOST:
        return value
    if 5.0 <= value <= 100.0:
        return f"{said} is {MM.percent(value, None)}; meant {MM.figures(value)} mm/m or {_percent(value / 10)} %?"
    return f"{said} is {MM.percent(value, None)}; meant {_percent(value)} %? type it with its unit"


def _percent(value: float) -> str:
    return MM.figure(value, 1) if round(value, 1) == value else MM.figures(value)


def _believable(share: float, of: str, typed: str, text: str) -> ContractionTyped | Unreadable:
    a = share / (1.0 - share) if of == "pattern" and share < 1.0 else share
    if not LEAST <= a <= MOST:
        beyond = f"beyond {MM.percent(LEAST, None)} to {MM.percent(MOST, None)}"
        return Unreadable(f"{quote(typed)} is a contraction of {MM.figures(100 * a, 3)} %, {beyond}: {_EXAMPLE}", text)
    return ContractionTyped(a + 0.0, typed, of)
