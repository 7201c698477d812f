"""What a band shows: the drawn range, what lies beyond it, and figures that are none."""

from __future__ import annotations

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.report.draw.band import Lane, Range, band, drawn_range

ANY = st.none() | st.floats()


def test_the_drawn_range_is_the_band_and_a_third_of_it_on_each_side() -> None:
    drawn = drawn_range(81.2, 82.8)
    assert (drawn.low, drawn.high) == (pytest.approx(81.2 - 0.56), pytest.approx(82.8 + 0.56))


def test_with_an_open_side_there_is_room_around_all_that_is_known() -> None:
    drawn = band(6.0, None, 7.0, [Lane(6.5, others=(9.0,))]).range
    assert (drawn.low, drawn.high) == (pytest.approx(6.0 - 0.35 * 3.0), pytest.approx(9.0 + 0.35 * 3.0))
    near = drawn_range(80.0, None, 80.01)  # 0.02 of the size is drawn at least
    assert near.high - near.low == pytest.approx(0.01 + 0.7 * 1.6)


def test_places_are_shares_of_the_range_and_sides_are_told() -> None:
    drawn = Range(10.0, 20.0)
    assert [drawn.share(x) for x in (10.0, 12.5, 20.0, 25.0)] == [0.0, 0.25, 1.0, 1.5]
    assert [drawn.beyond(x) for x in (9.9, 10.0, 15.0, 20.0, 20.1)] == [-1, 0, 0, 0, 1]
    assert [drawn.inside(x) for x in (-inf, 12.0, inf)] == [10.0, 12.0, 20.0]


def test_a_reading_that_is_no_number_is_left_out_and_one_beyond_all_numbers_is_not() -> None:
    made = band(nan, inf, nan, [Lane(nan, nan, True, (nan, 3.0)), Lane(inf, -0.2)])
    assert (made.lower, made.upper, made.target) == (None, None, None)
    assert made.lanes == (Lane(None, 0.0, True, (3.0,)), Lane(inf, 0.2))
    assert made.range.shows(3.0) and made.range.beyond(inf) == 1


def test_a_lane_says_nothing_until_it_is_told() -> None:
    assert Lane() == Lane(None, 0.0, False, ())


def test_limits_the_wrong_way_round_are_turned() -> None:
    assert band(2.0, 1.0, 1.5).lower == 1.0


@given(ANY, ANY, ANY, st.lists(ANY, max_size=3), st.lists(st.floats(), max_size=3))
def test_whatever_is_given_the_range_has_a_width_and_shows_the_limits(
    lower: float | None, upper: float | None, target: float | None, values: list[float | None], others: list[float]
) -> None:
    made = band(lower, upper, target, [Lane(x, 0.1, others=tuple(others)) for x in values])
    assert made.range.low < made.range.high
    for limit in (made.lower, made.upper):
        assert limit is None or 0.0 <= made.range.share(limit) <= 1.0
