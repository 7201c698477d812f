"""Tests of: one size on one tool, on its sample cores."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.shop.trends.tracks import ReadingFilter
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_only_one_persons_readings_or_one_lots(worn: WornBox) -> None:
    worn.wear(10)
    worn.read(81.5, by=worn.cd)
    assert worn.trend(only=ReadingFilter(person="CD")).main.value.tolist() == [81.5]
    assert len(worn.trend(only=ReadingFilter(person="AB")).main) == 10
    worn.lot("L1", "2024-01-08")
    worn.item(79.9, "W", "casting", "L1")
    worn.item(79.8, "W", "casting")
    worn_trend = worn.trend(only=ReadingFilter(lot="L1"))
    assert worn_trend.castings is not None and worn_trend.castings.value.tolist() == [79.9]
    assert worn_trend.only.words == "only lot L1"


def test_what_a_wrong_clock_marked_stays_near_its_day_and_is_told(worn: WornBox) -> None:
    worn.wear(10)
    last = worn.trend().main.day[-1]
    right = worn.clock.at
    worn.go(date(right.year + 10, 1, 1))
    worn.read(80.9)
    worn.clock.at = right + timedelta(days=7)
    worn.read(80.91)
    worn_trend = worn.trend()
    assert (int(worn_trend.main.day[-2]), int(worn_trend.main.day[-1])) == (int(last), int(last) + 7)
    assert "1 reading was logged while the clock was wrong: kept in the order they were logged in" in worn_trend.remarks


def read_on(worn: WornBox, value: float, day: str, **more: object) -> None:
    """Logged now, of a day that somebody said."""
    session = worn.record.add(Session(job_of_id=worn.job.of_id), worn.ab.id)
    setup = Setup(session_id=session.id, person_id=worn.ab.id, instrument_id=worn.caliper.id, on_date=day, **more)
    worn.record.append_reading(
        Reading(
            setup_id=worn.record.add(setup, worn.ab.id).id,
            feature_id=worn.features["W"].id,
            tool_id=worn.box.id,
            tool_feature_id=worn.on["box 1", "W"].id,
            value=value,
            typed=f"{value:.2f}",
        )
    )


def test_a_reading_stands_at_the_day_that_was_said_put_right_with_the_bias_of_that_day(worn: WornBox) -> None:
    for week, value in enumerate((80.80, 80.82, 80.84)):
        worn.go(START + timedelta(weeks=week))
        worn.read(value)
    read_on(worn, 80.81, (START + timedelta(days=3)).isoformat())
    track = worn.trend().main
    assert track.value.tolist() == [80.80, 80.81, 80.82, 80.84] and track.read is None and track.doubtful == 0
    assert [int(day) - START.toordinal() for day in track.day] == [0, 3, 7, 14]
    known = {"from_on": (START + timedelta(days=5)).isoformat(), "bias_mm": 0.05, "u_mm": 0.01, "why": "w"}
    worn.record.add(InstrumentBias(instrument_of_id=worn.caliper.of_id, found_from="check", **known), worn.ab.id)
    track = worn.trend().main
    assert track.value.tolist() == pytest.approx([80.80, 80.81, 80.77, 80.79])
    assert track.read is not None and track.read.tolist() == [80.80, 80.81, 80.82, 80.84]


def test_only_days_said_under_a_doubted_clock_are_doubtful(worn: WornBox) -> None:
    worn.go(START + timedelta(weeks=4))
    read_on(worn, 80.81, START.isoformat())
    read_on(worn, 80.82, START.isoformat(), clock_doubt=True)
    assert worn.trend().main.doubtful == 1
