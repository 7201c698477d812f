"""Lines with errors in both sizes: contraction from pairs, and what determines no line is refused."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.lines import contraction_from_pairs, deming_line, inverse_prediction, york_line


def test_a_line_without_errors_gives_its_contraction_back():
    casting = [52.0, 140.0, 420.0, 624.0]
    tool = [c * 1.008 + 0.05 for c in casting]
    got = contraction_from_pairs(tool, casting, [0.03] * 4, [0.05] * 4)
    assert got.value == pytest.approx(0.008, abs=1e-9)
    assert got.u == pytest.approx((0.03**2 + (1.008 * 0.05) ** 2) ** 0.5 / 454.5, rel=0.02)  # root of sum of squares


def test_points_that_make_no_line_are_refused():
    with pytest.raises(DataError, match="at least 2 points"):
        york_line([1.0], [1.0], [0.1], [0.1])
    with pytest.raises(DataError, match="two different ones"):
        york_line([1.0, 1.0], [1.0, 2.0], [0.1, 0.1], [0.1, 0.1])
    with pytest.raises(DataError, match="positive uncertainty"):
        york_line([1.0, 2.0], [1.0, 2.0], [0.1, 0.0], [0.1, 0.1])
    with pytest.raises(DataError, match="do not vary together"):
        deming_line([1.0, 2.0, 3.0], [1.0, 1.0, 1.0])
    with pytest.raises(DataError, match="does not reach"):
        inverse_prediction([1, 2, 3, 4], [1, 2, 3, 4], 40.0)


def test_points_on_a_line_give_the_line_whatever_their_weights():
    x, y = [0.0, 100.0, 250.0, 600.0], [0.4, 101.4, 252.9, 606.4]  # y = 0.4 + 1.01 x
    line = york_line(x, y, [0.01, 0.1, 0.02, 0.3], [0.2, 0.01, 0.05, 0.03])
    assert (line.slope.value, line.intercept.value) == pytest.approx((1.01, 0.4))
    assert line.fit == pytest.approx(0.0, abs=1e-12)
    assert deming_line(x, y, 3.0) == pytest.approx((1.01, 0.4))
    at = line.at(300.0)
    assert at.value == pytest.approx(303.4)
    assert at.u**2 == pytest.approx(
        line.intercept.u**2 + (300 * line.slope.u) ** 2 + 2 * 300 * line.covariance, rel=1e-9
    )
    assert at.u < line.at(3000.0).u


def test_exchanging_the_axes_turns_the_line_over():
    """A line with errors in both sizes has no first and second: the slope back is one over the slope."""
    x, y = [0.0, 0.9, 1.8, 2.6, 3.3, 4.4], [5.9, 5.4, 4.4, 4.6, 3.5, 3.7]
    there, back = deming_line(x, y, 4.0), deming_line(y, x, 0.25)
    assert back[0] == pytest.approx(1 / there[0])
    ux, uy = [0.1, 0.2, 0.1, 0.3, 0.1, 0.2], [0.3, 0.1, 0.2, 0.2, 0.1, 0.4]
    assert york_line(y, x, uy, ux).slope.value == pytest.approx(1 / york_line(x, y, ux, uy).slope.value, rel=1e-9)
