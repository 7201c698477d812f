"""Writes lengths, angles, weights, flows, figures, percentages, counts and days as people read them, in their style.

Whoever stands before people (a screen, a command, a paper) owns a `Style` and hands it down; there is no global one.
Answers carry facts, mm as floats, and the faces write them. A function of the rooms below that makes a sentence takes
`style: Style = MM` as its last argument and writes every length in it through this module. What is kept in the record,
and a citation of a standard's table, is written in `MM` whoever asks: it must read the same for everybody. Exchange
files (CSV, JSON, QIF) carry floats and don't come here.

Rounding: figures that were computed are rounded as Python rounds them, so that a paper printed again is the same
paper; sizes read off an instrument (`Style.size`) are rounded half-even on their decimals, because in binary 2.675
lies below its own half. Nothing is ever written as -0.00. Weights, angles, temperatures, flows and days keep their
units in every style; only their decimal mark changes.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache
from math import floor, isfinite, log10

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen

TYPE_CHECKING = False
if TYPE_CHECKING:
    from datetime import date, datetime

INCH = 25.4  # mm, exact (ISO 31-1 conversions, international inch)
THOU = 0.0254
UNITS = ("mm", "in", "fraction")
MINUS = "\u2212"
NARROW = "\u202f"  # narrow no-break space, before the percent sign on paper
NOT_KNOWN = "–"
_KIND_UNITS = {"angle": "deg", "temperature": "C"}  # quantities of a feature that no style turns into inches
_POWERS = {"mm": 1, "mm²": 2, "mm³": 3}
_AS_THEY_ARE = ("angle", "temperature", "attribute", "deg", "°", "C")


@frozen
class Style:
    """How one person, job or paper reads figures: cheap, hashable, never changed.

    `unit`: "mm", "in" for decimal inches, "fraction" for the nearest 1/64 in with the rest in thou. `places`: decimals
    of an inch where mm have two, 3 or 4; figures with more or fewer decimals in mm have more or fewer in inches.
    `mark`: the decimal mark, "." or ",". `printed`: true minus signs and narrow gaps, as papers have them.
    DataError for anything else.
    """

    unit: str = "mm"
    places: int = 4
    mark: str = "."
    printed: bool = False

    def __post_init__(self) -> None:
        if self.unit not in UNITS:
            raise DataError(f"lengths are not written in {self.unit}: choose {', '.join(UNITS)}")
        if self.places not in (3, 4):
            raise DataError(f"an inch is not written with {self.places} places: choose 3 or 4")
        if self.mark not in (".", ","):
            raise DataError(f"{self.mark} is no decimal mark: choose . or ,")

    # -------------------------------------------------------------------------- lengths, all in mm
    @property
    def word(self) -> str:
        """The unit of lengths for the head of a table: mm or in."""
        return "mm" if self.unit == "mm" else "in"

    @property
    def apart(self) -> tuple[bool, str]:
        """Whether each of several figures in a row has its own unit, and else what stands behind the last of them.

        Beside parts of an inch stand thou: a unit at the end would be read as that of the last figure only.
        """
        return (True, "") if self.unit == "fraction" else (False, f" {self.word}")

    def unit_word(self, quantity: str = "length") -> str:
        """The unit that a size of this quantity is written in: deg for an angle, C for a temperature, else `word`."""
        return _KIND_UNITS.get(quantity, self.word)

    def of(self, what: str) -> Style:
        """The style for sizes of this quantity or unit: degrees and degC are the same figures in every style."""
        return Style("mm", self.places, self.mark, self.printed) if what in _AS_THEY_ARE else self

    def readings_in(self, unit: str) -> tuple[Style, str]:
        """How readings of this unit are written, and the unit that is said: mm in the style, any other as it came."""
        return (self, self.word) if unit == "mm" else (self.of("deg"), unit)

    def with_unit(
        self, value: float, unit: str, half: float | None = None, digits: int = 2, signed: bool = False
    ) -> str:
        """A reading of this unit, or its difference, with what stands behind its ±: 83.12 mm, 3.2724 in, 1.50 deg."""
        if unit == "mm":
            return self.plus_minus(value, half, digits, signed=signed)
        return f"{self.of('deg').plus_minus(value, half, digits, unit=False, signed=signed)} {unit}"

    def length(self, mm: float | None, digits: int | None = 2, unit: bool = True) -> str:
        """59.66 mm, 2.3488 in, 2 11/32 in +5.1 thou. Empty for None, – where it is not finite.

        `digits` as in mm; None for a length as somebody gave it (`given`), here and in all that is written with it.
        """
        return self._length(mm, digits, unit, signed=False)

    def signed(self, mm: float | None, digits: int | None = 2, unit: bool = True) -> str:
        """A deviation, which always says its direction: +0.13 mm, -0.0051 in, +5.1 thou; 0.00 has none on paper."""
        return self._length(mm, digits, unit, signed=True)

    def uncertainty(self, mm: float | None, digits: int = 2, unit: bool = True) -> str:
        """A standard or expanded uncertainty: 0.04 mm, 0.0016 in, 1.6 thou. In inches it never reads as nought."""
        if mm is None or not isfinite(mm) or self.unit == "mm":
            return self._length(mm, digits, unit, signed=False)
        least = INCH * 10.0 ** -self._inch_places(digits) if self.unit == "in" else THOU * 10.0 ** (1 - digits)
        while mm and digits < 9 and abs(mm) < 0.5 * least:
            digits, least = digits + 1, least / 10
        return self._thou(mm, digits, "") if self.unit == "fraction" else self._length(mm, digits, unit, signed=False)

    def uncertainty_of(self, value: float, quantity: str, digits: int = 2) -> str:
        """An uncertainty of a size of this quantity, in its unit: 0.071 mm, 2.80 thou, 0.33 deg."""
        own = self.of(quantity)
        each, tail = own.apart
        return own.uncertainty(value, digits, each) + (tail and f" {self.unit_word(quantity)}")

    def plus_minus(
        self, mm: float | None, half: float | None, digits: int = 2, unit: bool = True, signed: bool = False
    ) -> str:
        """A value with what stands behind its ±: 44.30 ± 0.06 mm, 1.7441 ± 0.0024 in; only the value without one."""
        if half is None:
            return self._length(mm, digits, unit, signed)
        each = unit and self.apart[0]
        value = self._length(mm, digits, each, signed)
        return f"{value} ± {self.uncertainty(half, digits, unit)}"

    def pair(self, low: float | None, high: float | None, digits: int | None = 2, unit: bool = True) -> str:
        """81.20 to 82.80 mm, with the unit once; an open side is left empty."""
        each = unit and self.apart[0]
        return f"{self.length(low, digits, each)} to {self.length(high, digits, unit)}"

    def reach(self, low: float | None, high: float | None, digits: int = 2) -> str:
        """The same with a word for an open side: 81.20 to any mm."""
        each, tail = self.apart
        return " to ".join(self.length(end, digits, each) or "any" for end in (low, high)) + tail

    def band(self, lower: float | None, upper: float | None, digits: int | None = 2, unit: bool = True) -> str:
        """Limits: 81.20 to 82.80 mm; at least 81.20 mm; at most 82.80 mm; no limits."""
        if lower is None and upper is None:
            return "no limits"
        if lower is None:
            return f"at most {self.length(upper, digits, unit)}"
        if upper is None:
            return f"at least {self.length(lower, digits, unit)}"
        return self.pair(lower, upper, digits, unit)

    @property
    def step(self) -> float:
        """What a change is told for, mm: 1 mm, or 1 in."""
        return 1.0 if self.unit == "mm" else INCH

    def derived(self, value: float, unit: str, half: float | None = None, digits: int = 1, signed: bool = False) -> str:
        """What a formula gives, with what stands behind its ±: 3706.9 ± 12.3 mm², 5.7457 ± 0.0191 in².

        `value` and `half` in `unit`: mm, mm² or mm³ go into the style; any other is written as it came.
        """
        power = _POWERS.get(unit, 0) if self.unit != "mm" else 0
        if power:
            value, half = value / INCH**power, half and half / INCH**power
            unit, digits = unit.replace("mm", "in"), digits + self.places + power - 3
        text = self.figure(value, digits, signed)
        if half is not None:
            while half and digits < 9 and half < 0.5 * 10.0**-digits:
                digits += 1
            text += f" ± {self.figure(half, digits)}"
        return f"{text} {unit}".rstrip()

    def given(self, mm: float | None, unit: bool = True, signed: bool = False) -> str:
        """A length as somebody gave it, without zeros that nobody wrote: 1.5 mm, 150 mm; 0.0591 in, 5.9055 in."""
        if mm and self.unit == "fraction" and abs(mm) < 0.05 * THOU:  # the step of a fine gauge is not nought
            return self.significant(mm, 2, unit, signed)
        if mm is None or self.unit == "fraction" or not isfinite(mm):
            return self._length(mm, 2, unit, signed)
        sign = "+" if signed else ""
        if self.unit == "mm":
            return self._dressed(f"{mm:{sign}zg}", " mm" if unit else "")
        inches = mm / INCH
        text = f"{inches:{sign}z.{self.places}f}".rstrip("0").rstrip(".")
        if inches and abs(inches) < 0.5 * 10.0**-self.places:
            text = f"{inches:{sign}.{1 - floor(log10(abs(inches)))}f}"
        return self._dressed(text, " in" if unit else "")

    def given_u(self, mm: float | None, unit: bool = True) -> str:
        """An uncertainty as a certificate gives it: 0.04 mm, 0.0016 in; in thou alone beside parts of an inch."""
        return self.uncertainty(mm, 2, unit) if self.unit == "fraction" else self.given(mm, unit)

    def significant(self, mm: float | None, figures: int = 3, unit: bool = True, signed: bool = False) -> str:
        """A length of unknown size with so many significant figures: 0.0123 mm, 0.000484 in, 0.48 thou."""
        if mm is None or not isfinite(mm):
            return self._length(mm, 2, unit, signed)
        shown, word = {"mm": (mm, "mm"), "in": (mm / INCH, "in"), "fraction": (mm / THOU, "thou")}[self.unit]
        tail = f" {word}" if unit or self.unit == "fraction" else ""
        return self._dressed(f"{shown:{'+' if signed else ''}z.{figures}g}", tail)

    def size(self, value: float | None, quantity: str = "length", step: float = 0.01, unit: bool = False) -> str:
        """A size of a feature as its instrument reads it, to `step` (mm, degrees or degC), rounded half-even.

        `quantity` is the feature's: angles stay degrees and temperatures degC in every style.
        """
        if value is None:
            return ""
        own = _KIND_UNITS.get(quantity)
        tail = f" {own or self.word}" if unit else ""
        if own or self.unit == "mm":
            return self._dressed(in_unit(value, own or "mm", step), tail)
        digits = _digits_of(step)
        if self.unit == "fraction":
            return self._length(value, digits, unit, signed=False)
        return self._dressed(in_unit(value, "in", INCH * 10.0 ** -self._inch_places(digits)), tail)

    def deviations(
        self, nominal: float, lower: float | None, upper: float | None, quantity: str = "length", step: float = 0.01
    ) -> str:
        """Limits beside their nominal: ±0.80, +0.70/-0.30, min 6.00, max 6.00; nothing without limits.

        mm (degrees for an angle) in, the unit of the style out.
        """
        if lower is None:
            return "" if upper is None else f"max {self.size(upper, quantity, step)}"
        if upper is None:
            return f"min {self.size(lower, quantity, step)}"
        over, under = upper - nominal, nominal - lower
        high, low = (self._deviation(abs(x), quantity, step) for x in (over, under))
        if abs(over - under) < 1e-9:
            return f"±{high}"
        minus = self._dressed("-", "")
        return f"{'+' if over >= 0 else minus}{high}/{minus if under >= 0 else '+'}{low}"

    # -------------------------------------------------------------------------- figures that are no lengths
    def figure(self, value: float | None, digits: int = 2, signed: bool = False) -> str:
        """A plain figure: 82.13, -0.05; empty for None, – where it is not finite (empty on paper).

        Any unit: none is written.
        """
        if value is None or not isfinite(value):
            return self._unknown(value)
        return self._dressed(self._signless_zero(f"{value:{'+' if signed else ''}z.{digits}f}"), "")

    def figures(self, value: float | None, figures: int = 6, signed: bool = False) -> str:
        """A plain figure with so many significant figures and no zeros that nobody wrote: 2.02, 1.5, 1e-06.

        Any unit: none is written.
        """
        if value is None or not isfinite(value):
            return self._unknown(value)
        return self._dressed(f"{value:{'+' if signed else ''}z.{figures}g}", "")

    def spread(self, value: float, half: float | None, digits: int = 1) -> str:
        """44.3 ± 0.6, with more decimals where the half width would be written as nought; only 44.3 without one.

        Any unit: none is written; both in the same one.
        """
        if not half:
            return self.figure(value, digits)
        while digits < 4 and half < 0.5 * 10.0**-digits:
            digits += 1
        return f"{self.figure(value, digits)} ± {self.figure(half, digits)}"

    def percent(self, fraction: float | None, digits: int | None = 0, signed: bool = False) -> str:
        """A fraction per hundred: 12 %, 1.05 %; with None for `digits` as somebody gave it, 1.5 %."""
        hundredths = None if fraction is None else 100.0 * fraction
        shown = self.figures(hundredths, signed=signed) if digits is None else self.figure(hundredths, digits, signed)
        return f"{shown}{self._gap}%" if shown else ""

    def nearly(self, p: float) -> str:
        """A probability to one place; hardly ever and nearly always are said so: over 99.9 %, under 0.1 %."""
        if p > 0.999:
            return f"over {self.percent(0.999, 1)}"
        return f"under {self.percent(0.001, 1)}" if p < 0.001 else self.percent(p, 1)

    def chance(self, p: float | None) -> str:
        """A probability, never written as nought or as certain: 97 %, >99 %, <1 %."""
        if p is None:
            return ""
        gap = self._gap if self.printed else ""
        if p > 0.995:
            return f">{gap}99{self._gap}%"
        if p < 0.005:
            return f"<{gap}1{self._gap}%"
        return self.percent(p)

    def angle(self, degrees: float | None, digits: int | None = None, signed: bool = False) -> str:
        """1.5°, or 1.50° with `digits`; decimal degrees."""
        shown = self.figures(degrees, signed=signed) if digits is None else self.figure(degrees, digits, signed)
        return f"{shown}°" if shown else ""

    def temperature(self, celsius: float | None) -> str:
        """23 °C, 23.5 °C. degC in; empty for None."""
        return "" if celsius is None else f"{self.figures(celsius)} °C"

    def weight(self, kg: float | None, digits: int | None = None, signed: bool = False) -> str:
        """12.4 kg; 185 kg from a hundred up, unless `digits` are given."""
        if kg is None:
            return ""
        return f"{self.figure(kg, (1 if kg < 100 else 0) if digits is None else digits, signed)} kg"

    def flow(self, value: float | None, unit: str, u: float = 0.0) -> str:
        """A capacity in the unit it was asked for in, with twice its standard uncertainty: 184.9 ± 0.3 m3/h."""
        if value is None:
            return ""
        half = f" ± {self.figure(2 * u, 1 if 2 * u >= 0.05 else 2)}" if u > 0 else ""
        return f"{self.figure(value, 1)}{half}{' ' + unit if unit else ''}"

    # -------------------------------------------------------------------------- how it is done
    @property
    def _gap(self) -> str:
        return NARROW if self.printed else " "

    def _unknown(self, value: float | None) -> str:
        return "" if value is None or self.printed else NOT_KNOWN

    def _inch_places(self, digits: int) -> int:
        return max(self.places + digits - 2, 1)

    def _length(self, mm: float | None, digits: int | None, unit: bool, signed: bool) -> str:
        if mm is None or not isfinite(mm):
            return self._unknown(mm)
        if digits is None:
            return self.given(mm, unit, signed)
        sign = "+" if signed else ""
        if self.unit == "mm":
            return self._dressed(self._signless_zero(f"{mm:{sign}z.{digits}f}"), " mm" if unit else "")
        if self.unit == "in":
            text = f"{mm / INCH:{sign}z.{self._inch_places(digits)}f}"
            return self._dressed(self._signless_zero(text), " in" if unit else "")
        if signed:  # a deviation of thirty thou is called that; "-1/64 -3.8 thou" would be taken apart wrongly
            return self._thou(mm, digits, "+")
        parts, rest = _parts_of_an_inch(mm, Decimal(1), 64)
        if not float(f"{float(rest) / THOU:.{max(digits - 1, 0)}f}"):
            return self._dressed(_mixed(parts, 64), " in" if unit else "")
        if not parts:
            return self._thou(mm, digits, "")
        return f"{self._dressed(_mixed(parts, 64), ' in ' if unit else ' ')}{self._thou(float(rest), digits, '+')}"

    def _thou(self, mm: float, digits: int, sign: str) -> str:
        text = f"{mm / THOU:{sign}z.{max(digits - 1, 0)}f}"
        return self._dressed(self._signless_zero(text), " thou")

    def _deviation(self, value: float, quantity: str, step: float) -> str:
        if self.unit == "fraction" and quantity not in _KIND_UNITS:
            return self._thou(value, _digits_of(step), "")
        return self.size(value, quantity, step)

    def _signless_zero(self, text: str) -> str:
        """On paper what rounds to nothing has no direction."""
        return text[1:] if self.printed and text.startswith("+") and not float(text) else text

    def _dressed(self, text: str, tail: str) -> str:
        if self.mark != ".":
            text = text.replace(".", self.mark)
        if self.printed:
            text = text.replace("-", MINUS)
        return text + tail


def _digits_of(step: float) -> int:
    """Decimals of a step of an instrument: 2 for 0.01 and for 0.02."""
    return max(-floor(log10(step) + 1e-9), 0)


MM = Style()
PAPER = Style(printed=True)


# ------------------------------------------------------------------------------ counts and days: one way in every style
def number(n: float) -> str:
    """A whole number in groups of three: 985, 12 400; "no end" where it is not finite."""
    return f"{n:,.0f}".replace(",", " ") if isfinite(n) else "no end"


def about(n: float) -> str:
    """A count that is only known roughly, with two or three of its figures: 12 400 for 12 417."""
    if not isfinite(n):
        return number(n)
    step = 10 ** max(len(str(int(abs(n)))) - 2, 0)
    return number(round(n / step) * step)


def count(n: int, one: str, many: str | None = None) -> str:
    """1 reading, 0 readings, 12 400 readings; `many` where the plural is not made with an s."""
    return f"{number(n)} {one if n == 1 else many or one + 's'}"


def day(when: date | str | float | None) -> str:
    """An ISO day, from a date, an ISO text or an ordinal (a float of a chart); empty for None, ? for no day at all."""
    if when is None:
        return ""
    if isinstance(when, str):
        return when[:10]
    if isinstance(when, int | float):
        from datetime import date

        return date.fromordinal(int(when)).isoformat() if isfinite(when) and when >= 1 else "?"
    return when.isoformat()[:10]


def day_of(at_us: int, tz_min: int = 0) -> str:
    """The ISO day of an instant (microseconds since 1970 UTC) on the clock of the bench that wrote it."""
    return _day((at_us + tz_min * 60_000_000) // 86_400_000_000)


@lru_cache(maxsize=10_000)
def _day(number: int) -> str:
    """The ISO day so many days after 1970-01-01: asked for once a reading, and many stand on each day."""
    from datetime import date

    return date.fromordinal(719_163 + number).isoformat()


def moment(at_us: int, tz_min: int = 0) -> str:
    """ISO date and time to the second on the bench's own clock, with its offset."""
    sign = "-" if tz_min < 0 else "+"
    return f"{_clock(at_us, tz_min).isoformat()[:19]}{sign}{abs(tz_min) // 60:02d}:{abs(tz_min) % 60:02d}"


