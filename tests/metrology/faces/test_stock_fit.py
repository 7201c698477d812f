"""Tests of: a look at form: the rigid motion that lays measured points on their nominal places best, in least squares"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.faces.stock_fit import rigid_fit


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 100_000))
def test_a_rigid_motion_is_found_again_and_never_a_mirror(seed):
    rng = np.random.default_rng(seed)
    p = rng.normal(size=(6, 3)) * 100
    q, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    q *= np.sign(np.linalg.det(q))
    t = rng.normal(size=3) * 50
    fit = rigid_fit(p, p @ q.T + t)
    assert np.allclose(fit.rotation, q, atol=1e-9)
    assert np.allclose(fit.shift, t, atol=1e-8)
    assert fit.largest < 1e-8
    mirrored = rigid_fit(p, p * np.array([1.0, 1.0, -1.0]))
    assert np.linalg.det(np.array(mirrored.rotation)) == pytest.approx(1.0)
