"""The fit in whole numbers against the one by orthogonal decomposition, and where each is used."""

from __future__ import annotations

from fractions import Fraction
from math import isclose

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.least_squares import _by_qr, _exact, least_squares


@given(
    st.integers(1, 4),
    st.lists(st.lists(st.integers(-999, 999), min_size=5, max_size=5), min_size=9, max_size=25),
)
def test_the_exact_fit_and_the_orthogonal_one_agree(p: int, rows: list[list[int]]) -> None:
    table = np.array(rows, dtype=float) / 10
    parts, y = [np.ones(len(rows)), *table[:, :p].T], table[:, 4]
    try:
        exact, other = _exact([c.tolist() for c in parts], y.tolist(), True), _by_qr(parts, y, True)
    except DataError:
        return
    assert np.allclose(exact.b, other.b, rtol=1e-6, atol=1e-6)
    assert np.allclose(exact.u, other.u, rtol=1e-6, atol=1e-6)
    assert np.allclose(exact.residuals, other.residuals, rtol=1e-6, atol=1e-6)
    assert isclose(exact.ss_residual, other.ss_residual, rel_tol=1e-6, abs_tol=1e-6)


def test_coefficients_are_the_doubles_nearest_to_the_exact_ones() -> None:
    """A line through the origin: b is the sum of xy over the sum of xx, here in fractions of the doubles as given."""
    x, y = [0.1, 0.7, 1.3, 2.9], [0.3, 1.1, 2.2, 4.1]
    xy = sum(Fraction(a) * Fraction(b) for a, b in zip(x, y, strict=True))
    xx = sum(Fraction(a) ** 2 for a in x)
    fit = least_squares([x], y, intercept=False)
    assert fit.b == (float(xy / xx),)
    assert fit.residuals == tuple(float(Fraction(b) - Fraction(a) * xy / xx) for a, b in zip(x, y, strict=True))


@pytest.mark.parametrize("n", [30, 60_000])
def test_columns_that_follow_from_each_other_are_refused_either_way(n: int) -> None:
    x = [0.1 * i for i in range(n)]
    with pytest.raises(DataError, match="cannot be told apart"):
        least_squares([x, [0.3 * v + 1.0 for v in x]], x)
    with pytest.raises(DataError, match="zero everywhere"):
        least_squares([x, [0.0] * n], x)


def test_figures_without_bound_are_refused_in_words() -> None:
    with pytest.raises(DataError, match="no measured sizes"):
        least_squares([[1.0, 2.0, 3.0, 4.0]], [1e300, -1e300, 1e300, 3e300])
