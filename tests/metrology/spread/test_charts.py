"""Charts: segments, provisional limits, tests for assignable causes, EWMA and CUSUM, odd input, cost."""

from __future__ import annotations

from math import inf, isclose, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_constants import constants, d2_star, range_moments, range_tail, sd_tail
from inspect_tui.metrology.spread.chart_counts import counts_chart, fractions_chart
from inspect_tui.metrology.spread.chart_memory import cusum, cusum_run_length, ewma, ewma_run_length, smooth, sums
from inspect_tui.metrology.spread.chart_rules import DEFAULT, RULES, beyond, false_alarms, rules
from inspect_tui.metrology.spread.charts import Break, individuals, means_range, means_s
from tests.operations import calls


def steady(n: int = 40, seed: int = 1) -> list[float]:
    return [float(v) for v in np.round(np.random.default_rng(seed).normal(52, 0.1, n), 3)]


# ------------------------------------------------------------------------------ constants
def test_constants_agree_with_simulated_ranges() -> None:
    for n in (3, 7, 25):
        w = np.ptp(np.random.default_rng(n).standard_normal((100_000, n)), axis=1)
        mean, sd = range_moments(n)
        assert abs(float(w.mean()) - mean) < 4 * sd / 316
        assert abs(float(w.std()) - sd) < 0.01
        c = constants(n)
        exact = stats.studentized_range.cdf(c.D1, n, inf) + stats.studentized_range.sf(c.D2, n, inf)
        assert isclose(range_tail(n, c.D1, c.D2), exact, rel_tol=1e-4)
        s = np.random.default_rng(n).standard_normal((100_000, n)).std(axis=1, ddof=1)
        assert abs(float(((s < c.B5) | (s > c.B6)).mean()) - sd_tail(n, c.B5, c.B6)) < 0.001


def test_constants_refuse_sizes_that_cannot_be() -> None:
    for n in (0, 1, 1001):
        with pytest.raises(DataError, match="subgroups of 2 to 1000"):
            constants(n)
    with pytest.raises(DataError, match="one or more"):
        d2_star(3, 0)
    assert constants(1000).d2 > constants(999).d2 > 6


# ------------------------------------------------------------------------------ tests for assignable causes
def hits(name: str, z: list[float]) -> list[int]:
    return [int(i) for i in np.flatnonzero(RULES[name].hits(np.array(z, dtype=float)))]


def test_each_pattern_is_found_where_it_is_complete_and_not_before() -> None:
    assert hits("beyond_limits", [0, 3.01, 0, -3.01, 3.0]) == [1, 3]
    assert hits("seven_one_side", [-1, *[0.5] * 8]) == [7, 8]
    assert hits("seven_one_side", [0.5] * 6 + [-0.1] + [0.5] * 6) == []
    assert hits("seven_one_side", [0.5] * 6 + [0.0] + [0.5] * 6) == []  # a point on the line is on neither side
    assert hits("seven_trend", [0, 1, 2, 3, 4, 5, 6]) == [6]
    assert hits("seven_trend", [0, -1, -2, -3, -4, -5, -6, -7]) == [6, 7]
    assert hits("seven_trend", [0, 1, 2, 3, 3, 4, 5, 6]) == []  # standing still is no trend
    assert hits("six_trend", [5, 4, 3, 2, 1, 0]) == [5]
    assert hits("fourteen_alternating", [0.1, -0.1] * 7) == [13]
    assert hits("fourteen_alternating", [0.1, -0.1] * 6 + [0.1]) == []
    assert hits("two_of_three_in_a", [2.1, 0, 2.1]) == [2]
    assert hits("two_of_three_in_a", [2.1, 0, 0, 2.1]) == []
    assert hits("two_of_three_in_a", [2.1, -2.1, 0]) == []  # both must lie on one side
    assert hits("two_of_three_in_a", [2.1, 2.1, 0]) == [1]  # the signal stands at a point that is out itself
    assert hits("four_of_five_in_b", [1.1, 1.1, 0, 1.1, 1.1]) == [4]
    assert hits("four_of_five_in_b", [-1.1, -1.1, 0, 1.1, -1.1]) == []
    assert hits("nine_one_side", [0.1] * 9) == [8]
    assert hits("eight_one_side", [-0.1] * 8) == [7]
    assert hits("fifteen_in_c", [0.9, -0.9] * 7 + [0.5]) == [14]
    assert hits("fifteen_in_c", [0.9, -0.9] * 7 + [1.5]) == []
    assert hits("eight_outside_c", [1.5, -1.5] * 4) == [7]
    assert hits("eight_outside_c", [1.5] * 8) == []  # all on one side is another pattern


@given(st.lists(st.floats(-4, 4), max_size=40), st.sampled_from(sorted(RULES)))
def test_mirrored_points_give_the_same_signals(z: list[float], name: str) -> None:
    assert hits(name, z) == hits(name, [-v for v in z])


@given(st.lists(st.floats(-4, 4), min_size=1, max_size=40), st.integers(1, 5), st.integers(0, 4), st.floats(0, 3))
def test_k_of_m_is_counted_as_it_reads(z: list[float], k: int, more: int, limit: float) -> None:
    m = k + more
    rule = beyond("one", k, m, limit, "", "")
    want = []
    for i in range(len(z)):
        last = z[max(0, i - m + 1) : i + 1]
        up, down = sum(v > limit for v in last), sum(v < -limit for v in last)
        want.append((z[i] > limit and up >= k) or (z[i] < -limit and down >= k))
    assert rule.hits(np.array(z)).tolist() == want


