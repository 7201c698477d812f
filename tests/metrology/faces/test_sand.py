"""Sand spread that grows with size: the table's figures, and a proper covariance of any set of faces.

The growth is that of the tolerance factor of ISO 286-1:2010, 0.45 D^(1/3) (+ 0.001 D); the level is common practice,
no source.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.faces import sand
from inspect_tui.metrology.sizes import tables


def test_the_table_grows_with_the_cube_root_and_says_what_it_is() -> None:
    rows = tables.rows("sand_spread")
    for row in rows:
        assert row["status"] == "common-practice"
        assert float(row["spread_mm"]) == pytest.approx(0.06 * (float(row["size_mm"]) / 100.0) ** (1 / 3), abs=6e-4)
    assert sand.spread_mm(100.0) == pytest.approx(0.06) and sand.spread_mm(-630.0) == pytest.approx(0.111)
    assert sand.spread_mm(0.0) == 0.0
    assert sand.spread_mm(20000.0) == pytest.approx(0.175 * 2.0)  # eight times the last row


def test_between_two_faces_it_is_the_spread_of_their_distance() -> None:
    at = np.array([-30.0, 70.0, 600.0])
    v = sand.covariance(at)
    for i, j in ((0, 1), (0, 2), (1, 2)):
        apart = v[i, i] + v[j, j] - 2 * v[i, j]
        assert apart**0.5 == pytest.approx(sand.spread_mm(at[i] - at[j]))
    assert sand.spread_mm(530.0) ** 2 == pytest.approx(0.095**2 + (0.111**2 - 0.095**2) * 130 / 230)


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(-5000, 5000), min_size=1, max_size=12, unique=True))
def test_it_is_a_covariance_wherever_the_faces_lie(at: list[float]) -> None:
    v = sand.covariance(np.array(at))
    assert np.allclose(v, v.T) and np.linalg.eigvalsh(v).min() > -1e-9
