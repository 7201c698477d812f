"""Takes a file of casting readings into the record: all of it or nothing, and line by line why not.

The same file is not taken in twice. A file in inches is recognised by the ratio of its figures to the drawing and
asked about, never converted silently. Heights from a marking-off table become sizes from the datum targets.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen, replace
from inspect_tui.model import (
    Calibration,
    Id,
    ImportFile,
    ImportMapping,
    Instrument,
    Item,
    Job,
    Lot,
    Person,
    Reading,
    Session,
    Setup,
)
from inspect_tui.record import Record
from inspect_tui.shop import find, import_grid, judging
from inspect_tui.shop.first_article_desk import castings as new_castings
from inspect_tui.shop.import_checks import from_datums, in_right_unit, refuse_known, refuse_merged
from inspect_tui.shop.import_grid import Grid
from inspect_tui.shop.import_map import Chooser, Layout, settings, signature, unit_mm
from inspect_tui.shop.import_rows import ImportRefused, Options, Row, RowReader, refused
from inspect_tui.shop.sampling import Sampling, local_time
from inspect_tui.shop.sampling_rounds import Round, pick_round

__all__ = ["ImportRefused", "Imported", "Options", "Prepared", "prepare", "take_in"]


@frozen
class Prepared:
    """A file that was understood whole: what would be written."""

    grid: Grid
    layout: Layout
    rows: tuple[Row, ...]
    new_serials: tuple[str, ...]
    remarks: tuple[str, ...]
    given: tuple[tuple[str, str], ...]


@frozen
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
    grid = import_grid.read(path, options.sheet)
    before = record.import_file(grid.sha256)
    if before is not None:
        at_us, tz_min = record.entry_times([before.id])[before.id]
        when = local_time(at_us, tz_min)[:16].replace("T", " ")
        raise ImportRefused(
            f"{grid.name} was taken in already, as {before.shown_name} on {when} "
            f"({before.readings} readings). The same file is not taken twice; nothing was added."
        )
    sampling = Sampling(record, job, _round(record, job, label))
    prepared = prepare(sampling, grid, options, record)
    return _write(record, job, sampling, prepared, options, today or date.today().isoformat(), label)


def _round(record: Record, job: Job, label: str | None) -> Round:
    try:
        return pick_round(record, job, label)
    except NotFound:
        if label is None:
            raise
        return Round(label.strip(), None, ())


# ------------------------------------------------------------------------------ reading
def prepare(sampling: Sampling, grid: Grid, options: Options, record: Record) -> Prepared:
    """Everything the file says, checked against the drawing; ImportRefused with all that is wrong."""
    given = {head: what for what, head in options.mapping}
    remembered = _remembered(record, sampling, grid)
    unit = options.unit or remembered.get("unit") or None
    if unit is not None and unit_mm(unit) is None:
        raise DataError(f"{unit} is no unit of length known here: give mm, cm, m, um or in.")
    roles = {**remembered.get("roles", {}), **given}
    layout = Chooser(grid, sampling, roles, unit).layout()
    refuse_merged(grid, layout)
    reader = RowReader(sampling, grid, layout, options)
    rows = reader.rows()
    if reader.wrong:
        raise refused(grid, reader.wrong)
    if not rows:
        raise ImportRefused(f"{grid.name} holds no readings under its heads; nothing was added.")
    rows, remarks = in_right_unit(sampling, grid, layout, rows, options)
    if options.heights:
        rows, said = from_datums(sampling, grid, rows)
        remarks += said
    refuse_known(sampling, grid, rows)
    known = {item.serial for item in sampling.castings}
    new = tuple(dict.fromkeys(row.serial for row in rows if row.serial not in known))
    return Prepared(grid, layout, tuple(rows), new, tuple(remarks), tuple(given.items()))


def _remembered(record: Record, sampling: Sampling, grid: Grid) -> dict[str, Any]:
    """The roles of heads that were mapped before, found by the heads of one of the first lines."""
    serials = [item.serial for item in sampling.castings]
    for cells in grid.rows[:30]:
        found = record.import_mapping(signature(cells, serials), sampling.job.of_id)
        if found is not None:
            kept = json.loads(found.settings)
            return kept if isinstance(kept, dict) else {}
    return {}


# ------------------------------------------------------------------------------ writing
def _write(
    record: Record, job: Job, sampling: Sampling, prepared: Prepared, options: Options, today: str, label: str | None
) -> Imported:
    people = {p.initials.casefold(): p for p in record.people()}
    instruments = record.instruments()
    wrong: list[str] = []
    who: dict[str, Person] = {}
    with_: dict[str, Instrument] = {}
    for row in prepared.rows:
        if row.by not in who:
            person = people.get(row.by.casefold()) if row.by else _only(list(people.values()))
            if person is None:
                wrong.append(_nobody(row, people))
            else:
                who[row.by] = person
        if row.instrument not in with_:
            try:
                with_[row.instrument] = _instrument(instruments, row.instrument)
            except NotFound as problem:
                wrong.append(f"line {row.line}: {problem}")
    if wrong:
        raise refused(prepared.grid, list(dict.fromkeys(wrong)))
    things: list[Any] = []
    lot, items = _lot_and_items(record, job, sampling, prepared, options, label)
    things += [lot] if lot is not None and sampling.round.lot is None else []
    new = [item for item in items.values() if item.serial in prepared.new_serials]
    things += new
    session = Session(id=record.new_id(), kind="casting", job_of_id=job.of_id, revision_id=sampling.revision.id,
                      title=f"taken in from {prepared.grid.name}"[:120])  # fmt: skip
    mapping = _mapping(record, job, prepared)
    file = ImportFile(
        sha256=prepared.grid.sha256, shown_name=prepared.grid.name[:120], job_of_id=job.of_id, session_id=session.id,
        mapping_id=mapping.id if mapping else None, readings=len(prepared.rows),
    )  # fmt: skip
    things += [mapping] if mapping else []
    things += [session, file]
    things += _setups_and_readings(record, sampling, prepared, options, session.id, who, with_, items, today)
    by = next(iter(who.values())).id
    record.add_all(things, by=by)
    return Imported(
        prepared.grid.name, sampling.round.label, len(prepared.rows), len({r.balloon for r in prepared.rows}),
        len({r.serial for r in prepared.rows}), prepared.new_serials, prepared.remarks, session.id,
    )  # fmt: skip


def _only(people: list[Person]) -> Person | None:
    return people[0] if len(people) == 1 else None


def _nobody(row: Row, people: Mapping[str, Person]) -> str:
    there = ", ".join(p.initials for p in people.values()) or "nobody yet"
    if not row.by:
        return f"say who measured: --by INITIALS ({there})"
    return f"line {row.line}: {row.by[:24]} is nobody in the record ({there})"


def _instrument(instruments: list[Instrument], name: str) -> Instrument:
    if not name:
        raise NotFound("say with what it was measured: --with INSTRUMENT")
    return find.pick(name, instruments, lambda one: one.label, "instrument")


def _lot_and_items(
    record: Record, job: Job, sampling: Sampling, prepared: Prepared, options: Options, label: str | None
) -> tuple[Lot | None, dict[str, Item]]:
    items = {item.serial: item for item in sampling.castings}
    lot = sampling.round.lot
    if not prepared.new_serials:
        return lot, items
    if label is None:
        names = ", ".join(prepared.new_serials[:8])
        raise ImportRefused(
            f"Casting {names} is not in {sampling.round.label}: say which sampling they belong to with --round LABEL, "
            "then they are added to it."
        )
    if lot is None:
        lot = Lot(id=record.new_id(), job_of_id=job.of_id, label=label.strip(), poured_on=options.poured_on,
                  quantity=len(prepared.new_serials))  # fmt: skip
    expansion = next((i.expansion_per_c for i in reversed(record.items(job.of_id)) if i.kind == "casting"), None)
    for item in new_castings(record, job, prepared.new_serials, expansion):
        items[item.serial] = replace(item, id=record.new_id(), lot_id=lot.id)
    return lot, items


def _mapping(record: Record, job: Job, prepared: Prepared) -> ImportMapping | None:
    """A new mapping when it says something that the last one for these heads did not."""
    text = settings(prepared.layout, {head: what for head, what in prepared.given})
    last = record.import_mapping(prepared.layout.signature, job.of_id)
    if last is not None and last.settings == text:
        return None
    return ImportMapping(
        id=record.new_id(), job_of_id=job.of_id, signature=prepared.layout.signature,
        title=f"as {prepared.grid.name}"[:120], settings=text,
    )  # fmt: skip


def _setups_and_readings(
    record: Record, sampling: Sampling, prepared: Prepared, options: Options, session_id: Id, who: Mapping[str, Person],
    with_: Mapping[str, Instrument], items: Mapping[str, Item], today: str,
) -> list[Any]:  # fmt: skip
    setups: dict[tuple[str, str, float | None], Setup] = {}
    in_force: dict[Id, Calibration | None] = {}
    things: list[Any] = []
    for row in prepared.rows:
        key = (row.by, row.instrument, row.work_c)
        if key not in setups:
            instrument = with_[row.instrument]
            if instrument.of_id not in in_force:
                in_force[instrument.of_id] = judging.means(
                    instrument, record.calibrations(instrument.of_id), today
                ).calibration
            calibration = in_force[instrument.of_id]
            setups[key] = Setup(
                id=record.new_id(), session_id=session_id, person_id=who[row.by].id, instrument_id=instrument.id,
                calibration_id=calibration.id if calibration else None, work_c=row.work_c,
                instrument_c=options.instrument_c,
            )  # fmt: skip
            things.append(setups[key])
        things.append(Reading(
            setup_id=setups[key].id, feature_id=sampling.feature(row.balloon).id, item_id=items[row.serial].id,
            rep=row.rep, value=row.value, typed=row.typed, typed_unit=row.unit,
        ))  # fmt: skip
    return things
