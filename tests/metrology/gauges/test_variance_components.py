"""Tests of: standard deviations from mean squares: estimates of variance components with intervals and degrees of freedom"""

from __future__ import annotations

from math import inf, isclose

import numpy as np
import pytest
from scipy import stats

from inspect_tui.metrology.gauges.variance_components import Square, component, mls, satterthwaite, sd_ratio


def test_intervals_cover_as_stated() -> None:
    """Computed here: mean squares drawn from their distributions; 95 % intervals, 1500 studies each."""
    rng = np.random.default_rng(3)
    p, o, r = 10, 3, 3
    for so, spo, se in ((0.3, 0.2, 0.3), (0.05, 0.3, 0.1)):
        mean = {"o": se**2 + r * spo**2 + p * r * so**2, "po": se**2 + r * spo**2, "e": se**2}
        dof = {"o": o - 1, "po": (p - 1) * (o - 1), "e": p * o * (r - 1)}
        held = [0, 0, 0]
        for _ in range(1500):
            ms = {k: mean[k] * float(rng.chisquare(dof[k])) / dof[k] for k in mean}
            sq = {k: (ms[k], float(dof[k])) for k in mean}
            repro = [Square(1 / (p * r), *sq["o"]), Square((p - 1) / (p * r), *sq["po"]), Square(-1 / r, *sq["e"])]
            both = [*repro[:2], Square((r - 1) / r, *sq["e"])]
            for i, (squares, true) in enumerate(((repro, so**2 + spo**2), (both, so**2 + spo**2 + se**2))):
                low, high = mls(squares)
                held[i] += low <= true <= high
            alone = component([Square(1.0, *sq["e"])])
            held[2] += (alone.lower or 0) <= se <= (alone.upper or 0)
        for count in held:
            assert 0.93 < count / 1500 < 0.985, (held, so)


def test_lower_limit_of_two_squares_alike_is_that_of_both_together() -> None:
    # Ting et al. (1990): where two mean squares speak alike and next to nothing is taken off, they act as one
    t, n1, n2 = 0.7, 4.0, 9.0
    low, _ = mls([Square(1.0, t * n1, n1), Square(1.0, t * n2, n2), Square(-1e-9, 1.0, 5.0)])
    assert isclose(low, t * (n1 + n2) ** 2 / stats.chi2.ppf(0.975, n1 + n2), rel_tol=1e-6)


def test_satterthwaite_is_the_formula() -> None:
    a, b = Square(0.5, 4.0, 10), Square(2.0, 3.0, 5)
    assert satterthwaite([a, b]) == pytest.approx((2 + 6) ** 2 / (4 / 10 + 36 / 5))
    assert satterthwaite([a, Square(-1.0, 1.0, 3)]) is None
    assert satterthwaite([Square(1.0, 0.0, 3)]) is None


def test_ratio_of_spreads_is_the_f_interval() -> None:
    r = sd_ratio(3.0, 20, 1.0, 40)
    assert r.value == 3.0
    assert isclose(r.lower**2, 9 / stats.f.ppf(0.975, 20, 40), rel_tol=1e-9)
    assert isclose(r.upper**2, 9 / stats.f.ppf(0.025, 20, 40), rel_tol=1e-9)
    assert isclose(r.p, 2 * stats.f.sf(9, 20, 40), rel_tol=1e-9)
    assert sd_ratio(1.0, 5, 0.0, 5).value == inf
