"""A line is read beside the lines before it, which are not written yet."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.trends import ToolRepair, ToolState
from inspect_tui.shop.intake.entered.desk import Desk, plain
from tests.conftest import SmallShop


def test_states_and_repairs_of_lines_before_count_by_their_days(shop: SmallShop) -> None:
    desk = Desk(shop.record, shop.record.job("SV-12"), shop.ab, "2026-03-10")
    of = desk.tool("box 1").of_id
    shop.record.add(ToolState(tool_of_id=of, state="retired", since_on="2026-03-02"), shop.ab.id)
    desk.pending.append(ToolState(tool_of_id=of, state="revived", since_on="2026-03-01"))
    desk.pending.append(ToolRepair(tool_of_id=of, action="line", done_on="2026-03-01", what="lined"))
    assert [state.state for state in desk.reader.tool_states()[of]] == ["revived", "retired"]
    assert [repair.what for repair in desk.reader.tool_repairs(of)] == ["lined"]
    assert desk.reader.jobs() == shop.record.jobs()


def test_a_file_of_gauges_needs_no_job_one_of_tools_does(shop: SmallShop) -> None:
    desk = Desk(shop.record, None, shop.ab, "2026-03-10")
    assert desk.gauge("caliper 1").of_id == shop.caliper.of_id
    assert desk.person("").id == shop.ab.id == desk.person("AB").id
    with pytest.raises(DataError, match="Say of which job"):
        desk.tool("box 1")


def test_two_rows_that_say_the_same_are_alike_without_their_ids(shop: SmallShop) -> None:
    one, two = (
        shop.record.add(
            ToolRepair(
                tool_of_id=shop.record.tools(shop.record.job("SV-12").of_id)[0].of_id,
                action="line",
                done_on="2026-03-01",
                what="lined",
            ),
            shop.ab.id,
        )
        for _ in range(2)
    )
    assert one != two and plain(one) == plain(two)
