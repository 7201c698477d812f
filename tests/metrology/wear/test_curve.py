"""Wear that goes in a curve, and a bend where wear-in ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.wear.cores_left import cores_left
from inspect_tui.metrology.wear.curve import bend, curves, reach
from inspect_tui.metrology.wear.line import fit_wear


@settings(max_examples=40)
@given(st.floats(-3, 3), st.floats(0.5, 3), st.floats(-0.2, 0.2), st.floats(0.2, 0.8))
def test_the_curve_reaches_where_it_was_made_to(c0: float, c1: float, c2: float, share: float) -> None:
    x = np.linspace(0, 5, 20)
    at = 5 * share
    got = reach(x, c0 + c1 * x + c2 * x * x, c0 + c1 * at + c2 * at * at, 2)
    roots = [at] + ([-c1 / c2 - at] if abs(c2) > 1e-9 else [])
    assert min(abs(got.x - r) for r in roots) < 1e-6
    assert got.coefficients == (pytest.approx(c0, abs=1e-8), pytest.approx(c1, abs=1e-8), pytest.approx(c2, abs=1e-8))


def test_a_straight_curve_gives_the_interval_of_the_wear_line() -> None:
    rng = np.random.default_rng(2)
    x = np.linspace(0, 6000, 40)
    y = 50 + 3e-5 * x + rng.normal(0, 0.03, 40)
    fit = fit_wear(x, y)
    curve, line = (
        reach(x, y, 50.15, 1),
        cores_left(replace(fit, lines=(replace(fit.line, weight=1.0),)), None, 50.15, now=0.0),
    )
    assert curve.x == pytest.approx(line.left, rel=1e-6)
    assert (curve.low, curve.high) == (pytest.approx(line.low, rel=1e-4), pytest.approx(line.high, rel=1e-4))


def test_the_interval_of_the_curve_covers() -> None:
    rng = np.random.default_rng(5)
    x = np.linspace(0, 6, 30)
    inside = 0
    for _ in range(300):
        got = reach(x, 1 + 0.5 * x + 0.05 * x * x + rng.normal(0, 0.1, 30), 1 + 0.5 * 4 + 0.05 * 16)
        inside += got.low <= 4.0 <= got.high
    assert inside / 300 == pytest.approx(0.95, abs=0.04)


def test_a_size_out_of_reach_and_too_few_readings_are_refused() -> None:
    x = np.linspace(0, 5, 10)
    with pytest.raises(DataError, match="never reaches"):
        reach(x, x * x, -3.0)
    with pytest.raises(DataError, match="two readings more"):
        reach([1, 2, 3], [1, 2, 3], 2.0, 2)


def test_curving_is_seen_when_there_and_as_seldom_as_stated_when_not() -> None:
    rng = np.random.default_rng(8)
    x = np.linspace(0, 1, 40)
    false = sum(curves(x, x + rng.normal(0, 0.1, 40)) < 0.05 for _ in range(400))
    assert false / 400 == pytest.approx(0.05, abs=0.03)
    assert curves(x, x + x * x + rng.normal(0, 0.05, 40)) < 1e-3
    assert curves([1, 2], [1, 2]) == 1.0


@settings(max_examples=40)
@given(st.floats(2.1, 7.9), st.floats(0.5, 2), st.floats(-0.4, 0.4))
def test_a_bend_between_readings_is_found(at: float, before: float, after: float) -> None:
    x = np.arange(11.0)
    got = bend(x, before * np.minimum(x, at) + after * np.maximum(x - at, 0))
    assert got.x == pytest.approx(at, abs=1e-4)
    assert (got.slope_before, got.slope_after) == (pytest.approx(before, abs=1e-4), pytest.approx(after, abs=1e-4))


def test_a_straight_line_bends_no_more_than_chance() -> None:
    rng = np.random.default_rng(4)
    x = np.arange(30.0)
    false = sum(bend(x, 0.1 * x + rng.normal(0, 1, 30)).p < 0.01 for _ in range(60))
    assert false <= 8
    with pytest.raises(DataError):
        bend([1, 2, 3], [1, 2, 3])


def test_a_bend_in_noise_is_as_sure_as_an_f_test_makes_it() -> None:
    rng = np.random.default_rng(6)
    x = np.arange(40.0)
    clear = [bend(x, np.minimum(x, 15) + rng.normal(0, 2, 40)) for _ in range(20)]
    assert all(b.p < 1e-4 and 8 < b.x < 22 for b in clear)
    middling = [bend(x, 0.1 * x + rng.normal(0, 1, 40)).p for _ in range(40)]
    assert 0.02 < np.median(middling) < 0.6  # searched for, so below a half, but no certainty
