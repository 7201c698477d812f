"""What is said beside a trend: readings without counts, no counts at all, counts that go back."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


# ------------------------------------------------------------------------------ counts, states, clocks
def test_readings_without_counts_are_shown_over_dates_and_said(worn: WornBox) -> None:
    worn.wear(10)
    for week in range(20, 26):  # nobody counted for two months
        worn.go(START + timedelta(weeks=week))
        worn.read(80.9)
    worn_trend = worn.trend()
    assert len(worn_trend.main) == 16 and worn_trend.main.uncounted == 6
    assert worn_trend.fit is not None and worn_trend.fit.n == 10
    assert (
        "6 of 16 readings have no count: the last count is of 2024-03-04; they are on the chart over dates and take no "
        "part in the wear line" in worn_trend.remarks
    )


def test_no_counts_at_all_is_a_sentence_and_not_a_date(worn: WornBox) -> None:
    for week in range(5):
        worn.go(START + timedelta(weeks=week))
        worn.read(80.8)
    worn_trend = worn.trend()
    assert worn_trend.left is None
    assert worn_trend.sentence.startswith("no counts: type or import how many cores were made")


def test_counts_that_go_back_are_left_out_and_told_and_the_line_holds(worn: WornBox) -> None:
    worn.wear(30)
    rate = worn.trend().fit.rate.value  # type: ignore[union-attr]
    worn.count(90_000, (START + timedelta(weeks=15)).isoformat())  # a slip: 9 000 would not fit either
    worn_trend = worn.trend()
    assert "the count of 90 000 on 2024-04-15 does not fit those before and after it: left out" in worn_trend.remarks
    assert worn_trend.fit is not None and worn_trend.fit.rate.value == pytest.approx(rate, rel=1e-6)


def test_wood_watched_for_less_than_a_year_may_dry_as_well_as_wear(worn: WornBox) -> None:
    worn.wear(30)
    said = "box 1 is of wood and was watched for 203 days: drying and wear look alike so far"
    assert said not in worn.trend().remarks
    worn.record.revise(worn.box, material="mahogany")
    wooden = worn.trend(tool=next(tool for tool in worn.view.kit.tools if tool.label == "box 1"))
    assert said in wooden.remarks
    worn.wear(20, first_week=30)
    assert not any("drying and wear" in remark for remark in worn.trend(tool=wooden.tool).remarks)
