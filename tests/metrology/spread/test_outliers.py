"""Outliers: risk as stated, no masking, nothing dropped, small and equal lists answered in words."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.outliers import flag_outliers, grubbs, grubbs_critical


def test_normal_readings_are_flagged_no_oftener_than_stated() -> None:
    rng = np.random.default_rng(1)
    runs = 1500
    flagged = sum(bool(flag_outliers(rng.normal(0, 1, 30)).index) for _ in range(runs))
    assert abs(flagged / runs - 0.05) < 4 * sqrt(0.05 * 0.95 / runs)
    single = sum(grubbs(rng.normal(0, 1, 20)).outlier for _ in range(runs))
    assert abs(single / runs - 0.05) < 4 * sqrt(0.05 * 0.95 / runs)


def test_two_bad_readings_do_not_hide_each_other() -> None:
    good = np.random.default_rng(2).normal(52, 0.05, 30)
    values = [*good[:10], 520.1, *good[10:], 520.9]
    assert set(flag_outliers(values).index) == {10, 31}
    found = flag_outliers(values)
    assert "flagged, still counted" in found.sentence
    assert "reading 11 (520.1)" in found.sentence


@given(st.lists(st.integers(-1000, 1000), min_size=3, max_size=60), st.floats(0.1, 10), st.floats(-1e3, 1e3))
def test_flags_do_not_depend_on_unit_or_origin(whole: list[int], scale: float, shift: float) -> None:
    values = [float(w) for w in whole]
    moved = [w * scale + shift for w in values]
    one, two = flag_outliers(values), flag_outliers(moved)
    if len(one.r) == len(two.r) and all(abs(r - c) > 1e-6 for r, c in zip(one.r, one.critical, strict=True)):
        assert sorted(values[i] for i in one.index) == sorted(values[i] for i in two.index)


def test_critical_value_is_grubbs_own_formula() -> None:
    for n in (3, 10, 100):
        t = stats.t.isf(0.05 / (2 * n), n - 2)
        assert grubbs_critical(n) == pytest.approx((n - 1) / sqrt(n) * sqrt(t * t / (n - 2 + t * t)), rel=1e-9)


def test_sides() -> None:
    values = [1.0, 1.1, 0.9, 1.05, 0.95, 1.0, 3.0]
    assert grubbs(values, side="upper").outlier
    assert not grubbs(values, side="lower").outlier
    assert grubbs(values, side="lower").index == 2
    with pytest.raises(DataError, match="side is"):
        grubbs(values, side="top")


def test_small_and_equal_lists_are_answered() -> None:
    for n in (0, 1, 2):
        assert f"of {n} readings none" in flag_outliers([1.0] * n).sentence
    assert "all 9 readings are equal" in flag_outliers([1.0] * 9).sentence
    assert "rough guide" in flag_outliers([1.0, 2.0, 3.0, 4.0]).sentence
    assert flag_outliers([1.0] * 9 + [2.0]).index == (9,)
    with pytest.raises(DataError, match="are equal"):
        grubbs([1.0, 1.0, 1.0])
    with pytest.raises(DataError, match="at least 3"):
        grubbs([1.0, 2.0])
    with pytest.raises(DataError, match="give 1 to 8"):
        flag_outliers(list(range(10)), most=9)
