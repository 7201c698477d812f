"""Wear: rate, repairs, outliers, and honest forecasts of cores left."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.wear.cores_left import cores_left
from inspect_tui.metrology.wear.line import DIRECTION, fit_wear, since_repair
from tests.amounts import some
from tests.benchmarks.wear_coverage import covered, half_life_error, make_box

RATE = 0.030 / 1000


def box(
    n: int = 60, rate: float = RATE, noise: float = 0.03, seed: int = 1, upto: float = 6000.0
) -> tuple[list[float], list[float]]:
    rng = np.random.default_rng(seed)
    x = np.linspace(0, upto, n)
    return list(x), list(82.82 + rate * x + rng.normal(0, noise, n))


def test_a_cavity_grows_and_a_pattern_loses() -> None:
    assert DIRECTION == {"space": 1, "metal": -1, "face": 0}


def test_counts_since_the_last_repair_and_a_reading_at_a_repair_is_before_it() -> None:
    since, segment = since_repair([0, 100, 9000, 9001, 12000], [9000])
    assert since == [0, 100, 9000, 1, 3000]
    assert segment == [0, 0, 0, 1, 1]
    two_the_same_day, seg = since_repair([10, 20], [10, 10])
    assert two_the_same_day == [10, 10] and seg == [0, 2]
    with pytest.raises(DataError, match="below 0"):
        since_repair([-1], [])


@settings(max_examples=50)
@given(st.floats(-0.1, 0.1), st.floats(50, 900), st.integers(0, 3))
def test_a_line_with_hardly_any_noise_is_found_and_its_forecast_too(rate: float, level: float, repairs: int) -> None:
    x = np.tile(np.linspace(0, 8000, 20), repairs + 1)
    seg = np.repeat(np.arange(repairs + 1), 20)
    y = level + 0.02 * seg + rate / 1000 * x + np.tile([1e-5, -1e-5], len(x) // 2)
    fit = fit_wear(x, y, seg, direction=0)
    assert fit.rate.value * 1000 == pytest.approx(rate, abs=1e-4)
    assert all(a is not None and a.value == pytest.approx(level + 0.02 * k, abs=1e-4) for k, a in enumerate(fit.afters))
    if abs(rate) > 0.01:
        limit = level + 0.02 * repairs + rate * 10
        left = cores_left(fit, limit, limit)
        assert left.left == pytest.approx(2000, rel=1e-2) and left.low <= left.left <= left.high


@given(st.floats(-50, 50), st.floats(0.5, 2))
@settings(max_examples=30)
def test_moving_or_stretching_the_sizes_moves_and_stretches_the_answer(shift: float, stretch: float) -> None:
    x, y = box()
    one, two = fit_wear(x, y), fit_wear(x, [shift + stretch * v for v in y])
    assert two.rate.value == pytest.approx(stretch * one.rate.value, rel=1e-6)
    a, b = cores_left(one, None, 83.12), cores_left(two, None, shift + stretch * 83.12)
    assert (b.left, b.low, b.high) == (
        pytest.approx(a.left, rel=1e-5),
        pytest.approx(a.low, rel=1e-5),
        pytest.approx(a.high, rel=1e-5),
    )


def test_wear_downward_is_the_mirror_of_wear_upward() -> None:
    x, y = box()
    up = cores_left(fit_wear(x, y, direction=1), None, 83.12)
    down = cores_left(fit_wear(x, [-v for v in y], direction=-1), -83.12, None)
    assert (up.left, up.low, up.high) == (pytest.approx(down.left), pytest.approx(down.low), pytest.approx(down.high))


def test_a_few_wild_readings_change_little_and_are_flagged_not_lost() -> None:
    x, y = box()
    clean = fit_wear(x, y)
    for i in (3, 30, 55):
        y[i] += 1.5 if i != 30 else -2.0
    wild = fit_wear(x, y)
    assert set(wild.flagged) == {3, 30, 55} | set(clean.flagged) and wild.n == 60
    assert wild.rate.value == pytest.approx(clean.rate.value, abs=2 * clean.rate.u)


def test_of_seven_readings_none_is_called_wrong() -> None:
    # six degrees of freedom are the least: the middle of fewer residuals says little about their spread
    flagged = []
    for n in (7, 8):
        x = np.linspace(0, 6000, n)
        y = 82.82 + RATE * x + 0.01 * np.resize([1, -1, 0.5, -0.7], n)
        y[3] += 1.0
        flagged.append(fit_wear(x.tolist(), y.tolist()).flagged)
    assert flagged == [(), (3,)]


def test_clean_boxes_seldom_lose_a_reading() -> None:
    flagged = sum(bool(fit_wear(*box(40, seed=s)).flagged) for s in range(70))
    assert flagged <= 9  # one box in twenty expected


def test_no_wear_is_said_so_with_what_is_left_at_least() -> None:
    x, y = box(rate=0.0)
    left = cores_left(fit_wear(x, y), None, 83.12)
    assert left.kind == "at least" and left.left is None and left.high == math.inf
    assert left.low > 6000 and left.sentence.startswith("no wear seen in 6 000 cores, at least ")


def test_more_readings_of_no_wear_promise_more() -> None:
    low = [cores_left(fit_wear(*box(n, rate=0.0, seed=2)), None, 83.12).low for n in (10, 40, 160)]
    assert low[0] < low[1] < low[2]


def test_shrinking_where_wear_grows_is_not_called_wear() -> None:
    x, y = box(rate=-RATE)
    left = cores_left(fit_wear(x, y, direction=1), None, 83.12)
    assert left.kind == "backward" and "repair not logged" in left.sentence and left.high == math.inf


def test_past_its_limit_nothing_is_left() -> None:
    x, y = box()
    left = cores_left(fit_wear(x, y), None, 82.90)
    assert left.kind == "past" and left.left == 0.0 and "past it" in left.sentence
    near = cores_left(fit_wear(x, y), None, fit_wear(x, y).at(6000).value - 0.003)
    assert near.kind == "past" and "though not surely" in near.sentence and near.high > 0


def test_cores_made_since_the_last_reading_count() -> None:
    fit = fit_wear(*box())
    one, two = cores_left(fit, None, 83.12), cores_left(fit, None, 83.12, now=7000.0)
    assert one.left is not None and two.left == pytest.approx(one.left - 1000)
    assert two.low == pytest.approx(max(one.low - 1000, 0.0))


def test_without_a_limit_on_the_side_of_wear_there_is_no_forecast() -> None:
    assert cores_left(fit_wear(*box()), 80.0, None).kind == "unknown"


def test_the_interval_is_where_the_band_of_the_line_crosses_the_limit() -> None:
    fit = fit_wear(*box())
    left = cores_left(fit, None, 83.12)
    assert fit.p_beyond(fit.reach + left.low, 83.12) == pytest.approx(0.025, abs=1e-6)
    assert fit.p_beyond(fit.reach + left.high, 83.12) == pytest.approx(0.975, abs=1e-6)
    assert left.left is not None and fit.at(fit.reach + left.left).value == pytest.approx(83.12, abs=1e-9)


def segmented(
    rates: list[float], n: int = 40, seed: int = 3, noise: float = 0.03
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed)
    x = np.concatenate([np.linspace(0, 6000, n)] * len(rates))
    seg = np.repeat(np.arange(len(rates)), n)
    y = 82.82 + 0.02 * seg + np.array(rates)[seg] * x + rng.normal(0, noise, len(x))
    return x, y, seg


def test_rates_that_differ_are_kept_apart_and_the_last_one_counts() -> None:
    fit = fit_wear(*segmented([0.02e-3, 0.06e-3]))
    assert not fit.shared and fit.p_shared < 0.001
    assert fit.rates[0] == pytest.approx(0.02e-3, abs=0.006e-3) and fit.rate.value == pytest.approx(
        0.06e-3, abs=0.006e-3
    )


def test_a_shared_rate_is_kept_apart_only_as_often_as_the_test_says() -> None:
    apart = sum(not fit_wear(*segmented([RATE, RATE], seed=s)).shared for s in range(some(70, 800)))
    assert apart / some(70, 800) == pytest.approx(0.05, abs=0.05)  # 0.026 is one standard error of 70


def test_where_the_test_cannot_tell_the_interval_leaves_both_open() -> None:
    fit = fit_wear(*segmented([RATE, RATE], n=12, seed=4))
    rates = {round(line.rate.value / RATE, 6) for line in fit.straight}
    assert fit.shared and len(rates) > 1  # one for both, and one of its own
    assert sum(line.weight for line in fit.lines) == pytest.approx(1)
    mixed = cores_left(fit, None, 83.12)
    alone = cores_left(replace(fit, lines=(replace(fit.line, weight=1.0),)), None, 83.12)
    assert mixed.straight is not None and mixed.low <= alone.low and mixed.straight[1] >= alone.high


def test_right_after_a_repair_the_rate_is_borrowed_with_its_doubt() -> None:
    x, y, seg = segmented([RATE, RATE, RATE])
    keep = (seg < 2) | (np.arange(len(x)) % 40 < 2)
    fit = fit_wear(x[keep], y[keep], seg[keep])
    assert fit.borrowed and max(line.rate.u for line in fit.lines) > 0.4 * RATE
    left = cores_left(fit, None, 83.12)
    assert left.low < (83.12 - 82.86) / RATE < left.high


def test_of_several_rates_that_differ_the_next_is_as_open_as_they_are_apart() -> None:
    rates = [0.02e-3, 0.03e-3, 0.05e-3, 0.03e-3]
    x, y, seg = segmented(rates, noise=0.005)
    keep = (seg < 3) | (np.arange(len(x)) % 40 < 2)
    fit = fit_wear(x[keep], y[keep], seg[keep])
    assert fit.borrowed and not fit.shared
    assert fit.rate.value == pytest.approx(np.mean(rates[:3]), abs=0.002e-3)
    # the next rate scatters as they do, about a mean that three of them tell
    assert fit.rate.u == pytest.approx(np.std(rates[:3], ddof=1) * (1 + 1 / 3) ** 0.5, rel=0.15)


def test_nothing_measured_since_the_repair_is_said_so() -> None:
    x, y, seg = segmented([RATE, RATE])
    with pytest.raises(DataError, match="nothing was measured since the last repair"):
        fit_wear(x, y, seg, current=2)


@pytest.mark.parametrize(
    "x, y", [([1.0, 2.0], [1.0, 2.0]), ([1.0] * 5, [1.0, 2.0, 3.0, 4.0, 5.0]), ([1.0, 2.0], [1.0])]
)
def test_too_little_is_said_so(x: list[float], y: list[float]) -> None:
    with pytest.raises(DataError):
        fit_wear(x, y)
    with pytest.raises(DataError, match="leave readings without counts out"):
        fit_wear([1.0, 2.0, float("nan")], [1.0, 2.0, 3.0])


def test_three_readings_on_a_line_promise_nothing() -> None:
    left = cores_left(fit_wear([0, 100, 200], [10.0, 10.1, 10.2]), None, 11.0)
    assert left.kind == "unknown" and "too few readings" in left.sentence


def test_equal_readings_promise_no_more_than_the_instrument_can_see() -> None:
    counts = list(range(0, 1000, 100))
    left = cores_left(fit_wear(counts, [10.0] * 10), None, 11.0)
    assert left.kind == "unknown" and "too coarse" in left.sentence
    seen = cores_left(fit_wear(counts, [10.0] * 10, u_reading=0.1 / 12**0.5), None, 11.0)
    assert seen.kind == "at least" and 1000 < seen.low < math.inf


# ------------------ simulated boxes (the full 2,000 in benchmarks): some at every run, seven times as many on demand
def test_intervals_cover_what_was_planted_in_95_percent_of_simulated_boxes() -> None:
    rng = np.random.default_rng(11)
    wearing = [covered(make_box(rng, True)) for _ in range(some(70, 700))]
    still = [covered(make_box(rng, False)) for _ in range(some(14, 140))]
    # 0.02 is one standard error of 84 boxes; wider than 95 % because whether wear stays straight is left open
    assert 0.93 <= np.mean(wearing + still) <= 0.99
    assert np.mean(still) >= 0.91


def test_forecasts_at_half_life_err_by_less_than_a_tenth_in_the_median() -> None:
    rng = np.random.default_rng(12)
    errors = [half_life_error(make_box(rng, True, 0.5)) for _ in range(some(50, 300))]
    assert np.median(errors) <= some(12, 10) / 100  # 0.012 is one standard error of the median of 50


def test_very_many_readings_are_taken_together_and_say_the_same() -> None:
    x, y = box(6000)
    fit = fit_wear(x, y)
    assert fit.n == 6000 and 500 < fit.dof < 650  # as so many blocks of neighbours
    assert fit.sd == pytest.approx(0.03, rel=0.1)
    assert fit.rate.u == pytest.approx(0.03 / (np.std(x) * 6000**0.5), rel=0.15)


def test_a_wild_reading_of_very_many_is_flagged_by_its_own_place() -> None:
    x, y = box(3000)
    y[1234] += 2.0
    assert 1234 in fit_wear(x, y).flagged and len(fit_wear(x, y).flagged) < 4


def test_what_all_readings_are_off_by_together_is_in_the_size_but_not_in_the_rate() -> None:
    x, y = box()
    plain, shared = fit_wear(x, y), fit_wear(x, y, u_shared=0.02)
    assert shared.at(3000.0).u == pytest.approx(math.hypot(plain.at(3000.0).u, 0.02))
    assert shared.rate.u == pytest.approx(plain.rate.u)
    assert cores_left(shared, None, 83.12).low < cores_left(plain, None, 83.12).low


def test_days_and_questions_go_with_the_readings() -> None:
    x, y = box(10)
    with pytest.raises(DataError, match="equally many"):
        fit_wear(x, y, days=[1.0, 2.0])
    with pytest.raises(DataError, match="equally many"):
        fit_wear(x, y, in_question=[True])
