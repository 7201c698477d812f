"""The due list as a table (XLSX, CSV) or as days of a calendar (ICS), by the ending of its file."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.report.paper import calendar_ics, table_csv, table_xlsx
from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper.calendar_ics import CalendarDay
from inspect_tui.report.paper.file import form_of
from inspect_tui.shop.measuring.due_list import DueLine, DueList

ENDINGS = (".xlsx", ".csv", ".ics")
HEADS = ("day", "days late", "sort", "what", "where", "why")


def cells(listed: DueList) -> list[list[object]]:
    """A row for each line; days late is a number, empty where no day is known."""
    return [[x.day, None if x.day is None else x.late, x.kind, x.what, x.where, x.why] for x in listed.lines]


def uid(line: DueLine) -> str:
    """The name of a line in a calendar: the same as long as the same thing is due for the same reason."""
    part = f"-{line.part.encode('utf-8').hex()}" if line.part else ""
    return f"{uuid_text(line.about)}-{line.kind.replace(' ', '-')}{part}"


def days(listed: DueList) -> list[CalendarDay]:
    """What has a day, for a calendar."""
    return [
        CalendarDay(uid=uid(x), day=x.day, summary=x.what, place=x.where, words=x.why, sort=x.kind)
        for x in listed.lines
        if x.day is not None
    ]


def make(listed: DueList, form: str) -> bytes:
    """The list as bytes; `form` is xlsx, csv or ics."""
    if form == "ics":
        return calendar_ics.calendar(days(listed), listed.newest)
    if form == "csv":
        return table_csv.table(HEADS, cells(listed))
    return table_xlsx.workbook(f"due {listed.today}", HEADS, cells(listed))


def write(listed: DueList, path: str | Path, *, force: bool = False) -> Path:
    """Write the list, its form chosen by the ending of `path`; PaperError with a sentence when it cannot be."""
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS)
    path = paper_file.target(path, force=force)
    return paper_file.write_bytes(path, make(listed, form), force=force)
