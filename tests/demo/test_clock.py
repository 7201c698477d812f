"""The clock of the story: summer time after the rule of the European Union, and never backwards."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from inspect_tui.demo.clock import _offset


@pytest.mark.parametrize(
    ("day", "minutes"),  # last Sundays of March and October 2024: the 31st and the 27th (calendar)
    [((2024, 3, 30), 60), ((2024, 3, 31), 120), ((2024, 10, 26), 120), ((2024, 10, 27), 60), ((2025, 1, 1), 60)],
)
def test_summer_time_goes_from_the_last_sunday_of_march_to_that_of_october(day, minutes: int) -> None:
    assert _offset(date(*day)) == minutes


def test_it_is_set_to_the_shop_s_own_hour_goes_on_with_each_row_and_never_back() -> None:
    from inspect_tui.demo import clock

    (kind,) = (
        thing for thing in vars(clock).values() if isinstance(thing, type) and thing.__module__ == clock.__name__
    )
    going = kind(1)
    going.set(date(2024, 7, 1), 8, 30, 10.0)
    at, tz_min = going()
    assert (datetime.fromtimestamp(at / 1e6, UTC), tz_min) == (datetime(2024, 7, 1, 6, 30, tzinfo=UTC), 120)
    assert 6.0 <= (going()[0] - at) / 1e6 <= 16.1
    with pytest.raises(ValueError, match="backwards"):
        going.set(date(2024, 6, 30), 8, 0, 1.0)
