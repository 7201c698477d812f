"""Cores a week with their scatter, and what is left from today: weeks, risk, counts carried forward."""

from __future__ import annotations

from math import hypot, inf, sqrt

import numpy as np
import pytest
from scipy import stats

from inspect_tui.metrology.wear.cores_left import NO_END
from inspect_tui.metrology.wear.weeks import (
    OLD_WEEKS,
    UNKNOWN_SCATTER,
    Z95,
    Making,
    _leaning,
    ahead,
    making,
)
from tests.amounts import some
from tests.benchmarks.weeks_worlds import score

STEADY = Making(100.0, 0.0, 0.0)
ROUGH = Making(100.0, 5.0, 40.0)


def test_cores_a_week_are_those_of_the_last_weeks_and_scatter_as_they_do() -> None:
    days = [0.0, *range(200, 285, 7)]  # one old count, then thirteen a week apart: twelve weeks
    weekly = [90, 110, 100, 130, 70, 100, 95, 105, 120, 80, 100, 100]
    made = [0.0, 5000.0, *(5000.0 + np.cumsum(weekly)).tolist()]
    got = making(days, made)
    assert got is not None and got.per_week == pytest.approx(100)
    sd = np.std(weekly, ddof=1)
    assert got.scatter == pytest.approx(sd * stats.t.ppf(0.975, 11) / stats.norm.ppf(0.975), rel=1e-6)
    assert got.u == pytest.approx(got.scatter / sqrt(12))


def test_busy_weeks_that_follow_each_other_scatter_more_in_the_sum() -> None:
    days = [float(7 * d) for d in range(25)]
    apart, together = np.resize([60, 140], 24), np.repeat([60, 140, 60, 140], 6)
    u = [
        lately.u
        for weekly in (apart, together)
        if (lately := making(days, [0.0, *np.cumsum(weekly).tolist()], weeks=24)) is not None
    ]
    # neighbours correlate by r = 17 / 24, made good to 17/24 + (1 + 51/24) / 24 = 0.839, held at 0.7; no more is taken
    # for what few weeks hide where the scatter is beyond half of what is made
    widened = stats.t.ppf(0.975, 23) / Z95
    assert u[1] / u[0] == pytest.approx((1.7 / 0.3) ** 0.5 / widened)
    late = making(days, [0.0, *np.cumsum(together).tolist()])  # the rate is that of the last twelve, the leaning of all
    assert late is not None and late.per_week == 100.0
    assert late.scatter == pytest.approx(np.std(together[12:], ddof=1) * (1.7 / 0.3) ** 0.5)


def test_a_little_leaning_is_made_good_for_what_few_weeks_hide() -> None:
    off = [1.0, 1.0, -1.0, -1.0, 1.0, 1.0, -1.0, -1.0]
    r = 1 / 8  # 4 of the 7 neighbours agree, 3 do not
    r += (1 + 3 * r) / 8
    r += 0.75 * ((1 - r * r) / 8) ** 0.5  # three quarters of a standard error more, as eight weeks show it no better
    assert _leaning(off) == pytest.approx((1 + r) / (1 - r))
    assert _leaning(off[:5]) == 1.0 == _leaning([0.0] * 9) and _leaning([1.0, -1.0] * 6) == 1.0


def test_the_weeks_left_hold_and_the_risk_comes_true() -> None:
    weeks, rate, risks = score("12 weeks", some(150, 2000), seed=3)
    assert 0.9 <= weeks <= 0.99 and 0.9 <= rate <= 0.995
    assert risks[:, 0].mean() == pytest.approx(risks[:, 1].mean(), abs=0.04)


def test_counts_every_few_days_are_taken_by_the_week() -> None:
    days, made = [float(d) for d in range(0, 85)], [10.0 * d for d in range(0, 85)]
    got = making(days, made)
    assert got is not None and got.per_week == pytest.approx(70) and got.scatter == pytest.approx(0, abs=1e-6)


def test_too_few_counts_scatter_as_is_usual_and_none_give_no_rate() -> None:
    assert making([10, 40], [0, 300]) == Making(70.0, UNKNOWN_SCATTER * 70 / sqrt(30 / 7), UNKNOWN_SCATTER * 70)
    assert making([1, 5], [0, 100]) is None and making([1], [0]) is None and making([1, 30], [50, 50]) is None


def test_what_was_made_since_scatters_with_the_root_of_weeks_and_with_the_mean() -> None:
    assert ROUGH.made(9) == (900, pytest.approx(hypot(120, 45))) and ROUGH.made(-1) == (0.0, 0.0)


