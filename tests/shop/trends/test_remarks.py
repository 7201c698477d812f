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
    one = worn.trend()
    assert len(one.main) == 16 and one.main.uncounted == 6
    assert one.fit is not None and one.fit.n == 10
    assert (
        "6 of 16 readings have no count: the last count is of 2024-03-04; they are on the chart over dates and take no "
        "part in the wear line" in one.remarks
    )


def test_no_counts_at_all_is_a_sentence_and_not_a_date(worn: WornBox) -> None:
    for week in range(5):
        worn.go(START + timedelta(weeks=week))
        worn.read(80.8)
    one = worn.trend()
    assert one.left is None
    assert one.sentence.startswith("no counts: type or import how many cores were made")


def test_counts_that_go_back_are_left_out_and_told_and_the_line_holds(worn: WornBox) -> None:
    worn.wear(30)
    rate = worn.trend().fit.rate.value  # type: ignore[union-attr]
    worn.count(90_000, (START + timedelta(weeks=15)).isoformat())  # a slip: 9 000 would not fit either
    one = worn.trend()
    assert "the count of 90 000 on 2024-04-15 does not fit those before and after it: left out" in one.remarks
    assert one.fit is not None and one.fit.rate.value == pytest.approx(rate, rel=1e-6)


def test_wood_watched_for_less_than_a_year_may_dry_as_well_as_wear(worn: WornBox) -> None:
    worn.wear(30)
    said = "box 1 is of wood and was watched for 203 days: drying and wear look alike so far"
    assert said not in worn.trend().remarks
    worn.record.revise(worn.box, material="mahogany")
    wooden = worn.trend(tool=next(tool for tool in worn.view.kit.tools if tool.label == "box 1"))
    assert said in wooden.remarks
    worn.wear(20, first_week=30)
    assert not any("drying and wear" in remark for remark in worn.trend(tool=wooden.tool).remarks)
