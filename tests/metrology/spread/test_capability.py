"""Capability: what few, drifting or skewed pieces may claim, coverage of the bounds, bands with one side."""

from __future__ import annotations

from math import isclose, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.capability import (
    capability,
    cp_bound,
    cpk_bound,
    one_sided_bound,
    ratio_cp,
    ratio_cpk,
    ratio_cpm,
    spread_within,
)
from inspect_tui.model.words import Band

BAND = Band(9.0, 11.0, "drawing")


def test_few_pieces_claim_no_capability() -> None:
    for n in (0, 1, 2, 3, 24):
        found = capability([10.0 + 0.01 * i for i in range(n)], BAND)
        assert found.c_pk.value is None
        assert found.p_pk.lower is None
        assert f"of {n} {'piece' if n == 1 else 'pieces'} no capability is claimed" in found.sentence
        assert ("measured" in found.sentence) is (n > 0)  # nothing is said of the band where nothing was measured
        assert found.holds is None
    assert "2 outside the band" in capability([10.0, 8.0, 12.0], BAND).sentence


def test_all_equal_gives_no_index() -> None:
    found = capability([10.0] * 40, BAND)
    assert found.c_p.value is None
    assert "no spread is seen" in found.sentence


def test_a_steady_process_gets_its_indices_with_bounds() -> None:
    values = np.round(np.random.default_rng(1).normal(10.1, 0.2, 200), 3)
    found = capability(values, BAND)
    s = float(values.std(ddof=1))
    assert found.holds
    assert found.p_p.value is not None
    assert found.p_pk.value is not None
    assert isclose(found.p_p.value, 2 / (6 * s), rel_tol=1e-9)
    assert isclose(found.p_pk.value, (11 - values.mean()) / (3 * s), rel_tol=1e-9)
    for index in (found.c_p, found.c_pk, found.p_p, found.p_pk):
        assert index.value is not None
        assert index.lower is not None
        assert index.lower < index.value
    assert isclose(found.s_within or 0, float(np.abs(np.diff(values)).mean()) / (2 / sqrt(np.pi)), rel_tol=1e-9)
    want = stats.norm.cdf(9, values.mean(), s) + stats.norm.sf(11, values.mean(), s)
    assert isclose(found.fraction_out or 0, want, rel_tol=1e-9)
    assert found.fraction_out is not None
    assert found.fraction_out_at_most is not None
    assert found.fraction_out_at_most > found.fraction_out
    assert found.counted_out == int(((values < 9) | (values > 11)).sum())


def test_drift_likeness_and_skew_make_readings_unfit() -> None:
    rng = np.random.default_rng(2)
    noise = rng.normal(10, 0.1, 150)
    drifting = capability(noise + 0.004 * np.arange(150), BAND)
    assert drifting.holds is False
    assert drifting.sentence.startswith("unfit")
    assert "drift" in drifting.sentence
    assert "resemble" in capability(10 + np.cumsum(rng.normal(0, 0.02, 150)), BAND).sentence
    skewed = capability(9 + rng.exponential(0.2, 150), BAND)
    assert "not normal" in skewed.sentence
    assert skewed.c_pk.value is not None  # shown all the same, for what it is worth


def test_fewer_than_a_hundred_is_preliminary() -> None:
    values = np.random.default_rng(5).normal(10, 0.2, 60)
    assert "preliminary" in capability(values, BAND).sentence
    assert "preliminary" not in capability(np.random.default_rng(5).normal(10, 0.2, 120), BAND).sentence


def test_a_band_with_one_side_has_one_index() -> None:
    values = np.random.default_rng(6).normal(10, 0.2, 100)
    upper = capability(values, Band(None, 11.0, "drawing"))
    assert upper.c_p.value is None
    assert upper.p_m is None
    assert upper.p_pk.value is not None
    assert isclose(upper.p_pk.value, (11 - values.mean()) / (3 * values.std(ddof=1)), rel_tol=1e-9)
    assert isclose(upper.p_pk.lower or 0, one_sided_bound(upper.p_pk.value, 100, 0.95), rel_tol=1e-9)
    assert "one-sided" in upper.sentence
    with pytest.raises(DataError, match="open on both sides"):
        capability(values, Band(None, None, "none"))


