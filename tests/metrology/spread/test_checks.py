"""Tests of: tests that say whether an interval, index or chart may be believed: normality, equal spreads, equal means, drift"""

from __future__ import annotations

from math import inf, isclose, sqrt
from statistics import NormalDist

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.checks import (
    equal_spreads,
    equal_spreads_robust,
    normality,
    one_way,
    order_effects,
    shapiro_wilk,
)
from inspect_tui.metrology.spread.statistics import from_values, lag1


def test_the_tests_agree_with_scipy_on_random_data() -> None:
    from scipy import stats
    from statsmodels.stats.diagnostic import normal_ad

    rng = np.random.default_rng(7)
    for i in range(25):
        n = int(rng.integers(8, 200))
        a = rng.normal(5, 2, n) if i % 2 else rng.exponential(1, n)
        found = normality(a)
        a2, p = normal_ad(a)
        assert found.p is not None
        assert isclose(found.a2 or 0.0, a2, rel_tol=1e-9, abs_tol=1e-9)
        assert isclose(found.p, p, rel_tol=1e-6, abs_tol=1e-12)
        assert found.normal == (found.p >= 0.05)
        assert isclose(shapiro_wilk(a).statistic, stats.shapiro(a).statistic)
        groups = [rng.normal(j * 0.1, 1 + 0.2 * j, int(rng.integers(4, 30))) for j in range(4)]
        f = stats.f_oneway(*groups)
        table = one_way(groups)
        assert isclose(table.f, f.statistic, rel_tol=1e-9)
        assert isclose(table.p, f.pvalue, rel_tol=1e-8)
        bartlett = stats.bartlett(*groups)
        assert isclose(equal_spreads(groups).statistic, bartlett.statistic, rel_tol=1e-9)
        assert isclose(equal_spreads([from_values(g) for g in groups]).p, bartlett.pvalue, rel_tol=1e-8)
        levene = stats.levene(*groups, center="median")
        assert isclose(equal_spreads_robust(groups).statistic, levene.statistic, rel_tol=1e-9)
        line = stats.linregress(np.arange(n), a)
        order = order_effects(a)
        assert isclose(order.slope, line.slope, rel_tol=1e-9, abs_tol=1e-12)
        assert isclose(order.p_slope, line.pvalue, rel_tol=1e-6, abs_tol=1e-12)


def test_normal_readings_are_rarely_called_not_normal() -> None:
    rng = np.random.default_rng(8)
    called = sum(normality(rng.normal(0, 1, 40)).normal is False for _ in range(600))
    assert 12 < called < 50  # 5 % of 600, four standard errors


def test_normality_says_when_it_cannot_tell() -> None:
    assert normality([1.0, 2.0, 3.0]).normal is None
    assert "of 3 readings nothing" in normality([1.0, 2.0, 3.0]).sentence
    assert "too coarse" in normality([2.0] * 20).sentence
    assert "not normal" in normality([0.0] * 10 + [1.0] * 10).sentence
    assert "steps are coarse" in normality([0.0] * 10 + [1.0] * 10).sentence
    assert normality([1.0] * 50 + [1e6]).p == pytest.approx(0.0, abs=1e-20)


def test_drift_and_likeness_are_named() -> None:
    rng = np.random.default_rng(9)
    noise = rng.normal(0, 1, 200)
    assert not order_effects(noise).drifting
    assert not order_effects(noise).correlated
    drifting = order_effects(noise + 0.02 * np.arange(200))
    assert drifting.drifting
    assert "drift by +0.0" in drifting.sentence
    wandering = order_effects(np.cumsum(noise))
    assert wandering.correlated
    assert "resemble" in wandering.sentence
    assert order_effects([1.0, 2.0, 3.0, 4.0, 5.0]).drifting  # on a straight line, beyond doubt
    assert "all 5 readings are equal" in order_effects([2.0] * 5).sentence


def test_likeness_allows_for_the_mean_taken_off() -> None:
    a = np.array([1.0, 3.0, 2.0, 5.0, 4.0, 6.0, 7.0, 5.0, 8.0, 9.0])
    found = order_effects(a)
    assert isclose(found.lag1, lag1(a) or 0.0, rel_tol=1e-12)
    assert isclose(found.p_lag1, 2 * (1 - NormalDist().cdf((found.lag1 + 0.1) * sqrt(10))), rel_tol=1e-9)


def test_comparisons_refuse_what_they_cannot_compare() -> None:
    with pytest.raises(DataError, match="at least two"):
        one_way([[1.0, 2.0]])
    with pytest.raises(DataError, match="repeat the readings"):
        one_way([[1.0], [2.0]])
    with pytest.raises(DataError, match="only equal readings"):
        equal_spreads([[1.0, 1.0], [1.0, 2.0]])
    with pytest.raises(DataError, match="two groups of at least two"):
        equal_spreads([[1.0, 2.0], [1.0]])
    with pytest.raises(DataError, match="are equal"):
        shapiro_wilk([1.0, 1.0, 1.0])
    assert one_way([[1.0, 1.0], [2.0, 2.0]]).f == inf
    assert one_way([[1.0, 1.0], [1.0, 1.0]]).f == 0.0


def test_neighbours_that_alternate_are_not_said_to_resemble_each_other() -> None:
    seen = order_effects([10.0 + 0.1 * (-1) ** i + 0.001 * ((i * 7) % 5) for i in range(60)])
    assert seen.correlated
    assert seen.lag1 < 0
    assert "lie on opposite sides" in seen.sentence
    assert "resemble" not in seen.sentence
