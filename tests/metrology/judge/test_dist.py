"""Tests of: normal, t and F distributions in plain Python, so that a verdict needs neither numpy nor scipy"""

from __future__ import annotations

from math import atan, inf, nan, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge import _dist
from inspect_tui.metrology.judge._dist import normal_cdf, normal_quantile, t_cdf, t_quantile
from inspect_tui.metrology.judge.uncertainty import (
    BudgetLine,
)


@given(st.floats(-60.0, 60.0), st.floats(0.2, 1e7))
def test_t_cdf_agrees_with_an_independent_library(t, dof):
    if abs(t) < 1e-6:
        # there scipy loses what the density gives to first order
        assert t_cdf(t, dof) == pytest.approx(0.5 + t * _dist.t_pdf(0.0, dof), abs=1e-12)
    else:
        assert t_cdf(t, dof) == pytest.approx(special.stdtr(dof, t), abs=1e-10)


@given(st.floats(1e-9, 1.0 - 1e-9), st.floats(0.3, 1e7))
def test_t_quantile_inverts_t_cdf(p, dof):
    q = min(p, 1.0 - p)
    assert t_cdf(t_quantile(p, dof), dof) == pytest.approx(p, abs=1e-10 * q + 1e-15)


@pytest.mark.parametrize("dof", [1.0, 2.0, 2.5, 3.0, 4.4, 9.0, 16.7, 30.0, 199.5, 5e4, 2e6])
@pytest.mark.parametrize("p", [1e-6, 0.01, 0.025, 0.3, 0.6, 0.95, 0.975, 0.99, 0.9999])
def test_t_quantile_agrees_with_an_independent_library(p, dof):
    assert t_quantile(p, dof) == pytest.approx(stats.t.ppf(p, dof), rel=1e-10)


@given(st.floats(-30.0, 30.0))
def test_one_and_two_degrees_of_freedom_have_closed_forms(t):
    assert t_cdf(t, 1.0) == pytest.approx(0.5 + atan(t) / pi, abs=1e-12)
    assert t_cdf(t, 2.0) == pytest.approx(0.5 + t / (2.0 * sqrt(2.0 + t * t)), abs=1e-12)


@given(st.floats(1e-12, 1.0 - 1e-12))
def test_normal_quantile_inverts_the_normal(p):
    assert normal_cdf(normal_quantile(p)) == pytest.approx(p, rel=1e-12)
    assert normal_quantile(p) == pytest.approx(special.ndtri(p), rel=1e-12, abs=1e-12)


@given(st.floats(0.01, 50.0), st.floats(1.0, 60.0), st.floats(1.0, 60.0))
def test_f_tail_agrees_with_an_independent_library(ratio, above, below):
    assert _dist.f_tail(ratio, above, below) == pytest.approx(stats.f.sf(ratio, above, below), abs=1e-10)


def test_infinite_degrees_of_freedom_are_the_normal():
    assert t_quantile(0.975) == normal_quantile(0.975) == pytest.approx(1.959963984540054, abs=1e-14)
    assert t_cdf(1.3) == normal_cdf(1.3)
    assert t_quantile(0.0, 5.0) == -inf
    assert t_quantile(1.0, 5.0) == inf
    assert t_cdf(inf, 5.0) == 1.0
    assert t_cdf(-inf, 5.0) == 0.0


@pytest.mark.parametrize("bad", [-0.1, 1.1, nan])
def test_what_is_no_probability_is_said(bad):
    with pytest.raises(DataError, match="no probability"):
        t_quantile(bad, 3.0)


@pytest.mark.parametrize("dof", [0.0, -1.0, nan])
def test_no_degrees_of_freedom_is_said(dof):
    with pytest.raises(DataError, match="more than 0"):
        t_quantile(0.9, dof)
    with pytest.raises(DataError, match="more than 0"):
        BudgetLine(name="x", u=0.1, dof=dof)
