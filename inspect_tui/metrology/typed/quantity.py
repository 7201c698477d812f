"""Turns what a person types at the bench into mm, degrees or degC, or into a sentence saying what to type instead."""

from __future__ import annotations

import re
from functools import lru_cache

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed._pattern import Pattern
from inspect_tui.metrology.typed.parsed import Ambiguous, Size, TypedLine, Unreadable
from inspect_tui.metrology.typed.plain_text import (
    EXAMPLE,
    LINE_MAX,
    READINGS_MAX,
    TYPED_MAX,
    VULGAR,
    Amount,
    amount_at,
    clean,
    plain,
    quote,
)
from inspect_tui.metrology.typed.units import BASE, IN, MINOR, MM, THOU, Unit, family_of, look_up, no_unit, short_unit

_SIGNED = ("position", "angle", "temperature")  # may lie below zero
_ABOVE_ZERO = ("length", "width", "diameter", "radius")
_TOO_LARGE = {"length": 1e5, "angle": 360.0 + 1e-9, "temperature": 3000.0}  # mm, degrees, degC
_COLDEST = -273.15
COLDEST_C, WARMEST_C = -40.0, 200.0  # of work that is measured; the record has the same limits

_SIMPLE = Pattern(r"[+-]?[0-9]+(?:[.,]([0-9]+))?")
_UNIT = Pattern(
    r"[ ]*(°[ ]*[CFKcfk](?![^\W_])|[Dd]eg(?:rees?)?[ ]+[CFcf](?![^\W_])|''|[\"'°%]|[^\W\d_]+(?:_[^\W\d_]+)*)"
    r"(?:\.(?=[ ;]|$))?"
)
_OPENS_MINOR = ("'", "°", "ft", "foot", "feet", "deg")  # 1'2", 1'-2" and 12°30' are written without a blank
_MINOR_CLOSE_BY = Pattern(rf"-?(?=[0-9{VULGAR}])")
_EXPRESSION = Pattern(r"[^ ;]*")
_GO = Pattern(r"(no)?[ -]?go(?![^\W_])", re.IGNORECASE)


class _Piece(NamedTuple):
    """A number and its unit as they stand in the line; `joined` is +1 or -1 for a remainder such as + 0.10 mm."""

    amount: Amount
    word: str
    start: int
    end: int
    segment: int
    joined: int


class _Read(NamedTuple):
    """One reading: num/den of `unit` (None: none was typed), to which a remainder in true mm is added."""

    num: int
    den: int
    places: int
    unit: Unit | None
    name: str
    start: int
    end: int
    rest: tuple[float, float] | None = None  # the remainder and its last place, mm
    others: tuple[tuple[int, int, int, str], ...] = ()
    fraction: bool = False


