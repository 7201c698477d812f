"""A table whose lines are forms filled in: read whole, every mistake with its line, all of it written or nothing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import day_order, show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.common.tables.typed import taken
from inspect_tui.shop.intake.entered.desk import Desk
from inspect_tui.shop.intake.entered.sorts import Line, Sort

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record

DAYS = ("day", "done_on", "since_on", "since", "from", "to")  # columns that hold a day, where their table says so
NOT_DAYS = {"shipments": ("to",), "biases": ()}


@frozen_by_name
class AsWritten:
    """How a file says what it says: its sheet, (column, head) pairs, the order of its days."""

    sheet: str | None = None
    mapping: tuple[tuple[str, str], ...] = ()
    days: str | None = None


@frozen_by_name
class Entered:
    """What a table came to; nothing was written where something is wrong, or asked about and not kept."""

    word: str
    lines: int
    already: int
    wrong: tuple[str, ...]
    asked: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """One sentence for people."""
        if self.wrong:
            return f"Nothing was taken: {show.count(len(self.wrong), 'mistake')}."
        there = f", {self.already} were there already" if self.already else ""
        return f"{show.count(self.lines, 'line')} of {self.word}{there}."


def bring_in(
    record: Record,
    job: Job | None,
    sort: Sort,
    path: str | Path,
    by: Person,
    as_written: AsWritten = AsWritten(),  # noqa: B008 - it is frozen
    *,
    keep: bool = False,
    check_only: bool = False,
    style: Style = MM,
    today: str | None = None,
) -> Entered:
    """Bring a table in. What is there already is left out, what is asked about is written with `keep` alone.

    Raises DataError for a file that is no table, or lacks a column without which no line can be read.
    """
    table = table_columns.read(path, as_written.sheet)
    desk = Desk(record, job, by, today or date.today().isoformat(), style)
    wanted = sort.columns(style)
    places, units = _places(table, wanted, as_written.mapping)
    for key in sort.needed:
        if key not in places:
            table_columns.find_column(table, key)  # says which columns there are
    remarks = list(table.remarks)
    days = [key for key in DAYS if key in places and key not in NOT_DAYS.get(sort.word, ()) and _is_day(sort, key)]
    order = as_written.days or _order(table, [places[key] for key in days], remarks)
    there = set(sort.there(desk))
    new: list[Line] = []
    wrong: list[str] = []
    asked: list[str] = []
    already = 0
    for cells, line in zip(table.rows, table.lines, strict=True):
        values = {key: cells[at].strip() if at < len(cells) else "" for key, at in places.items()}
        if not any(values.values()):
            continue
        desk.asked.clear()
        try:
            said = sort.read(desk, _filled(sort, values, units, days, order, desk.today))
        except InspectError as problem:
            wrong.append(f"line {line}: {problem}")
            continue
        if said in there:
            already += 1
            continue
        asked += [f"line {line}: {question}" for question in desk.asked]
        there.add(said)
        new.append(said)
        desk.pending.append(said[0])
    made = Entered(
        word=sort.word,
        lines=len(new),
        already=already,
        wrong=tuple(wrong),
        asked=tuple(asked),
        remarks=tuple(remarks),
    )
    if not wrong and new and not check_only and (keep or not asked):
        record.add_all(sort.rows(desk, new), by.id)
    return made


def _is_day(sort: Sort, key: str) -> bool:
    return key != "to" or sort.word == "biases"


def _filled(
    sort: Sort,
    values: Mapping[str, str],
    units: Mapping[str, str],
    days: Sequence[str],
    order: str | None,
    today: str,
) -> dict[str, str]:
    """The cells as a form would have them: days in one order, figures with the unit of their head, nothing lacking."""
    filled = dict.fromkeys((key for key, _ in sort.columns(MM)), "") | dict(values)
    for key in sort.needed:
        if not filled[key]:
            raise DataError(f"{key}: nothing stands there.")
    for key in days:
        if filled[key]:
            filled[key] = taken(day_order.day_in(filled[key], order, today), key)
    for key, unit in units.items():
        if table_columns.number(filled[key]) is not None:
            filled[key] = f"{filled[key]} {unit}"
    return filled


def _places(
    table: table_columns.Table, wanted: Sequence[tuple[str, str]], mapping: Sequence[tuple[str, str]]
) -> tuple[dict[str, int], dict[str, str]]:
    """Where each column stands, by the key or the name that its form has, and the unit of its head.

    DataError for a head that is none of them, with the nearest.
    """
    called = {key: key for key, _ in wanted}
    for key, label in wanted:
        called.setdefault(label.partition(":")[0].casefold(), key)
    places: dict[str, int] = {}
    units: dict[str, str] = {}
    said: dict[int, str | None] = {}
    for what, head in mapping:
        meant = called.get(what.strip().casefold())
        if meant is None and what.casefold() != "ignore":
            raise DataError(f"{what} is no column of this table: it is one of {', '.join(key for key, _ in wanted)}.")
        said[table_columns.find_column(table, head)] = meant
    known = ", ".join(key for key, _ in wanted)
    for at, heading in enumerate(table.headings):
        name, unit = table_columns.split_heading(heading)
        here = said[at] if at in said else called.get(name.casefold().replace(" ", "_")) or called.get(name.casefold())
        if here is None:
            if at in said or not heading:
                continue
            near = find.get_close_matches(name.casefold(), list(called), n=1, cutoff=0.6)
            hint = f"nearest: {near[0]}" if near else f"there are: {known}"
            raise DataError(f"{table.name} has a column {heading} that is not known here; {hint}.")
        if here in places:
            raise DataError(f"{table.name} has two columns of {here}: {heading} is the second.")
        places[here] = at
        if unit:
            units[here] = unit
    return places, units


def _order(table: table_columns.Table, places: Sequence[int], remarks: list[str]) -> str | None:
    """The order of day and month that the days of the table tell by themselves; said among the remarks."""
    told = day_order.order_of(row[at] for row in table.rows for at in places if at < len(row))
    if told is None:
        return None
    words = "day first" if told[0] == "d/m/y" else "month first"
    remarks.append(f"days are read with the {words}, as {told[1]} tells")
    return told[0]