def test_with_a_steady_production_weeks_are_cores_over_the_rate() -> None:
    made = ahead("left", 2000.0, 1200.0, 3000.0, STEADY)
    assert (made.weeks, made.weeks_low, made.weeks_high) == pytest.approx((20, 12, 30))
    assert (made.left, made.low, made.high) == pytest.approx((2000, 1200, 3000)) and not made.old
    later = ahead("left", 2000.0, 1200.0, 3000.0, STEADY, idle=7)
    assert (later.weeks, later.weeks_low, later.weeks_high) == pytest.approx((13, 5, 23))
    assert (later.left, later.low, later.made) == pytest.approx((1300, 500, 700)) and later.old and OLD_WEEKS < 7


def test_the_scatter_of_production_widens_weeks_and_cores_of_today() -> None:
    steady, rough = (ahead("left", 2000.0, 1200.0, 3000.0, m, idle=4) for m in (STEADY, ROUGH))
    assert rough.weeks_low < steady.weeks_low and rough.weeks_high > steady.weeks_high  # type: ignore[operator]
    assert rough.low < steady.low and rough.high > steady.high
    # at the lower end: as many weeks as make 2000 less both half widths in squares
    at = rough.weeks_low + 4  # type: ignore[operator]
    assert at * 100 == pytest.approx(2000 - hypot(800, Z95 * ROUGH.made(at)[1]), abs=1)


def test_simulated_weeks_fall_in_the_interval_as_often_as_it_says() -> None:
    rng = np.random.default_rng(3)
    said = ahead("left", 2000.0, 1200.0, 2800.0, ROUGH, idle=4)
    held = at_risk = 0
    for _ in range(2000):
        limit = rng.normal(2000, 800 / Z95)
        per_week = rng.normal(100, 5)
        total, weeks = 0.0, 0
        while total < limit and weeks < 200:
            total += rng.normal(per_week, 40)
            weeks += 1
        held += said.weeks_low <= weeks - 4 - 0.5 <= said.weeks_high  # type: ignore[operator]
        at_risk += weeks <= 8
    assert held / 2000 == pytest.approx(0.95, abs=0.02)
    assert said.risk == pytest.approx(at_risk / 2000, abs=0.015)


def test_risk_is_known_at_the_ends_of_the_interval_and_between() -> None:
    for count, p in ((1200, 0.025), (2000, 0.5), (3000, 0.975)):
        assert ahead("left", 2000.0, 1200.0, 3000.0, STEADY, horizon=count / 100).risk == pytest.approx(p, abs=1e-6)
    assert ahead("left", 2000.0, 0.0, 3000.0, STEADY, known=(400.0, 0.1)).risk == pytest.approx(0.1)
    endless = [ahead("left", 2000.0, 1200.0, inf, STEADY, horizon=h).risk for h in (4, 12, 20, 100, 1000)]
    assert endless == sorted(endless) and endless[-1] < 0.975 and endless[2] == pytest.approx(0.5)  # type: ignore[type-var]


def test_without_wear_there_is_a_least_and_a_risk_that_stays_below_a_half() -> None:
    made = ahead("at least", None, 3000.0, inf, STEADY)
    assert made.weeks is None and made.weeks_low == pytest.approx(30) and made.low == 3000
    assert ahead("at least", None, 3000.0, inf, STEADY, horizon=30).risk == pytest.approx(NO_END)
    assert ahead("at least", None, 3000.0, inf, STEADY, horizon=1e6).risk < 0.5  # type: ignore[operator]
    later = ahead("at least", None, 3000.0, inf, ROUGH, idle=10)
    assert later.low < 2000 and later.weeks_low < 20  # type: ignore[operator]


def test_a_limit_reached_since_the_last_count_is_passed() -> None:
    made = ahead("left", 600.0, 300.0, 1500.0, ROUGH, idle=10)
    assert made.kind == "past" and made.carried and made.left == 0.0
    assert made.weeks == pytest.approx(-4) and made.risk is not None and made.risk >= 0.5
    known = ahead("past", 0.0, 0.0, 200.0, ROUGH, idle=10)
    assert known.kind == "past" and not known.carried and known.risk == 1.0


def test_without_cores_a_week_nothing_is_carried_forward() -> None:
    made = ahead("left", 600.0, 300.0, 1500.0, None, idle=100)
    assert (made.kind, made.left, made.weeks, made.risk) == ("left", 600.0, None, None)
    assert ahead("past", 0.0, 0.0, 0.0, None).risk == 1.0 and ahead("unknown", None, 0.0, inf, STEADY).risk is None


def test_risk_spreads_with_what_is_made() -> None:
    # limit N(2000, 800 / 1.96), cores of eight weeks N(800, u): P = Phi((800 - 2000) / sqrt of both variances)
    said = ahead("left", 2000.0, 1200.0, 2800.0, ROUGH, idle=4)
    u = ROUGH.made(8)[1]
    assert said.risk == pytest.approx(stats.norm.cdf((800 - 2000) / hypot(800 / Z95, u)), rel=1e-6)
