"""What a person types for limits -> a band: deviations, limits, one-sided, or the name of a general tolerance.

A mistake in typed text is a value, not an exception: the answer is then a sentence.
"""

from __future__ import annotations

import re
import unicodedata
from math import inf

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed._pattern import Pattern
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Band

_NUMBER = r"(?:\d{1,6}(?:\.\d{1,9})?|\.\d{1,9})"
_UNITS = {
    "mm": 1.0,
    "cm": 10.0,
    "um": 0.001,
    "thou": 0.0254,
    "ft": 304.8,
    "in": 25.4,
    "inch": 25.4,
    '"': 25.4,
    "″": 25.4,
    "°": 1.0,
    "deg": 1.0,
}
_UNIT = Pattern(r"(?<![a-z])(?:mm|cm|um|thou|ft|inch|in|deg)(?![a-z])|[\"″°]")
# as at every door: 1 000 is a thousand, and 1e3 too
_THOUSANDS = Pattern(r"(?<!\d)(?<!\d\.)[1-9]\d{0,2}(?: \d{3})+(?!\d|\s*/\s*\d)")
_EXPONENT = Pattern(r"(?<!\w)(?<!\d\.)(?:\d+(?:\.\d+)?)e[+-]?\d{1,2}(?![\w])")
_MIXED = Pattern(r"(?<!\d)(?<!\d\.)(\d{1,4})(?:\s+|-)(\d{1,3})/(\d{1,3})")
_FRACTION = Pattern(r"(?<!\d)(?<!\d\.)(\d{1,3})/([1-9]\d{0,2})(?![\d.])")
_HELP = "write limits like ±0.8, +0.7/-0.3, 61.2..62.8, max 62, min 6, ISO 2768-1 m, DCTG 9 or H7"
_MAX = r"(?:max\.?|<=|<|≤|at most)"
_MIN = r"(?:min\.?|>=|>|≥|at least)"


def parse_band(
    text: str,
    nominal: float,
    quantity: str = "length",
    unit: str = "mm",
    leg_mm: float | None = None,
    style: Style = MM,
) -> Band | str:
    """The band typed in `text` about `nominal` (mm, or degrees for an angle), or a sentence saying what is wrong.

    Understood: ±0.8; +0.7/-0.3; 61.2..62.8 (also - and to); max 62; min 6; ISO 2768-1 m; ISO 8062-3 DCTG 9; H7;
    EN 12890 H1. Point or comma; mm or in, `unit` where none is typed; ° and ' for angles. `quantity` is the feature's:
    a wall takes its DCTG one coarser, a radius the broken-edge table of ISO 2768-1, an angle its `leg_mm`.
    """
    shown = " ".join(text.split())
    if not shown:
        return f"no limits: {_HELP}"
    if len(shown) > 80 or not shown.isprintable():
        return f"that is not a pair of limits: {_HELP}"
    plain = _plain(shown)
    named = _named(plain, nominal, quantity, leg_mm)
    if named is not None:
        return named
    numbers = _in_mm(plain.lower(), quantity, unit)
    if isinstance(numbers, str):
        return numbers
    cleaned, factor = numbers
    own = MM if quantity == "angle" else style  # degrees are degrees for everybody
    limits = _limits(cleaned, nominal, quantity, factor, own)
    if isinstance(limits, str):
        return f"{shown!r}: {limits}"
    lower, upper = limits
    if lower is not None and upper is not None and lower > upper:
        low, high = own.given(lower, unit=False), own.given(upper, unit=False)
        return f"{shown!r}: the limits contradict each other, lower {low} is above upper {high}"
    far = quantity not in ("position", "flatness", "angle") and nominal > 0.0
    if far and ((upper if upper is not None else inf) < nominal / 2 or (lower or -inf) > nominal * 2):
        near = own.given(nominal, unit=False)
        return f"{shown!r}: these limits are nowhere near {near}; deviations need a sign, such as +0.7/-0.3"
    return Band(_tidy(lower), _tidy(upper), f"drawing {shown}")