def parse_line(
    text: str, unit: str = "mm", rule_scale: float = 0.0, quantity: str = "length", *, thousands: bool = False
) -> TypedLine | Ambiguous | Unreadable:
    """The readings in one typed line; never raises.

    `unit` is the instrument's and holds where none is typed. On a contraction rule, true = reading * (1 + rule_scale);
    a remainder behind a fraction (12 3/16 in + 0.10 mm, 12 3/16 +3.9 thou) is true and is not scaled. `quantity` is the
    feature's: it settles the kind of unit, and whether zero or less can be a reading. 1 000 is one reading, as none
    begins with 000; 1 250 is two, unless `thousands` says that blanks part thousands here and not readings. Common
    practice, no source.
    """
    home = _home(unit, family_of(quantity))
    simple = _SIMPLE.fullmatch(text) if len(text) <= TYPED_MAX else None
    if simple and isinstance(home, Unit) and quantity != "attribute":
        # The way of nearly every reading: a bare decimal, nothing to clean and no unit.
        ten = 10 ** len(simple[1] or "")
        read = _Read(
            num=int(text.replace(".", "").replace(",", "")),
            den=ten,
            places=ten,
            unit=home,
            name="",
            start=0,
            end=len(text),
        )
        size = _size(read, text, rule_scale, quantity)
        return TypedLine((size,)) if isinstance(size, Size) else Unreadable(size, text)
    if len(text) > LINE_MAX:
        return Unreadable(
            f"{len(text)} characters are too many: at most {TYPED_MAX} characters for one reading, {LINE_MAX} a line",
            text,
        )
    cleaned, remarks = clean(text)
    cleaned = cleaned.strip()
    line, places = plain(cleaned)
    if not line.strip(" ;"):
        ask = "type go or no-go" if quantity == "attribute" else _example(family_of(quantity))
        return Unreadable(f"nothing typed: {ask}", text)
    if quantity == "attribute":
        answer = _go_or_no_go(line, cleaned, places)
        return Unreadable(answer, text) if isinstance(answer, str) else TypedLine(answer, remarks)
    if isinstance(home, str):
        return Unreadable(home, text)
    pieces = _pieces(line, home.family, thousands)
    reads = pieces if isinstance(pieces, str) else _readings(pieces, line, home.family)
    if not isinstance(reads, str):
        reads = _with_units(reads, line, home)
    if isinstance(reads, str):
        return Unreadable(reads, text)
    if len(reads) > READINGS_MAX:
        return Unreadable(f"{len(reads)} readings in one line are too many: at most {READINGS_MAX}", text)

    sizes: list[Size] = []
    for read in reads:
        typed = cleaned[places[read.start] : places[read.end - 1] + 1]
        if len(typed) > TYPED_MAX:
            return Unreadable(f"{quote(typed)} is too long: at most {TYPED_MAX} characters for one reading", text)
        if read.others:
            return _asked(read, typed, text, rule_scale, quantity, alone=len(reads) == 1)
        size = _size(read, typed, rule_scale, quantity)
        if isinstance(size, str):
            return Unreadable(size, text)
        sizes.append(size)
    bare_fraction = any(read.fraction and not read.name for read in reads) and home.name not in ("in", "ft")
    if bare_fraction:
        remarks += (f"a fraction without a unit is read in {home.name}, the unit of the instrument",)
    return TypedLine(tuple(sizes), remarks, bare_fraction)


def parse_temperature(text: str) -> float | Unreadable:
    """One temperature of work, in degC, from "23", "23 C" or "73.4 F"; never raises. The record takes -40 to 200."""
    answer = parse_line(text, "C", 0.0, "temperature")
    if isinstance(answer, Unreadable):
        return answer
    if isinstance(answer, Ambiguous):
        return Unreadable(answer.sentence, text)
    if len(answer.sizes) > 1:
        return Unreadable(f"{quote(text)}: type one temperature such as 23 or 73.4 F", text)
    celsius = answer.sizes[0].mm
    if not COLDEST_C <= celsius <= WARMEST_C:
        return Unreadable(
            f"{quote(text)} is {show.MM.figures(celsius)} degC, and no work is measured at that: a workshop has -20 to "
            f"60 degC, a casting may be warm up to {show.MM.figures(WARMEST_C)}; type the temperature of the work",
            text,
        )
    return celsius


@lru_cache(maxsize=64)
def _home(unit: str, family: str) -> Unit | str:
    """The unit that holds where none is typed; a sentence when the instrument has none that fits."""
    home = short_unit(unit, family) or look_up(unit, family)
    if isinstance(home, Unit) and home.family == family:
        return home
    if family != "length":  # the caller's mm is a default here, and there is one customary unit
        return BASE[family]
    return f"the instrument reads {quote(unit)}, which is no {family}: choose another instrument"


def _pieces(line: str, family: str, thousands: bool) -> list[_Piece] | str:
    """Numbers with their units in the order typed, or a sentence."""
    pieces: list[_Piece] = []
    at, segment, joined = 0, 0, 0
    while at < len(line):
        char = line[at]
        if char in " ;":
            if char == ";" and joined:
                return "a sign stands before the ; without its number: type the number after it"
            segment += char == ";"
            at += 1
            continue
        if char in "+-" and line[at + 1 : at + 2] in ("", " ", ";"):
            if joined or not pieces or not pieces[-1].word or pieces[-1].joined or pieces[-1].segment != segment:
                return f"the {char} stands alone: put it close before its number"
            joined = 1 if char == "+" else -1
            at += 1
            continue
        amount = amount_at(line, at, thousands)
        if isinstance(amount, str):
            return amount
        if amount is None:
            return _no_number(line, at, family)
        unit = _UNIT.match(line, amount.end)
        end = unit.end() if unit else amount.end
        tail = line[end : end + 1]
        said = quote(line[at:end])
        if unit:
            second = _UNIT.match(line, end)
            if second and tail in ("", " ", ";"):
                return f"{said} {second[1]} has two units: type one"
            if unit[1].lower() in _OPENS_MINOR and (minor := _MINOR_CLOSE_BY.match(line, end)):
                end = minor.end()
            elif tail not in ("", " ", ";"):
                expression = _EXPRESSION.match(line, unit.start(1))
                return no_unit(quote(expression[0] if expression else tail), family)
        elif tail not in ("", " ", ";"):
            return f"{quote(line[at:].split(' ')[0])} is not a size: {_example(family)}"
        word = unit[1] if unit else ""
        if amount.signed and not joined and _adds_thou(pieces, word, segment, family):
            amount, joined = amount._replace(num=abs(amount.num), signed=False), -1 if amount.num < 0 else 1
        pieces.append(_Piece(amount=amount, word=word, start=at, end=end, segment=segment, joined=joined))
        at, joined = end, 0
    return "the line ends in a sign: type the number after it" if joined else pieces