@given(st.integers(5, 500), st.floats(-0.5, 5), st.floats(0.5, 0.995))
@settings(max_examples=40, deadline=None)
def test_exact_bound_inverts_the_noncentral_t(n: int, cpk: float, confidence: float) -> None:
    bound = one_sided_bound(cpk, n, confidence)
    t = 3 * sqrt(n)
    assert isclose(stats.nct.cdf(t * cpk, n - 1, t * bound), confidence, abs_tol=1e-8)


@given(st.floats(0.3, 3), st.integers(30, 400))
def test_more_confidence_lowers_the_bound_and_more_pieces_raise_it(cpk: float, n: int) -> None:
    for bound in (cpk_bound, one_sided_bound):
        assert bound(cpk, n, 0.99) < bound(cpk, n, 0.9) < cpk
        assert bound(cpk, 4 * n, 0.95) > bound(cpk, n, 0.95)
    assert cp_bound(cpk, n, 0.95) < cpk


def test_bounds_hold_as_often_as_they_say() -> None:
    """Computed here: 4000 samples of 40 pieces; Cp exact, Cpk of Bissell to within two percent."""
    rng = np.random.default_rng(7)
    runs, n = 4000, 40
    true_p, true_k = ratio_cp(9, 11, 0.2), ratio_cpk(9, 11, 10.2, 0.2)
    held_p = held_k = held_one = 0
    for _ in range(runs):
        a = rng.normal(10.2, 0.2, n)
        mean, s = float(a.mean()), float(a.std(ddof=1))
        held_p += cp_bound(ratio_cp(9, 11, s), n - 1, 0.95) <= true_p
        held_k += cpk_bound(ratio_cpk(9, 11, mean, s), n, 0.95) <= true_k
        held_one += one_sided_bound(ratio_cpk(None, 11, mean, s), n, 0.95) <= true_k
    error = 4 * sqrt(0.95 * 0.05 / runs)
    assert abs(held_p / runs - 0.95) < error
    assert abs(held_one / runs - 0.95) < error
    assert abs(held_k / runs - 0.95) < error + 0.02


def test_spread_within_leaves_out_what_is_between() -> None:
    rng = np.random.default_rng(8)
    groups = [rng.normal(10 + shift, 0.1, 5) for shift in rng.normal(0, 1, 400)]
    for how in ("pooled", "range", "s"):
        s, dof = spread_within(subgroups=groups, how=how)
        assert abs(s - 0.1) < 0.01
        assert 1200 < dof <= 1600  # 400 x 4 for the pooled; the range and s are worth less
    single, dof = spread_within(rng.normal(0, 0.1, 2000))
    assert abs(single - 0.1) < 0.01
    assert dof < 1999
    with pytest.raises(DataError, match="pooled, range or s"):
        spread_within(subgroups=groups, how="guess")
    with pytest.raises(DataError, match="give readings"):
        spread_within()
    with pytest.raises(DataError, match="no subgroups"):
        spread_within(subgroups=[])


def test_a_target_out_of_the_middle_takes_the_nearer_limit() -> None:
    """Chan, Cheng and Spiring (1988); limits 8 and 20, mean 16, s 2 (NIST/SEMATECH e-Handbook 6.1.6), by hand.

    About 14: 12 / (6 root(4 + 4)) = 0.7071. About 12: the nearer limit is 4 off, 4 / (3 root(4 + 16)) = 0.2981.
    """
    assert ratio_cpm(8, 20, 16, 2, 14) == pytest.approx(0.70711, abs=1e-5)
    assert ratio_cpm(8, 20, 16, 2, 12) == pytest.approx(0.29814, abs=1e-5)
    assert ratio_cpm(None, 20, 16, 2, 14) == pytest.approx(0.70711, abs=1e-5)
    assert ratio_cpm(8, None, 16, 2, 14) == pytest.approx(0.70711, abs=1e-5)
    for outside in (8, 7, 20, 21):
        assert ratio_cpm(8, 20, 16, 2, outside) is None
    assert ratio_cpm(None, None, 16, 2, 14) is None
    rng = np.random.default_rng(4)
    a = rng.normal(10.3, 0.1, 60)
    aimed, middle = capability(a, Band(9, 11, "x"), target=10.3), capability(a, Band(9, 11, "x"))
    assert (aimed.target, middle.target) == (10.3, 10.0)
    assert aimed.p_m == pytest.approx(0.7 / (3 * sqrt((aimed.s_total or 0) ** 2 + ((aimed.mean or 0) - 10.3) ** 2)))
    assert aimed.c_pk == middle.c_pk
    assert capability(a, Band(None, 11, "x"), target=10.3).p_m == pytest.approx(aimed.p_m)
