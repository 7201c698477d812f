"""Makes what a keyboard, a paste or a gauge sends into plain characters, and finds the numbers in it.

Source: own derivation; what keyboards and gauges send is common practice, no source.
"""

from __future__ import annotations

import re
import unicodedata
from math import log2

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed._pattern import Pattern

TYPED_MAX = 64  # characters of one reading that the record keeps
LINE_MAX = 1024
READINGS_MAX = 99
EXAMPLE = "type a number such as 59.66 or 12 3/16 in"

# Halves to 128ths stand on rules, tenths and hundredths on engineers' scales; no rule carries anything else.
DENOMINATORS = frozenset((2, 4, 8, 16, 32, 64, 128, 10, 100))

_ESCAPE = Pattern(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"  # colours, cursor, clear, marks around a paste
    r"|(?:\x1b\]|\x9d)[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)"  # window titles, links
    r"|\x1b[ -/]*[:-Z\\-~]"  # a digit behind it may be one of a size
)
_BREAKS = "\n\r\v\f\x1c\x1d\x1e\x1f\x85\u2028\u2029"
# Dashes that stand for a minus, primes and quotes that stand for feet and inches. NFKC would tear these apart.
_PLAIN = {
    **dict.fromkeys("\u2010\u2011\u2012\u2013\u2212", "-"),
    "\u00ba": "°",
    "\u02da": "°",
    **dict.fromkeys("\u2032\u2018\u2019\u00b4\u02b9", "'"),
    **dict.fromkeys("\u2033\u201c\u201d\u201e\u02ba", '"'),
    "\u2044": "/",
    "\u2215": "/",
}
_SAME_LENGTH = str.maketrans(dict.fromkeys(_BREAKS, ";"))
LOST = "\ufffd"
_OF_NUMBERS = frozenset("0123456789.,/")
VULGAR = "¼½¾⅐⅑⅒⅓⅔⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞↉"

_DIGITS = r"[0-9]+(?:[.,][0-9]+)*|[.,][0-9]+"


def _amount(group: str) -> Pattern:
    """The pattern of a number whose thousands stand apart, `group` being three of its digits."""
    number = rf"[1-9][0-9]{{0,2}}(?:[ ]{group})+(?:[.,][0-9]+)?(?![0-9.,]|[ ]*/)|{_DIGITS}"
    return Pattern(
        rf"(?P<sign>[+-])?(?:(?:(?P<whole>{number})(?:[ ]+|-|(?=[{VULGAR}])))?"
        rf"(?:(?P<over>[0-9]+)[ ]*/[ ]*(?P<under>[0-9]+)|(?P<vulgar>[{VULGAR}]))"
        rf"|(?P<plain>{number})(?P<exponent>[eE][+-]?[0-9]{{1,2}}(?![0-9]))?)"
    )


_AMOUNT = _amount("0[0-9]{2}")  # where a blank parts readings, only a group that no reading begins like
_ONE_AMOUNT = _amount("[0-9]{3}")
_EXPONENT = Pattern(r"[eE][+-]?[0-9]")


class Amount(NamedTuple):
    """A number without its unit, exact as num/den; `places` steps of its last place make one."""

    num: int
    den: int
    places: int
    end: int
    signed: bool = False
    fraction: bool = False
    others: tuple[tuple[int, int, int, str], ...] = ()  # every meaning, if several: num, den, places, how to type it


def clean(text: str) -> tuple[str, tuple[str, ...]]:
    """Text without control characters, escape sequences and direction marks, and a remark saying what went.

    Where something went from among the digits of a number, a mark stands (`LOST`): a byte that a wire lost must not
    join what stood on its two sides.
    """
    if text.isprintable():
        return text, ()
    rest, escapes = _ESCAPE.subn("\0", text)
    kept: list[str] = []
    gone_before, before = False, ""
    counts = {"control character": 0, "invisible mark": 0}
    for char in rest:
        kind = unicodedata.category(char)
        if char in _OF_NUMBERS and ((gone_before and kept and kept[-1] in _OF_NUMBERS) or before == "\x1b"):
            kept.append(LOST)
        before = char
        gone_before = kind in ("Cf", "Cs") or (kind == "Cc" and char not in _BREAKS and char != "\t")
        if char == "\u00ad":  # a soft hyphen in 12-3/16 would otherwise leave 123/16
            kept.append("-")
        elif char == "\t":
            kept.append(" ")
        elif kind == "Cc" and char not in _BREAKS:
            counts["control character"] += 1
        elif kind in ("Cf", "Cs"):
            counts["invisible mark"] += 1
        else:
            kept.append(char)
    counts["control character"] -= escapes
    gone = [f"{n} {what}{'s' if n > 1 else ''}" for what, n in [("escape sequence", escapes), *counts.items()] if n]
    return "".join(kept), (f"removed from the text: {', '.join(gone)}",) if gone else ()


def plain(text: str) -> tuple[str, range | list[int]]:
    """The text in plain characters, and for each of them its place in `text`.

    Full-width digits and squared units become plain ones (NFKC), any blank a blank, a line break a semicolon.
    Superscripts stay as they are: 12³ is not 123.
    """
    if text.isascii():
        return text.translate(_SAME_LENGTH), range(len(text))
    made: list[str] = []
    places: list[int] = []
    for index, char in enumerate(text):
        out = _PLAIN.get(char)
        if out is None:
            if char in _BREAKS:
                out = ";"
            elif char.isspace():
                out = " "
            elif char.isascii() or unicodedata.decomposition(char).startswith(
                ("<fraction>", "<super>", "<sub>", "<circle>")
            ):
                out = char
            else:
                out = unicodedata.normalize("NFKC", char).translate(_SAME_LENGTH)
        made.append(out)
        places += [index] * len(out)
    return "".join(made), places


