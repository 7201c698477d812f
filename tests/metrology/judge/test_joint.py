"""The joint chance of normal quantities: closed forms, scipy's own integral, and what depends wholly on the rest."""

from __future__ import annotations

from math import asin, pi
from statistics import NormalDist

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge.joint import p_all_above

PHI = NormalDist().cdf


@pytest.mark.parametrize("r", [-0.9, -0.5, 0.0, 0.3, 0.8, 0.99])
def test_two_and_three_quantities_about_nought(r: float) -> None:
    """1/4 + asin(r) / 2 pi; of three 1/8 + (sum of the three asin) / 4 pi (Stuart and Ord, from memory)."""
    assert p_all_above([0.0, 0.0], [[1.0, r], [r, 1.0]]) == pytest.approx(0.25 + asin(r) / (2 * pi), abs=3e-4)
    if r > -0.5:
        three = np.full((3, 3), r) + (1.0 - r) * np.eye(3)
        assert p_all_above(np.zeros(3), three) == pytest.approx(0.125 + 3.0 * asin(r) / (4 * pi), abs=6e-4)


def test_independent_quantities_multiply_exactly() -> None:
    mean, u = np.array([0.1, 0.2, 0.5, 9.0]), np.array([0.1, 0.1, 0.1, 0.1])
    assert p_all_above(mean, np.diag(u**2)) == pytest.approx(PHI(1) * PHI(2) * PHI(5), abs=1e-12)
    assert p_all_above(mean, np.diag(u**2), at=0.1) == pytest.approx(0.5 * PHI(1) * PHI(4), abs=1e-12)


@pytest.mark.parametrize("n", [3, 4, 6])
def test_hanging_together_it_agrees_with_another_integral(n: int) -> None:
    rng = np.random.default_rng(n)
    a = rng.normal(size=(n, n))
    cov = a @ a.T
    mean = rng.normal(size=n) + 1.5 * np.sqrt(np.diag(cov))
    assert p_all_above(mean, cov) == pytest.approx(float(multivariate_normal(np.zeros(n), cov).cdf(mean)), abs=1.5e-3)


def test_sums_of_each_other_are_told_by_the_rest() -> None:
    """Of a, b and a + b, each with its own mean: the same as counted in a million draws."""
    rng = np.random.default_rng(3)
    rows = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
    mean = np.array([0.3, 0.1, -0.5])
    draws = rng.normal(size=(1_000_000, 2)) @ rows.T + mean
    counted = float((draws >= 0.0).all(axis=1).mean())
    assert p_all_above(mean, rows @ rows.T) == pytest.approx(counted, abs=2e-3)


def test_what_does_not_spread_is_compared_and_what_is_far_above_is_left_out() -> None:
    assert p_all_above([], np.zeros((0, 0))) == 1.0
    assert p_all_above([0.0, 1.0], np.zeros((2, 2))) == 1.0
    assert p_all_above([-1e-12, 1.0], np.zeros((2, 2))) == 1.0
    assert p_all_above([-0.01, 1.0], np.zeros((2, 2))) == 0.0
    assert p_all_above([-0.01, 1.0], np.diag([0.0, 1.0])) == 0.0
    assert p_all_above([9.0, 12.0], np.eye(2)) == 1.0
    assert p_all_above([9.0, 0.0], np.eye(2)) == pytest.approx(0.5)


def test_what_is_no_covariance_is_refused() -> None:
    for mean, cov in (([0.0], np.eye(2)), ([float("nan")], [[1.0]]), ([0.0], [[float("inf")]])):
        with pytest.raises(DataError, match="all of them numbers"):
            p_all_above(mean, cov)
    with pytest.raises(DataError, match="variance is below nought"):
        p_all_above([0.0], [[-1.0]])
