"""Generalised least squares and the slip test: a textbook levelling net, published constants, numpy and scipy.

The levelling net is that of C. D. Ghilani and P. R. Wolf, Adjustment Computations, chapter on level nets (from memory,
the figures checked by solving it): benchmarks X 100.00 and Y 107.50, seven lines, three unknown heights; unweighted
A 105.141, B 104.483, C 106.188 with S0 0.050, weighted by lengths 105.150, 104.489, 106.197.
Constants of the test: W. Baarda 1968, critical value 3.29 at 0.1 %, noncentrality 17.07 at a power of 80 %.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread import generalised

NET = np.array([[1, 0, 0], [-1, 0, 0], [0, 0, 1], [0, 0, -1], [-1, 1, 0], [0, 1, 0], [0, -1, 1]], float)
RISES = np.array([5.10 + 100, 2.34 - 107.5, -1.25 + 107.5, -6.13 - 100, -0.68, -3.00 + 107.5, 1.70])
LENGTHS = np.array([4.0, 3, 2, 3, 2, 2, 2])


def test_the_constants_of_the_test_are_the_published_ones() -> None:
    assert round(generalised.critical(), 2) == 3.29
    assert round(generalised.noncentrality(), 2) == 17.07
    assert generalised.critical(0.05) == pytest.approx(1.959964, abs=1e-6)
    # under the smallest slip the squared residual goes beyond the critical value with the power that was asked for
    assert stats.ncx2.sf(3.2905267**2, 1, generalised.noncentrality()) == pytest.approx(0.80, abs=1e-4)


def test_a_levelling_net_of_a_textbook() -> None:
    plain = generalised.solve(NET, RISES, np.ones(7))
    assert plain.x == pytest.approx([105.141, 104.483, 106.188], abs=5e-4)
    assert (plain.chi2 / plain.dof) ** 0.5 == pytest.approx(0.050, abs=5e-4) and plain.dof == 4
    weighted = generalised.solve(NET, RISES, LENGTHS)
    assert weighted.x == pytest.approx([105.150, 104.489, 106.197], abs=5e-4)


def test_the_mean_of_n_readings() -> None:
    y = np.array([10.0, 10.2, 9.9, 10.1])
    fit = generalised.solve(np.ones((4, 1)), y, np.full(4, 0.04))
    assert fit.x == pytest.approx([10.05]) and fit.covariance[0, 0] == pytest.approx(0.01)
    assert fit.redundancy == pytest.approx([0.75] * 4)
    # a reading against the mean of the three others: 0.2 sqrt(4/3)
    assert fit.standardised[1] == pytest.approx((10.2 - 10.0) / (0.2 * (4 / 3) ** 0.5))
    assert fit.smallest_slip[0] == pytest.approx(17.0746**0.5 * 0.2 * (4 / 3) ** 0.5, rel=1e-5)


def test_a_reading_that_nothing_else_tells_of_is_never_a_slip() -> None:
    design = np.array([[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    fit = generalised.solve(design, np.array([1.0, 1.2, 5.0]), np.ones(3))
    assert fit.redundancy == pytest.approx([0.5, 0.5, 0.0])
    assert fit.standardised[2] == 0.0 and fit.smallest_slip[2] == np.inf
    assert fit.dof == 1


@pytest.mark.parametrize(
    ("design", "y", "covariance", "words"),
    [
        ([[1.0, -1.0], [2.0, -2.0]], [1.0, 2.0], [1.0, 1.0], "leave left, right free"),
        ([[1.0, 0.0], [2.0, 0.0]], [1.0, 2.0], [1.0, 1.0], "leave right free"),
        ([[1.0, 0.0], [0.0, 1.0]], [1.0, float("nan")], [1.0, 1.0], "not a number"),
        ([[1.0, 0.0], [0.0, 1.0]], [1.0, 2.0], [1.0, 0.0], "one is nought"),
        ([[1.0, 0.0], [0.0, 1.0]], [1.0, 2.0], [[1.0, 1.0], [1.0, 1.0]], "tied too closely"),
    ],
)
def test_what_cannot_be_solved_is_said(
    design: list[list[float]], y: list[float], covariance: object, words: str
) -> None:
    with pytest.raises(DataError, match=words):
        generalised.solve(np.array(design), np.array(y), np.array(covariance), ("left", "right"))


def test_nothing_unknown_leaves_nothing_free() -> None:
    assert generalised.free_of(np.zeros((3, 0))) == ()
    assert generalised.free_of(np.zeros((2, 2))) == (0, 1)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6), st.integers(1, 4), st.integers(5, 9))
def test_it_is_ordinary_least_squares_of_whitened_readings(seed: int, m: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    design, y, root = rng.normal(size=(n, m)), rng.normal(size=n), rng.normal(size=(n, n)) + 3 * np.eye(n)
    v = root @ root.T
    fit = generalised.solve(design, y, v)
    white = np.linalg.inv(np.linalg.cholesky(v))
    x, (rest,), *_ = np.linalg.lstsq(white @ design, white @ y, rcond=None)
    assert fit.x == pytest.approx(x, rel=1e-6, abs=1e-8) and fit.chi2 == pytest.approx(rest, rel=1e-6, abs=1e-8)
    assert fit.redundancy.sum() == pytest.approx(n - m)
    # leaving a reading out and predicting it from the rest gives the standardised residual
    keep = np.arange(n) != 0
    less = generalised.solve(design[keep], y[keep], v[np.ix_(keep, keep)])
    gain = v[0, keep] @ np.linalg.inv(v[np.ix_(keep, keep)])
    off = y[0] - design[0] @ less.x - gain @ (y[keep] - design[keep] @ less.x)
    lean = design[0] - gain @ design[keep]
    spread = v[0, 0] - gain @ v[keep, 0] + lean @ less.covariance @ lean
    assert fit.standardised[0] == pytest.approx(off / spread**0.5, rel=1e-5, abs=1e-7)
    assert fit.smallest_slip[0] == pytest.approx((generalised.noncentrality() * spread) ** 0.5, rel=1e-5)


@pytest.mark.parametrize("seed", range(5))
def test_estimates_and_covariance_are_those_of_statsmodels(seed: int) -> None:
    """Source: GLS of statsmodels, with its scale held at 1 (the covariance is known, not estimated)."""
    from statsmodels.regression.linear_model import GLS

    rng = np.random.default_rng(seed)
    design = rng.normal(size=(12, 4))
    root = rng.normal(size=(12, 12))
    covariance = root @ root.T + 0.5 * np.eye(12)
    y = rng.normal(size=12)
    ours, theirs = (
        generalised.solve(design, y, covariance),
        GLS(y, design, sigma=covariance).fit(cov_type="fixed scale"),
    )
    assert ours.x == pytest.approx(theirs.params, rel=1e-9)
    assert ours.covariance == pytest.approx(theirs.normalized_cov_params, rel=1e-9)
    assert ours.residuals == pytest.approx(theirs.resid, rel=1e-7, abs=1e-9)
    assert ours.chi2 == pytest.approx(theirs.ssr, rel=1e-9) and ours.dof == theirs.df_resid
