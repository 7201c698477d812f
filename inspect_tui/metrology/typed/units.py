"""The units people type: a short table kept here, and pint, fetched late, for the rest.

Source: factors of the short table are exact by definition (NIST SP 811, appendix B); the rest are pint's.
"""

from __future__ import annotations

from contextlib import suppress
from functools import lru_cache

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed._pattern import Pattern
from inspect_tui.metrology.typed.unit_names import can_be_unit

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any


class Unit(NamedTuple):
    """A unit as an exact ratio to the base of its family: base = (typed + shift/shift_den) * num/den.

    Bases are mm, degrees, degC, kg, mm2, dm3, m3/min and kg/m3. Whole numbers keep 0.1 in at 2.54 mm and 73.4 F at
    23 C to the last bit.
    """

    name: str
    family: str
    num: int = 1
    den: int = 1
    shift: int = 0
    shift_den: int = 1


MM = Unit(name="mm", family="length")
IN = Unit(name="in", family="length", num=254, den=10)
FT = Unit(name="ft", family="length", num=3048, den=10)
THOU = Unit(name="thou", family="length", num=254, den=10000)
DEG = Unit(name="deg", family="angle")
ARCMIN = Unit(name="arcmin", family="angle", num=1, den=60)
ARCSEC = Unit(name="arcsec", family="angle", num=1, den=3600)
CELSIUS = Unit(name="C", family="temperature")
KELVIN = Unit(name="K", family="temperature", shift=-27315, shift_den=100)
KG = Unit(name="kg", family="weight")
MM2 = Unit(name="mm2", family="area")
DM3 = Unit(name="dm3", family="volume")
M3_MIN = Unit(name="m3/min", family="flow")
KG_M3 = Unit(name="kg/m3", family="density")

_SPELLINGS: tuple[tuple[Unit, str], ...] = (
    (MM, "mm millimetre millimetres millimeter millimeters"),
    (Unit(name="cm", family="length", num=10), "cm centimetre centimetres centimeter centimeters"),
    (Unit(name="m", family="length", num=1000), "m metre metres meter meters"),
    (Unit(name="um", family="length", num=1, den=1000), "um μm micron microns micrometre micrometres"),
    (IN, "in inch inches"),
    (FT, "ft foot feet"),
    (THOU, "thou thous thousandth thousandths mil mils"),
    (DEG, "deg degree degrees"),
    (ARCMIN, "arcmin"),
    (ARCSEC, "arcsec"),
    (CELSIUS, "c °c degc celsius"),
    (Unit(name="F", family="temperature", num=5, den=9, shift=-32), "f °f degf fahrenheit"),
    (KELVIN, "k °k kelvin"),
    (KG, "kg kilogram kilograms kilo kilos"),
    (Unit(name="g", family="weight", num=1, den=1000), "g gram grams"),
    (Unit(name="t", family="weight", num=1000), "t tonne tonnes"),
    (Unit(name="lb", family="weight", num=45359237, den=100_000_000), "lb lbs pound pounds"),
    (Unit(name="oz", family="weight", num=45359237, den=1_600_000_000), "oz ounce ounces"),
    (MM2, "mm2"),
    (Unit(name="cm2", family="area", num=100), "cm2"),
    (Unit(name="m2", family="area", num=1_000_000), "m2"),
    (Unit(name="in2", family="area", num=64516, den=100), "in2"),
    (Unit(name="ft2", family="area", num=9290304, den=100), "ft2"),
    (DM3, "dm3 l litre litres liter liters"),
    (Unit(name="cm3", family="volume", num=1, den=1000), "cm3 ml cc"),
    (Unit(name="m3", family="volume", num=1000), "m3"),
    (Unit(name="in3", family="volume", num=16387064, den=1_000_000_000), "in3"),
    (Unit(name="ft3", family="volume", num=28316846592, den=1_000_000_000), "ft3"),
    (M3_MIN, "m3/min"),
    (Unit(name="m3/h", family="flow", num=1, den=60), "m3/h"),
    (Unit(name="m3/s", family="flow", num=60), "m3/s"),
    (Unit(name="l/s", family="flow", num=60, den=1000), "l/s dm3/s"),
    (Unit(name="l/min", family="flow", num=1, den=1000), "l/min dm3/min"),
    (Unit(name="ft3/min", family="flow", num=28316846592, den=1_000_000_000_000), "ft3/min cfm"),
    (Unit(name="gal/min", family="flow", num=3785411784, den=1_000_000_000_000), "gal/min gpm"),
    (KG_M3, "kg/m3"),
    (Unit(name="g/cm3", family="density", num=1000), "g/cm3 kg/dm3 kg/l t/m3"),
)
SHORT: dict[str, Unit] = {word: unit for unit, words in _SPELLINGS for word in words.split()}
_SIGNS: dict[tuple[str, str], Unit] = {
    ("length", '"'): IN,
    ("length", "''"): IN,
    ("length", "'"): FT,
    ("angle", "°"): DEG,
    ("angle", "'"): ARCMIN,
    ("angle", '"'): ARCSEC,
    ("angle", "''"): ARCSEC,
    ("temperature", "°"): CELSIUS,
}
BASE = {
    "length": MM,
    "angle": DEG,
    "temperature": CELSIUS,
    "weight": KG,
    "area": MM2,
    "volume": DM3,
    "flow": M3_MIN,
    "density": KG_M3,
}
# The smaller unit that may follow at once, and how many of it make one: 1' 2", 12° 30'.
MINOR: dict[str, tuple[Unit, int]] = {"ft": (IN, 12), "deg": (ARCMIN, 60), "arcmin": (ARCSEC, 60)}
_TO_TYPE = {
    "length": "type mm, cm, m, um, in, ft or thou",
    "angle": "type deg",
    "temperature": "type C or F",
    "weight": "type kg, g, t, lb or oz",
    "area": "type mm2, cm2, m2, in2 or ft2",
    "volume": "type dm3, cm3, m3, in3 or ft3",
    "flow": "type m3/min, m3/h, l/s, gal/min or ft3/min",
    "density": "type kg/m3 or g/cm3",
}
_PINT_BASE = {
    "length": "mm",
    "angle": "degree",
    "temperature": "degC",
    "weight": "kg",
    "area": "mm**2",
    "volume": "dm**3",
    "flow": "m**3/min",
    "density": "kg/m**3",
}
_WORD_MAX = 24
_POWER = Pattern(r"([^\W\d_])([23])(?![0-9])")


