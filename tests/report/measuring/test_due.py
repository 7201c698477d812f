"""The due list as table and calendar: every line, numbers as numbers, the same name for the same thing."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import openpyxl
import pytest

from inspect_tui.frozen import replace
from inspect_tui.report.measuring.due import HEADS, days, make, uid, write
from inspect_tui.report.paper.file import PaperError
from inspect_tui.shop.measuring.due_list import DueLine, DueList

LATE = DueLine(
    kind="repair",
    day="2026-02-26",
    what="box 3: add 0.2 mm",
    where="job A",
    why="2 left",
    late=3,
    about=b"\x01" * 16,
    part="F29",
)
BARE = DueLine(kind="certificate", day=None, what="=rule: certify", where="", why="never", late=0, about=b"\x02" * 16)
LISTED = DueList(today="2026-03-01", until="2026-05-31", newest="2026-02-28", lines=(LATE, BARE))


def test_the_table_has_heads_in_words_and_days_late_as_a_number() -> None:
    page = openpyxl.load_workbook(io.BytesIO(make(LISTED, "xlsx"))).active
    assert page is not None
    cells = [[cell.value for cell in row] for row in page.iter_rows()]
    assert cells == [
        list(HEADS),
        ["2026-02-26", 3, "repair", "box 3: add 0.2 mm", "job A", "2 left"],
        [None, None, "certificate", "=rule: certify", "", "never"],
    ]
    assert cells[1][1] == 3 and page["D3"].data_type == "s"
    rows = list(csv.reader(io.StringIO(make(LISTED, "csv").decode("utf-8"))))
    assert rows[1][:3] == ["2026-02-26", "3", "repair"] and rows[2][:3] == ["", "", "certificate"]
    assert rows[2][3] == "'=rule: certify"


def test_the_calendar_has_what_has_a_day() -> None:
    (event,) = days(LISTED)
    assert (event.day, event.summary, event.place, event.words, event.sort) == (
        "2026-02-26",
        "box 3: add 0.2 mm",
        "job A",
        "2 left",
        "repair",
    )
    assert b"DTSTAMP:20260228T000000Z" in make(LISTED, "ics") and b"rule" not in make(LISTED, "ics")


def test_a_line_keeps_its_name_when_its_day_moves_and_no_other_has_it() -> None:
    moved = replace(LATE, day="2026-04-01", late=0, what="box 3: add 0.3 mm", why="other")
    assert uid(moved) == uid(LATE) == "01010101-0101-0101-0101-010101010101-repair-463239"
    others = [replace(LATE, part="F2"), replace(LATE, kind="count", part=""), replace(LATE, about=b"\x03" * 16)]
    assert len({uid(line) for line in (LATE, *others)}) == 4
    assert " " not in uid(replace(LATE, kind="quick check"))


def test_it_is_written_by_its_ending_and_overwrites_nothing(tmp_path: Path) -> None:
    assert write(LISTED, tmp_path / "due.csv").read_bytes() == make(LISTED, "csv")
    with pytest.raises(PaperError, match="left as it is"):
        write(LISTED, tmp_path / "due.csv")
    with pytest.raises(PaperError, match=r"\.xlsx, \.csv, \.ics"):
        write(LISTED, tmp_path / "due.doc")
