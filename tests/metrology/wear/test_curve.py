"""A bend where wear-in ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.curve import bend


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


@settings(max_examples=30)
@given(st.integers(0, 10_000), st.integers(6, 40), st.booleans())
def test_no_other_pair_of_lines_comes_closer(seed: int, n: int, coarse: bool) -> None:
    """Against every bend of a fine grid, each fitted by numpy's own least squares; counts may stand twice."""
    rng = np.random.default_rng(seed)
    x = np.sort(rng.uniform(0, 9000, n).round(-3 if coarse else 0))
    assume(len(np.unique(x)) >= 5)
    y = 80 + 3e-5 * np.minimum(x, 4000) + rng.normal(0, 0.02, n)
    got = bend(x.tolist(), y.tolist())
    for at in np.linspace(*np.unique(x)[[1, -2]], 60):
        pair = np.column_stack([np.ones(n), x - at, np.maximum(x - at, 0)])
        rest = y - pair @ np.linalg.lstsq(pair, y, rcond=None)[0]
        assert got.rss <= float(rest @ rest) * (1 + 1e-9)
    made = got.start + got.slope_before * np.minimum(x, got.x) + got.slope_after * np.maximum(x - got.x, 0)
    assert float(np.square(y - made).sum()) == pytest.approx(got.rss, rel=1e-6)


def test_a_box_measured_twice_before_its_first_core_bends_like_any_other() -> None:
    got = bend([0, 0, 1000, 2000, 3000, 4000, 5000], [80.0, 80.0, 80.1, 80.2, 80.3, 80.32, 80.34])
    assert got.x == pytest.approx(3000.0) and got.slope_after == pytest.approx(2e-5)


def test_many_readings_are_taken_in_parts() -> None:
    rng = np.random.default_rng(8)
    x = np.sort(rng.uniform(0, 9000, 1200))  # more than a million sums of squares
    got = bend(x, 80 + 3e-5 * np.minimum(x, 4000) + rng.normal(0, 0.001, 1200))
    assert got.x == pytest.approx(4000, abs=30) and got.p < 1e-9
