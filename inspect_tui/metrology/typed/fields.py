"""The one door for what is typed: a reader for each kind of thing, at a form, in a job file, a table or an option.

Each reader takes the text and gives back the value or a `Wrong`; none raises, whatever the text holds. The text may be
None or a number too, as files and options have them. Sizes come back in mm, angles in degrees, temperatures in degC,
weights in kg, areas in mm2, volumes in dm3, flows in m3/min, densities in kg/m3 unless `to` says another unit; percents
and contractions as fractions, days as ISO dates.

The same text means the same everywhere: `1/2 in`, `12 1/2`, `12,5 mm`, `1 000`, `1e3`. One reading is kept apart from
two as on the entry line (`quantity.parse_line`), except that where one thing is asked for, blanks part thousands:
`1 250` is 1250. `optional` makes a reader take an empty field as None.

    low_high = fields.span(text, unit="mm")
    if isinstance(low_high, fields.Wrong):
        return f"range: {low_high}"

Source: own derivation; what shops write is common practice, no source.
"""

from __future__ import annotations

import re

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed._pattern import Pattern
from inspect_tui.metrology.typed.parsed import TypedLine, Unreadable
from inspect_tui.metrology.typed.plain_text import TYPED_MAX, amount_at, clean, plain, quote
from inspect_tui.metrology.typed.quantity import parse_line, parse_temperature
from inspect_tui.metrology.typed.ratio import parse_contraction
from inspect_tui.metrology.typed.show import MM
from inspect_tui.metrology.typed.units import BASE, Unit, look_up, short_unit

TYPE_CHECKING = False
if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable
    from typing import Any, TypeVar

    Value = TypeVar("Value")

MOST_COUNTED = 999_999_999
_EXAMPLES = {"weight": "41.35 kg", "area": "1.85 m2", "volume": "2.4 dm3", "flow": "46 m3/min", "density": "7.1 g/cm3"}
_PLAIN = Pattern(r"[+-]?[0-9]+(?:[.,][0-9]+)?")
_BETWEEN = Pattern(r"[ ]*(?:\bto\b|\.\.+|…|–|—)[ ]*", re.IGNORECASE)
_HYPHEN = Pattern(r"(?<=[0-9\"'° a-z])-(?=[ ]*[0-9.,])", re.IGNORECASE)
_THOUSANDS = Pattern(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+")
_ISO = Pattern(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})(?:[T ][0-9:.]*)?")
_DAY_FIRST = Pattern(r"([0-9]{1,2})\.[ ]?([0-9]{1,2})\.[ ]?([0-9]{2,4})")
_SLASHES = Pattern(r"([0-9]{1,2})/([0-9]{1,2})/([0-9]{2,4})")
_MONTH = Pattern(r"([0-9]{4})-([0-9]{1,2})(?:-[0-9]{1,2})?")
_AFTER_UNIT = Pattern(r"(?<=[^\W\d_]|[%‰\"'])[ ]*[;,]?[ ]+(?=[+-]?[0-9.,])")


@frozen
class Wrong:
    """Something typed that is not what was asked for: `what` was wrong, and what to `do`."""

    what: str
    do: str = ""

    @property
    def sentence(self) -> str:
        """Both in one line, without a stop at the end."""
        return f"{self.what}: {self.do}" if self.do else self.what

    def __str__(self) -> str:
        """The sentence."""
        return self.sentence


def optional(read: Callable[..., Value | Wrong]) -> Callable[..., Value | Wrong | None]:
    """The same reader for a field that may be left empty, which is None then."""

    def reader(text: object, *args: Any, **how: Any) -> Value | Wrong | None:
        return None if not _line(text) else read(text, *args, **how)

    return reader


