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
from inspect_tui.model.first_article import ImportFile, ImportMapping
from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import Item, Job, Lot
from inspect_tui.record.read import Reader
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find, judging, table_file
from inspect_tui.shop.common.local_time import local_time
from inspect_tui.shop.common.table_file import Grid, nobody_waits
from inspect_tui.shop.common.workbook_apart import Watch
from inspect_tui.shop.first_article.castings.put_right import MOST_SERIALS
from inspect_tui.shop.first_article.castings.put_right import castings as new_castings
from inspect_tui.shop.first_article.castings.rounds import NO_LOT, Round, pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.intake.checks import from_datums, refuse_known, refuse_merged, refuse_other_unit
from inspect_tui.shop.intake.columns import NOTHING, Chooser, Layout, settings, signature, unit_mm
from inspect_tui.shop.intake.rows import ImportRefused, Options, Row, RowReader, refused
from inspect_tui.todo import Todo


@frozen_by_name
class Checked:
    """A file that was understood whole: what would be written."""

    grid: Grid
    layout: Layout
    rows: tuple[Row, ...]
    new_serials: tuple[str, ...]
    remarks: tuple[str, ...]
    given: tuple[tuple[str, str], ...]  # head -> what it is, now and from files before
    who: Mapping[str, Person]
    with_: Mapping[str, Instrument]
    sampling: Sampling
    options: Options
    label: str | None
    today: str


@frozen_by_name
class Imported:
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
) -> Imported:
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
        when = local_time(at_us, tz_min)[:16].replace("T", " ")
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
) -> Checked:
    """Everything the file says, checked against the drawing and the record; ImportRefused with all that is wrong.

    ColumnsUnclear and UnitUnclear can be answered by a person: by `mapping` and `unit` of the options.
    """
    if options.unit is not None and unit_mm(options.unit) is None:
        raise DataError(f"{options.unit} is no unit of length known here: give mm, cm, m, um or in. Nothing was added.")
    _refuse_no_day(options.poured_on)
    sampling = Sampling(record, job, _round(record, job, label))
    given = {head: what for what, head in options.mapping}
    remembered = _remembered(record, sampling, grid)
    kept = {str(head): str(what) for head, what in (remembered.get("roles") or {}).items()}
    layout = Chooser(grid, sampling, given, options.unit or remembered.get("unit") or None, kept).layout()
    refuse_merged(grid, layout)
    reader = RowReader(sampling, grid, layout, options, watch)
    rows = reader.rows()
    if reader.wrong:
        raise refused(grid, reader.wrong)
    if not rows:
        raise ImportRefused(
            f"{grid.name} holds no readings under its heads. Nothing was added. Fill in a line a casting, a feature or "
            "a reading below them."
        )
    refuse_other_unit(sampling, grid, layout, rows, options)
    remarks = list(grid.remarks)
    if options.heights:
        rows, said = from_datums(sampling, grid, rows)
        remarks += said
    remarks += refuse_known(sampling, grid, rows)
    known = {item.serial for item in sampling.castings}
    new = tuple(dict.fromkeys(row.serial for row in rows if row.serial not in known))
    _refuse_homeless(record, sampling, new, label)
    who, with_ = _people_and_instruments(record, grid, rows)
    return Checked(
        grid=grid,
        layout=layout,
        rows=tuple(rows),
        new_serials=new,
        remarks=tuple(remarks),
        given=tuple({**kept, **given}.items()),
        who=who,
        with_=with_,
        sampling=sampling,
        options=options,
        label=label,
        today=today or date.today().isoformat(),
    )


def _round(record: Reader, job: Job, label: str | None) -> Round:
    try:
        return pick_round(record, job, label)
    except NotFound:
        if label is None:
            raise
        return Round(label.strip(), None, ())


def _remembered(record: Reader, sampling: Sampling, grid: Grid) -> dict[str, Any]:
    """The roles of heads that were mapped before, found by the heads of one of the first lines."""
    serials = [item.serial for item in sampling.castings]
    for cells in grid.rows[:30]:
        found = record.import_mapping(signature(cells, serials), sampling.job.of_id)
        if found is not None:
            kept = json.loads(found.settings)
            return kept if isinstance(kept, dict) else {}
    return {}


def _refuse_no_day(text: str | None) -> None:
    if text:
        try:
            date.fromisoformat(text)
        except ValueError:
            raise DataError(f"{text} is no day: write it as 2025-03-31. Nothing was added.") from None


def _refuse_homeless(record: Reader, sampling: Sampling, new: tuple[str, ...], label: str | None) -> None:
    """Refuse castings of which nobody says where they belong, and those that belong to another sampling."""
    if not new:
        return
    if len(new) > MOST_SERIALS:
        raise ImportRefused(
            f"{len(new)} castings are not in {sampling.round.label} yet; {MOST_SERIALS} are the most that are added at "
            "once. Nothing was added. Cut the file into parts."
        )
    job = sampling.job
    at = {item.serial: item.lot_id for item in record.items(job.of_id) if item.kind == "casting"}
    labels = {lot.id: lot.label for lot in record.lots(job.of_id)}
    elsewhere = [serial for serial in new if serial in at]
    if elsewhere:
        there = dict.fromkeys(labels.get(at[serial] or b"", "no lot") for serial in elsewhere)
        raise ImportRefused(
            f"{_castings(elsewhere)} {'is' if len(elsewhere) == 1 else 'are'} in job {job.number} already, in "
            f"{', '.join(there)}, not in {sampling.round.label}. Nothing was added.",
            todo=Todo.CHOOSE_ROUND,
        )
    if label is None or sampling.round.label == NO_LOT:
        raise ImportRefused(
            f"{_castings(new)} {'is' if len(new) == 1 else 'are'} not in {sampling.round.label}. Nothing was added.",
            todo=Todo.NAME_ROUND,
        )