def test_unknown_tests_are_refused_with_the_list() -> None:
    with pytest.raises(DataError, match="beyond_limits"):
        rules(["nine"])
    with pytest.raises(DataError, match="cannot be"):
        beyond("odd", 3, 2, 1.0, "", "")
    assert false_alarms(rules(DEFAULT)) == pytest.approx(0.0027 + 2 / 128 + 2 / 5040, abs=1e-6)


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
@given(st.lists(st.floats(-50, 50), min_size=1, max_size=50), st.floats(0.01, 1))
def test_ewma_is_its_recursion(x: list[float], weight: float) -> None:
    z, want = 5.0, []
    for v in x:
        z = weight * v + (1 - weight) * z
        want.append(z)
    assert np.allclose(smooth(np.array(x), weight, 5.0), want, rtol=1e-9, atol=1e-9)
    both = smooth(np.array([x, x[::-1]]), weight, 5.0)
    assert np.allclose(both[0], want, rtol=1e-9, atol=1e-9)


@given(st.lists(st.floats(-5, 5), min_size=1, max_size=60), st.floats(0, 2), st.floats(0, 3))
def test_cusum_is_its_recursion(x: list[float], k: float, head: float) -> None:
    s, want = head, []
    for v in x:
        s = max(0.0, s + v - k)
        want.append(s)
    assert np.allclose(sums(np.array(x), k, head), want, atol=1e-9)


def test_small_lasting_shifts_are_found_with_their_beginning() -> None:
    rng = np.random.default_rng(8)
    x = np.concatenate([rng.normal(0, 1, 60), rng.normal(1.2, 1, 40)])
    found = cusum(x, centre=0.0, sigma=1.0)
    signal = found.signals[0]
    assert 60 <= signal.index < 80
    began = int(signal.sentence.rsplit("point ", 1)[1])
    assert 55 <= began <= 66
    assert "shifted by about +" in signal.sentence
    assert found.companion is not None
    down = cusum(-x, centre=0.0, sigma=1.0)
    assert down.companion is not None
    assert down.companion.signals[0].index == signal.index
    assert "shifted by about -" in down.companion.signals[0].sentence
    assert any(60 <= s.index < 80 for s in ewma(x, centre=0.0, sigma=1.0).signals)


def test_the_beginning_and_size_of_a_noiseless_shift_are_exact() -> None:
    found = cusum([0.0] * 60 + [1.2] * 20, k=0.5, h=5.0, centre=0.0, sigma=1.0)
    assert found.signals[0].index == 67  # 0.7 a point: eight points to pass five
    assert found.signals[0].sentence.endswith("shifted by about +1.2 since point 61")


def test_memory_restarts_at_a_segment() -> None:
    x = [0.0] * 20 + [1.0] * 4 + [0.0] * 20
    assert ewma(x, 0.3, breaks=[Break(24, "repair")], centre=0.0, sigma=0.5).points[24] == 0.0
    assert ewma(x, 0.3, centre=0.0, sigma=0.5).points[24] != 0.0
    assert cusum(x, breaks=[Break(24, "repair")], centre=0.0, sigma=0.5).points[24] == 0.0


def test_memory_charts_state_their_run_length() -> None:
    assert ewma(steady()).false_alarm == pytest.approx(1 / 500, rel=0.01)
    assert cusum(steady()).false_alarm == pytest.approx(1 / 465.4, rel=0.001)
    assert cusum(steady(), head_start=2.5).false_alarm > cusum(steady()).false_alarm
    for n in (0, 1):
        assert ewma(steady(n)).signals == ()
        assert cusum(steady(n)).signals == ()
    assert ewma([3.0] * 25).upper[0] is None


def test_designs_that_cannot_be_are_refused() -> None:
    with pytest.raises(DataError, match="between 0 and 1"):
        ewma(steady(), 0.0)
    with pytest.raises(DataError, match="cannot be"):
        ewma_run_length(0.2, -1.0)
    with pytest.raises(DataError, match="cannot be"):
        cusum_run_length(0.5, 5.0, head_start=6.0)


# ------------------------------------------------------------------------------ counts
def test_counts_and_fractions_refuse_nonsense() -> None:
    with pytest.raises(DataError, match="negative"):
        counts_chart([1, -1])
    with pytest.raises(DataError, match="more bad ones"):
        fractions_chart([5], [4])
    with pytest.raises(DataError, match="each lot its size"):
        fractions_chart([1, 2], [10])
    assert counts_chart([0, 0, 0]).upper == (None,) * 3
    assert counts_chart([]).points == ()
    uneven = fractions_chart([1, 2, 3] * 8, [20, 50, 100] * 8)
    assert (uneven.upper[0] or 0) > (uneven.upper[1] or 0) > (uneven.upper[2] or 0)
    assert counts_chart([1, 2, 0, 3]).provisional


# ------------------------------------------------------------------------------ cost
def test_a_hundred_thousand_points_are_charted_at_once() -> None:
    x = np.round(np.random.default_rng(9).normal(52, 0.1, 100_000), 2)
    assert len(individuals(x).points) == 100_000
    assert calls(lambda: individuals(x)) < 20_000  # 5,800: a few for each stretch of readings, never one a reading