def typed_again(band: Band, nominal: float, quantity: str = "length") -> str | None:
    """What was typed for these limits, so that they follow another nominal; None where their source does not tell."""
    text = band.source.removeprefix("drawing ")
    if text == band.source:  # a standard: its name stands before what it says for this size
        wall = re.search(r"DCTG \d+ \(a wall, one coarser than (\d+)\)", text)
        text = f"ISO 8062-3 DCTG {wall[1]}" if wall else text.partition(", ")[0]
    again = parse_band(text, nominal, quantity)
    return text if isinstance(again, Band) and (again.lower, again.upper) == (band.lower, band.upper) else None


def _plain(text: str) -> str:
    """Folded to plain signs: one kind of minus, ±, two dots, decimal points."""
    folded = unicodedata.normalize("NFKC", text.replace("…", "..")).replace("−", "-")
    folded = re.sub(r"[‐-―]", "-", folded)  # hyphens and dashes
    folded = re.sub(r"\+\s*/?\s*-(?=\s*[\d.,])", "±", folded)
    return re.sub(r"(?<=\d),(?=\d)|(?<!\d),(?=\d)", ".", folded).strip()


def _named(text: str, nominal: float, quantity: str, leg_mm: float | None) -> Band | str | None:
    """The band of a standard, a sentence when the standard has none, None when `text` names no standard."""
    from inspect_tui.metrology.sizes import tolerance  # here, because tolerance offers parse_band under its own name

    def match(pattern: str) -> re.Match[str] | None:
        return re.fullmatch(pattern, text, re.IGNORECASE)

    length = quantity not in ("angle", "temperature", "attribute")
    try:
        if typed := match(r"(?:din\s*)?(?:en\s*)?(?:iso\s*)?2768(?:\s*-\s*1)?[\s:-]*([fmcv])[hkl]?"):
            kind = {"radius": "radius_chamfer", "angle": "angle"}.get(quantity, "linear")
            return tolerance.iso2768_1(nominal, typed[1], kind, leg_mm)
        if match(r"(?:din\s*)?(?:en\s*)?(?:iso\s*)?2768(?:\s*-\s*1)?"):
            return "ISO 2768-1 needs its class: f, m, c or v"
        if match(r"(?:iso\s*8062.*?\W)?ct\s*\d+"):
            return "CT is the grade of an older edition of ISO 8062: write DCTG and the number, if that is meant"
        if length and (typed := match(r"(?:iso\s*8062(?:\s*-\s*3)?(?:\s*:\s*2007)?[\s,:-]*)?dctg\s*(\d{1,2})")):
            return tolerance.iso8062_3(nominal, typed[1], wall=quantity == "wall")
        if length and (typed := match(r"en\s*12890[\s,:-]*(h1a|h[123]|m[12]|k[12])(?:\s+(?:wood|metal|plastic))?")):
            material = {"h": "wood", "m": "metal", "k": "plastic"}[typed[1][0].lower()]
            return tolerance.en12890(nominal, typed[1], material)
        if length and (typed := match(r"(?:iso\s*286[\s:-]*)?([a-z]{1,2}\s*\d{1,2})")) and not match(r"(in|mm)\s*\d+"):
            return tolerance.iso286(nominal, typed[1])
    except InspectError as error:
        return str(error)
    return None