def _adds_thou(pieces: list[_Piece], word: str, segment: int, family: str) -> bool:
    """Whether a signed figure in thou is what is left over behind a fraction or whole inches: 2 11/32 +5.1 thou."""
    if not word or not pieces or look_up(word, family) != THOU:
        return False
    before = pieces[-1]
    if before.segment != segment or before.joined:
        return False
    if not before.word:
        return before.amount.fraction
    return (before.amount.fraction or before.amount.den == 1) and look_up(before.word, family) == IN


def _example(family: str) -> str:
    return "type a temperature such as 23 or 73.4 F" if family == "temperature" else EXAMPLE


def _no_number(line: str, at: int, family: str) -> str:
    unit = _UNIT.match(line, at)
    word = quote(line[at:].split(" ")[0].split(";")[0] or line[at:])
    if _GO.match(line, at):
        return f"go and no-go are for templates: {_example(family)}"
    if unit and short_unit(unit[1], "length"):
        return f"{quote(unit[1])} stands without a number: {_example(family)}"
    return f"{word} is not a size: {_example(family)}"


def _readings(pieces: list[_Piece], line: str, family: str) -> list[_Read] | str:
    """Pieces put together: feet with inches, degrees with minutes, a fraction with its remainder in mm or thou."""
    reads: list[_Read] = []
    rest = list(reversed(pieces))
    while rest:
        first = rest.pop()
        unit = look_up(first.word, family) if first.word else None
        if isinstance(unit, str):
            return unit
        name = unit.name if unit else ""
        num, den, places, _, _, fraction, others = first.amount
        end = first.end
        remainder: tuple[float, float] | None = None
        while unit and unit.name in MINOR and rest and _follows(rest, first.segment):
            minor, ratio = MINOR[unit.name]
            other = rest[-1]
            named = look_up(other.word, family) if other.word else minor
            if named != minor:
                break
            said = quote(line[other.start : other.end])
            if den != 1:
                major = quote(line[first.start : end])
                return f"{major} before {said} is not whole: type whole {unit.name}, or one decimal and no {minor.name}"
            if other.amount.num >= ratio * other.amount.den:
                return f"{said} after {unit.name} is not below {ratio}: put ; between two readings"
            if others or other.amount.others:
                return f"{quote(line[first.start : other.end])} can be read in two ways: type it with one decimal mark"
            negative = line[first.start] == "-"
            inner = other.amount
            num = num * ratio * inner.den + (-inner.num if negative else inner.num)
            den, places, end, unit = inner.den, inner.places, other.end, minor
            fraction = fraction or inner.fraction
            name = "ft in" if minor.name == "in" else "deg"
            rest.pop()
        if rest and rest[-1].joined:
            last = rest.pop()
            # Only mm and thou: in 1' - 2 5/8" the dash is no minus.
            added = look_up(last.word or "?", family)
            if added not in (MM, THOU) or last.amount.others or last.amount.signed:
                said = quote(line[first.start : last.end])
                return f"{said} is not a size: what is added behind + or - is in mm or thou"
            step = 1.0 if added == MM else THOU.num / THOU.den
            remainder = (last.joined * last.amount.num * step / last.amount.den, step / last.amount.places)
            if added == THOU and unit is None and fraction:
                unit, name = IN, IN.name
            end = last.end
        reads.append(
            _Read(
                num=num,
                den=den,
                places=places,
                unit=unit,
                name=name,
                start=first.start,
                end=end,
                rest=remainder,
                others=others,
                fraction=fraction,
            )
        )
    return reads


