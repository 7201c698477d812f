"""Takes a file of casting readings into the record: all of it or nothing, and line by line why not.

The same file is not taken in twice. A file in inches is recognised by the ratio of its figures to the drawing and
asked about, never converted silently. Heights from a marking-off table become sizes from the datum targets.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from inspect_tui.errors import DataError, NoTable, NotFound
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.first_article import ImportFile, ImportMapping
from inspect_tui.model.measuring import Instrument, Person, Reading, Session
from inspect_tui.model.words import Id
from inspect_tui.model.work import Item, Job, Lot
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.sizes import FINISHED
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.common.tables.columns import signature, split_heading
from inspect_tui.shop.common.tables.file import Grid, nobody_waits
from inspect_tui.shop.common.tables.workbook_apart import Watch
from inspect_tui.shop.first_article.castings.put_right import MOST_SERIALS
from inspect_tui.shop.first_article.castings.put_right import castings as new_castings
from inspect_tui.shop.first_article.castings.rounds import NO_LOT, Round, pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.gauges.stays import Stays
from inspect_tui.shop.intake.checks import (
    from_datums,
    not_from_files,
    refuse_known,
    refuse_merged,
    refuse_not_machined,
    refuse_other_unit,
)
from inspect_tui.shop.intake.columns import (
    HEAD_ROWS,
    NOTHING,
    Layout,
    LayoutFinder,
    no_unit,
    of_a_column,
    settings,
    unit_named,
)
from inspect_tui.shop.intake.rows import FileReading, ImportRefused, LineReader, Options, refuse_order, refused
from inspect_tui.todo import Todo


@frozen_by_name
class CheckedFile:
    """A file that was understood whole: what would be written."""

    grid: Grid
    layout: Layout
    readings: tuple[FileReading, ...]
    new_serials: tuple[str, ...]
    remarks: tuple[str, ...]
    given: tuple[tuple[str, str], ...]  # head -> what it is, now and from files before
    people: Mapping[str, Person]  # by what the file, or the person who takes it in, calls them
    instruments: Mapping[str, Instrument]
    sampling: Sampling
    options: Options
    label: str | None
    poured_on: str | None  # ISO date
    today: str


@frozen_by_name
class TakenIn:
    """What was taken in."""

    name: str
    round: str
    readings: int
    features: int
    castings: int
    new_castings: tuple[str, ...]
    remarks: tuple[str, ...]
    session_id: Id


def take_in(
    record: Record, job: Job, path: str | Path, label: str | None, options: Options, today: str | None = None
) -> TakenIn:
    """Read, check and write a file in one go. ImportRefused or DataError with nothing written when it is not right.

    `label` is the sampling; castings that are not in it yet are added to it (and it is made when it is new).
    """
    return write(record, job, check(record, job, read(record, path, options.sheet), label, options, today))


# ------------------------------------------------------------------------------ reading
def read(record: Reader, path: str | Path, sheet: str | None = None, watch: Watch = nobody_waits) -> Grid:
    """The file as it is; refused when it was taken in before."""
    try:
        grid = table_file.read(path, sheet, watch)
    except NoTable as problem:
        raise DataError(problem.told(NOTHING)) from None
    _refuse_twice(record, grid)
    return grid


def sheets(path: str | Path) -> list[str]:
    """The sheets of a workbook that can be seen; none for other files."""
    try:
        return table_file.sheets(path)
    except NoTable as problem:
        raise DataError(problem.told(NOTHING)) from None


def _refuse_twice(record: Reader, grid: Grid) -> None:
    before = record.import_file(grid.sha256)
    if before is not None:
        at_us, tz_min = record.entry_times([before.id])[before.id]
        when = show.moment(at_us, tz_min)[:16].replace("T", " ")
        raise ImportRefused(
            f"{grid.name} was taken in already, as {before.shown_name} on {when} "
            f"({before.readings} readings). The same file is not taken twice; nothing was added."
        )


def check(
    record: Reader,
    job: Job,
    grid: Grid,
    label: str | None,
    options: Options,
    today: str | None = None,
    watch: Watch = nobody_waits,
    style: Style = MM,
) -> CheckedFile:
    """Everything the file says, checked against the drawing and the record; ImportRefused with all that is wrong.

    ColumnsUnclear and UnitUnclear can be answered by a person: by `mapping` and `unit` of the options.
    """
    today = today or date.today().isoformat()
    if options.unit is not None and unit_named(options.unit) is None:
        raise DataError(f"{no_unit(options.unit)}. {NOTHING}")
    poured_on = fields.optional(fields.day)(options.poured_on, today)
    if isinstance(poured_on, fields.Wrong):
        raise DataError(f"poured on: {poured_on}. {NOTHING}")
    day = fields.optional(fields.day)(options.day, today, past=True)
    if isinstance(day, fields.Wrong):
        raise DataError(f"day: {day}. {NOTHING}")
    refuse_order(options.days)
    sampling = Sampling(record, job, _round(record, job, label))
    given = {head: what for what, head in options.mapping}
    remembered = _remembered(record, sampling, grid)
    kept = {str(head): str(what) for head, what in (remembered.get("roles") or {}).items()}
    layout = LayoutFinder(grid, sampling, given, options.unit or remembered.get("unit") or None, kept).layout()
    refuse_merged(grid, layout)
    reader = LineReader(sampling, grid, layout, options, today, watch)
    rows = reader.readings()
    people, instruments, nobody, todo = _people_and_instruments(record, rows)
    if reader.wrong or nobody:
        do = (
            "Put it right in the file, or say it otherwise."
            if nobody
            else "Put it right in the file and take it in again."
        )
        raise refused(grid, [*reader.wrong, *nobody], do, Todo.SAY_DAY_ORDER if reader.unclear_days else todo)
    if not rows:
        raise ImportRefused(
            f"{grid.name} holds no readings under its heads. {NOTHING} Fill in a line a casting, a feature or a "
            "reading below them."
        )
    if options.state == FINISHED:
        refuse_not_machined(sampling, grid, rows)
    refuse_other_unit(sampling, grid, layout, rows, options, style)
    remarks = list(grid.remarks)
    if options.heights:
        rows, said = from_datums(sampling, grid, rows, style)
        remarks += said
    rows, already = not_from_files(sampling, rows, options.state)
    if already:
        are = "is" if already == 1 else "are"
        remarks.append(f"{show.count(already, 'reading')} {are} there from a file before: only what is new is taken in")
    remarks += reader.remarks
    remarks += refuse_known(sampling, grid, rows, options.state)
    known = {item.serial for item in sampling.castings}
    new = tuple(dict.fromkeys(row.serial for row in rows if row.serial not in known))
    _refuse_homeless(record, sampling, new, label)
    return CheckedFile(
        grid=grid,
        layout=layout,
        readings=tuple(rows),
        new_serials=new,
        remarks=tuple(remarks),
        given=tuple({**kept, **given}.items()),
        people=people,
        instruments=instruments,
        sampling=sampling,
        options=options,
        label=label,
        poured_on=poured_on,
        today=today,
    )


def _round(record: Reader, job: Job, label: str | None) -> Round:
    try:
        return pick_round(record, job, label)
    except NotFound:
        if label is None:
            raise
        return Round(label.strip(), None, ())


def _remembered(record: Reader, sampling: Sampling, grid: Grid) -> dict[str, Any]:
    """The roles of heads that were mapped before, found by the heads of one of the first lines.

    Heads that named castings need not be there again: the newest mapping whose other heads all are is that of the file.
    """
    serials = [item.serial for item in sampling.castings]
    for cells in grid.rows[:HEAD_ROWS]:
        mapping = record.import_mapping(signature(cells, serials), sampling.job.of_id)
        if mapping is not None:
            kept = json.loads(mapping.settings)
            return kept if isinstance(kept, dict) else {}
    balloons = {feature.balloon for feature in sampling.features}
    for mapping in reversed(record.import_mappings(sampling.job.of_id)):
        kept = json.loads(mapping.settings)
        roles = kept.get("roles") or {} if isinstance(kept, dict) else {}
        columns = {head.casefold() for head, what in roles.items() if of_a_column(str(what), balloons)}
        for cells in grid.rows[:HEAD_ROWS] if columns else ():
            if columns <= {split_heading(cell)[0].casefold() for cell in cells}:
                named = {head: what for head, what in roles.items() if head.casefold() in columns}
                return {"roles": named, "unit": kept.get("unit")}
    return {}


def _refuse_homeless(record: Reader, sampling: Sampling, new: tuple[str, ...], label: str | None) -> None:
    """Refuse castings of which nobody says where they belong, and those that belong to another sampling."""
    if not new:
        return
    if len(new) > MOST_SERIALS:
        raise ImportRefused(
            f"{len(new)} castings are not in {sampling.round.label} yet; {MOST_SERIALS} are the most that are added at "
            f"once. {NOTHING} Cut the file into parts."
        )
    job = sampling.job
    at = {item.serial: item.lot_id for item in record.items(job.of_id) if item.kind == "casting"}
    labels = {lot.id: lot.label for lot in record.lots(job.of_id)}
    elsewhere = [serial for serial in new if serial in at]
    if elsewhere:
        there = dict.fromkeys(labels.get(at[serial] or b"", "no lot") for serial in elsewhere)
        raise ImportRefused(
            f"{_castings(elsewhere)} {'is' if len(elsewhere) == 1 else 'are'} in job {job.number} already, in "
            f"{', '.join(there)}, not in {sampling.round.label}. {NOTHING}",
            todo=Todo.CHOOSE_ROUND,
        )
    if label is None or sampling.round.label == NO_LOT:
        raise ImportRefused(
            f"{_castings(new)} {'is' if len(new) == 1 else 'are'} not in {sampling.round.label}. {NOTHING}",
            todo=Todo.NAME_ROUND,
        )


def _castings(serials: Sequence[str]) -> str:
    more = f" and {len(serials) - 8} more" if len(serials) > 8 else ""
    return f"{'Casting' if len(serials) == 1 else 'Castings'} {', '.join(serials[:8])}{more}"


def _people_and_instruments(
    record: Reader, rows: list[FileReading]
) -> tuple[dict[str, Person], dict[str, Instrument], list[str], Todo | None]:
    """People and gauges by what the file calls them; who is not known, a sentence each, and what could be done."""
    known = {person.initials.casefold(): person for person in record.people()}
    there = record.instruments()
    wrong: list[str] = []
    people: dict[str, Person] = {}
    instruments: dict[str, Instrument] = {}
    nobody: set[str] = set()  # told once, with the first line it stands in
    nothing: set[str] = set()
    for row in rows:
        if row.by not in people and row.by not in nobody:
            person = known.get(row.by.casefold()) if row.by else _only(list(known.values()))
            if person is None:
                nobody.add(row.by)
                wrong.append(_nobody(row, known))
            else:
                people[row.by] = person
        if row.instrument not in instruments and row.instrument not in nothing:
            try:
                instruments[row.instrument] = _instrument(there, row.instrument)
            except NotFound as problem:
                nothing.add(row.instrument)
                wrong.append(f"line {row.line}: {problem}" if row.instrument else str(problem))
    todo = _left_unsaid("" in nobody, "" in nothing, known, there) if wrong else None
    return people, instruments, list(dict.fromkeys(wrong)), todo


def _left_unsaid(
    who: bool, with_what: bool, people: Mapping[str, Person], instruments: Sequence[Instrument]
) -> Todo | None:
    """What a person could do where no column says who measured, or with what."""
    if who and with_what and people and instruments:
        return Todo.SAY_WHO_AND_WITH_WHAT
    if who:
        return Todo.SAY_WHO if people else Todo.ADD_PEOPLE
    if with_what and instruments:
        return Todo.SAY_WITH_WHAT
    return Todo.ADD_INSTRUMENTS if not instruments else None


def _only(people: list[Person]) -> Person | None:
    return people[0] if len(people) == 1 else None


def _nobody(row: FileReading, people: Mapping[str, Person]) -> str:
    there = ", ".join(p.initials for p in people.values()) or "nobody is yet"
    if not row.by:
        return f"no column says who measured; in the record: {there}"
    return f"line {row.line}: {row.by[:24]} is nobody in the record ({there})"


def _instrument(instruments: list[Instrument], name: str) -> Instrument:
    if not name:
        raise NotFound("no column says with what it was measured")
    if not instruments:
        raise NotFound("there is no instrument yet")
    return find.pick(name, instruments, lambda instrument: instrument.label, "instrument")


# ------------------------------------------------------------------------------ writing
def write(record: Record, job: Job, checked: CheckedFile) -> TakenIn:
    """Write a file that was checked, in one transaction: all of it is on the disk when this returns, or nothing is."""
    _refuse_twice(record, checked.grid)  # somebody else may have taken it in meanwhile
    things: list[Any] = []
    sampling = checked.sampling
    lot, items = _lot_and_items(record, job, checked)
    session = Session(
        id=record.new_id(),
        kind="casting",
        job_of_id=job.of_id,
        revision_id=sampling.revision.id,
        title=f"taken in from {checked.grid.name}"[:120],
    )
    mapping = _mapping(record, job, checked)
    file = ImportFile(
        sha256=checked.grid.sha256,
        shown_name=checked.grid.name[:120] or "unnamed",
        job_of_id=job.of_id,
        session_id=session.id,
        mapping_id=mapping.id if mapping else None,
        readings=len(checked.readings),
    )
    things.append(file)  # first: what follows up to the last of its session came with it, and goes with it
    things += [mapping] if mapping else []
    things += [lot] if lot is not None and sampling.round.lot is None else []
    things += [item for item in items.values() if item.serial in checked.new_serials]
    things.append(session)
    things += _setups_and_readings(record, checked, session.id, items)
    record.add_all(things, by=next(iter(checked.people.values())).id)
    return TakenIn(
        name=checked.grid.name,
        round=sampling.round.label,
        readings=len(checked.readings),
        features=len({r.balloon for r in checked.readings}),
        castings=len({r.serial for r in checked.readings}),
        new_castings=checked.new_serials,
        remarks=checked.remarks,
        session_id=session.id,
    )


def _lot_and_items(record: Record, job: Job, checked: CheckedFile) -> tuple[Lot | None, dict[str, Item]]:
    sampling = checked.sampling
    items = {item.serial: item for item in sampling.castings}
    lot = sampling.round.lot
    if not checked.new_serials or checked.label is None:
        return lot, items
    if lot is None:
        lot = Lot(
            id=record.new_id(),
            job_of_id=job.of_id,
            label=checked.label.strip(),
            poured_on=checked.poured_on,
            quantity=len(checked.new_serials),
        )
    for item in new_castings(record, job, checked.new_serials):
        items[item.serial] = replace(item, id=record.new_id(), lot_id=lot.id)
    return lot, items


def _mapping(record: Record, job: Job, checked: CheckedFile) -> ImportMapping | None:
    """A new mapping when it says something that the last one for these heads did not."""
    text = settings(checked.layout, dict(checked.given))
    last = record.import_mapping(checked.layout.signature, job.of_id)
    if last is not None and last.settings == text:
        return None
    return ImportMapping(
        id=record.new_id(),
        job_of_id=job.of_id,
        signature=checked.layout.signature,
        title=f"as {checked.grid.name}"[:120],
        settings=text,
    )


def _setups_and_readings(record: Record, checked: CheckedFile, session_id: Id, items: Mapping[str, Item]) -> list[Any]:
    options, today = checked.options, checked.today
    stays = Stays(record, session_id, today, options.instrument_c, options.state)
    things: list[Any] = []
    for row in sorted(checked.readings, key=lambda row: row.day or today):  # ids go on with time: older ones first
        setup_id = stays.at(checked.people[row.by], checked.instruments[row.instrument], row.day or today, row.work_c)
        things += stays.begun()
        things.append(
            Reading(
                setup_id=setup_id,
                feature_id=checked.sampling.feature(row.balloon).id,
                item_id=items[row.serial].id,
                rep=row.rep,
                value=row.value,
                typed=row.typed,
                typed_unit=row.unit,
            )
        )
    return things
