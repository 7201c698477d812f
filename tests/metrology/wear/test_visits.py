"""Readings put together to visits: means, what repeats, and what is in question."""

from __future__ import annotations

from math import isnan, nan, sqrt

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.visits import fit_readings, visits


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


def grown(repeats: int, n: int = 12) -> tuple[list[float], list[float], list[int], list[float]]:
    rng = np.random.default_rng(1)
    day = np.repeat(np.arange(n) * 7.0, repeats) + np.tile(np.arange(repeats) * 0.01, n)
    x = np.repeat(np.linspace(0, 5000, n), repeats)
    y = 80 + 3e-5 * x + np.repeat(rng.normal(0, 0.02, n), repeats) + rng.normal(0, 0.01, n * repeats)
    return x.tolist(), y.tolist(), [0] * len(x), day.tolist()


def test_readings_of_one_day_are_one_point_of_the_wear_line() -> None:
    five, once = fit_readings(*grown(5)), fit_readings(*grown(1))
    assert five.n == once.n == 12 and five.dof == once.dof
    assert five.rate.u > 0.6 * once.rate.u  # not a fifth and root of it, as if they were visits of their own


def test_a_stray_repeat_leaves_its_visit_and_is_named() -> None:
    x, y, segment, day = grown(5)
    y[22] += 0.6
    fit = fit_readings(x, y, segment, day)
    assert fit.flagged == (22,)
    assert fit.rate.value == pytest.approx(fit_readings(*grown(5)).rate.value, abs=1e-6)


def test_a_flagged_visit_names_all_its_readings() -> None:
    x, y, segment, day = grown(2, 20)
    y[10] += 1.0
    y[11] += 1.0
    assert fit_readings(x, y, segment, day).flagged == (10, 11)
