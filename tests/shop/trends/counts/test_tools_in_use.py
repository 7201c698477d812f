"""A box that is retired and comes back keeps its line."""

from __future__ import annotations

from inspect_tui.model.trends import ToolState
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