def when(at_us: int, tz_min: int, today: str) -> str:
    """10:42 on `today` (ISO day), 21 Nov 10:42 in the same year, 2024-11-21 before; on the clock of its bench."""
    then = _clock(at_us, tz_min)
    iso = then.date().isoformat()
    if iso == today:
        return then.strftime("%H:%M")
    return then.strftime("%d %b %H:%M") if iso[:4] == today[:4] else iso


def _clock(at_us: int, tz_min: int) -> datetime:
    from datetime import UTC, datetime, timedelta

    return datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=at_us, minutes=tz_min)


# ---------------------------------------------------------------------------- one length in a named unit or on a rule
# Decimal on the shortest repr, because in binary 2.675 lies below its own half and would round down.
_DIGITS = Context(prec=40)
_MM_PER = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "um": Decimal("0.001"),
    "in": Decimal("25.4"),
    "ft": Decimal("304.8"),
    "thou": Decimal("0.0254"),
    "deg": Decimal(1),
    "C": Decimal(1),
}
_HUNDREDTH = Decimal("0.01")
_REMAINDER_PLACES = 2  # of the mm behind a fraction


def in_unit(mm: float, unit: str = "mm", resolution_mm: float = 0.01) -> str:
    """The number, without its unit, rounded half-even to the instrument's resolution; "–" when it is not finite.

    `unit` is mm, cm, m, um, in, ft or thou (deg and C pass through, `resolution_mm` then being in that unit). A
    resolution that is no short decimal of the unit, such as 0.01 mm in inches, becomes the decade below it.
    DataError for any other unit or a resolution that is not above 0. Rounding as in ISO 80000-1 annex B, rule A
    (from memory).
    """
    if not isfinite(mm):
        return NOT_KNOWN
    step = _step(unit, resolution_mm)
    steps = _DIGITS.divide(_decimal(mm), _DIGITS.multiply(_MM_PER[unit], step)).to_integral_value(ROUND_HALF_EVEN)
    exponent = step.as_tuple().exponent
    places = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    value = _DIGITS.multiply(steps, step)
    return f"{abs(value) if value.is_zero() else value:.{places}f}"


