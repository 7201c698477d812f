"""Units and contraction rules against pint's own values and against worked examples.

pint: the open-source units library, default registry (its definitions follow the SI brochure and NIST SP 811).
Worked examples: data/units_worked_examples.csv, each row with its source and status.
"""

import csv
import json
from pathlib import Path
from typing import Any

import pint
import pytest

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.parsed import ContractionTyped, TypedLine
from inspect_tui.metrology.typed.quantity import parse_line, parse_temperature
from inspect_tui.metrology.typed.ratio import parse_contraction
from inspect_tui.metrology.typed.units import SHORT

REGISTRY: Any = pint.UnitRegistry()
PINT_NAME = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "um": "micrometer",
    "in": "inch",
    "ft": "foot",
    "thou": "thou",
    "deg": "degree",
    "arcmin": "arcminute",
    "arcsec": "arcsecond",
    "C": "degC",
    "F": "degF",
    "K": "kelvin",
    "kg": "kilogram",
    "g": "gram",
    "t": "metric_ton",
    "lb": "pound",
    "oz": "ounce",
    "mm2": "mm**2",
    "cm2": "cm**2",
    "m2": "m**2",
    "in2": "inch**2",
    "ft2": "foot**2",
    "dm3": "dm**3",
    "cm3": "cm**3",
    "m3": "m**3",
    "in3": "inch**3",
    "ft3": "foot**3",
    "m3/min": "m**3/minute",
    "m3/h": "m**3/hour",
    "m3/s": "m**3/second",
    "l/s": "liter/second",
    "l/min": "liter/minute",
    "ft3/min": "foot**3/minute",
    "gal/min": "gallon/minute",
    "kg/m3": "kg/m**3",
    "g/cm3": "g/cm**3",
}
BASE = {"length": "mm", "angle": "degree", "temperature": "degC"}
MEASURES = {
    "weight": (fields.weight, "kg"),
    "area": (fields.area, "mm**2"),
    "volume": (fields.volume, "dm**3"),
    "flow": (fields.flow, "m**3/minute"),
    "density": (fields.density, "kg/m**3"),
}

with (Path(__file__).parent / "data" / "units_worked_examples.csv").open(encoding="utf-8") as file:
    EXAMPLES: dict[str, dict[str, Any]] = {row["id"]: dict(row) for row in csv.DictReader(file)}


def read(typed: str, quantity: str = "length", rule_scale: float = 0.0) -> float:
    answer = parse_line(typed, quantity=quantity, rule_scale=rule_scale)
    assert isinstance(answer, TypedLine), answer
    assert len(answer.sizes) == 1
    return answer.sizes[0].mm


def contraction(typed: str) -> float:
    answer = parse_contraction(typed)
    assert isinstance(answer, ContractionTyped), answer
    return answer.a


@pytest.mark.parametrize("word", sorted(SHORT))
@pytest.mark.parametrize("number", [0.1, 1.0, 2.5, 37.0])
def test_every_spelling_of_the_short_table_is_worth_what_pint_says(word: str, number: float) -> None:
    unit = SHORT[word]
    if unit.family in MEASURES:
        reader, base = MEASURES[unit.family]
        measured = reader(f"{number} {word}")
        assert measured == pytest.approx(REGISTRY.Quantity(number, PINT_NAME[unit.name]).to(base).magnitude, rel=1e-12)
        return
    expected = REGISTRY.Quantity(number, PINT_NAME[unit.name]).to(BASE[unit.family]).magnitude
    assert read(f"{number} {word}", unit.family) == pytest.approx(expected, rel=1e-12, abs=1e-10)