def _follows(rest: list[_Piece], segment: int) -> bool:
    """Whether the next piece belongs to the feet or degrees before it; one without a mark only at the end."""
    piece = rest[-1]
    if piece.segment != segment or piece.joined or piece.amount.signed:
        return False
    return bool(piece.word) or len(rest) == 1 or rest[-2].segment != segment or bool(rest[-2].joined)


def _with_units(reads: list[_Read], line: str, home: Unit) -> list[_Read] | str:
    """Readings without a unit take the one at the end of the line, or the instrument's."""
    last = reads[-1]
    usual = last.unit if last.unit and last.name == last.unit.name else home
    bare = [read for read in reads if read.unit is None]
    named = {read.name for read in reads if read.unit} or {usual.name}
    if bare and named != {usual.name}:
        said = quote(line[bare[0].start : bare[0].end])
        return f"{said} has no unit where others have: put a unit on each number, or one at the end of the line"
    # `name` stays empty where the instrument's unit came in, so that the remark about fractions can tell.
    kept = usual.name if last.unit else ""
    return [read if read.unit else read._replace(unit=usual, name=kept) for read in reads]


def _asked(read: _Read, typed: str, text: str, rule_scale: float, quantity: str, alone: bool) -> Ambiguous | Unreadable:
    """The question for a reading with several meanings, with those of them that are believable as choices."""
    sizes = [
        _size(read._replace(num=num, den=den, places=places), typed, rule_scale, quantity)
        for num, den, places, _ in read.others
    ]
    ways = " or ".join(how for _, _, _, how in read.others)
    choices = tuple(size for size in sizes if isinstance(size, Size))
    if not choices:
        return Unreadable(next(size for size in sizes if isinstance(size, str)), text)
    if not alone or len(choices) < len(sizes):
        return Unreadable(f"{quote(typed)}: {ways}? type it so that only one fits", text)
    return Ambiguous(choices, f"{quote(typed)}: {ways}?", text)


def _size(read: _Read, typed: str, rule_scale: float, quantity: str) -> Size | str:
    """A reading as a true size, or the sentence that says why it cannot be one."""
    unit = read.unit or MM
    family = unit.family
    # Whole numbers divide to the nearest float, so that what was typed in inches comes back in inches.
    value = (read.num * unit.shift_den + unit.shift * read.den) * unit.num / (read.den * unit.shift_den * unit.den)
    place = unit.num / (read.places * unit.den)
    if family == "length" and rule_scale:
        value *= 1.0 + rule_scale
        place *= 1.0 + rule_scale
    if read.rest:
        value += read.rest[0]
        place = read.rest[1]
    said = quote(typed)
    if family == "temperature" and value < _COLDEST:
        return f"{said} is colder than anything can be: check the unit"
    if not abs(value) < _TOO_LARGE[family]:
        most = {"length": "100 m", "angle": "a full turn", "temperature": "any work measured here"}[family]
        return f"{said} is beyond {most}: check the number and its unit"
    if quantity not in _SIGNED and (value < 0.0 or (value == 0.0 and quantity in _ABOVE_ZERO)):
        limit = "above 0" if quantity in _ABOVE_ZERO else "not below 0"
        what_to_do = "read it again and type it without the minus" if value else "read it again"
        return f"{said}: a {quote(quantity)} is {limit}; {what_to_do}"
    return Size(value, typed, read.name or unit.name, place)


def _go_or_no_go(line: str, cleaned: str, places: range | list[int]) -> tuple[Size, ...] | str:
    """Answers of a template: 1.0 for go, 0.0 for no-go."""
    sizes: list[Size] = []
    at = 0
    while at < len(line):
        if line[at] in " ;":
            at += 1
            continue
        told = _GO.match(line, at)
        if told is None or (told[0][0] in " -"):
            number = amount_at(line, at) is not None
            return f"a template takes go or no-go{', not a number' if number else f': {quote(line[at:])} is neither'}"
        typed = cleaned[places[at] : places[told.end() - 1] + 1]
        sizes.append(Size(0.0 if told[1] else 1.0, typed, "go/no-go", 1.0))
        at = told.end()
        if len(sizes) > READINGS_MAX:
            return f"more than {READINGS_MAX} answers in one line are too many"
    return tuple(sizes)
