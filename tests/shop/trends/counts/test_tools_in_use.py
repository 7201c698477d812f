"""Since when a tool is there, whether it is out of use, and whether another makes the same; a line outlives it."""

from __future__ import annotations

import pytest

from inspect_tui.model.trends import ToolState
from inspect_tui.model.work import Tool
from inspect_tui.shop.trends.counts.tools_in_use import opened_on, retired_tools, sole_maker
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import WornBox


def test_a_box_retired_and_revived_keeps_its_line(worn: WornBox) -> None:
    worn.wear(20)
    before = worn.trend().left
    worn.record.add(ToolState(tool_of_id=worn.box.of_id, state="retired", since_on="2024-06-01", why="out of order"))
    assert worn.view.retired(worn.box) == "2024-06-01"
    worn.record.add(
        ToolState(tool_of_id=worn.box.of_id, state="revived", since_on="2024-09-01", why="order came again")
    )
    assert worn.view.retired(worn.box) is None
    assert worn.trend().left == before


def test_a_tool_is_retired_from_its_day_until_it_is_revived(worn: WornBox) -> None:
    assert retired_tools(worn.record) == {}
    worn.record.add(ToolState(tool_of_id=worn.box.of_id, state="retired", since_on="2024-06-01", why="out of order"))
    assert retired_tools(worn.record) == {worn.box.of_id: "2024-06-01"}
    worn.record.add(ToolState(tool_of_id=worn.box.of_id, state="revived", since_on="2024-09-01", why="order"))
    assert retired_tools(worn.record) == {}


def test_a_tool_is_there_since_it_was_written_down(worn: WornBox) -> None:
    assert opened_on(worn.record, worn.box) == "2024-01-01"  # the clock of this shop starts there
    assert opened_on(worn.record, Tool(job_of_id=worn.job.of_id, kind="core_box", label="box 9")) is None


BOX, TWIN, OTHER = (
    Tool(of_id=of.encode(), job_of_id=b"j", kind="core_box", label=of, core_id=core)
    for of, core in (("box", b"core 1"), ("twin", b"core 1, as changed"), ("other", b"core 2"))
)
DRAG, SECOND, COPE = (
    Tool(of_id=of.encode(), job_of_id=b"j", kind=kind, label=of)
    for of, kind in (("drag", "pattern_drag"), ("second", "pattern_drag"), ("cope", "pattern_cope"))
)
STICK = Tool(of_id=b"stick", job_of_id=b"j", kind="core_stick", label="stick", core_id=b"core 1")
CORE_OF = {b"core 1": b"1", b"core 1, as changed": b"1", b"core 2": b"2"}


@pytest.mark.parametrize(
    ("tool", "others", "retired", "alone"),
    [
        (BOX, [BOX, OTHER, STICK, DRAG], set(), True),
        (BOX, [BOX, TWIN], set(), False),
        (BOX, [BOX, TWIN], {b"twin"}, True),
        (DRAG, [DRAG, COPE, BOX], set(), True),
        (DRAG, [DRAG, SECOND], set(), False),
        (DRAG, [DRAG, SECOND], {b"second"}, True),
    ],
)
def test_a_tool_is_alone_where_nothing_in_use_makes_the_same(
    tool: Tool, others: list[Tool], retired: set[bytes], alone: bool
) -> None:
    assert sole_maker(tool, others, CORE_OF, retired) == alone
