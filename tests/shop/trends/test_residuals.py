"""What is left of readings after wear: slips are told from steps and wear."""

from __future__ import annotations

import numpy as np

from inspect_tui.shop.trends import residuals


def test_believable_flags_slips_but_neither_a_step_nor_wear() -> None:
    rng = np.random.default_rng(1)
    values = 50.0 + 0.01 * np.arange(200) + rng.normal(0, 0.02, 200)
    values[100:] += 0.5
    assert residuals.believable(values).all()
    values[[20, 150]] = (5.0, 52.9 + 3.0)
    assert np.flatnonzero(~residuals.believable(values)).tolist() == [20, 150]
