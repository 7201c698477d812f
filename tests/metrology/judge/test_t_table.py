"""Student's t from a table against scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from inspect_tui.metrology.judge.t_table import as_normal, t_probability


@pytest.mark.parametrize("dof", [1.0, 2.0, 3.0, 8.0, 57.0, 1e4, float("inf")])
def test_the_table_is_students_t(dof: float) -> None:
    expected = stats.t.cdf if dof < float("inf") else lambda t, _: stats.norm.cdf(t)
    for t in [*np.random.default_rng(1).uniform(-9, 9, 300), 0.0, -8.0, 8.0, 7.999999, 1e5, -1e5]:
        assert t_probability(float(t), dof) == pytest.approx(expected(t, dof), abs=1e-9)


def test_few_degrees_of_freedom_widen_to_what_holds_95_percent() -> None:
    assert as_normal(1.0, 1) == pytest.approx(12.7062 / 1.95996, rel=1e-5)  # t tables
    assert as_normal(0.5, 4) == pytest.approx(0.5 * 2.77645 / 1.95996, rel=1e-5)
    assert as_normal(1.0, 1e9) == pytest.approx(1.0)
