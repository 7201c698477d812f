"""Readings put together to visits: means, what repeats, and what is in question."""

from __future__ import annotations

from math import isnan, nan, sqrt

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.visits import visits


def test_repeats_of_one_visit_are_one_point() -> None:
    made = visits(["a", "a", "b", "a"], [5.2, 5.0, 9.0, 5.4], [100, nan, 200, 130], [10.0, 10.2, 11.0, 10.4])
    assert made.day == (5.0, 9.0) and made.count == (115.0, 200.0)
    assert made.value == pytest.approx((10.2, 11.0)) and made.n == (3, 1) and made.of == (0, 0, 1, 0)
    assert made.u_repeat == pytest.approx((0.2 / sqrt(3), 0.2))  # sd of the three about their mean
    assert isnan(visits(["a"], [1], [nan], [1.0]).count[0])


def test_what_repeats_is_pooled_and_never_below_what_the_gauge_repeats_by() -> None:
    values = [10.0, 10.1, 20.0, 20.3]
    expected = np.sqrt((0.05**2 * 2 + 0.15**2 * 2) / 2)
    assert visits(list("aabb"), [1] * 4, [1] * 4, values).u_repeat[0] == pytest.approx(expected / sqrt(2))
    assert visits(list("aabb"), [1] * 4, [1] * 4, values, u_repeat=0.5).u_repeat[1] == pytest.approx(0.5 / sqrt(2))
    assert visits(["a"], [1], [1], [3.0]).u_repeat == (0.0,)


def test_a_reading_in_question_leaves_a_visit_that_has_others() -> None:
    made = visits(list("aab"), [1, 1, 2], [1, 1, 2], [10.0, 99.0, 12.0], [False, True, True])
    assert made.value == (10.0, 12.0) and made.in_question == (False, True) and made.n == (1, 1)


def test_columns_of_different_length_are_refused() -> None:
    with pytest.raises(DataError, match="for every reading"):
        visits(["a"], [1, 2], [1], [1.0])