# ------------------------------------------------------------------------------ sizes
def size(
    text: object,
    unit: str = "mm",
    *,
    zero: bool = False,
    signed: bool = False,
    quantity: str = "",
    to: str = "",
) -> float | Wrong:
    """One length in mm, above 0; `zero` lets 0 be, `signed` what lies below too (a place, a deviation).

    `unit` holds where none is typed; one of angles or temperatures asks for degrees or degC. `quantity` is a feature's
    and takes the place of `zero` and `signed`. `to` is the unit wanted back, if it is not that one.
    """
    answer = _sizes(text, unit, quantity, zero, signed, thousands=True)
    if isinstance(answer, Wrong):
        return answer
    if len(answer) != 1:
        return Wrong(f"{quote(_text(text))} is {len(answer)} sizes", "type one")
    return told_in(answer[0], to) if to else answer[0]


def sizes(
    text: object,
    wanted: int | Collection[int] = (),
    unit: str = "mm",
    *,
    zero: bool = False,
    signed: bool = False,
    quantity: str = "",
) -> tuple[float, ...] | Wrong:
    """Several lengths in mm, parted by blanks or by `;`; `wanted` is how many there may be, any number by default.

    Between semicolons blanks part thousands where as many parts are wanted: 0; 1 250 are two sizes.
    """
    allowed = (wanted,) if isinstance(wanted, int) else tuple(wanted)
    line = _text(text)
    parts = [part for part in line.split(";") if part.strip()]
    answer = _sizes(line, unit, quantity, zero, signed, thousands=len(parts) > 1 and len(parts) in allowed)
    if isinstance(answer, Wrong) or not allowed or len(answer) in allowed:
        return answer
    n = len(answer)
    many = " or ".join(str(each) for each in allowed)
    are = "is one size" if n == 1 else f"are {n} sizes"
    return Wrong(f"{quote(line)} {are}, not {many}", "put a ; between two of them")


def span(
    text: object,
    unit: str = "mm",
    *,
    signed: bool = True,
    equal: bool = False,
    quantity: str = "",
    to: str = "",
    example: str = "0 to 150",
) -> tuple[float, float] | Wrong:
    """A range such as 0 to 1 000 as its two ends in mm, the lower first; 0..150, 0-150 and two sizes will do too.

    A unit behind the last one holds for both. A range that runs down is a `Wrong`, and one that runs nowhere unless
    the two may be `equal`.
    """
    do = f"type it such as {example}"
    line = " ".join(plain(clean(_text(text))[0].replace("–", " to ").replace("—", " to "))[0].split())
    if not line:
        return Wrong("nothing typed", do)
    parts = [part for part in _BETWEEN.compiled.split(line) if part]
    ends: tuple[float, ...] | Wrong
    if len(parts) == 2:
        ends = _sizes(f"{parts[0]} ; {parts[1]}", unit, quantity, True, signed, thousands=True)
    elif (hyphens := list(_HYPHEN.finditer(line))) and len(hyphens) == 1:
        at = hyphens[0].start()
        ends = _sizes(f"{line[:at]} ; {line[at + 1 :]}", unit, quantity, True, signed, thousands=True)
    else:
        ends = _sizes(line, unit, quantity, True, signed, thousands=False)
    if isinstance(ends, Wrong):
        return ends
    if len(parts) > 2 or len(ends) != 2:
        return Wrong(f"{quote(line)} is no range", do)
    low, high = ends
    if not (low < high or (equal and low == high)):
        return Wrong(f"{quote(line)} does not go from low to high", do)
    return (told_in(low, to), told_in(high, to)) if to else (low, high)


def step(text: object, unit: str = "mm", *, to: str = "") -> float | Wrong:
    """The smallest step that an instrument shows, in mm (degrees, degC): 0.01, 0.0005 in, 1/64 in.

    A fraction without a unit is one of an inch on an instrument that reads inches; on others it is asked about,
    because no mm is divided into 64ths.
    """
    example = "type it such as 0.01, or 1/64 in"
    line = _line(text)
    if not line:
        return Wrong("nothing typed", example)
    answer = _entry(line, unit, _kind(unit), thousands=True)
    if isinstance(answer, Wrong):
        return answer
    if len(answer.sizes) != 1:
        return Wrong(f"{quote(line)} is {len(answer.sizes)} sizes", example)
    if answer.bare_fraction:
        return Wrong(f"{quote(line)} of what", f"type {line} in for a part of an inch, or a decimal such as 0.5")
    if not answer.sizes[0].mm > 0.0:
        return Wrong(f"a step of {quote(line)} is none", example)
    return told_in(answer.sizes[0].mm, to) if to else answer.sizes[0].mm


