"""Files of tool readings: a row a reading or a visit, on the day it was made, with counts; asked, or all or nothing."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.model.measuring import Person
from inspect_tui.model.trends import ToolCount
from inspect_tui.shop.common import find
from inspect_tui.shop.intake.columns import ColumnsUnclear
from inspect_tui.shop.intake.rows import ImportRefused, Options
from inspect_tui.shop.intake.take_in import read
from inspect_tui.shop.intake.tool_take_in import CheckedTools, check_tools, write_tools
from inspect_tui.todo import Todo
from tests.conftest import TODAY, SmallShop
from tests.shop.intake.conftest import nothing_was_written

Check = Callable[..., CheckedTools]

LONG = (
    "tool;day;count;person;gauge;feature;reading\n"
    "box 1;2023-03-05;120;AB;caliper 1;F2;40,10\n"
    "box 1;2024-03-05;900;IN;caliper 2;F2;40,16\n"
)
ACROSS = "Date,Counter,F2,F3\n2023-03-05,120,40.10,210.2\n2024-03-05,900,40.16,210.3\n"


@pytest.fixture
def checked(shop: SmallShop, tmp_path: Path) -> Check:
    """Write a file and check it, by AB with caliper 1 where no column says."""

    def go(content: str, name: str = "t.csv", **options: object) -> CheckedTools:
        (tmp_path / name).write_text(content, "utf-8")
        job = find.job(shop.record, "SV-12")
        given = Options(**({"by": "AB", "instrument": "caliper 1"} | options))
        return check_tools(shop.record, job, read(shop.record, tmp_path / name), given, TODAY)

    return go


def write(shop: SmallShop, file: CheckedTools) -> None:
    write_tools(shop.record, find.job(shop.record, "SV-12"), file)


def on_tool(shop: SmallShop, label: str = "box 1") -> list[tuple[str | None, float, str, str]]:
    """Day, value, who and with what of every reading on a tool, in the order of the record."""
    tool = find.subject(shop.record, find.job(shop.record, "SV-12"), label).tool
    assert tool
    read_there = shop.record.readings(tool_of_id=tool.of_id)
    return [(r.setup.on_date, r.reading.value, r.by, r.instrument) for r in read_there]


def counts(shop: SmallShop, label: str = "box 1") -> list[ToolCount]:
    tool = find.subject(shop.record, find.job(shop.record, "SV-12"), label).tool
    assert tool
    return shop.record.tool_counts(tool.of_id)


def test_a_row_a_reading_stands_on_its_day_with_who_and_with_what(shop: SmallShop, checked: Check) -> None:
    file = checked(LONG, by=None, instrument=None)
    assert file.said == "2 readings on 1 tool, 2023-03-05 to 2024-03-05, 2 counts"
    write(shop, file)
    assert on_tool(shop) == [
        ("2023-03-05", pytest.approx(40.10), "AB", "caliper 1"),
        ("2024-03-05", pytest.approx(40.16), "IN", "caliper 2"),
    ]
    assert [(c.on_date, c.count, c.way, c.source) for c in counts(shop)] == [
        ("2023-03-05", 120, "total", "imported"),
        ("2024-03-05", 900, "total", "imported"),
    ]


def test_a_row_a_visit_has_features_across_and_the_tool_said(shop: SmallShop, checked: Check) -> None:
    write(shop, checked(ACROSS, tool="box 1"))
    assert [(day, round(value, 2)) for day, value, _, _ in on_tool(shop)] == [
        ("2023-03-05", 40.10),
        ("2023-03-05", 210.2),
        ("2024-03-05", 40.16),
        ("2024-03-05", 210.3),
    ]


def test_what_was_read_today_has_no_day_of_its_own_and_the_future_none_at_all(shop: SmallShop, checked: Check) -> None:
    write(shop, checked(f"tool,day,feature,value\nbox 1,{TODAY},F2,40.1\n"))
    assert on_tool(shop)[0][0] is None
    with pytest.raises(ImportRefused, match="line 2: 2099-01-01 is still to come"):
        checked("tool,day,feature,value\nbox 1,2099-01-01,F2,40.1\n", "later.csv")


def test_the_certificate_is_that_of_the_day(shop: SmallShop, checked: Check) -> None:
    write(shop, checked("tool,day,feature,value\nbox 1,2025-12-31,F2,40.1\nbox 1,2026-01-06,F2,40.2\n"))
    tool = find.subject(shop.record, find.job(shop.record, "SV-12"), "box 1").tool
    assert tool
    before, after = shop.record.readings(tool_of_id=tool.of_id)
    assert before.setup.calibration_id is None and after.setup.calibration_id is not None


def test_a_sheet_that_grew_adds_only_what_is_new(shop: SmallShop, checked: Check) -> None:
    write(shop, checked(LONG, by=None, instrument=None))
    first = shop.record.readings()[0]
    shop.record.void(first.id, "misread", "wrong edge", shop.ab.id)
    grown = checked(LONG + "box 1;2025-03-05;1800;AB;caliper 1;F2;40,21\n", "grown.csv")
    assert (len(grown.readings), grown.already) == (1, 2), "what was taken out of count does not come back"
    assert (len(grown.counts), grown.counts_already) == (1, 2)
    write(shop, grown)
    assert [round(value, 2) for _, value, _, _ in on_tool(shop)] == [40.10, 40.16, 40.21]
    same = checked(LONG + "\n", "same.csv")
    with pytest.raises(ImportRefused, match=r"All of same\.csv is in the record already"):
        write(shop, same)


def test_the_same_size_read_twice_on_a_day_is_two_repeats(shop: SmallShop, checked: Check) -> None:
    line = "box 1,2025-03-05,F2,40.1\n"
    write(shop, checked("tool,day,feature,value\n" + line + line))
    assert [r.reading.rep for r in shop.record.readings()] == [1, 2]
    assert checked("tool,day,feature,value\n" + line * 3, "three.csv").already == 2


def test_unknown_people_gauges_and_tools_are_asked_about_with_the_nearest_known(
    shop: SmallShop, checked: Check
) -> None:
    text = "tool,day,person,gauge,feature,value\nbox 11,2025-03-05,AC,calliper 1,F2,40.1\nbox 1,2025-03-05,AC,calliper 1,F2,40.2\n"
    with pytest.raises(ImportRefused) as asked:
        checked(text)
    assert asked.value.todo is Todo.SAY_NAME and asked.value.about == "box 11"
    told = " ".join(asked.value.lines)
    assert "There is no tool 'box 11'; nearest: box 1" in told
    assert "line 2: AC is not known (who measured); nearest: ab" in told
    assert "line 2: calliper 1 is not known (with what it was measured); nearest: caliper 1" in told
    assert nothing_was_written(shop)
    answers = (("box 11", "box 1"), ("ac", "AB"), ("calliper 1", "caliper 1"))
    assert len(checked(text, names=answers).readings) == 2


def test_a_person_may_be_called_by_the_whole_name(shop: SmallShop, checked: Check) -> None:
    shop.record.add(Person(initials="KT", name="Kim Toms"))
    write(shop, checked("tool,day,by,feature,value\nbox 1,2025-03-05,kim toms,F2,40.1\n"))
    assert on_tool(shop)[0][2] == "KT"


def test_all_that_is_wrong_is_said_at_once_and_nothing_comes_in(shop: SmallShop, checked: Check) -> None:
    with pytest.raises(ImportRefused) as wrong:
        checked(
            "tool,day,count,feature,value\nbox 1,2025-03-05,x,F99,40.1\nbox 1,someday,,F2,40\nbox 1,2025-3-6,,F2,q\n"
        )
    assert len(wrong.value.lines) == 4
    assert "line 2: F99 is not measured on box 1" in wrong.value.lines[1]
    assert nothing_was_written(shop)


def test_days_as_the_foundry_writes_them(shop: SmallShop, checked: Check) -> None:
    unclear = "tool,day,feature,value\nbox 1,3/4/25,F2,40.1\n"
    with pytest.raises(ImportRefused) as asked:
        checked(unclear)
    assert asked.value.todo is Todo.SAY_DAY_ORDER
    assert checked(unclear, days="d/m/y").readings[0].day == "2025-04-03"
    assert checked(unclear, days="m/d/y").readings[0].day == "2025-03-04"
    told = checked("tool,day,feature,value\nbox 1,3/4/2025,F2,40.1\nbox 1,13/4/2025,F2,40.1\n")
    assert told.readings[0].day == "2025-04-03"
    assert told.remarks == ("days are read with the day first, as 13/4/2025 tells",)


def test_odd_readings_and_counts_are_asked_about_and_kept_when_that_is_said(shop: SmallShop, checked: Check) -> None:
    text = (
        "tool,day,count,feature,value\nbox 1,2025-01-05,900,F2,40.1\nbox 1,2025-02-05,12000,F2,401\n"
        "box 1,2025-03-05,1500,F2,40.2\n"
    )
    asked = checked(text).asked
    assert asked[0].startswith("line 3: 1 reading beyond the range of caliper 1 (0 to 300 mm), such as 401")
    assert asked[1].startswith("line 3: 401 for F2 of box 1, which is to be")
    assert asked[2] == "line 3: box 1: 12 000 on 2025-02-05 after 900: a figure too many, 1 200?"
    assert len(asked) == 3 and checked(text, keep=True).asked == ()


def test_figures_in_another_unit_than_they_are_said_in_are_refused(checked: Check) -> None:
    text = "tool,day,feature,value\n" + "".join(f"box 1,2025-03-0{n},F2,1.58\n" for n in range(1, 6))
    with pytest.raises(ImportRefused, match="look like inches") as other:
        checked(text)
    assert (other.value.todo, other.value.about) == (Todo.SAY_UNIT, "in")
    assert checked(text, unit="in").readings[0].value == pytest.approx(1.58 * 25.4)


def test_rows_of_targets_and_means_are_no_readings(checked: Check) -> None:
    file = checked("tool,day,F2\nTarget,,40.0\nbox 1,2025-03-05,40.1\nbox 1,Mean,40.1\n")
    assert len(file.readings) == 1
    assert file.remarks[0].startswith("2 lines that say what is wanted, or a mean, are no readings")


def test_an_answer_about_a_column_is_remembered_for_the_next_file(shop: SmallShop, checked: Check) -> None:
    text = "Where,When,F2\nbox 1,2025-03-05,40.1\n"
    with pytest.raises(ColumnsUnclear, match="no column gives the day"):
        checked(text)
    write(shop, checked(text, mapping=(("tool", "Where"), ("day", "When"))))
    assert checked(text.replace("03-05", "03-06"), "next.csv").readings[0].day == "2025-03-06"


def test_stopping_while_it_is_written_leaves_nothing(shop: SmallShop, checked: Check) -> None:
    file = checked(ACROSS, tool="box 1")

    def stop(done: int, of: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_tools(shop.record, find.job(shop.record, "SV-12"), file, stop)
    assert nothing_was_written(shop) and counts(shop) == []
    write(shop, file)
    assert len(on_tool(shop)) == 4
