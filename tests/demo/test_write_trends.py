"""What the invented shop knows of its tools over time: counts lot by lot, repairs on their days, an agreed limit."""

from __future__ import annotations

from datetime import date

import pytest

from inspect_tui.demo import workshop as shop
from inspect_tui.demo import write_trends
from inspect_tui.model.work import Tool
from inspect_tui.record.store import Record


def tool(record: Record, label: str) -> Tool:
    return next(t for t in record.tools(record.jobs()[0].of_id) if t.label == label)


def test_box_3_blew_the_castings_of_every_lot_and_other_tools_have_no_counts(record: Record) -> None:
    counts = record.tool_counts(tool(record, "box 3").of_id)
    lots = {lot.id: lot for lot in record.lots(record.jobs()[0].of_id)}
    assert sum(c.count for c in counts) == 16_000
    assert all((c.way, c.source, c.count) == ("made", "imported", shop.CASTINGS_A_LOT) for c in counts)
    assert all(c.on_date == lots[c.lot_id].poured_on for c in counts)
    assert record.tool_counts(tool(record, "box 4").of_id) == []


def test_repairs_stand_on_their_days_with_what_was_done(record: Record) -> None:
    (three,) = record.tool_repairs(tool(record, "box 3").of_id)
    assert (three.action, three.at_count) == ("line", 9_000) and three.at_count == write_trends.LINED_AT_COUNT
    assert date.fromisoformat(three.done_on) < write_trends.measured(shop.LINED_AFTER_LOT + 1)
    (four,) = record.tool_repairs(tool(record, "box 4").of_id)
    assert (four.action, four.amount_mm) == ("cut", 2.70)
    seats = record.tool_repairs(tool(record, "box 2").of_id)
    assert [r.what for r in seats][-1] == "seat of core 4 lined again"
    last = date.fromisoformat(seats[-1].done_on)
    assert write_trends.measured(250) < last < write_trends.measured(write_trends.SEAT_LINED_BEFORE_LOT)
    assert len({r.core_id for r in seats}) == 1 and all(r.action == "line" for r in seats)


def test_how_far_box_3_may_wear_was_agreed_before_production(record: Record) -> None:
    (limit,) = record.wear_limits(tool(record, "box 3").of_id)
    assert limit.upper == pytest.approx(shop.SAMPLE_CORE["F29"] + shop.REFURBISH_GROWTH, abs=0.005)
    assert limit.lower is None and "box 3 is lined when its width has grown by" in limit.why


@pytest.mark.parametrize("lot", [1, 2, 3, 225, 400])
def test_a_lot_is_measured_on_a_working_day_and_later_ones_not_before(lot: int) -> None:
    day = write_trends.measured(lot)
    assert day.weekday() < 5
    assert write_trends.measured(lot - 1) < day or lot == 1
    assert day >= write_trends.PRODUCTION_FROM
