"""Tests of: pieces of a trend."""

from __future__ import annotations

import numpy as np

from inspect_tui.shop.trends import parts as trend_parts


def test_believable_flags_slips_but_neither_a_step_nor_wear() -> None:
    rng = np.random.default_rng(1)
    values = 50.0 + 0.01 * np.arange(200) + rng.normal(0, 0.02, 200)
    values[100:] += 0.5
    assert trend_parts.believable(values).all()
    values[[20, 150]] = (5.0, 52.9 + 3.0)
    assert np.flatnonzero(~trend_parts.believable(values)).tolist() == [20, 150]
