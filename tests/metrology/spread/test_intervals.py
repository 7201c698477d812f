"""Intervals: independent integration, coverage on simulated readings, and what they say when they do not hold."""

from __future__ import annotations

from math import inf, isclose, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from scipy.optimize import brentq

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.intervals import (
    distribution_free_interval,
    fewest_for_extremes,
    mean_interval,
    prediction_interval,
    sd_bounds,
    sd_interval,
    tolerance_factor,
    tolerance_factor_one_sided,
    tolerance_interval,
)
from inspect_tui.metrology.spread.statistics import from_values


def k_by_quadrature(n: int, p: float, confidence: float) -> float:
    """The defining integral by another road: Gauss and Legendre's nodes and bisection throughout."""
    nodes, weights = np.polynomial.legendre.leggauss(120)
    end = 8 / sqrt(n)
    z, weights = (nodes + 1) * end / 2, weights * end / 2
    covers = [
        brentq(lambda x, z=z: stats.norm.cdf(z + x) - stats.norm.cdf(z - x) - p, 0, z + 20, xtol=1e-13) for z in z
    ]
    density = 2 * weights * stats.norm.pdf(z * sqrt(n)) * sqrt(n)

    def held(k: float) -> float:
        return float(density @ stats.chi2.sf((n - 1) * (np.array(covers) / k) ** 2, n - 1))

    return float(brentq(lambda k: held(k) - confidence, 1, 200, xtol=1e-9))


@pytest.mark.parametrize(("n", "p", "confidence"), [(5, 0.99, 0.95), (10, 0.9, 0.99), (30, 0.95, 0.95)])
def test_two_sided_factor_agrees_with_another_quadrature(n: int, p: float, confidence: float) -> None:
    assert isclose(tolerance_factor(n, p, confidence), k_by_quadrature(n, p, confidence), rel_tol=1e-8)


@given(st.integers(2, 200), st.floats(0.5, 0.999), st.floats(0.5, 0.999))
@settings(max_examples=30, deadline=None)
def test_one_sided_factor_is_the_noncentral_t_quantile(n: int, p: float, confidence: float) -> None:
    k = tolerance_factor_one_sided(n, p, confidence)
    assert isclose(stats.nct.cdf(k * sqrt(n), n - 1, stats.norm.ppf(p) * sqrt(n)), confidence, abs_tol=1e-7)


@given(st.integers(3, 300), st.floats(0.5, 0.995), st.floats(0.5, 0.995))
@settings(max_examples=40, deadline=None)
def test_factors_grow_with_what_is_asked_and_shrink_with_readings(n: int, p: float, confidence: float) -> None:
    k = tolerance_factor(n, p, confidence)
    assert tolerance_factor(n, (1 + p) / 2, confidence) > k
    assert tolerance_factor(n, p, (1 + confidence) / 2) > k
    if confidence > 0.7:  # a low confidence asks for less than the known factor, which is approached from below
        assert tolerance_factor(2 * n, p, confidence) < k
    assert tolerance_factor(10**6, p, confidence) == pytest.approx(stats.norm.ppf((1 + p) / 2), rel=0.01)


def test_intervals_hold_as_often_as_they_say() -> None:
    """Computed here: 3000 samples of 12 readings; bounds of four standard errors."""
    rng = np.random.default_rng(1)
    runs, n = 3000, 12
    held = {"mean": 0, "sd": 0, "next": 0, "three": 0, "tolerance": 0, "upper": 0}
    for _ in range(runs):
        summary = from_values(rng.normal(10, 2, n))
        mean, sd = mean_interval(summary), sd_interval(summary)
        held["mean"] += mean.lower <= 10 <= mean.upper
        held["sd"] += sd.lower <= 2 <= sd.upper
        nxt = prediction_interval(summary)
        held["next"] += nxt.lower <= rng.normal(10, 2) <= nxt.upper
        three, drawn = prediction_interval(summary, future=3), rng.normal(10, 2, 3)
        held["three"] += bool((three.lower <= drawn).all() and (drawn <= three.upper).all())
        two = tolerance_interval(summary, 0.9, 0.95)
        held["tolerance"] += stats.norm.cdf(two.upper, 10, 2) - stats.norm.cdf(two.lower, 10, 2) >= 0.9
        held["upper"] += stats.norm.cdf(tolerance_interval(summary, 0.9, 0.95, "upper").upper, 10, 2) >= 0.9
    error = 4 * sqrt(0.95 * 0.05 / runs)
    for name, count in held.items():
        slack = 0.01 if name == "three" else 0.0  # Bonferroni is a little wide
        assert -error <= count / runs - 0.95 <= error + slack, (name, count / runs)


