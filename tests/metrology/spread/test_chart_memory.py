"""Tests of: charts that remember what came before, for small lasting shifts: EWMA and CUSUM"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_memory import cusum, cusum_run_length, ewma, ewma_run_length, smooth, sums
from inspect_tui.metrology.spread.charts import Break
from tests.metrology.spread.test_charts import steady


@given(st.lists(st.floats(-50, 50), min_size=1, max_size=50), st.floats(0.01, 1))
def test_ewma_is_its_recursion(x: list[float], weight: float) -> None:
    z, want = 5.0, []
    for v in x:
        z = weight * v + (1 - weight) * z
        want.append(z)
    assert np.allclose(smooth(np.array(x), weight, 5.0), want, rtol=1e-9, atol=1e-9)
    both = smooth(np.array([x, x[::-1]]), weight, 5.0)
    assert np.allclose(both[0], want, rtol=1e-9, atol=1e-9)


@given(st.lists(st.floats(-5, 5), min_size=1, max_size=60), st.floats(0, 2), st.floats(0, 3))
def test_cusum_is_its_recursion(x: list[float], k: float, head: float) -> None:
    s, want = head, []
    for v in x:
        s = max(0.0, s + v - k)
        want.append(s)
    assert np.allclose(sums(np.array(x), k, head), want, atol=1e-9)


def test_small_lasting_shifts_are_found_with_their_beginning() -> None:
    rng = np.random.default_rng(8)
    x = np.concatenate([rng.normal(0, 1, 60), rng.normal(1.2, 1, 40)])
    found = cusum(x, centre=0.0, sigma=1.0)
    signal = found.signals[0]
    assert 60 <= signal.index < 80
    began = int(signal.sentence.rsplit("point ", 1)[1])
    assert 55 <= began <= 66
    assert "shifted by about +" in signal.sentence
    assert found.companion is not None
    down = cusum(-x, centre=0.0, sigma=1.0)
    assert down.companion is not None
    assert down.companion.signals[0].index == signal.index
    assert "shifted by about -" in down.companion.signals[0].sentence
    assert any(60 <= s.index < 80 for s in ewma(x, centre=0.0, sigma=1.0).signals)


def test_the_beginning_and_size_of_a_noiseless_shift_are_exact() -> None:
    found = cusum([0.0] * 60 + [1.2] * 20, k=0.5, h=5.0, centre=0.0, sigma=1.0)
    assert found.signals[0].index == 67  # 0.7 a point: eight points to pass five
    assert found.signals[0].sentence.endswith("shifted by about +1.2 since point 61")


def test_memory_restarts_at_a_segment() -> None:
    x = [0.0] * 20 + [1.0] * 4 + [0.0] * 20
    assert ewma(x, 0.3, breaks=[Break(24, "repair")], centre=0.0, sigma=0.5).points[24] == 0.0
    assert ewma(x, 0.3, centre=0.0, sigma=0.5).points[24] != 0.0
    assert cusum(x, breaks=[Break(24, "repair")], centre=0.0, sigma=0.5).points[24] == 0.0


def test_memory_charts_state_their_run_length() -> None:
    assert ewma(steady()).false_alarm == pytest.approx(1 / 500, rel=0.01)
    assert cusum(steady()).false_alarm == pytest.approx(1 / 465.4, rel=0.001)
    assert cusum(steady(), head_start=2.5).false_alarm > cusum(steady()).false_alarm
    for n in (0, 1):
        assert ewma(steady(n)).signals == ()
        assert cusum(steady(n)).signals == ()
    assert ewma([3.0] * 25).upper[0] is None


def test_designs_that_cannot_be_are_refused() -> None:
    with pytest.raises(DataError, match="between 0 and 1"):
        ewma(steady(), 0.0)
    with pytest.raises(DataError, match="cannot be"):
        ewma_run_length(0.2, -1.0)
    with pytest.raises(DataError, match="cannot be"):
        cusum_run_length(0.5, 5.0, head_start=6.0)