def quote(text: str, most: int = 32) -> str:
    """The text for a sentence: one line without control characters, cut when long."""
    line = " ".join(clean(text)[0].split())
    return line if len(line) <= most else line[: most - 1] + "…"


def amount_at(text: str, at: int, thousands: bool = False) -> Amount | str | None:
    """The number that starts at `at`, a sentence when it is no number that a rule or caliper shows, None when none is.

    Decimal point or comma; 3/4, 12 3/16, 12-3/16, 12½; 1e3; 1 000, and with `thousands` 1 250 too, which otherwise
    are two readings. `text` is plain text as `plain` makes it.
    """
    match = (_ONE_AMOUNT if thousands else _AMOUNT).match(text, at)
    if match is None:
        return None
    end = match.end()
    said = quote(match[0])
    after = text[end : end + 1]
    if after == "/" or text[end:].lstrip(" ").startswith("/"):
        return f"{said}/ is only part of a fraction: type it whole, such as 12 3/16"
    if after and after in ".,":
        return f"{said}{after} ends in a decimal mark: type the digits after it, and a blank between two readings"
    if after and after in "-+":
        return f"{said}{after} cannot be read on: put a blank between two readings, or type a fraction such as 12-3/16"
    if _EXPONENT.match(text, end):
        return f"{quote(text[at:].split(' ')[0])} is not a size: type the number out, such as 59.66"
    sign = -1 if match["sign"] == "-" else 1
    signed = match["sign"] is not None
    if match["plain"]:
        number = match["plain"].replace(" ", "")
        return _decimal(number, int((match["exponent"] or "e0")[1:]), sign, end, signed)
    if match["vulgar"]:
        over, under = unicodedata.normalize("NFKC", match["vulgar"]).split("\u2044")
    else:
        over, under = match["over"], match["under"]
    whole = match["whole"].replace(" ", "") if match["whole"] else None
    return _fraction(whole, over, int(under), sign, end, signed, said)


def _decimal(number: str, exponent: int, sign: int, end: int, signed: bool) -> Amount | str:
    head, *tail = re.split("[.,]", number)
    if len(tail) <= 1:
        places = len(tail[0]) - exponent if tail else -exponent
        ten = 10 ** max(places, 0)
        return Amount(
            num=sign * int(head + "".join(tail)) * 10 ** max(-places, 0), den=ten, places=ten, end=end, signed=signed
        )
    # 1,234.5 and 1.234,5: one of the marks groups thousands, and only the person knows which.
    if len(tail) == 2 and 1 <= len(head) <= 3 and len(tail[0]) == 3 and number.count(".") == 1 and not exponent:
        digits = sign * int(head + tail[0] + tail[1])
        minus = "-" if sign < 0 else ""
        small, large = 10 ** len(tail[0] + tail[1]), 10 ** len(tail[1])
        others = (
            (digits, small, small, f"{minus}{head}.{tail[0]}{tail[1]}"),
            (digits, large, large, f"{minus}{head}{tail[0]}.{tail[1]}"),
        )
        return Amount(num=digits, den=large, places=large, end=end, signed=signed, others=others)
    return f"{quote(number)} has {len(tail)} decimal marks: type it with one, and a blank between two readings"


def _fraction(whole: str | None, over: str, under: int, sign: int, end: int, signed: bool, said: str) -> Amount | str:
    upper = int(over)
    if under == 0:
        return f"{said}: a fraction with 0 below is no size; type it again, such as 12 3/16 in"
    if under not in DENOMINATORS:
        return f"{said}: {_ths(under)} are on no rule; type {_nearby(upper, under)} or a decimal"
    if whole is not None and not whole.isdigit():
        return f"{said} mixes a decimal and a fraction: type one of them, or put ; between two readings"
    if whole is not None and upper >= under:
        return f"{said}: {over}/{under} is not below 1; put ; between two readings, or type the fraction again"
    if whole is not None:
        return Amount(
            num=sign * (int(whole) * under + upper), den=under, places=under, end=end, signed=signed, fraction=True
        )
    # 123/16 is 7 11/16, or more likely 12 3/16 with its blank lost.
    minus = "-" if sign < 0 else ""
    split = [
        (sign * (int(over[:cut]) * under + int(over[cut:])), under, under, f"{minus}{over[:cut]} {over[cut:]}/{under}")
        for cut in range(1, len(over))
        if over[0] != "0" and over[cut] != "0" and int(over[cut:]) < under
    ]
    if upper >= under and any(num != sign * upper for num, _, _, _ in split):
        rest = f" {upper % under}/{under}" if upper % under else ""
        split.insert(0, (sign * upper, under, under, f"{minus}{upper // under}{rest}"))
        return Amount(
            num=sign * upper, den=under, places=under, end=end, signed=signed, fraction=True, others=tuple(split)
        )
    return Amount(num=sign * upper, den=under, places=under, end=end, signed=signed, fraction=True)


def _ths(under: int) -> str:
    if under == 1 or under > 999:
        return f"fractions with {quote(str(under), 12)} below"
    ending = "th" if under % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(under % 10, "th")
    return f"{under}{ending}s"


def _nearby(over: int, under: int) -> str:
    near = 2 ** max(1, round(log2(under))) if under <= 180 else 0
    return f"{over}/{near}" if 0 < over < near else "3/16"
