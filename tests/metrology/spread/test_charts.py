"""Charts: segments, provisional limits, tests for assignable causes, EWMA and CUSUM, odd input, cost."""

from __future__ import annotations

from math import isclose, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_constants import constants
from inspect_tui.metrology.spread.chart_rules import RULES
from inspect_tui.metrology.spread.charts import Break, individuals, means_range, means_s
from tests.operations import calls


def steady(n: int = 40, seed: int = 1) -> list[float]:
    return [float(v) for v in np.round(np.random.default_rng(seed).normal(52, 0.1, n), 3)]


# ------------------------------------------------------------------------------ constants


# ------------------------------------------------------------------------------ tests for assignable causes
def hits(name: str, z: list[float]) -> list[int]:
    return [int(i) for i in np.flatnonzero(RULES[name].hits(np.array(z, dtype=float)))]


# ------------------------------------------------------------------------------ individuals
def test_limits_come_from_the_mean_moving_range() -> None:
    x = steady()
    chart = individuals(x)
    sigma = float(np.abs(np.diff(x)).mean()) / (2 / np.sqrt(np.pi))
    assert isclose(chart.centre[0] or 0, float(np.mean(x)), rel_tol=1e-12)
    assert isclose(chart.upper[5] or 0, float(np.mean(x)) + 3 * sigma, rel_tol=1e-12)
    assert isclose(chart.lower[5] or 0, float(np.mean(x)) - 3 * sigma, rel_tol=1e-12)
    assert not chart.provisional
    assert chart.companion is not None
    assert chart.companion.points[0] is None
    assert isclose(chart.companion.points[1] or 0, abs(x[1] - x[0]), abs_tol=1e-12)
    assert set(chart.companion.lower) == {0.0}  # a range is never negative
    assert chart.points == tuple(x)


def test_a_wild_reading_is_a_signal_and_the_median_range_is_not_widened_by_it() -> None:
    x = steady()
    x[20] = 55.0
    chart, robust = individuals(x), individuals(x, median=True)
    assert any(s.index == 20 and s.rule == "beyond_limits" for s in chart.signals)
    assert "point 21 (55)" in chart.sentence
    assert (robust.segments[0].sigma or 0) < 0.6 * (chart.segments[0].sigma or 0)


def test_a_new_segment_starts_fresh_limits_and_runs() -> None:
    x = steady(30, 10) + [v + 1.0 for v in steady(30, 2)]
    one = individuals(x)
    two = individuals(x, [Break(30, "box lined")])
    assert one.signals
    assert not [s for s in two.signals if s.rule == "beyond_limits"]
    assert [(s.start, s.stop, s.reason) for s in two.segments] == [(0, 30, "start"), (30, 60, "box lined")]
    assert two.centre[29] != two.centre[30]
    assert two.companion is not None
    assert two.companion.points[30] is None  # no moving range across the repair
    # six points high before, one after: no run of seven across the break
    y = [*([0.1, 0.0] * 12), *([1.0] * 6)]
    high = individuals([*y, 1.0, *([0.0, 0.1] * 12)], [Break(30, "new revision")], centre=0.05, sigma=10.0)
    assert not [s for s in high.signals if s.rule == "seven_one_side"]
    joined = individuals([*y, 1.0, *([0.0, 0.1] * 12)], centre=0.05, sigma=10.0)
    assert [s for s in joined.signals if s.rule == "seven_one_side"]


def test_two_reasons_at_one_place_are_both_kept() -> None:
    chart = individuals(steady(50), [Break(25, "repair"), Break(25, "new instrument"), Break(0, "first batch")])
    assert [s.reason for s in chart.segments] == ["first batch", "repair; new instrument"]
    with pytest.raises(DataError, match="outside the 50 points"):
        individuals(steady(50), [Break(51, "late")])


def test_less_than_twenty_points_are_provisional_unless_limits_were_set_beforehand() -> None:
    assert individuals(steady(19)).provisional
    assert "fewer than 20" in individuals(steady(19)).sentence
    assert not individuals(steady(20)).provisional
    assert not individuals(steady(5), centre=52.0, sigma=0.1).provisional
    assert individuals(steady(40), [Break(30, "repair")]).provisional
    assert individuals(steady(40), baseline=10).provisional


def test_limits_from_the_first_points_hold_for_the_rest() -> None:
    x = steady(30, 10) + [v + 0.5 for v in steady(30, 3)]
    chart = individuals(x, baseline=30)
    assert isclose(chart.centre[0] or 0, float(np.mean(x[:30])), rel_tol=1e-12)
    assert any(s.index >= 30 for s in chart.signals)
    assert not any(s.index < 30 and s.rule == "beyond_limits" for s in chart.signals)