def angle(text: object, unit: str = "deg") -> float | Wrong:
    """One angle in degrees: 12.5, 12°30'; a bare number is in `unit`."""
    return size(text, unit, quantity="angle")


def temperature(text: object) -> float | Wrong:
    """The temperature of work or gauge in degC, -40 to 200: 23, 23 C, 73.4 F."""
    answer = parse_temperature(_text(text))
    return Wrong(answer.sentence) if isinstance(answer, Unreadable) else answer


def told_in(mm: float, unit: str) -> float:
    """A length in mm (degrees, degC, kg ... by the unit's kind) told in `unit`; ValueError for one unknown here."""
    named = short_unit(unit, "length") or short_unit(unit, "angle")
    if named is None:
        raise ValueError(f"{unit} is no unit known here")
    moved = mm * named.den / named.num - named.shift / named.shift_den
    return float(f"{moved:.12g}")  # 0.0005 in went through mm, and comes back as it was typed


def _sizes(
    text: object, unit: str, quantity: str, zero: bool, signed: bool, thousands: bool
) -> tuple[float, ...] | Wrong:
    answer = _entry(text, unit, quantity or _kind(unit), thousands)
    if isinstance(answer, Wrong):
        return answer
    for size in answer.sizes if not (quantity or signed) else ():
        if size.mm < 0.0:
            return Wrong(f"{quote(size.typed)} is below 0", "type it without the minus")
        if size.mm == 0.0 and not zero:
            return Wrong(f"{quote(size.typed)} is not above 0", "read it again")
    return tuple(size.mm for size in answer.sizes)


def _entry(text: object, unit: str, kind: str, thousands: bool) -> TypedLine | Wrong:
    """The entry line's answer; what it cannot say for certain is a `Wrong`."""
    answer = parse_line(_text(text), unit, 0.0, kind, thousands=thousands)
    return answer if isinstance(answer, TypedLine) else Wrong(answer.sentence)


def _kind(unit: str) -> str:
    """What an instrument that reads `unit` reads, signs and all."""
    named = short_unit(unit, "length")
    return named.family if named is not None and named.family in ("angle", "temperature") else "position"


# ------------------------------------------------------------------------------ figures
def figure(
    text: object,
    low: float | None = None,
    high: float | None = None,
    *,
    above: float | None = None,
    example: str = "2.5",
) -> float | Wrong:
    """A plain number without a unit, from `low` to `high` (both may be), or more than `above`."""
    read = _number(text, example)
    if isinstance(read, Wrong):
        return read
    value, rest = read
    if rest:
        return Wrong(f"{quote(_text(text))} has a unit or a word behind it", f"type a figure alone, such as {example}")
    return _within(value, _text(text), low, high, above, example)


def count(text: object, low: int = 0, high: int = MOST_COUNTED) -> int | Wrong:
    """A whole number: 9000, 9 000 or 9,000."""
    line = _line(text)
    if _THOUSANDS.fullmatch(line):
        line = line.replace(",", "")
    example = "9000" if high >= 9000 else f"{max(low, 1)}"
    read = _number(line, example)
    if isinstance(read, Wrong) and not line:
        return read
    if isinstance(read, Wrong) or read[1] or read[0] != int(read[0]):
        return Wrong(f"{quote(_text(text))} is no whole number", f"type it such as {example}")
    value = read[0]
    if low <= value <= high:
        return int(value)
    said = quote(_text(text))
    if high < MOST_COUNTED:
        return Wrong(f"{said} does not lie between {low} and {high}", f"type it such as {example}")
    return Wrong(f"{said} is below {low}" if value < low else f"{said} is above {high}", f"type it such as {example}")