def fraction(mm: float, denominator: int = 64) -> str:
    """Inches to the nearest fraction, with what is left over in mm: "12 3/16 in + 0.10 mm", "12 3/16 in" when exact.

    The remainder is added to the signed fraction. `denominator` is a power of two from 2 to 128, else DataError.
    """
    return on_rule(mm, 0.0, denominator)


def on_rule(mm: float, rule_scale: float, denominator: int = 64, rest: str = "mm") -> str:
    """What a true length reads on a contraction rule (true = reading * (1 + rule_scale)), remainder in true mm or thou.

    "12 3/16 in + 0.10 mm" means the mark at 12 3/16 on that rule, and 0.10 mm of a plain rule beyond it.
    """
    if not isfinite(mm):
        return NOT_KNOWN
    parts, beyond = _parts_of_an_inch(mm, _DIGITS.add(Decimal(1), _decimal(rule_scale)), denominator)
    if rest == "thou":
        thou = f"{float(beyond) / THOU:+z.1f}"
        return f"{_mixed(parts, denominator)} in" + (f" {thou[0]} {thou[1:]} thou" if float(thou) else "")
    return f"{_mixed(parts, denominator)} in{_rest(beyond)}"


def feet(mm: float, denominator: int = 64) -> str:
    """Feet and inches to the nearest fraction, with what is left over in mm: `1' 2 5/8" - 0.05 mm`."""
    if not isfinite(mm):
        return NOT_KNOWN
    parts, rest = _parts_of_an_inch(mm, Decimal(1), denominator)
    whole_feet, inches = divmod(abs(parts), 12 * denominator)
    minus = "-" if parts < 0 else ""
    whole = f"{whole_feet}' " if whole_feet else ""
    return f'{minus}{whole}{_mixed(inches, denominator)}"{_rest(rest)}'


