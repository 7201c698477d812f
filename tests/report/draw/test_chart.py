"""What a chart shows: its frame, what is far off, the reduction of a long series, round figures along an axis."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.report.draw.chart import (
    LIMIT,
    Chart,
    Fan,
    Level,
    Series,
    beyond,
    frame,
    month_starts,
    nice_step,
    reduced,
    tame,
    ticks,
)

SIZES = st.floats(-1e4, 1e4)


# ------------------------------------------------------------------------------ the frame
def test_the_frame_holds_readings_series_and_levels_with_a_little_room() -> None:
    chart = Chart(
        readings=Series([1, 2, 3], [10.0, 12.0, 11.0]),
        beside=(Series([0, 5], [9.0, 13.0]),),
        levels=(Level(14.0, "limit", LIMIT), Level(30.0, "far", LIMIT, reach=False)),
    )
    drawn = frame(chart)
    assert (drawn.x0, drawn.x1) == (0, 5)
    assert (drawn.y0, drawn.y1) == (pytest.approx(9.0 - 0.25), pytest.approx(14.0 + 0.25))


def test_a_fan_is_drawn_to_its_end_but_not_as_wide_as_it_began() -> None:
    fan = Fan(xs=(0.0, 10.0), middle=(5.0, 6.0), low=(-50.0, 4.0), high=(50.0, 8.0), now=0.0)
    drawn = frame(Chart(readings=Series([0, 1], [5.0, 5.1]), fan=fan))
    assert drawn.x1 == 10.0 and drawn.y0 == pytest.approx(4.0 - 0.2) and drawn.y1 == pytest.approx(8.0 + 0.2)


def test_one_reading_alone_has_a_frame_around_it() -> None:
    drawn = frame(Chart(readings=Series([7], [80.8])))
    assert drawn.x0 < 7 < drawn.x1 and drawn.y0 < 80.8 < drawn.y1


def test_a_chart_without_readings_has_none() -> None:
    with pytest.raises(ValueError, match="without readings"):
        frame(Chart(readings=Series((), ())))


def test_what_is_far_off_does_not_stretch_the_frame_and_is_counted() -> None:
    ys = [1.0, 1.1, 1.2, 1.1, 1.0, 1.2, 99.0, -40.0, -41.0]
    low, high = tame(ys)
    chart = Chart(readings=Series(range(len(ys)), ys), low=low, high=high)
    assert frame(chart).y1 < 2.0
    assert beyond(chart, ys) == (1, 2)


# ------------------------------------------------------------------------------ what is far off
def test_a_typing_slip_is_far_off_and_a_step_is_not() -> None:
    usual = [80.80, 80.83, 80.79, 80.81, 80.84, 80.80, 80.82]
    assert tame([*usual, 808.2]) == (80.79, 80.84)
    assert tame([*usual, 80.95]) == (80.79, 80.95)


def test_where_most_are_equal_the_others_are_what_is_to_be_seen() -> None:
    assert tame([80.8] * 20 + [80.81]) == (80.8, 80.81)


def test_no_readings_have_no_range() -> None:
    assert tame([]) == (0.0, 0.0)


@given(st.lists(SIZES, min_size=1, max_size=60))
def test_far_off_is_told_by_the_quartiles_of_numpy(ys: list[float]) -> None:
    """The quartiles are those of numpy's default (linear interpolation), as the library computes them."""
    quarter, middle, three = np.quantile(ys, [0.25, 0.5, 0.75])
    low, high = tame(ys)
    reach = 8.0 * (three - quarter)
    slack = 1e-6
    if reach > slack:
        for y in ys:
            if abs(y - middle) < reach - slack:
                assert low <= y <= high
            if abs(y - middle) > reach + slack:
                assert not low <= y <= high
    assert min(ys) <= low <= high <= max(ys)


# ------------------------------------------------------------------------------ a long series
@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=2000),
    st.integers(2, 80),
    st.randoms(use_true_random=False),
)
@settings(max_examples=60, deadline=None)
def test_reducing_keeps_the_extremes_of_every_stretch(ys: list[float], slots: int, random: object) -> None:
    xs = sorted(random.uniform(0, 100) for _ in ys)  # type: ignore[attr-defined]
    kept_xs, kept_ys = reduced(xs, ys, slots)
    assert len(kept_xs) == len(kept_ys) <= 2 * slots or len(ys) == 1
    assert kept_xs == sorted(kept_xs)
    kept = set(zip(kept_xs, kept_ys, strict=True))
    assert kept <= set(zip(xs, ys, strict=True))
    slot = [int((x - xs[0]) / ((xs[-1] - xs[0]) or 1.0) * (slots - 1)) for x in xs]
    for k in set(slot):
        own = [y for y, s in zip(ys, slot, strict=True) if s == k]
        near = [y for x, y in kept if xs[slot.index(k)] <= x <= xs[len(slot) - 1 - slot[::-1].index(k)]]
        assert max(own) in near and min(own) in near


def test_readings_the_smallest_moment_apart_are_drawn_too() -> None:
    assert reduced([0.0, 0.0, 5e-324, 5e-324, 5e-324], [1.0, 2.0, 3.0, 4.0, 5.0], 2) == (
        [0.0, 0.0, 5e-324, 5e-324],
        [1.0, 2.0, 3.0, 5.0],
    )


def test_a_short_series_is_drawn_whole() -> None:
    assert reduced([1, 2, 3], [5.0, 5.0, 5.0], 2) == ([1, 2, 3], [5.0, 5.0, 5.0])
    assert len(reduced(range(9), [5.0] * 9, 2)[0]) == 3


# ------------------------------------------------------------------------------ round figures
def test_steps_are_1_2_or_5_times_a_power_of_ten() -> None:
    assert [nice_step(span, 5) for span in (1.0, 0.7, 4.0, 30.0)] == [0.2, 0.2, 1.0, 10.0]
    assert ticks(0.0, 1.0, 5) == [0.0, 0.2, 0.4, 0.6000000000000001, 0.8, 1.0]


def test_months_begin_on_their_first_day_and_there_are_few_of_them() -> None:
    def days(first: date, last: date) -> list[str]:
        return [date.fromordinal(int(x)).isoformat() for x in month_starts(first.toordinal(), last.toordinal())]

    assert days(date(2024, 1, 15), date(2024, 4, 2)) == ["2024-02-01", "2024-03-01", "2024-04-01"]
    assert days(date(2024, 1, 1), date(2025, 12, 31)) == [
        "2024-01-01",
        "2024-07-01",
        "2025-01-01",
        "2025-07-01",
    ]


@given(st.floats(1, 3_000_000), st.floats(0, 100_000))
def test_any_span_of_days_has_at_most_about_six_months_named(x0: float, span: float) -> None:
    assert len(month_starts(x0, x0 + span)) <= 32
