"""Tests of: one size on one tool, on its sample cores."""

from __future__ import annotations

from datetime import date, timedelta

from inspect_tui.shop.trends.tracks import ReadingFilter
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import WornBox


def test_only_one_persons_readings_or_one_lots(worn: WornBox) -> None:
    worn.wear(10)
    worn.read(81.5, by=worn.cd)
    assert worn.trend(only=ReadingFilter(person="CD")).main.value.tolist() == [81.5]
    assert len(worn.trend(only=ReadingFilter(person="AB")).main) == 10
    worn.lot("L1", "2024-01-08")
    worn.item(79.9, "W", "casting", "L1")
    worn.item(79.8, "W", "casting")
    one = worn.trend(only=ReadingFilter(lot="L1"))
    assert one.castings is not None and one.castings.value.tolist() == [79.9]
    assert one.only.words == "only lot L1"


def test_what_a_wrong_clock_marked_stays_near_its_day_and_is_told(worn: WornBox) -> None:
    worn.wear(10)
    last = worn.trend().main.day[-1]
    right = worn.clock.at
    worn.go(date(right.year + 10, 1, 1))
    worn.read(80.9)
    worn.clock.at = right + timedelta(days=7)
    worn.read(80.91)
    one = worn.trend()
    assert (int(one.main.day[-2]), int(one.main.day[-1])) == (int(last), int(last) + 7)
    assert "1 reading was logged while the clock was wrong: kept in the order they were logged in" in one.remarks
