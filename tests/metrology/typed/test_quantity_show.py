"""Lengths as they are shown: decimals, fractions with a remainder, feet, and what a contraction rule reads."""

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.quantity_show import rule_name, show, show_feet, show_fraction, show_on_rule


@pytest.mark.parametrize(
    "value, unit, resolution, shown",
    [
        (59.664, "mm", 0.01, "59.66"),
        (2.675, "mm", 0.01, "2.68"),
        (2.665, "mm", 0.01, "2.66"),
        (2.685, "mm", 0.01, "2.68"),
        (0.125, "mm", 0.01, "0.12"),
        (-0.001, "mm", 0.01, "0.00"),
        (-0.004999, "mm", 0.01, "0.00"),
        (-0.01, "mm", 0.01, "-0.01"),
        (59.67, "mm", 0.02, "59.68"),
        (59.66, "mm", 0.05, "59.65"),
        (59.66, "mm", 1.0, "60"),
        (59.66, "mm", 0.5, "59.5"),
        (123.0, "mm", 10.0, "120"),
        (59.66, "mm", 0.001, "59.660"),
        (309.5625, "in", 0.0127, "12.1875"),
        (309.56, "in", 0.0127, "12.1875"),
        (309.5625, "in", 0.01, "12.1875"),
        (2.54, "thou", 0.0254, "100"),
        (1000.0, "m", 1.0, "1.000"),
        (304.8, "ft", 0.01, "1.00000"),
        (12.345, "deg", 0.1, "12.3"),
        (23.0, "C", 0.5, "23.0"),
        (99999.999, "mm", 0.01, "100000.00"),
        (float("nan"), "mm", 0.01, "–"),
        (float("inf"), "mm", 0.01, "–"),
    ],
)
def test_numbers_are_rounded_half_even_to_a_resolution(value: float, unit: str, resolution: float, shown: str) -> None:
    assert show(value, unit, resolution) == shown


@pytest.mark.parametrize(
    "value, fraction, feet",
    [
        (309.5625, "12 3/16 in", "1' 3/16\""),
        (309.6625, "12 3/16 in + 0.10 mm", "1' 3/16\" + 0.10 mm"),
        (371.425, "14 5/8 in - 0.05 mm", "1' 2 5/8\" - 0.05 mm"),
        (0.0, "0 in", '0"'),
        (25.4, "1 in", '1"'),
        (304.8, "12 in", "1' 0\""),
        (19.05, "3/4 in", '3/4"'),
        (-19.15, "-3/4 in - 0.10 mm", '-3/4" - 0.10 mm'),
        (-0.1, "0 in - 0.10 mm", '0" - 0.10 mm'),
        (304.79, "12 in - 0.01 mm", "1' 0\" - 0.01 mm"),
    ],
)
def test_a_length_as_the_nearest_64th_and_its_remainder(value: float, fraction: str, feet: str) -> None:
    assert show_fraction(value) == fraction
    assert show_feet(value) == feet


def test_a_coarser_rule_leaves_a_larger_remainder() -> None:
    assert show_fraction(309.6625, 8) == "12 1/4 in - 1.49 mm"
    assert show_fraction(309.6625, 128) == "12 25/128 in - 0.10 mm"


def test_a_true_length_as_it_reads_on_the_contraction_rule() -> None:
    scale = 5 / 32 / 12
    assert show_on_rule(309.5625 * (1 + scale), scale) == "12 3/16 in"
    assert show_on_rule(309.5625 * (1 + scale) + 0.10, scale) == "12 3/16 in + 0.10 mm"
    assert show_on_rule(24.25 * 25.4, 1 / 96) == "24 in"


def test_what_no_rule_can_show_is_an_error_with_a_sentence() -> None:
    with pytest.raises(DataError, match="64"):
        show_fraction(10.0, 17)
    with pytest.raises(DataError, match="choose mm"):
        show(10.0, "furlong")
    for resolution in (0.0, -1.0, float("nan")):
        with pytest.raises(DataError, match="resolution"):
            show(10.0, "mm", resolution)
    assert show_fraction(float("nan")) == show_feet(float("inf")) == show_on_rule(float("nan"), 0.01) == "–"


@pytest.mark.parametrize(
    "scale, name",
    [
        (5 / 384, "5/32 in/ft rule"),
        (0.013021, "5/32 in/ft rule"),
        (1 / 96, "1/8 in/ft rule"),
        (0.25 / 12, "1/4 in/ft rule"),
        (0.010, "1.0 % rule"),
        (0.0125, "1.25 % rule"),
        (0.009, "0.9 % rule"),
        (0.02, "2.0 % rule"),
        (0.0, "plain rule"),
        (float("nan"), "–"),
    ],
)
def test_a_contraction_rule_has_the_name_its_users_know(scale: float, name: str) -> None:
    assert rule_name(scale) == name