def test_readings_that_are_not_normal_are_told() -> None:
    skewed = np.random.default_rng(2).exponential(1, 60)
    found = tolerance_interval(skewed)
    assert found.holds is False
    assert "not normal" in found.sentence
    assert "do not hold" in found.sentence
    assert mean_interval(skewed).holds  # sixty readings: their mean is normal enough
    assert mean_interval(skewed[:12]).holds is False
    assert sd_interval([1.0, 2.0, 3.0]).holds is None
    assert "could not be judged" in sd_interval([1.0, 2.0, 3.0]).sentence
    assert "normally distributed" in found.assumptions
    assert tolerance_interval(np.random.default_rng(4).normal(0, 1, 60)).holds


def test_extremes_need_no_distribution_but_many_readings() -> None:
    few = distribution_free_interval([3.0, 1.0, 2.0])
    assert (few.lower, few.upper) == (1.0, 3.0)
    assert few.holds is False
    assert "take 93 readings" in few.sentence
    many = distribution_free_interval(np.random.default_rng(4).exponential(1, 93))
    assert many.holds
    assert many.level >= 0.95


@given(st.floats(0.05, 0.99), st.floats(0.05, 0.99), st.sampled_from([1, 2]))
def test_the_fewest_readings_are_enough_and_one_less_is_not(p: float, confidence: float, sides: int) -> None:
    n = fewest_for_extremes(p, confidence, sides)

    def reached(k: int) -> float:
        return 1 - p**k if sides == 1 else 1 - k * p ** (k - 1) + (k - 1) * p**k

    assert reached(n) >= confidence - 1e-12
    assert n == sides or reached(n - 1) < confidence + 1e-12


@pytest.mark.parametrize("call", [mean_interval, sd_interval, prediction_interval, tolerance_interval])
def test_too_few_readings_are_refused_with_a_sentence(call) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(DataError, match="no readings"):
        call([])
    with pytest.raises(DataError, match="one reading"):
        call([5.0])
    two = call([5.0, 5.1])
    assert 0.0 < two.upper - two.lower < inf
    assert two.holds is None


def test_nonsense_is_refused() -> None:
    with pytest.raises(DataError, match="no share"):
        tolerance_factor(10, 95.0, 0.95)
    with pytest.raises(DataError, match="no probability"):
        mean_interval([1.0, 2.0], 95.0)
    with pytest.raises(DataError, match="side is"):
        tolerance_interval([1.0, 2.0, 3.0], side="left")
    with pytest.raises(DataError, match="one or more"):
        prediction_interval([1.0, 2.0], future=0)


def test_open_sides_are_infinite_and_equal_readings_give_no_width() -> None:
    assert tolerance_interval([1.0, 2.0, 3.0], side="upper").lower == -inf
    equal = tolerance_interval([2.0] * 10)
    assert equal.lower == equal.upper == 2.0
    assert equal.holds is None


def test_sd_bounds_take_fractional_degrees_of_freedom() -> None:
    low, high = sd_bounds(1.0, 12.5)
    assert isclose(stats.chi2.cdf(12.5 / low**2, 12.5), 0.975, rel_tol=1e-9)
    assert isclose(stats.chi2.cdf(12.5 / high**2, 12.5), 0.025, rel_tol=1e-9)
