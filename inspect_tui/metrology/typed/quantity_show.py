"""Shows a length as a person reads it: decimal, nearest fraction with its remainder, feet, or on a contraction rule."""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Context, Decimal
from functools import lru_cache
from math import floor, isfinite, log10

from inspect_tui.errors import DataError

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
_NOT_KNOWN = "–"
_HUNDREDTH = Decimal("0.01")
_REMAINDER_PLACES = 2  # of the mm behind a fraction


def show(mm: float, unit: str = "mm", resolution_mm: float = 0.01) -> str:
    """The number, without its unit, rounded half-even to the instrument's resolution; "–" when it is not finite.

    `unit` is mm, cm, m, um, in, ft or thou (deg and C pass through, `resolution_mm` then being in that unit). A
    resolution that is no short decimal of the unit, such as 0.01 mm in inches, becomes the decade below it.
    DataError for any other unit or a resolution that is not above 0. Rounding as in ISO 80000-1 annex B, rule A
    (from memory).
    """
    if not isfinite(mm):
        return _NOT_KNOWN
    step = _step(unit, resolution_mm)
    steps = _DIGITS.divide(_decimal(mm), _DIGITS.multiply(_MM_PER[unit], step)).to_integral_value(ROUND_HALF_EVEN)
    exponent = step.as_tuple().exponent
    places = -exponent if isinstance(exponent, int) and exponent < 0 else 0
    return _plain(_DIGITS.multiply(steps, step), places)


def show_fraction(mm: float, denominator: int = 64) -> str:
    """Inches to the nearest fraction, with what is left over in mm: "12 3/16 in + 0.10 mm", "12 3/16 in" when exact.

    The remainder is added to the signed fraction. `denominator` is a power of two from 2 to 128, else DataError.
    """
    return show_on_rule(mm, 0.0, denominator)


def show_on_rule(mm: float, rule_scale: float, denominator: int = 64) -> str:
    """What a true length reads on a contraction rule (true = reading * (1 + rule_scale)), remainder in true mm.

    "12 3/16 in + 0.10 mm" means the mark at 12 3/16 on that rule, and 0.10 mm of a plain rule beyond it.
    """
    if not isfinite(mm):
        return _NOT_KNOWN
    scale = _DIGITS.add(Decimal(1), _decimal(rule_scale))
    parts, remainder = _nearest(mm, scale, denominator)
    return f"{_mixed(parts, denominator)} in{remainder}"


def show_feet(mm: float, denominator: int = 64) -> str:
    """Feet and inches to the nearest fraction, with what is left over in mm: `1' 2 5/8" - 0.05 mm`."""
    if not isfinite(mm):
        return _NOT_KNOWN
    parts, remainder = _nearest(mm, Decimal(1), denominator)
    feet, inches = divmod(abs(parts), 12 * denominator)
    minus = "-" if parts < 0 else ""
    whole = f"{feet}' " if feet else ""
    return f'{minus}{whole}{_mixed(inches, denominator)}"{remainder}'


def rule_name(scale: float) -> str:
    """What a contraction rule is called: "5/32 in/ft rule" when its scale is in 64ths of an inch, else "1.0 % rule"."""
    if not isfinite(scale):
        return _NOT_KNOWN
    if abs(scale) < 5e-7:
        return "plain rule"
    parts = round(scale * 12 * 64)
    # Scales are kept to about six places; a percentage that people use is never this near to a 64th by chance.
    if parts and abs(scale - parts / (12 * 64)) < 5e-7:
        return f"{_mixed(parts, 64)} in/ft rule"
    percent = _DIGITS.multiply(_decimal(scale), Decimal(100)).quantize(Decimal("0.0001"))
    digits = f"{percent:f}".rstrip("0")
    return f"{digits}0 % rule" if digits.endswith(".") else f"{digits} % rule"


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


def _plain(value: Decimal, places: int) -> str:
    """Digits without an exponent and without a minus before zero."""
    return f"{abs(value) if value.is_zero() else value:.{places}f}"


def _nearest(mm: float, scale: Decimal, denominator: int) -> tuple[int, str]:
    """Parts of an inch nearest to `mm`, and the rest as " + 0.10 mm"."""
    if denominator not in (2, 4, 8, 16, 32, 64, 128):
        raise DataError(f"no rule is divided into {denominator}ths of an inch: choose 2, 4, 8, 16, 32, 64 or 128")
    part = _DIGITS.divide(_DIGITS.multiply(_MM_PER["in"], scale), Decimal(denominator))
    if part <= 0:
        raise DataError(f"a rule with a scale of {scale - 1} has no marks")
    true = _decimal(mm)
    parts = int(_DIGITS.divide(true, part).to_integral_value(ROUND_HALF_EVEN))
    rest = _DIGITS.subtract(true, _DIGITS.multiply(part, Decimal(parts))).quantize(_HUNDREDTH, ROUND_HALF_EVEN)
    if rest.is_zero():
        return parts, ""
    return parts, f" {'-' if rest < 0 else '+'} {abs(rest):.{_REMAINDER_PLACES}f} mm"


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