@pytest.mark.parametrize(
    "typed, quantity, number, name",
    [
        ("12 yd", "length", 12, "yard"),
        ("15.2 hands", "length", 15.2, "hand"),
        ("3 pica", "length", 3, "pica"),
        ("254 nm", "length", 254, "nanometer"),
        ("1.2 dm", "length", 1.2, "decimeter"),
        ("1.5 fathom", "length", 1.5, "fathom"),
        ("50 gon", "angle", 50, "gon"),
        ("0.5 rad", "angle", 0.5, "radian"),
        ("530 degR", "temperature", 530, "degR"),
    ],
)
def test_units_outside_the_short_table_are_what_pint_says(typed: str, quantity: str, number: float, name: str) -> None:
    expected = REGISTRY.Quantity(number, name).to(BASE[quantity]).magnitude
    assert read(typed, quantity) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    "typed, number, name",
    [
        ("300 gal/min", 300, "gallon/minute"),
        ("12 fl_oz", None, ""),
        ("1.5 stone", 1.5, "stone"),
        ("2 cwt", 2, "cwt"),
        ("0.26 lb/in3", 0.26, "pound/inch**3"),
        ("440 lb/ft³", 440, "pound/foot**3"),
        ("3 UK_gallon", 3, "UK_gallon"),
        ("2 sq yd", 2, "yard**2"),
        ("5 yd^3/h", 5, "yard**3/hour"),
    ],
)
def test_measures_outside_the_short_table_are_what_pint_says(typed: str, number: float | None, name: str) -> None:
    answers = [reader(typed) for reader, _ in MEASURES.values()]
    values = [answer for answer in answers if not isinstance(answer, fields.Wrong)]
    if number is None:
        assert values == []
        return
    quantity = REGISTRY.Quantity(number, name)
    base = next(base for _, base in MEASURES.values() if quantity.check(REGISTRY.Quantity(1, base).dimensionality))
    assert values == [pytest.approx(quantity.to(base).magnitude, rel=1e-9)]


# NIST SP 811 (2008), appendix B: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 yd = 0.9144 m, 1 mil = 0.0254 mm, each exact;
# ITS-90 / NIST: 32 F = 0 C, 212 F = 100 C, 0 K = -273.15 C. From memory.
@pytest.mark.parametrize(
    "typed, mm",
    [("1 in", 25.4), ("1 ft", 304.8), ("1 yd", 914.4), ("1 mil", 0.0254), ("0.1 in", 2.54), ("5 um", 0.005)],
)
def test_the_exact_conversions_come_out_exactly(typed: str, mm: float) -> None:
    assert read(typed) == mm


@pytest.mark.parametrize("typed, celsius", [("32 F", 0.0), ("212 F", 100.0), ("68 F", 20.0), ("273.15 K", 0.0)])
def test_fixed_points_of_the_temperature_scales(typed: str, celsius: float) -> None:
    assert parse_temperature(typed) == celsius


def test_we07_a_contraction_rule_marked_24_inch_is_as_long_as_printed() -> None:
    example = EXAMPLES["WE07"]
    inputs, expected = json.loads(example["inputs"]), json.loads(example["expected"])
    for allowance, true_in in zip(inputs["allowances_in_per_ft"], expected["true_in"], strict=True):
        a = contraction(f"{allowance} in/ft")
        assert read(f"{inputs['marked_in']} in", rule_scale=a) / 25.4 == pytest.approx(
            true_in, abs=float(example["tolerance"])
        )


def test_we08_an_eighth_per_foot_in_per_cent_and_mm_per_m_and_per_cent_of_the_pattern() -> None:
    example = EXAMPLES["WE08"]
    inputs, expected = json.loads(example["inputs"]), json.loads(example["expected"])
    tolerance = float(example["tolerance"])
    a = contraction(f"{inputs['in_per_ft']} in/ft")
    assert 100 * a == pytest.approx(expected["percent"], abs=tolerance)
    assert 1000 * a == pytest.approx(expected["mm_per_m"], abs=tolerance)
    p = inputs["percent_of_pattern"]
    assert 1 + contraction(f"{p} % of pattern") == pytest.approx(expected["factor_pattern_based"], abs=tolerance)
    assert 1 + contraction(f"{p} %") == pytest.approx(expected["factor_casting_based"], abs=tolerance)