def percent(text: object, low: float = 0.0, high: float = 1.0, *, example: str = "9") -> float | Wrong:
    """A percentage as a fraction: 9 and 9 % are 0.09. `low` and `high` are fractions."""
    read = _number(text, example)
    if isinstance(read, Wrong):
        return read
    value, rest = read
    if rest not in ("", "%", "percent", "per cent", "pct"):
        return Wrong(f"{quote(_text(text))} is no percentage", f"type it such as {example}")
    share_ = value / 100
    if not low <= share_ <= high:
        return Wrong(
            f"{quote(_text(text))} does not lie between {MM.figures(100 * low)} and {MM.percent(high, None)}",
            "type it again",
        )
    return share_


def share(text: object, low: float = 0.0, high: float = 1.0, *, example: str = "0.333") -> float | Wrong:
    """A part of a whole as a fraction: 0.333, 1/4 or 33.3 %; without a sign it is the fraction itself."""
    read = _number(text, example)
    if isinstance(read, Wrong):
        return read
    value, rest = read
    if rest not in ("", "%", "percent", "per cent", "pct"):
        return Wrong(f"{quote(_text(text))} is no share", f"type it such as {example}")
    return _within(value / 100 if rest else value, _text(text), low, high, None, example)


def contraction(text: object) -> float | Wrong:
    """A contraction as a fraction of the casting size: 1.0 %, 1/8 in/ft, 10 mm/m, 1:96."""
    answer = parse_contraction(_text(text))
    return Wrong(answer.sentence) if isinstance(answer, Unreadable) else answer.a


def contractions(text: object) -> tuple[float, float, float] | Wrong:
    """The contractions along x, y and z from one (the same along all) or three, parted by `;` or by their units.

    Fractions of the casting, or `Wrong`.
    """
    line = _line(text)
    if not line:
        return Wrong("nothing typed", "type a contraction such as 1.0 %, or three for X, Y and Z")
    parts = [part for part in line.split(";") if part.strip()]
    if len(parts) == 1:
        parts = [part for part in _AFTER_UNIT.compiled.split(line) if part.strip()]
    if len(parts) != 3:
        parts = [line]
    shares = []
    for part in parts:
        answer = contraction(part)
        if isinstance(answer, Wrong):
            return answer
        shares.append(answer)
    return (shares[0], shares[0], shares[0]) if len(shares) == 1 else (shares[0], shares[1], shares[2])


def _within(
    value: float, text: str, low: float | None, high: float | None, above: float | None, example: str
) -> float | Wrong:
    said, do = quote(text), f"type it such as {example}"
    if above is not None and not value > above:
        return Wrong(f"{said} is not above {MM.figures(above)}", do)
    if low is not None and high is not None and not low <= value <= high:
        return Wrong(f"{said} does not lie between {MM.figures(low)} and {MM.figures(high)}", do)
    if low is not None and value < low:
        return Wrong(f"{said} is below {MM.figures(low)}", do)
    if high is not None and value > high:
        return Wrong(f"{said} is above {MM.figures(high)}", do)
    return value


def _number(text: object, example: str) -> tuple[float, str] | Wrong:
    """The number that a text begins with, and the words behind it."""
    line = _line(text)
    if len(line) <= TYPED_MAX and _PLAIN.fullmatch(line):  # the way of nearly every cell of a table
        return float(line.replace(",", ".")), ""
    if not line:
        return Wrong("nothing typed", f"type a figure such as {example}")
    if len(line) > TYPED_MAX:
        return Wrong(f"{quote(line)} is too long", f"type a figure such as {example}")
    amount = amount_at(line, 0, thousands=True)
    if amount is None:
        return Wrong(f"{quote(line)} is no figure", f"type it such as {example}")
    if isinstance(amount, str):
        return Wrong(amount)
    if amount.others:
        return Wrong(f"{quote(line)}: {' or '.join(how for _, _, _, how in amount.others)}", "type one of them")
    return amount.num / amount.den, line[amount.end :].strip()


