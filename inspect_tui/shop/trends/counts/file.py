"""Counts brought in from a table; every line that cannot be kept is said with its number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import fields
from inspect_tui.model.measuring import Person
from inspect_tui.model.trends import COUNT_WAYS, ToolCount
from inspect_tui.model.work import Job, Lot, Tool
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.trends.counts.entry import check
from inspect_tui.shop.trends.counts.tools_in_use import opened_on

if TYPE_CHECKING:
    from inspect_tui.record.store import Record


WAYS = {  # what a column may be called
    "total": ("total", "count", "counter", "cores", "moulds"),
    "made": ("made", "added", "more"),
    "restart": ("restart",),
}


COLUMNS = {"tool": ("tool", "box", "pattern"), "date": ("date", "day"), **WAYS, "lot": ("lot",), "note": ("note",)}


@frozen
class CountsTaken:
    """What a file of counts came to; nothing was written when `wrong` is not empty and it was not to be overlooked."""

    added: int
    already: int
    wrong: tuple[str, ...]
    doubts: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """One sentence for people."""
        if self.wrong and not self.added:
            return f"Nothing was taken: {len(self.wrong)} line{'s are' if len(self.wrong) > 1 else ' is'} not right."
        text = f"{self.added} counts taken"
        text += f", {self.already} were there already" if self.already else ""
        return text + (f", {len(self.wrong)} lines left out." if self.wrong else ".")


def bring_in(
    record: Record,
    job: Job,
    path: str | Path,
    by: Person,
    *,
    good_lines: bool = False,
    sheet: str | None = None,
    today: str | None = None,
) -> CountsTaken:
    """Counts from a table with the columns tool, date, count (or made), and lot where there is one.

    All of it is written or, with a line that is not right, none: unless `good_lines` takes those that are. A count
    that runs back is taken and said; the running count leaves it out. Errors: DataError for a file that is no table.
    """
    table = table_columns.read(path, sheet)
    places = {name: _column(table, names) for name, names in COLUMNS.items()}
    for needed in ("tool", "date"):
        if places[needed] is None:
            table_columns.find_column(table, needed)  # says which columns there are
    if all(places[way] is None for way in WAYS):
        raise DataError(
            f"{table.name} has no column of counts: call it count (what the counter shows) or made (so many more)."
        )
    tools, lots = record.tools(job.of_id), record.lots(job.of_id)
    known = {tool.of_id: list(record.tool_counts(tool.of_id)) for tool in tools}
    opened = {tool.of_id: opened_on(record, tool) for tool in tools}
    new: list[ToolCount] = []
    wrong: list[str] = []
    doubts = list(table.remarks)
    already = 0
    today = today or date.today().isoformat()
    for row, line in zip(table.rows, table.lines, strict=True):
        cells = {name: (row[at] if at is not None and at < len(row) else "") for name, at in places.items()}
        if not any(cells.values()):
            continue
        count = _line(cells, tools, lots, today)
        if isinstance(count, str):
            wrong.append(f"line {line}: {count}")
            continue
        label = next(tool.label for tool in tools if tool.of_id == count.tool_of_id)
        entered = check(count, known[count.tool_of_id], label, today, opened[count.tool_of_id])
        if entered.already:
            already += 1
        elif entered.wrong:
            wrong.append(f"line {line}: {entered.wrong}")
        else:
            doubts += [f"line {line}: {doubt}" for doubt in entered.asks]
            new.append(count)
            known[count.tool_of_id].append(count)
    if wrong and not good_lines:
        return CountsTaken(0, already, tuple(wrong), tuple(doubts))
    if new:
        record.add_all(new, by.id)
    return CountsTaken(len(new), already, tuple(wrong), tuple(doubts))


def _column(table: table_columns.Table, names: Sequence[str]) -> int | None:
    headings = [table_columns.split_heading(heading)[0].casefold() for heading in table.headings]
    return next((headings.index(name) for name in names if name in headings), None)


def _line(cells: Mapping[str, str], tools: Sequence[Tool], lots: Sequence[Lot], today: str) -> ToolCount | str:
    """One line as a count, or what is wrong with it."""
    try:
        tool = find.pick(cells["tool"], tools, lambda tool: tool.label, "tool")
        lot = find.pick(cells["lot"], lots, lambda lot: lot.label, "lot") if cells["lot"] else None
    except InspectError as problem:
        return str(problem)
    day = fields.day(cells["date"], today, spoken=False)
    if isinstance(day, fields.Wrong):
        return f"date: {day}."
    given = [(way, cells[way]) for way in COUNT_WAYS if cells[way]]
    if len(given) != 1:
        return "give one count: either the total or how many more were made."
    way, text = given[0]
    number = fields.count(text)
    if isinstance(number, fields.Wrong):
        return f"{way}: {number}."
    return ToolCount(
        tool_of_id=tool.of_id,
        way=way,
        count=number,
        on_date=day,
        lot_id=lot.id if lot else None,
        source="imported",
        note=cells["note"] or None,
    )