def _castings(serials: Sequence[str]) -> str:
    more = f" and {len(serials) - 8} more" if len(serials) > 8 else ""
    return f"Casting{'s' * (len(serials) > 1)} {', '.join(serials[:8])}{more}"


def _people_and_instruments(
    record: Reader, grid: Grid, rows: list[Row]
) -> tuple[dict[str, Person], dict[str, Instrument]]:
    people = {p.initials.casefold(): p for p in record.people()}
    instruments = record.instruments()
    wrong: list[str] = []
    who: dict[str, Person] = {}
    with_: dict[str, Instrument] = {}
    unknown: set[tuple[str, str]] = set()  # told once, with the first line it stands in
    for row in rows:
        if row.by not in who and ("by", row.by) not in unknown:
            person = people.get(row.by.casefold()) if row.by else _only(list(people.values()))
            if person is None:
                unknown.add(("by", row.by))
                wrong.append(_nobody(row, people))
            else:
                who[row.by] = person
        if row.instrument not in with_ and ("with", row.instrument) not in unknown:
            try:
                with_[row.instrument] = _instrument(instruments, row.instrument)
            except NotFound as problem:
                unknown.add(("with", row.instrument))
                wrong.append(f"line {row.line}: {problem}" if row.instrument else str(problem))
    if wrong:
        todo = _left_unsaid(("by", "") in unknown, ("with", "") in unknown, people, instruments)
        raise refused(grid, list(dict.fromkeys(wrong)), "Put it right in the file, or say it otherwise.", todo)
    return who, with_


def _left_unsaid(
    who: bool, with_what: bool, people: Mapping[str, Person], instruments: list[Instrument]
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


def _nobody(row: Row, people: Mapping[str, Person]) -> str:
    there = ", ".join(p.initials for p in people.values()) or "nobody is yet"
    if not row.by:
        return f"no column says who measured; in the record: {there}"
    return f"line {row.line}: {row.by[:24]} is nobody in the record ({there})"


def _instrument(instruments: list[Instrument], name: str) -> Instrument:
    if not name:
        raise NotFound("no column says with what it was measured")
    if not instruments:
        raise NotFound("there is no instrument yet")
    return find.pick(name, instruments, lambda one: one.label, "instrument")


# ------------------------------------------------------------------------------ writing
def write(record: Record, job: Job, checked: Checked) -> Imported:
    """Write a file that was checked, in one transaction: all of it is on the disk when this returns, or nothing is."""
    _refuse_twice(record, checked.grid)  # somebody else may have taken it in meanwhile
    things: list[Any] = []
    sampling = checked.sampling
    lot, items = _lot_and_items(record, job, checked)
    things += [lot] if lot is not None and sampling.round.lot is None else []
    things += [item for item in items.values() if item.serial in checked.new_serials]
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
        readings=len(checked.rows),
    )
    things += [mapping] if mapping else []
    things += [session, file]
    things += _setups_and_readings(record, checked, session.id, items)
    record.add_all(things, by=next(iter(checked.who.values())).id)
    return Imported(
        name=checked.grid.name,
        round=sampling.round.label,
        readings=len(checked.rows),
        features=len({r.balloon for r in checked.rows}),
        castings=len({r.serial for r in checked.rows}),
        new_castings=checked.new_serials,
        remarks=checked.remarks,
        session_id=session.id,
    )


def _lot_and_items(record: Record, job: Job, checked: Checked) -> tuple[Lot | None, dict[str, Item]]:
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
            poured_on=checked.options.poured_on or None,
            quantity=len(checked.new_serials),
        )
    for item in new_castings(record, job, checked.new_serials):
        items[item.serial] = replace(item, id=record.new_id(), lot_id=lot.id)
    return lot, items


def _mapping(record: Record, job: Job, checked: Checked) -> ImportMapping | None:
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


def _setups_and_readings(record: Record, checked: Checked, session_id: Id, items: Mapping[str, Item]) -> list[Any]:
    setups: dict[tuple[str, str, float | None], Setup] = {}
    in_force: dict[Id, Calibration | None] = {}
    things: list[Any] = []
    for row in checked.rows:
        key = (row.by, row.instrument, row.work_c)
        if key not in setups:
            instrument = checked.with_[row.instrument]
            if instrument.of_id not in in_force:
                in_force[instrument.of_id] = judging.means(
                    instrument, record.calibrations(instrument.of_id), checked.today
                ).calibration
            calibration = in_force[instrument.of_id]
            setups[key] = Setup(
                id=record.new_id(),
                session_id=session_id,
                person_id=checked.who[row.by].id,
                instrument_id=instrument.id,
                calibration_id=calibration.id if calibration else None,
                work_c=row.work_c,
                instrument_c=checked.options.instrument_c,
            )
            things.append(setups[key])
        things.append(
            Reading(
                setup_id=setups[key].id,
                feature_id=checked.sampling.feature(row.balloon).id,
                item_id=items[row.serial].id,
                rep=row.rep,
                value=row.value,
                typed=row.typed,
                typed_unit=row.unit,
            )
        )
    return things