def family_of(quantity: str) -> str:
    """The family of units of a feature's quantity: length unless it is an angle or a temperature."""
    return quantity if quantity in ("angle", "temperature") else "length"


def short_unit(word: str, family: str) -> Unit | None:
    """The unit from the short table, whatever its family; None when the table does not know it."""
    plain = " ".join(word.lower().split()).replace("deg ", "°").replace("° ", "°")
    return _SIGNS.get((family, word)) or SHORT.get(plain) or SHORT.get(_upright(plain))


def _upright(word: str) -> str:
    """m³/min, m^3 / min and m**3/min as m3/min; sq mm or cubic m as mm2, m3."""
    plain = word
    for power, digit in (("square ", "2"), ("sq. ", "2"), ("sq ", "2"), ("cubic ", "3"), ("cu. ", "3"), ("cu ", "3")):
        if plain.startswith(power):
            first, slash, rest = plain.removeprefix(power).partition("/")
            plain = f"{first.strip()}{digit}{slash}{rest}"
    return plain.replace("²", "2").replace("³", "3").replace("**", "").replace("^", "").replace(" ", "")


def look_up(word: str, family: str) -> Unit | str:
    """The unit that `word` names in this family, or a sentence; one outside the short table costs importing pint."""
    unit = short_unit(word, family)
    if unit is None and any(char.isalpha() for char in word):
        unit = _late(word, family)
        if unit is None:
            return f"{_cut(word)} is no unit known here: {_TO_TYPE[family]}"
    return unit if unit is not None and unit.family == family else no_unit(word, family)


def no_unit(word: str, family: str) -> str:
    """The sentence for a unit of another kind."""
    return f"{_cut(word)} is no {family}: {_TO_TYPE[family]}"


def _cut(word: str) -> str:
    return word if len(word) <= _WORD_MAX else word[: _WORD_MAX - 1] + "…"


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()


@lru_cache(maxsize=256)
def _late(word: str, family: str) -> Unit | None:
    """The unit as pint knows it, of family "other" when it measures something else; None when it is no unit."""
    word = _upright(word)
    if len(word) > _WORD_MAX or not can_be_unit(word):
        return None
    word = _POWER.sub(r"\1**\2", word)
    for spelling in (word, word.lower()):  # whatever a word does to the library, the answer is that it is no unit
        with suppress(Exception):
            kind = _registry().parse_units(spelling)
            name = spelling if len(spelling) <= 12 else f"{kind:~}"[:12]
            with suppress(Exception):
                at_zero, at_one = (_in_base(x, kind, family) for x in (0.0, 1.0))
                num, den = (at_one - at_zero).as_integer_ratio()
                return Unit(name, family, num, den, *(at_zero / (at_one - at_zero)).as_integer_ratio())
            return Unit(name=name, family="other")
    return None


def _in_base(x: float, kind: Any, family: str) -> float:
    """`x` of a pint unit in mm, degrees or degC; raises when it is of another kind."""
    amount = _registry().Quantity(x, kind)
    if family == "angle" and f"{amount.to_root_units().units}" != "radian":
        raise ValueError("a bare number, such as a percentage, is no angle")
    return float(amount.to(_PINT_BASE[family]).magnitude)