# ------------------------------------------------------------------------------ weights and the like
def weight(text: object, unit: str = "kg", *, to: str = "kg", above: float = 0.0, high: float = 1e6) -> float | Wrong:
    """A weight in kg: 41.35, 850 g, 12 lb."""
    return _measure(text, "weight", unit, to, above, high)


def area(text: object, unit: str = "mm2", *, to: str = "mm2", above: float = 0.0, high: float = 1e12) -> float | Wrong:
    """An area in mm2: 1.85 m2, 12 sq in."""
    return _measure(text, "area", unit, to, above, high)


def volume(text: object, unit: str = "dm3", *, to: str = "dm3", above: float = 0.0, high: float = 1e6) -> float | Wrong:
    """A volume in dm3: 2.4, 2400 cm3, 3 gal."""
    return _measure(text, "volume", unit, to, above, high)


def flow(
    text: object, unit: str = "m3/min", *, to: str = "m3/min", above: float = 0.0, high: float = 1e9
) -> float | Wrong:
    """A flow in m3/min: 46.0, 300 gal/min, 12 l/s."""
    return _measure(text, "flow", unit, to, above, high)


def density(
    text: object, unit: str = "kg/m3", *, to: str = "kg/m3", above: float = 0.0, high: float = 1e5
) -> float | Wrong:
    """A density in kg/m3: 7100, 7.1 g/cm3, 0.26 lb/in3."""
    return _measure(text, "density", unit, to, above, high)


def unit_of(text: object, family: str) -> str | Wrong:
    """A unit of a kind (length, weight, flow ...) as people write it, by its usual short name: m³/min as m3/min."""
    line = _line(text)
    if not line:
        return Wrong("nothing typed", f"type a unit such as {BASE[family].name}")
    named = look_up(line, family)
    return Wrong(named) if isinstance(named, str) else named.name


def _measure(text: object, family: str, unit: str, to: str, above: float, high: float) -> float | Wrong:
    """A number with a unit of a family, told in `to`; `above` and `high` are in `to` too."""
    example = _EXAMPLES[family]
    read = _number(text, example)
    if isinstance(read, Wrong):
        return read
    value, word = read
    typed, wanted = look_up(word or unit, family), look_up(to, family)
    if isinstance(typed, str):
        return Wrong(f"{quote(_text(text))}: {typed}")
    assert isinstance(wanted, Unit)
    value = value * (typed.num * wanted.den) / (typed.den * wanted.num)
    if not value > above:
        return Wrong(f"{quote(_text(text))}: a {family} is above {MM.figures(above)}", f"type it such as {example}")
    if value > high:
        return Wrong(f"{quote(_text(text))} is beyond {high:.12g} {to}", "check the number and its unit")
    return value