def rule_name(scale: float) -> str:
    """What a contraction rule is called: "5/32 in/ft rule" when its scale is in 64ths of an inch, else "1.0 % rule"."""
    if not isfinite(scale):
        return NOT_KNOWN
    if abs(scale) < 5e-7:
        return "plain rule"
    parts = round(scale * 12 * 64)
    # Scales are kept to about six places; a percentage that people use is never this near to a 64th by chance.
    if parts and abs(scale - parts / (12 * 64)) < 5e-7:
        return f"{_mixed(parts, 64)} in/ft rule"
    percent = _DIGITS.multiply(_decimal(scale), Decimal(100)).quantize(Decimal("0.0001"))
    digits = f"{percent:f}".rstrip("0")
    return f"{digits}0 % rule" if digits.endswith(".") else f"{digits} % rule"


def as_rule(a: float) -> str:
    """A contraction as pattern shops with inch rules call it: 1/8 in/ft, about 5/32 in/ft; nothing for none.

    The nearest 1/64 in/ft, "about" where that is another contraction than the one that was meant.
    """
    parts = round(a * 12 * 64) if isfinite(a) else 0
    if not parts:
        return ""
    exact = abs(a - parts / (12 * 64)) < 5e-7
    return f"{'' if exact else 'about '}{_mixed(parts, 64)} in/ft"