def _in_mm(text: str, quantity: str, unit: str) -> tuple[str, float] | str:
    """The text without units, fractions and minutes as decimals, and the factor to mm (degrees); or a sentence."""
    if quantity == "angle":
        text = re.sub(rf"({_NUMBER})\s*°\s*({_NUMBER})\s*['′]", lambda m: f"{float(m[1]) + float(m[2]) / 60:.9f}", text)
        text = re.sub(rf"({_NUMBER})\s*['′]", lambda m: f"{float(m[1]) / 60:.9f}", text)
    typed = {unit_text for unit_text in _UNIT.findall(text)}
    factors = {_UNITS[unit_text] for unit_text in typed}
    angular = bool(typed & {"°", "deg"})
    if len(factors) > 1 or (angular and len(typed - {"°", "deg"}) > 0):
        return "two units in one pair of limits: use one"
    if typed and angular != (quantity == "angle"):
        return f"limits of {'an angle' if quantity == 'angle' else 'a length'} cannot be in {sorted(typed)[0]}"
    factor = factors.pop() if factors else _UNITS.get(unit, 1.0)
    if quantity == "angle":
        factor = 1.0
    text = _THOUSANDS.sub(lambda m: m[0].replace(" ", ""), text)
    text = _EXPONENT.sub(lambda m: f"{float(m[0]):.9f}", text)
    try:
        text = re.sub(
            r"(?<!\d)(?<!\d\.)(\d{1,4})(?:\s+|-)(\d{1,3})/(\d{1,3})", lambda m: _mixed(m[1], m[2], m[3]), text
        )
        text = re.sub(r"(?<!\d)(?<!\d\.)(\d{1,3})/([1-9]\d{0,2})(?![\d.])", lambda m: _mixed("0", m[1], m[2]), text)
    except ZeroDivisionError:
        return "a fraction cannot have a zero below the line"
    return " ".join(_UNIT.sub(" ", text).split()), factor


def _mixed(whole: str, above: str, below: str) -> str:
    return f"{int(whole) + int(above) / int(below):.9f}"


def _limits(
    text: str, nominal: float, quantity: str, factor: float, style: Style
) -> tuple[float | None, float | None] | str:
    """Lower and upper limit in mm from text without units; a sentence when it is not understood."""

    def match(pattern: str) -> re.Match[str] | None:
        return re.fullmatch(pattern.replace("N", _NUMBER), text)

    if typed := match(r"±\s*(N)"):
        deviation = float(typed[1]) * factor
        return _deviated(nominal, -deviation, deviation, quantity, style)
    if (typed := match(r"(N)\s*-\s*(N)")) and float(typed[1]) != 0.0:  # "0 -0.3" is a pair of deviations
        return float(typed[1]) * factor, float(typed[2]) * factor
    if typed := match(r"([+-]?)\s*(N)\s*[/; ]\s*([+-]?)\s*(N)") or match(r"([+-])\s*(N)\s*([+-])\s*(N)"):
        first, second = _signed(typed[1], typed[2]), _signed(typed[3], typed[4])
        if first is not None and second is not None:
            return _deviated(nominal, min(first, second) * factor, max(first, second) * factor, quantity, style)
        return f"deviations need a sign, such as +0.7/-0.3; {_HELP}"
    if typed := match(r"([+-]?N)\s*(?:\.\.+|to)\s*([+-]?N)"):
        return float(typed[1]) * factor, float(typed[2]) * factor
    if typed := match(rf"{_MIN}\s*(N)[,; ]*(?:and )?{_MAX}\s*(N)"):
        return float(typed[1]) * factor, float(typed[2]) * factor
    if typed := match(rf"{_MAX}\s*(N)|(N)\s*max\.?"):
        return None, float(typed[1] or typed[2]) * factor
    if typed := match(rf"{_MIN}\s*(N)|(N)\s*min\.?"):
        return float(typed[1] or typed[2]) * factor, None
    if typed := match(r"(N)"):
        if quantity == "flatness":  # a form tolerance is one figure, an upper limit
            return None, float(typed[1]) * factor
        return f"is that ±{typed[1]}, max {typed[1]} or min {typed[1]}?"
    return f"not understood; {_HELP}"


def _signed(sign: str, digits: str) -> float | None:
    """A deviation; zero needs no sign, anything else does."""
    value = float(digits)
    if not sign and value != 0.0:
        return None
    return -value if sign == "-" else value


def _deviated(nominal: float, low: float, high: float, quantity: str, style: Style) -> tuple[float, float] | str:
    sized = quantity not in ("position", "flatness", "step", "angle") and nominal > 0.0
    if sized and max(-low, high) > nominal:
        off, size = (style.given(mm, unit=False) for mm in (max(-low, high), nominal))
        return f"a deviation of {off} is larger than the size {size} itself"
    return nominal + low, nominal + high


def _tidy(limit: float | None) -> float | None:
    return None if limit is None else round(limit, 9)
