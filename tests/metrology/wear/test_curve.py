"""A bend where wear-in ends."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
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
