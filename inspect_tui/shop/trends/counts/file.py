"""Counts brought in from a table; every line that cannot be kept is said with its number."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed import day_order, fields, show
from inspect_tui.model.first_article import ImportFile, ImportMapping
from inspect_tui.model.measuring import Person, Session
from inspect_tui.model.trends import COUNT_WAYS, ToolCount
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job, Lot, Tool
from inspect_tui.record.text import clean
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.trends.counts.entry import check, digit_too_many
from inspect_tui.shop.trends.counts.tools_in_use import opened_on

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record


WAYS = {  # what a column may be called
    "total": (
        "total",
        "count",
        "counter",
        "cores",
        "moulds",
        "zähler",
        "zählerstand",
        "compteur",
        "contador",
        "contatore",
    ),
    "made": ("made", "added", "more"),
    "restart": ("restart",),
}


SAMPLES = 4  # cells of a column that are shown with it
COLUMNS = {
    "tool": ("tool", "box", "pattern", "kernkasten", "modell", "werkzeug", "outil"),
    "date": ("date", "day", "datum", "tag", "jour", "fecha", "data", "dato"),
    **WAYS,
    "lot": ("lot",),
    "note": ("note",),
}


class ColumnsMissing(DataError):
    """A column that is needed is not there; `heads` are those that are: (head, what stands below it, what it is)."""

    def __init__(self, sentence: str, heads: Sequence[tuple[str, tuple[str, ...], str]]) -> None:
        super().__init__(sentence)
        self.heads = tuple(heads)


@frozen
class AsWritten:
    """How a file says what it says: (what, head) of its columns, the tool where none says, the order of its days."""

    mapping: tuple[tuple[str, str], ...] = ()
    tool: str | None = None
    days: str | None = None


@frozen
class CountsTaken:
    """What a file of counts came to; nothing was written when `wrong` is not empty and it was not to be overlooked.

    `asked` are counts with a figure too many: nothing is written before they are answered.
    """

    added: int
    already: int
    wrong: tuple[str, ...]
    doubts: tuple[str, ...]
    asked: tuple[str, ...] = ()

    @property
    def sentence(self) -> str:
        """One sentence for people."""
        if self.wrong and not self.added:
            return f"Nothing was taken: {len(self.wrong)} line{'s are' if len(self.wrong) > 1 else ' is'} not right."
        if self.asked and not self.added:
            return f"Nothing was taken: {len(self.asked)} count{'s are' if len(self.asked) > 1 else ' is'} asked about."
        text = f"{show.count(self.added, 'count')} taken"
        text += f", {self.already} were there already" if self.already else ""
        return text + (f", {show.count(len(self.wrong), 'line')} left out." if self.wrong else ".")


def bring_in(
    record: Record | Reader,
    job: Job,
    path: str | Path,
    by: Person,
    *,
    good_lines: bool = False,
    sheet: str | None = None,
    today: str | None = None,
    as_written: AsWritten = AsWritten(),  # noqa: B008 - it is frozen
    keep: bool = False,
    check_only: bool = False,
) -> CountsTaken:
    """Counts from a table with the columns tool, date, count (or made), and lot where there is one.

    All of it is written or, with a line that is not right, none: unless `good_lines` takes those that are. A count
    that runs back is taken and said; the running count leaves it out. One with a figure too many is asked about first,
    unless `keep` takes it. `check_only` writes nothing. Errors: DataError for a file that is no table, ColumnsMissing.
    """
    table = table_columns.read(path, sheet)
    remembered = _remembered(record, job, table)
    given = _given(as_written)
    as_written = replace(as_written, mapping=tuple((what, head) for head, what in (remembered | given).items()))
    places = _places(table, as_written)
    for needed in ("date",) if as_written.tool else ("tool", "date"):
        if places[needed] is None:
            try:
                table_columns.find_column(table, needed)  # says which columns there are
            except DataError as problem:
                raise ColumnsMissing(str(problem), _heads(table, places)) from None
    if all(places[way] is None for way in WAYS):
        raise ColumnsMissing(
            f"{table.name} has no column of counts: call it count (what the counter shows) or made (so many more).",
            _heads(table, places),
        )
    tools, lots = record.tools(job.of_id), record.lots(job.of_id)
    known = {tool.of_id: list(record.tool_counts(tool.of_id)) for tool in tools}
    opened = {tool.of_id: opened_on(record, tool) for tool in tools}
    new: list[ToolCount] = []
    wrong: list[str] = []
    doubts = list(table.remarks)
    if kept := {head: what for head, what in remembered.items() if head not in given}:
        doubts.append(f"columns as somebody said them before: {', '.join(f'{h} is {w}' for h, w in kept.items())}")
    already = 0
    today = today or date.today().isoformat()
    order = as_written.days or _told_order(table, places["date"], doubts)
    lines: dict[ToolCount, int] = {}
    for row, line in zip(table.rows, table.lines, strict=True):
        cells = {name: (row[at] if at is not None and at < len(row) else "") for name, at in places.items()}
        if not any(cells.values()):
            continue
        if as_written.tool and not cells["tool"]:
            cells["tool"] = as_written.tool
        count = _line(cells, tools, lots, today, order)
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
            doubts += [f"line {line}: {doubt}" for doubt in entered.asks if not entered.digit]
            new.append(count)
            lines[count] = line
            known[count.tool_of_id].append(count)
    asked = _too_long(new, lines, known, {tool.of_id: tool.label for tool in tools})
    if (wrong and not good_lines) or (asked and not keep):
        return CountsTaken(0, already, tuple(wrong), tuple(doubts), tuple(asked))
    if new and not check_only:
        mapping = _mapping(table, job, remembered | given) if given and remembered | given != remembered else None
        _write(record, job, Path(path), new, by, mapping)  # type: ignore[arg-type]
    return CountsTaken(len(new), already, tuple(wrong), tuple(doubts), tuple(asked))


def _signature(table: table_columns.Table) -> str:
    """What files with these heads are known by, as files of counts: one of readings may have the same heads."""
    return table_columns.signature(("counts", *table.headings), ())


def _given(as_written: AsWritten) -> dict[str, str]:
    """Head -> what a person says it holds."""
    return {head: what for what, head in as_written.mapping}


def _remembered(record: Record | Reader, job: Job, table: table_columns.Table) -> dict[str, str]:
    """Head -> what somebody said it holds, when a file with these heads was taken in before."""
    mapping = record.import_mapping(_signature(table), job.of_id)
    kept = json.loads(mapping.settings).get("counts") if mapping is not None else None
    return {str(head): str(what) for head, what in (kept or {}).items()}


def _mapping(table: table_columns.Table, job: Job, said: Mapping[str, str]) -> ImportMapping:
    text = json.dumps({"counts": said}, ensure_ascii=True, sort_keys=True)
    return ImportMapping(
        job_of_id=job.of_id, signature=_signature(table), title=f"as {table.name}"[:120], settings=text
    )


def _write(
    record: Record, job: Job, path: Path, new: Sequence[ToolCount], by: Person, mapping: ImportMapping | None
) -> None:
    """The counts between the file that brought them and its session: what came with it goes with it."""
    session = Session(id=record.new_id(), kind="tool", job_of_id=job.of_id, title=f"taken in from {path.name}"[:120])
    file = ImportFile(
        sha256=sha256(path.expanduser().read_bytes()).hexdigest(),
        shown_name=clean(path.name)[:120] or "unnamed",
        job_of_id=job.of_id,
        session_id=session.id,
    )
    record.add_all([file, *([mapping] if mapping is not None else []), *new, session], by.id)


def _heads(table: table_columns.Table, places: Mapping[str, int | None]) -> list[tuple[str, tuple[str, ...], str]]:
    """The columns that are there, for who may say what they hold."""
    held = {place: what for what, place in places.items()}
    return [
        (head, tuple(row[at] for row in table.rows if at < len(row) and row[at])[:SAMPLES], held.get(at, "ignore"))
        for at, head in enumerate(table.headings)
        if head
    ]


def _too_long(
    new: Sequence[ToolCount],
    lines: Mapping[ToolCount, int],
    known: Mapping[Id, Sequence[ToolCount]],
    labels: Mapping[Id, str],
) -> list[str]:
    """Counts with a figure too many, beside all others of their tool, whatever their order in the file."""
    asked = []
    for count in new:
        others = [other for other in known[count.tool_of_id] if other is not count]
        if slip := digit_too_many(count, others, labels[count.tool_of_id]):
            asked.append(f"line {lines[count]}: {slip}")
    return asked


def _told_order(table: table_columns.Table, place: int | None, doubts: list[str]) -> str | None:
    """The order of day and month where days of the column tell it by themselves; said among the doubts."""
    if place is None:
        return None
    told = day_order.order_of(row[place] for row in table.rows if place < len(row))
    if told is None:
        return None
    words = "day first" if told[0] == "d/m/y" else "month first"
    doubts.append(f"days are read with the {words}, as {told[1]} tells")
    return told[0]


def _places(table: table_columns.Table, as_written: AsWritten) -> dict[str, int | None]:
    """Where each column stands: as a person maps it, else as it is called."""
    if as_written.days is not None and as_written.days not in day_order.ORDERS:
        raise DataError(f"{as_written.days} is no order of a day: it is one of {', '.join(day_order.ORDERS)}.")
    places = {name: _column(table, names) for name, names in COLUMNS.items()}
    for what, head in as_written.mapping:
        name = {"day": "date", "count": "total"}.get(what.casefold(), what.casefold())
        if name == "ignore":
            at = table_columns.find_column(table, head)
            places = {other: None if place == at else place for other, place in places.items()}
            continue
        if name not in COLUMNS:
            raise DataError(f"{what} is no column of counts: it is one of {', '.join(COLUMNS)}.")
        at = table_columns.find_column(table, head)
        places = {other: None if place == at else place for other, place in places.items()} | {name: at}
    return places


def _column(table: table_columns.Table, names: Sequence[str]) -> int | None:
    headings = [table_columns.split_heading(heading)[0].casefold() for heading in table.headings]
    return next((headings.index(name) for name in names if name in headings), None)


def _line(
    cells: Mapping[str, str], tools: Sequence[Tool], lots: Sequence[Lot], today: str, order: str | None
) -> ToolCount | str:
    """One line as a count, or what is wrong with it."""
    try:
        tool = find.pick(cells["tool"], tools, lambda tool: tool.label, "tool")
        lot = find.pick(cells["lot"], lots, lambda lot: lot.label, "lot") if cells["lot"] else None
    except InspectError as problem:
        return str(problem)
    day = day_order.day_in(cells["date"], order, today)
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