def test_none_one_two_and_equal_points() -> None:
    assert individuals([]).points == ()
    assert "no points" in individuals([]).sentence
    one = individuals([5.0])
    assert one.upper == (None,)
    assert "no limits can be drawn yet" in one.sentence
    two = individuals([5.0, 5.1])
    assert two.upper[0] is not None
    assert two.provisional
    equal = individuals([5.0] * 30)
    assert equal.upper[0] is None
    assert "all 30 readings are equal" in equal.sentence
    with pytest.raises(DataError, match="reading 2"):
        individuals([1.0, nan, 2.0])


def test_points_that_lean_on_each_other_or_are_not_normal_put_the_limits_in_doubt() -> None:
    rng = np.random.default_rng(5)
    walking = individuals(np.cumsum(rng.normal(0, 1, 100)))
    assert any("not independent" in d for d in walking.doubts)
    skewed = individuals(rng.exponential(1, 200))
    assert any("not normal" in d for d in skewed.doubts)
    assert individuals(steady(100)).doubts == ()


@given(st.integers(0, 2**32 - 1), st.floats(0.01, 100), st.floats(-1000, 1000))
@settings(max_examples=30, deadline=None)
def test_signals_do_not_depend_on_unit_or_origin(seed: int, scale: float, shift: float) -> None:
    x = np.random.default_rng(seed).normal(0, 1, 60)
    one, two = individuals(x), individuals(x * scale + shift)
    assert [(s.index, s.last, s.rule) for s in one.signals] == [(s.index, s.last, s.rule) for s in two.signals]


# ------------------------------------------------------------------------------ subgroups
def test_subgroup_limits_are_the_textbook_ones() -> None:
    groups = np.random.default_rng(6).normal(10, 0.2, (25, 5))
    c = constants(5)
    by_r, by_s = means_range(groups.tolist()), means_s(groups.tolist())
    grand, r_bar = groups.mean(), np.ptp(groups, axis=1).mean()
    s_bar = groups.std(axis=1, ddof=1).mean()
    assert isclose(by_r.upper[0] or 0, grand + c.A2 * r_bar, rel_tol=1e-12)
    assert isclose(by_s.upper[0] or 0, grand + c.A3 * s_bar, rel_tol=1e-12)
    assert by_r.companion is not None
    assert by_s.companion is not None
    assert isclose(by_r.companion.upper[0] or 0, c.D4 * r_bar, rel_tol=1e-12)
    assert isclose(by_s.companion.upper[0] or 0, c.B4 * s_bar, rel_tol=1e-12)
    assert by_s.companion.lower[0] == 0.0
    assert by_r.companion.false_alarm == pytest.approx(0.0046, abs=1e-4)


def test_given_limits_use_sigma_itself() -> None:
    groups = np.random.default_rng(6).normal(10, 0.2, (5, 4))
    chart = means_s(groups.tolist(), centre=10.0, sigma=0.2)
    assert isclose(chart.upper[0] or 0, 10.3, rel_tol=1e-12)
    assert not chart.provisional


def test_subgroups_of_different_size_have_their_own_limits() -> None:
    rng = np.random.default_rng(7)
    groups = [list(rng.normal(10, 0.2, n)) for n in [3, 5] * 15]
    for chart in (means_s(groups), means_range(groups)):
        narrow, wide = (chart.upper[1] or 0) - (chart.centre[1] or 0), (chart.upper[0] or 0) - (chart.centre[0] or 0)
        assert isclose(wide / narrow, np.sqrt(5 / 3), rel_tol=1e-9)


def test_subgroups_of_one_are_refused_and_none_is_empty() -> None:
    with pytest.raises(DataError, match="subgroup 2 has 1 reading"):
        means_s([[1.0, 2.0], [3.0]])
    assert "no points" in means_range([]).sentence


# ------------------------------------------------------------------------------ memory


# ------------------------------------------------------------------------------ counts


# ------------------------------------------------------------------------------ cost
def test_a_hundred_thousand_points_are_charted_at_once() -> None:
    x = np.round(np.random.default_rng(9).normal(52, 0.1, 100_000), 2)
    assert len(individuals(x).points) == 100_000
    assert calls(lambda: individuals(x)) < 20_000  # 5,800: a few for each stretch of readings, never one a reading
