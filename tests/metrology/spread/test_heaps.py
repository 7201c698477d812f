"""Heaps: two are seen and placed, one is left alone whatever its shape, steps of the gauge make none."""

from __future__ import annotations

from math import isclose, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.spread.heaps import FEWEST, QUANTILES, dip, dip_test, heaps, p_of


def test_by_hand() -> None:
    """The least dip is 1/(2n), that of evenly spaced readings and of a heap with a tail."""
    assert dip(np.arange(20.0)) == pytest.approx(1 / 40)
    assert dip(np.array([0.0] + [1.0 + i * 1e-9 for i in range(10)])) == pytest.approx(1 / 22)


def test_two_heaps_are_said_with_where_they_lie() -> None:
    rng = np.random.default_rng(3)
    a = np.round(np.r_[rng.normal(10.0, 0.05, 40), rng.normal(10.4, 0.05, 25)], 2)
    seen = heaps(rng.permutation(a))
    assert seen.two is True
    assert seen.low is not None
    assert seen.high is not None
    assert (seen.low.n, seen.high.n) == (40, 25)
    assert seen.low.mean == pytest.approx(10.0, abs=0.03)
    assert seen.high.mean == pytest.approx(10.4, abs=0.03)
    assert seen.between == pytest.approx(10.2, abs=0.06)
    assert seen.sentence.startswith("two heaps: 40 about ")
    assert "and 25 about 10.394 (" in seen.sentence
    assert "p < 0.001" in seen.sentence


def test_one_heap_is_hardly_ever_called_two() -> None:
    called = {"normal": 0, "even": 0, "skew": 0, "steps": 0}
    for seed in range(300):
        rng = np.random.default_rng(seed)
        n = int(rng.integers(20, 150))
        for name, a in (
            ("normal", rng.normal(size=n)),
            ("even", rng.random(n)),
            ("skew", rng.exponential(size=n)),
            ("steps", np.round(rng.normal(0, 0.015, n), 2)),  # gauge of 0.01: five values or so
        ):
            called[name] += heaps(a).two is True
    assert called["even"] <= 10  # 1 % of 300, four standard errors
    assert called["normal"] + called["skew"] + called["steps"] <= 2


def test_heaps_four_spreads_apart_are_seen_of_fifty() -> None:
    seen = 0
    for seed in range(100):
        rng = np.random.default_rng(seed)
        seen += heaps(np.r_[rng.normal(0, 1, 50), rng.normal(5, 1, 50)]).two is True
    assert seen >= 95


def test_many_readings_are_taken_by_their_quantiles() -> None:
    rng = np.random.default_rng(1)
    a = np.r_[rng.normal(0, 1, 60_000), rng.normal(6, 1, 40_000)]
    seen = heaps(a)
    assert seen.two is True
    assert seen.dip is not None
    assert seen.dip.n == 2000
    assert seen.low is not None
    assert seen.low.n == pytest.approx(60_000, rel=0.01)
    assert heaps(rng.normal(size=30_000)).two is False


@pytest.mark.parametrize("values", [[], [1.0], [1.0, 2.0] * 4, [5.0] * 40])
def test_too_few_or_equal_readings_say_so(values: list[float]) -> None:
    seen = heaps(values)
    assert seen.two is None
    assert seen.dip is None
    assert ("equal" in seen.sentence) is (len(values) >= FEWEST)


@given(st.integers(0, 10_000), st.floats(0.01, 100), st.floats(-1000, 1000))
@settings(max_examples=40, deadline=None)
def test_the_dip_knows_no_unit_and_no_direction(seed: int, scale: float, move: float) -> None:
    a = np.sort(np.random.default_rng(seed).normal(size=40))
    d = dip(a)
    assert 1 / 80 - 1e-12 <= d <= 0.25
    assert isclose(dip(scale * a + move), d, rel_tol=1e-6)
    assert isclose(dip(-a[::-1]), d, rel_tol=1e-9)


def test_p_falls_with_the_dip_and_is_that_of_its_table() -> None:
    row = QUANTILES[50]
    assert p_of(row[2] / sqrt(50), 50) == pytest.approx(0.05)
    assert p_of(row[3] / sqrt(50), 50) == pytest.approx(0.01)
    assert p_of(0.01, 50) == 1.0
    assert 0.5 < p_of(0.04, 50) < 1.0
    assert p_of(0.2, 50) == pytest.approx(0.001)
    between = p_of(0.0575, 70)
    assert p_of(0.0575, 50) > between > p_of(0.0575, 100)
    assert dip_test([1.0, 2.0, 3.0, 4.0, 5.0]).dip == pytest.approx(0.1)


def test_the_kept_quantiles_rise_with_share_and_with_n() -> None:
    rows = [QUANTILES[n] for n in sorted(QUANTILES)]
    for row in rows:
        assert list(row) == sorted(row)
    for column in zip(*rows, strict=True):
        assert list(column) == sorted(column)
