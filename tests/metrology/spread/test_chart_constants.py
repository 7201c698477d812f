"""Tests of: constants of the control charts and of ranges, by integration of the distribution of the range of normal readings"""

from __future__ import annotations

from math import inf, isclose

import numpy as np
import pytest
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_constants import constants, d2_star, range_moments, range_tail, sd_tail


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
