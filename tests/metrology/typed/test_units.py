"""Units people type: the short table keeps the standards' exact ratios, and the rest is fetched late."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest

from inspect_tui.metrology.typed.units import BASE, SHORT, Unit, family_of, look_up, short_unit


def test_the_entry_line_needs_only_the_standard_library_until_a_rare_unit_is_typed() -> None:
    probe = (
        "import sys; before = set(sys.modules); import inspect_tui.metrology.typed.quantity as q\n"
        "for t in ('59.66', '12 3/16 in', '59.66 thou 59.68 in', 'abc', '1,234.5', '9' * 999): q.parse_line(t)\n"
        "from inspect_tui.metrology.typed import fields, ratio, show\n"
        "ratio.parse_contraction('1/8 in/ft'); q.parse_temperature('73.4 F')\n"
        "fields.span('0 to 1 000'); fields.size('3 xyzzy'); fields.weight('3 amperes')\n"
        "tops = {m.partition('.')[0] for m in set(sys.modules) - before}\n"
        "print(*sorted(tops - set(sys.stdlib_module_names)), '|', 'sqlite3' in tops)\n"
        "q.parse_line('1 yd'); print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines() == ["inspect_tui | False", "True"]


# International yard and pound (1959): 1 in = 25.4 mm, 1 lb = 0.45359237 kg, both exact; the others follow. SI Brochure,
# table 8: minute and second of arc, litre and tonne. NIST SP 811, B.8: 1 ft3 = 28.316846592 dm3.
@pytest.mark.parametrize(
    ("word", "ratio"),
    [
        ("in", Fraction(254, 10)),
        ("ft", 12 * Fraction(254, 10)),
        ("thou", Fraction(254, 10_000)),
        ("µm", Fraction(1, 1000)),
        ("arcsec", Fraction(1, 3600)),
        ("lb", Fraction(45359237, 10**8)),
        ("oz", Fraction(45359237, 10**8) / 16),
        ("t", Fraction(1000)),
        ("sq in", Fraction(254, 10) ** 2),
        ("ft²", (12 * Fraction(254, 10)) ** 2),
        ("cubic ft", (12 * Fraction(254, 10)) ** 3 / 10**6),
        ("in3", Fraction(254, 10) ** 3 / 10**6),
        ("cfm", (12 * Fraction(254, 10)) ** 3 / 10**9),
        ("m³/h", Fraction(1, 60)),
        ("g/cm^3", Fraction(1000)),
    ],
)
def test_the_short_table_is_exact(word: str, ratio: Fraction) -> None:
    unit = short_unit(word, "length") or SHORT[word.replace("µ", "μ")]
    assert Fraction(unit.num, unit.den) == ratio and unit.shift == 0


def test_temperatures_have_the_exact_zero() -> None:
    fahrenheit, kelvin = SHORT["f"], SHORT["k"]
    assert (-40 + fahrenheit.shift) * Fraction(fahrenheit.num, fahrenheit.den) == -40  # where both scales meet
    assert Fraction(kelvin.shift, kelvin.shift_den) == Fraction("-273.15")  # SI Brochure, 2.3.1


def test_a_sign_means_what_is_measured() -> None:
    for word, lengths, angles in (("'", "ft", "arcmin"), ('"', "in", "arcsec")):
        length, angle = short_unit(word, "length"), short_unit(word, "angle")
        assert length and angle and (length.name, angle.name) == (lengths, angles)
    warm = short_unit("°", "temperature")
    assert warm and warm.name == "C"
    assert [family_of(q) for q in ("angle", "temperature", "wall", "length")] == [
        "angle",
        "temperature",
        "length",
        "length",
    ]


def test_a_rare_unit_is_the_librarys_and_what_is_none_gets_a_sentence() -> None:
    yard = look_up("yd", "length")
    assert isinstance(yard, Unit) and Fraction(yard.num, yard.den) == pytest.approx(914.4)
    assert look_up("xyzzy", "length") == "xyzzy is no unit known here: type mm, cm, m, um, in, ft or thou"
    assert look_up("kg", "length") == "kg is no length: type mm, cm, m, um, in, ft or thou"
    assert look_up("ampere", "weight") == "ampere is no unit known here: type kg, g, t, lb or oz"
    long = look_up("x" * 400, "angle")
    assert isinstance(long, str) and "…" in long and len(long) < 80
    assert {unit.family for unit in SHORT.values()} == set(BASE)
