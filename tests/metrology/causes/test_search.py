"""Tests of: which sets of causes explain the readings: every subset up to a size, weighed in closed form"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from inspect_tui.metrology.causes import search as causes_search
from tests.metrology.causes.test_explain import small_problem


def test_every_subset_weighs_what_the_normal_density_says():
    """Against scipy's multivariate normal density of the marginal model, subset by subset."""
    x, v, sd, y, odds, gram, rhs = small_problem()
    h, g = causes_search.standardise(gram, rhs, sd)
    null = multivariate_normal(np.zeros(len(y)), v).logpdf(y)
    seen = 0
    for index, weight in causes_search.all_subsets(h, g, odds, 4):
        assert np.allclose(weight, causes_search.score(h, g, odds, index))
        for model, w in zip(index, weight, strict=True):
            m = list(model)
            marginal = v + (x[:, m] * sd[m] ** 2) @ x[:, m].T
            want = multivariate_normal(np.zeros(len(y)), marginal).logpdf(y) - null + odds[m].sum()
            assert w == pytest.approx(want, abs=1e-8)
            seen += 1
    assert seen == sum(len(list(combinations(range(7), k))) for k in range(5))


def test_sizes_are_the_generalised_ridge_solution():
    """Posterior mean and covariance against the textbook formula (X'V^-1 X + D^-1)^-1 X'V^-1 y."""
    _, _, sd, _, _, gram, rhs = small_problem(1)
    h, g = causes_search.standardise(gram, rhs, sd)
    m = [0, 2, 5]
    precision = gram[np.ix_(m, m)] + np.diag(1 / sd[m] ** 2)
    mean, cov = causes_search.sizes(h, g, sd, m)
    assert np.allclose(mean, np.linalg.solve(precision, rhs[m]))
    assert np.allclose(cov, np.linalg.inv(precision))


def test_the_climb_finds_what_the_exact_search_finds():
    for seed in range(20):
        *_, sd, _, odds, gram, rhs = small_problem(seed, count=9)
        exact = causes_search.search(gram, rhs, sd, odds, most=4)
        climb = causes_search.search(gram, rhs, sd, odds, exact=False)
        assert exact.exact
        assert exact.best == climb.best
        assert np.allclose(exact.inclusion, climb.inclusion, atol=0.02)


def test_more_than_four_causes_are_reached_from_the_best_four():
    rng = np.random.default_rng(3)
    x = rng.normal(size=(80, 12))
    true = [0, 2, 3, 6, 8, 10]
    y = x[:, true] @ np.array([2.0, -3.0, 2.5, 4.0, -2.0, 3.0]) + rng.normal(size=80) * 0.3
    found = causes_search.search(x.T @ x / 0.09, x.T @ y / 0.09, np.full(12, 2.0), np.full(12, -3.0))
    assert found.best == tuple(true)


def test_many_candidates_are_screened_and_said_to_be():
    rng = np.random.default_rng(4)
    x = rng.normal(size=(120, 90))
    y = 3 * x[:, 7] - 2 * x[:, 88] + rng.normal(size=120)
    found = causes_search.search(x.T @ x, x.T @ y, np.full(90, 1.5), np.full(90, -4.0))
    assert not found.exact
    assert found.best == (7, 88)
    assert found.weighed <= causes_search.MOST_SUBSETS * 1.1