# ------------------------------------------------------------------------------ days
def day(text: object, today: str, *, past: bool = False, spoken: bool = True) -> str | Wrong:
    """A day as its ISO date: 2025-03-31, 31.3.2025, 31/3/2025, today, yesterday. `today` is an ISO date.

    With slashes the day and the month have to tell themselves apart, because 3/4 is March here and April there. `past`
    refuses days to come. Not `spoken` are the days of a file, which is read on other days than it was written: there
    today and yesterday are none.
    """
    from datetime import date, timedelta

    example = "type it such as 2025-03-31"
    line = _line(text)
    word = line.casefold()
    if not line:
        return Wrong("nothing typed", example)
    if spoken and word in ("today", "yesterday"):
        return (date.fromisoformat(today) - timedelta(days=word == "yesterday")).isoformat()
    if parts := _ISO.fullmatch(line):
        year, month_, day_ = parts[1], int(parts[2]), int(parts[3])
    elif parts := _DAY_FIRST.fullmatch(line):
        year, month_, day_ = parts[3], int(parts[2]), int(parts[1])
    elif parts := _SLASHES.fullmatch(line):
        year, first, second = parts[3], int(parts[1]), int(parts[2])
        if first <= 12 and second <= 12 and first != second:
            ways = f"{year}-{second:02d}-{first:02d} or {year}-{first:02d}-{second:02d}"
            return Wrong(f"{quote(line)} may be two days", f"type {ways}")
        day_, month_ = (second, first) if second > 12 else (first, second)
    else:
        return Wrong(f"{quote(line)} is no day", example)
    if len(year) != 4:
        return Wrong(f"{quote(line)} has no whole year", example)
    try:
        answer = date(int(year), month_, day_).isoformat()
    except ValueError:
        return Wrong(f"{quote(line)} is no day that there is", example)
    if past and answer > today:
        return Wrong(f"{answer} is still to come (today is {today})", "type a day that has been")
    return answer


def month(text: object, today: str) -> str | Wrong:
    """A month such as 2025-11; that of a day will do, and the word today."""
    line = _line(text)
    if parts := _MONTH.fullmatch(line):
        if 1 <= int(parts[2]) <= 12 and int(parts[1]) > 0:
            return f"{parts[1]}-{int(parts[2]):02d}"
        return Wrong(f"{quote(line)} is no month that there is", "type it such as 2025-11")
    answer = day(line, today)
    return (
        Wrong(f"{quote(line) or 'nothing'} is no month", "type it such as 2025-11")
        if isinstance(answer, Wrong)
        else answer[:7]
    )


# ------------------------------------------------------------------------------ words
def choice(text: object, words: Iterable[str], what: str = "it") -> str | Wrong:
    """One of `words` as it stands there, whatever its case and with blanks for underlines; the nearest is named.

    `what` is what is chosen, for the sentence: "the kind".
    """
    known = tuple(words)
    line = _line(text)
    wanted = _folded(line)
    for word in known:
        if _folded(word) == wanted:
            return word
    listed = ", ".join(known)
    do = f"{what} is one of {listed}" if len(listed) <= 200 else f"{what} is one of {len(known)} words"
    if not line:
        return Wrong("nothing typed", do)
    from difflib import get_close_matches

    near = get_close_matches(wanted, [_folded(word) for word in known], n=1, cutoff=0.6)
    nearest = next((word for word in known if near and _folded(word) == near[0]), "")
    return Wrong(f"'{quote(line)}' is not among them", f"{do}; nearest: {nearest}" if nearest else do)


def yes(text: object, empty: bool | None = None) -> bool | Wrong:
    """True for yes, False for no; `empty` is what an empty field says, if it may be empty."""
    word = _line(text).casefold()
    if not word and empty is not None:
        return empty
    if word in ("yes", "y", "true"):
        return True
    if word in ("no", "n", "false"):
        return False
    return Wrong(f"'{quote(word)}' is neither yes nor no" if word else "nothing typed", "type yes or no")


def words(text: object, most: int = 200, ask: str = "say it in a few words") -> str | Wrong:
    """A few words on one line, without control characters; neither nothing nor more than `most` characters."""
    line = " ".join(clean(_text(text))[0].split())
    if not line:
        return Wrong("nothing typed", ask)
    if len(line) > most:
        return Wrong(f"{len(line)} characters are too many", f"at most {most}")
    return line


def _folded(word: str) -> str:
    return " ".join(word.casefold().replace("_", " ").split())


def _text(value: object) -> str:
    """What was typed, or a number as it may have been typed; nothing for None."""
    if isinstance(value, str):
        return value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return repr(value) if isinstance(value, float) else str(value)


def _line(value: object) -> str:
    """The same in plain characters on one line."""
    text = _text(value)
    if text.isascii() and text.isprintable():
        return text.strip()
    return " ".join(plain(clean(text)[0])[0].split())
