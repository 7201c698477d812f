"""Steps in one series, repairs nobody logged, alarms that last."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.show import Style
from inspect_tui.metrology.wear.steps import all_steps, best_split, sustained, unlogged_repair

INCH = Style("in")


@settings(max_examples=40)
@given(st.integers(5, 55), st.floats(1, 5), st.sampled_from([-1, 1]))
def test_a_step_without_noise_is_found_where_it_is(at: int, size: float, way: int) -> None:
    y = np.where(np.arange(60) >= at, way * size, 0.0) + np.tile([1e-3, -1e-3], 30)
    split = best_split(y)
    assert split.before == at
    assert split.mean_after - split.mean_before == pytest.approx(way * size, abs=0.01)
    assert split.p < 1e-6
    assert all_steps(y) == [at]


def test_every_step_of_several_is_found() -> None:
    rng = np.random.default_rng(1)
    y = np.repeat([0.0, 1.0, 0.2, 1.4], 40) + rng.normal(0, 0.15, 160)
    found = all_steps(y)
    assert len(found) == 3 and all(abs(a - b) <= 2 for a, b in zip(found, (40, 80, 120), strict=True))


def test_steps_are_seldom_seen_in_noise() -> None:
    rng = np.random.default_rng(2)
    false = sum(bool(all_steps(rng.normal(size=60), 0.01)) for _ in range(400))
    assert false / 400 <= 0.01 + 3 * (0.01 * 0.99 / 400) ** 0.5


def test_a_split_needs_readings_that_differ() -> None:
    with pytest.raises(DataError, match="all readings are equal"):
        best_split([1.0] * 20)
    with pytest.raises(DataError, match="12 readings"):
        best_split([1.0, 2.0])


def worn(
    seed: int, gap_at: int | None, direction: int = 1, n: int = 80, noise: float = 0.03
) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(0, 12_000, n))
    y = 3e-5 * x + rng.normal(0, noise, n)
    if gap_at is not None:
        y[gap_at:] -= 0.20
    return x, 80 + direction * y


@pytest.mark.parametrize("direction", [1, -1])
def test_a_repair_nobody_logged_is_found_between_its_readings(direction: int) -> None:
    near = 0
    for seed in range(40):
        x, y = worn(seed, 50, direction)
        gap = unlogged_repair(x, y, direction)
        if gap is not None:
            near += abs(gap.at - 50) <= 1 and abs(gap.step.value + 0.20 * direction) < 3 * gap.step.u
            assert gap.cores == (x[gap.at - 1], x[gap.at])
            assert "not logged" in gap.sentence
    assert near >= 37


def test_plain_wear_raises_no_such_question() -> None:
    false = sum(unlogged_repair(*worn(seed, None)) is not None for seed in range(400))
    assert false / 400 <= 0.02  # one per cent, one side only


def test_a_jump_the_way_of_wear_is_not_a_repair() -> None:
    x, y = worn(3, None)
    y[40:] += 0.2
    assert unlogged_repair(x, y) is None


def test_wild_readings_are_no_repair() -> None:
    x, y = worn(4, None)
    y[[20, 61]] -= 2.0
    assert unlogged_repair(x, y) is None
    assert unlogged_repair([1, 2, 3], [1, 2, 3]) is None
    assert unlogged_repair([5.0] * 20, list(range(20))) is None


def test_readings_out_of_order_are_told_by_their_own_number() -> None:
    x, y = worn(5, 50)
    order = np.random.default_rng(1).permutation(80)
    gap = unlogged_repair(x[order], y[order])
    assert gap is not None and gap.cores[1] == x[order][gap.at]


def test_lasting_alarms_in_calm_production_are_rare() -> None:
    rng = np.random.default_rng(9)
    false = sum(bool(sustained(rng.normal(0, 0.1, 250))) for _ in range(300))
    assert false / 300 <= 0.03


def test_a_shift_raises_a_lasting_alarm_on_its_side_and_a_restart_clears_it() -> None:
    rng = np.random.default_rng(10)
    y = rng.normal(0, 0.1, 300)
    y[150:200] -= 0.25
    first = sustained(y)[0]
    assert 150 <= first[0] <= 165 and first[2] == -1
    again = sustained(y, restarts=[200])
    assert len(again) == 1 and again[0][1] <= 200


def test_one_wild_reading_does_not_last() -> None:
    y = np.random.default_rng(11).normal(0, 0.1, 200)
    y[100] += 5.0
    assert sustained(y) == [] and sustained([1.0] * 10) == []


def test_the_stated_uncertainty_of_an_unlogged_repair_is_its_scatter() -> None:
    gaps = [unlogged_repair(*worn(100 + seed, 50)) for seed in range(80)]
    z = [(g.step.value + 0.20) / g.step.u for g in gaps if g is not None]
    assert len(z) > 70 and 0.75 < np.sqrt(np.mean(np.square(z))) < 1.4


def test_a_jump_is_said_in_inches_and_an_angle_in_degrees() -> None:
    lined = worn(100, 50)
    gap = unlogged_repair(*lined)
    assert gap is not None
    inches, degrees = (unlogged_repair(*lined, style=INCH, unit=unit) for unit in ("mm", "deg"))
    assert inches is not None and degrees is not None
    assert inches.sentence.startswith(f"jumped {gap.step.value / 25.4:+.4f} ± {2 * gap.step.u / 25.4:.4f} in against")
    assert degrees.sentence.startswith(f"jumped {gap.step.value:+.2f} ± {2 * gap.step.u:.2f} deg against")