def _decimal(value: float) -> Decimal:
    return Decimal(repr(float(value)))


@lru_cache(maxsize=128)
def _step(unit: str, resolution_mm: float) -> Decimal:
    """The resolution in `unit`, as a decimal short enough to count in."""
    if unit not in _MM_PER:
        raise DataError(f"sizes are not shown in {unit}: choose {', '.join(_MM_PER)}")
    if not (isfinite(resolution_mm) and resolution_mm > 0.0):
        raise DataError(f"a resolution of {resolution_mm} is no step: give one above 0")
    step = _DIGITS.divide(_decimal(resolution_mm), _MM_PER[unit])
    # 0.0127 mm is 0.0005 in; the twelve digits absorb a resolution that was itself converted in floats.
    short = Context(prec=12).plus(step).normalize()
    return short if len(short.as_tuple().digits) <= 4 else Decimal(1).scaleb(floor(log10(step)))


def _parts_of_an_inch(mm: float, scale: Decimal, denominator: int) -> tuple[int, Decimal]:
    """How many parts of an inch lie nearest to `mm`, and the rest in mm."""
    if denominator not in (2, 4, 8, 16, 32, 64, 128):
        raise DataError(f"no rule is divided into {denominator}ths of an inch: choose 2, 4, 8, 16, 32, 64 or 128")
    part = _DIGITS.divide(_DIGITS.multiply(_MM_PER["in"], scale), Decimal(denominator))
    if part <= 0:
        raise DataError(f"a rule with a scale of {scale - 1} has no marks")
    true = _decimal(mm)
    parts = int(_DIGITS.divide(true, part).to_integral_value(ROUND_HALF_EVEN))
    return parts, _DIGITS.subtract(true, _DIGITS.multiply(part, Decimal(parts)))


def _rest(mm: Decimal) -> str:
    """What stands behind a fraction, as " + 0.10 mm"."""
    rest = mm.quantize(_HUNDREDTH, ROUND_HALF_EVEN)
    return "" if rest.is_zero() else f" {'-' if rest < 0 else '+'} {abs(rest):.{_REMAINDER_PLACES}f} mm"


def _mixed(parts: int, denominator: int) -> str:
    """Whole and reduced fraction: 12 3/16, 3/16, -5/64, 0."""
    whole, over = divmod(abs(parts), denominator)
    under = denominator
    while over and over % 2 == 0:
        over, under = over // 2, under // 2
    minus = "-" if parts < 0 else ""
    if not over:
        return f"{minus}{whole}"
    return f"{minus}{whole} {over}/{under}" if whole else f"{minus}{over}/{under}"
