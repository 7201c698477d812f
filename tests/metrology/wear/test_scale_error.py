"""One tool, one scale error: wrong rule, forgotten or double contraction, wood swelled across its grain."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.scale_error import ToolSize, one_scale, swelling, wrong_rule

STICK_6 = {"bore": 48.48, "stem": 90.90, "length": 161.60}  # targets of the invented elbow stick, planned 1.0 %


def laid_out(scale: float, noise: float = 0.0, seed: int = 0, u: float = 0.03) -> list[ToolSize]:
    rng = random.Random(seed)
    return [ToolSize(name=n, target=t, reading=t * scale + rng.gauss(0, noise), u=u) for n, t in STICK_6.items()]


def test_a_stick_laid_out_with_the_1_3_percent_rule_is_recovered() -> None:
    # planted: laid out with the 1.3 % rule, logged 48.62 / 91.17 / 162.08
    sizes = [
        ToolSize(name="bore", target=48.48, reading=48.62, u=0.03),
        ToolSize(name="stem", target=90.90, reading=91.17, u=0.03),
        ToolSize(name="length", target=161.60, reading=162.08, u=0.03),
    ]
    found = wrong_rule(sizes, 0.010)
    assert found is not None
    assert found.implied.value == pytest.approx(0.0130, abs=0.0005)
    assert found.rules[0].name == "1.3 %" and "1.3 % rule?" in found.sentence


@pytest.mark.parametrize("rule", [0.008, 0.012, 0.013, 0.016, 0.020])
def test_other_rules_and_other_noise_are_recovered_too(rule: float) -> None:
    right = 0
    for seed in range(40):
        found = wrong_rule(laid_out((1 + rule) / 1.010, 0.03, seed), 0.010)
        right += (
            found is not None
            and abs(found.implied.value - rule) < 0.0005
            and any(abs(r.a - rule) < 1e-9 for r in found.rules)
        )
    assert right >= 38


def test_a_stick_laid_out_right_is_left_alone() -> None:
    false = sum(wrong_rule(laid_out(1.0, 0.03, seed), 0.010) is not None for seed in range(400))
    assert false <= 6  # three standard uncertainties: 0.3 %


def test_one_size_off_is_no_scale() -> None:
    sizes = laid_out(1.0)
    sizes[2] = ToolSize(name="length", target=161.60, reading=162.10, u=0.03)
    assert wrong_rule(sizes, 0.010) is None
    assert one_scale(sizes).worst in ("length", "stem", "bore") and one_scale(sizes).p_same < 0.01


def test_contraction_forgotten_and_taken_twice_are_named() -> None:
    forgot = wrong_rule(laid_out(1 / 1.010), 0.010)
    assert forgot is not None and "contraction forgotten" in [r.name for r in forgot.rules]
    assert {r.name for r in forgot.rules if not r.is_rule} == {"contraction forgotten"}
    twice = wrong_rule(laid_out(1.010), 0.010)
    assert twice is not None and "contraction taken twice" in [r.name for r in twice.rules]


@pytest.mark.parametrize("name, a", [("3/16 in/ft", 3 / 16 / 12), ("1/8 in/ft", 1 / 8 / 12), ("1/4 in/ft", 1 / 4 / 12)])
def test_rules_in_inches_to_the_foot_are_known(name: str, a: float) -> None:
    found = wrong_rule(laid_out(1 + a, u=0.005), 0.0)
    assert found is not None and found.rules[0].name == name and found.rules[0].is_rule
    assert f"the {name} rule?" in found.sentence


def test_a_rule_of_the_shop_is_preferred_over_one_of_the_book() -> None:
    found = wrong_rule(laid_out(1.013 / 1.010), 0.010, [("rule R2, 5/32 in/ft", 5 / 32 / 12)])
    assert found is not None and found.rules[0].name == "rule R2, 5/32 in/ft"


def test_a_constant_error_of_sizes_alike_in_length_is_not_called_a_rule_for_sure() -> None:
    alike = [ToolSize(name=f"d{i}", target=100.0 + i, reading=100.3 + i, u=0.03) for i in range(3)]
    found = wrong_rule(alike, 0.010)
    assert found is not None and "constant error would explain it too" in found.sentence
    apart = wrong_rule(laid_out(1.013 / 1.010), 0.010)
    assert apart is not None and "constant error" not in apart.sentence


@given(st.floats(-0.02, 0.02), st.floats(0.01, 0.1))
def test_the_scale_is_found_exactly_without_noise(s: float, u: float) -> None:
    found = one_scale(laid_out(1 + s, u=u))
    assert found.scale == pytest.approx(s, abs=1e-12)
    assert found.u == pytest.approx(u / sum(t * t for t in STICK_6.values()) ** 0.5)


@pytest.mark.parametrize(
    "sizes",
    [[], [ToolSize(name="a", target=0.0, reading=1.0, u=0.1)], [ToolSize(name="a", target=1.0, reading=1.0, u=0.0)]],
)
def test_a_scale_needs_sizes_and_uncertainties(sizes: list[ToolSize]) -> None:
    with pytest.raises(DataError):
        one_scale(sizes)


def stick_7(across: float, along: float, noise: float = 0.0, seed: int = 0) -> list[ToolSize]:
    rng = random.Random(seed)
    rows = (("length", 78.78, "along", along), ("width", 84.84, "across", across), ("height", 70.70, "across", across))
    return [
        ToolSize(name=n, target=t, reading=t * (1 + s) + rng.gauss(0, noise), u=0.03, grain=grain)
        for n, t, grain, s in rows
    ]


def test_a_stick_that_swelled_across_its_grain_is_told_from_a_wrong_rule() -> None:
    # planted: 9 % to 12 % moisture, 78.78 / 85.35 / 71.12
    sizes = [
        ToolSize(name="length", target=78.78, reading=78.78, u=0.03, grain="along"),
        ToolSize(name="width", target=84.84, reading=85.35, u=0.03, grain="across"),
        ToolSize(name="height", target=70.70, reading=71.12, u=0.03, grain="across"),
    ]
    found = swelling(sizes, 0.09, 0.12)
    assert found is not None and found.moisture
    assert found.across.value == pytest.approx(0.0060, abs=0.0005)
    assert found.along.value == pytest.approx(0.0, abs=0.0005)
    assert found.per_percent is not None and found.per_percent.value == pytest.approx(0.0020, abs=0.0003)
    assert "not a wrong rule" in found.sentence and "9 % to 12 %" in found.sentence
    assert wrong_rule(sizes, 0.010) is None


def test_other_swellings_with_noise_are_recovered_and_dry_wood_shrinks() -> None:
    for across in (0.0045, -0.006, 0.009):
        right = sum(bool((s := swelling(stick_7(across, 0.0, 0.03, seed))) and s.moisture) for seed in range(60))
        assert right >= 54
    shrunk = swelling(stick_7(-0.006, 0.0))
    assert shrunk is not None and "shrank" in shrunk.sentence


def test_growth_both_ways_is_not_moisture_and_no_growth_is_nothing() -> None:
    both = swelling(stick_7(0.005, 0.005))
    assert both is not None and not both.moisture and "along the grain as well" in both.sentence
    none = swelling(stick_7(0.0, 0.0))
    assert none is not None and not none.moisture and "no movement" in none.sentence
    assert swelling(stick_7(0.005, 0.0)[1:]) is None


def test_growth_counts_from_the_earlier_reading_where_there_is_one() -> None:
    sizes = [
        ToolSize(name="l", target=78.78, reading=78.90, u=0.03, grain="along", before=78.90),
        ToolSize(name="w", target=84.84, reading=85.35, u=0.03, grain="across", before=84.84),
    ]
    found = swelling(sizes)
    assert found is not None and found.along.value == 0.0 and found.per_percent is None
