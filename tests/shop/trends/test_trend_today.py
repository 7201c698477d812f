"""A trend as of today: old counts, limits passed, slips that were asked about, how wear goes."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random

import pytest

from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Reading
from inspect_tui.shop.trends import fleet, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import trend as trends
from inspect_tui.shop.trends.counts import makings
from inspect_tui.shop.trends.forecast import headline
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.trend import Trend
from tests.worlds.worn_box import START, WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    yield made
    made.record.close()


def as_of(worn: WornBox, day: date) -> Trend:
    view = JobView(worn.record, worn.record.job(worn.job.of_id), MM, day.isoformat())
    return trends.trend(view, view.feature("W"), worn.box)


def listed(worn: WornBox, day: date) -> fleet.Fleet:
    kept = trend_kept.compute(worn.record)[0]
    return fleet.fleet(kept, {}, today=day.isoformat(), makings=makings.makings(worn.record, kept))


LAST = START + timedelta(weeks=39)


def test_an_old_count_is_carried_forward_and_said_to_be_old(worn: WornBox) -> None:
    worn.wear(40)
    now, later = as_of(worn, LAST), as_of(worn, LAST + timedelta(weeks=20))
    assert now.ahead is not None and later.ahead is not None and later.left is not None and now.weeks[0] is not None
    assert later.ahead.made == pytest.approx(4000) and later.ahead.left == pytest.approx(later.left.left - 4000)
    assert later.weeks[0] == pytest.approx(now.weeks[0] - 20) and later.due == now.due
    assert f"the last count is of {LAST.isoformat()}, carried forward at 200 a week" in later.sentence
    assert "carried forward" not in now.sentence
    assert later.risk > now.risk  # type: ignore[operator]


def test_the_list_and_the_chart_say_the_same_of_any_day(worn: WornBox) -> None:
    worn.wear(40)
    for weeks in (0, 3, 30, 120):
        day = LAST + timedelta(weeks=weeks)
        trend, line = as_of(worn, day), listed(worn, day).lines[0]
        assert line.said() == trend.sentence == line.kept.sentence and line.due == trend.due
        assert (line.weeks, line.weeks_low, line.weeks_high) == pytest.approx(trend.weeks)
        assert line.kept.risk == pytest.approx(trend.risk)


def test_a_limit_passed_since_the_last_count_stands_first_and_is_to_be_measured(worn: WornBox) -> None:
    worn.wear(40)
    trend = as_of(worn, LAST)
    assert trend.due is not None
    day = date.fromisoformat(trend.due) + timedelta(weeks=3)
    late, line = as_of(worn, day), listed(worn, day).lines[0]
    assert late.due == trend.due < day.isoformat() and late.sentence.startswith(f"limit passed about {trend.due}")
    assert line.passed and line.sign == "✗"
    # the size as it would be today: beyond its limit by what three weeks' cores wear
    assert line.kept.value_mm - line.kept.limit_mm == pytest.approx(600 * trend.fit.rate_now, rel=0.1)  # type: ignore[operator,union-attr]
    (order,) = work_orders.orders(worn.record, [line], today=day.isoformat())
    assert order.wait == "limit passed since the last count: measure it, and do not blow more before that"


def test_a_limit_that_was_past_when_it_was_measured_has_the_day_on_which_it_was_passed(worn: WornBox) -> None:
    worn.wear(40, start=81.406 - 0.03e-3 * 200 * 29)  # at its limit after 29 weeks
    trend = as_of(worn, LAST + timedelta(weeks=8))
    assert trend.left is not None and trend.left.kind == "past" and trend.due is not None
    passed = date.fromisoformat(trend.due)
    assert abs((passed - (START + timedelta(weeks=29))).days) < 28
    assert listed(worn, LAST).lines[0].due == as_of(worn, LAST).due == trend.due


def test_a_reading_that_was_asked_about_and_kept_may_be_a_slip(worn: WornBox) -> None:
    def off(slip: str) -> float:
        made = WornBox(worn.record.path.with_name(f"{slip}.db"))
        rng = Random(3)
        for week in range(14):
            day = made.go(START + timedelta(weeks=week))
            made.count(200 * week, day)
            value = 80.8 + 0.006 * week + rng.gauss(0, 0.01) + (0.035 if week == 12 else 0.0)
            made.record.append_reading(
                Reading(
                    setup_id=made._setup().id,
                    feature_id=made.features["W"].id,
                    tool_id=made.box.id,
                    tool_feature_id=made.on["box 1", "W"].id,
                    value=round(value, 3),
                    typed=f"{value:.3f}",
                    slip=slip if week == 12 else "none",
                )
            )
        fit = made.trend().fit
        made.record.close()
        assert fit is not None
        return sum(line.weight * line.rate.value for line in fit.lines)

    assert off("asked_kept") < off("none")  # the slip pulled the rate up


def test_how_wear_goes_is_said(worn: WornBox) -> None:
    rng = Random(2)
    for week in range(40):
        day = worn.go(START + timedelta(weeks=week))
        worn.count(200 * week, day)
        worn.read(80.8 + 0.3 * (week / 39) ** 2 + rng.gauss(0, 0.006))
    trend = as_of(worn, LAST)
    assert any(line.startswith("wear speeds up: ") for line in trend.remarks)
    assert trend.fit is not None and trend.fit.rate_now > 1.5 * trend.fit.rate.value


def test_readings_that_lean_on_each_other_are_said_to(worn: WornBox) -> None:
    rng, e = Random(8), 0.0
    for week in range(60):
        day = worn.go(START + timedelta(weeks=week))
        worn.count(200 * week, day)
        e = 0.85 * e + rng.gauss(0, 0.03)
        worn.read(80.8 + 0.2 * week / 59 + e)
    trend = as_of(worn, START + timedelta(weeks=60))
    assert any(line.startswith("readings lean on the ones before") for line in headline(trend))
