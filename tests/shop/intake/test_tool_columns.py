"""Columns of files of tool readings: found by their heads, mapped, never guessed where they hold figures."""

from __future__ import annotations

import pytest

from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables.file import of_text
from inspect_tui.shop.intake.columns import ColumnsUnclear, Layout
from inspect_tui.shop.intake.tool_columns import ToolColumns, names_tools
from inspect_tui.todo import Todo
from tests.conftest import SmallShop


def layout(shop: SmallShop, text: str, tool_said: bool = False, **given: str) -> Layout:
    job = find.job(shop.record, "SV-12")
    features = shop.record.features(find.latest_revision(shop.record, job).id)
    return ToolColumns(of_text(text), features, given, None, tool_said).layout()


def roles(found: Layout) -> dict[str, str]:
    return {column.head: column.of or column.role for column in found.columns}


def test_heads_say_what_columns_hold(shop: SmallShop) -> None:
    found = layout(
        shop, "Three years\nBox;Date;Zähler;Who;Caliper;f02 [in];Target;Remark\nbox 1;2025-01-05;1;AB;c;1;2;x\n"
    )
    assert (found.form, found.head_row, found.first_row) == ("features", 1, 2)
    assert roles(found) == {
        "Box": "tool",
        "Date": "day",
        "Zähler": "count",
        "Who": "by",
        "Caliper": "instrument",
        "f02": "F2",
        "Target": "ignore",
        "Remark": "ignore",
    }
    assert found.columns[5].unit == "in"


@pytest.mark.parametrize(
    ("text", "todo", "about"),
    [
        ("tool,feature,value\nbox 1,F2,40\n", Todo.SAY_WHICH_COLUMN, "day"),
        ("day,feature,value\n2025-01-05,F2,40\n", Todo.SAY_WHICH_TOOL, ""),
        ("tool,day,value\nbox 1,2025-01-05,40\n", Todo.SAY_WHICH_COLUMN, "feature"),
        ("tool,day,F2,F77\nbox 1,2025-01-05,40,x\n", Todo.SAY_WHAT_COLUMN, "F77"),
        ("tool,day,F2,gap\nbox 1,2025-01-05,40,12\n", Todo.SAY_WHAT_COLUMN, "gap"),
        ("tool,day,feature,value,batch\nbox 1,2025-01-05,F2,40,12\n", Todo.SAY_WHAT_COLUMN, "batch"),
        ("tool,day,F2,F 2\nbox 1,2025-01-05,40,12\n", Todo.LEAVE_COLUMN_OUT, "F 2"),
        ("tool,day,F2,feature\nbox 1,2025-01-05,40,F2\n", Todo.LEAVE_COLUMN_OUT, "feature"),
    ],
)
def test_what_is_unclear_is_asked(shop: SmallShop, text: str, todo: Todo, about: str) -> None:
    with pytest.raises(ColumnsUnclear) as asked:
        layout(shop, text)
    assert (asked.value.todo, asked.value.about) == (todo, about)


def test_a_person_says_what_a_column_is(shop: SmallShop) -> None:
    text = "tool,day,gap\nbox 1,2025-01-05,12\n"
    assert roles(layout(shop, text, gap="F2 [cm]"))["gap"] == "F2"
    with pytest.raises(ColumnsUnclear, match="gap is mapped to F99"):
        layout(shop, text, gap="F99")
    assert layout(shop, "day,F2\n2025-01-05,12\n", tool_said=True).form == "features"


def test_which_files_are_of_tools() -> None:
    assert names_tools(of_text("tool,day,F2\nbox 1,2025-01-05,40\n"), ())
    assert names_tools(of_text("where,day,F2\nbox 1,2025-01-05,40\n"), (("tool", "where"),))
    assert not names_tools(of_text("casting,day,F2\nC1,2025-01-05,40\n"), ())
    assert not names_tools(of_text("casting,tool,F2\nC1,box 1,40\n"), ()), "castings, with the box they came from"


def test_tools_and_features_are_known_by_what_stands_below(shop: SmallShop) -> None:
    text = "Wo,Tag,Woran,Messwert,Soll F2\nbox 1,2025-01-05,F2,40.1,40\nstick 1,2025-01-05,F3,210.1,40\n"
    grid = of_text(text)
    labels = [tool.label for tool in shop.record.tools(find.job(shop.record, "SV-12").of_id)]
    assert names_tools(grid, (), labels) and not names_tools(grid, (), ["box 7"]) and not names_tools(grid, ())
    features = shop.record.features(find.latest_revision(shop.record, find.job(shop.record, "SV-12")).id)
    columns = ToolColumns(grid, features, {"Messwert": "value"}, None, False, labels).layout().columns
    assert [column.role for column in columns] == ["tool", "day", "feature", "value", "ignore"]
    with pytest.raises(ColumnsUnclear, match="no column gives the tool"):
        ToolColumns(grid, features, {"Messwert": "value"}, None, False).layout()
