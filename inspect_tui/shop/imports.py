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

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology import quantity
from inspect_tui.model import (
    Calibration,
    DatumTarget,
    Feature,
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
from inspect_tui.shop.import_grid import Grid
from inspect_tui.shop.import_map import DEGREES, Chooser, Column, Layout, settings, signature, unit_mm
from inspect_tui.shop.sampling import Round, Sampling, is_angle, local_time, pick_round, station_of
from inspect_tui.shop.table_file import MINUS, number

MOST_SHOWN = 40  # lines of a refusal that are shown
ENOUGH_ROWS = 3
MOST_TYPED = 64


class ImportRefused(DataError):
    """A file that was not taken in; `lines` say why, one a line of the file."""

    def __init__(self, sentence: str, lines: Sequence[str] = ()) -> None:
        super().__init__("\n".join([sentence, *lines]))
        self.sentence, self.lines = sentence, tuple(lines)


@frozen
class Options:
    """What a person says with a file. `mapping` is role or feature -> head of the column."""

    by: str | None = None
    instrument: str | None = None
    unit: str | None = None
    mapping: tuple[tuple[str, str], ...] = ()
    temperature_c: float | None = None
    instrument_c: float | None = None
    heights: bool = False
    sheet: str | None = None
    poured_on: str | None = None


@frozen
class Row:
    """One reading of a file, mm (degrees for angles) as it will be recorded."""

    line: int
    head: str
    balloon: str
    serial: str
    value: float
    typed: str
    unit: str
    rep: int
    by: str
    instrument: str
    work_c: float | None


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
        raise ImportRefused(
            f"{grid.name} was taken in already, as {before.shown_name} on {local_time(at_us, tz_min)[:16].replace('T', ' ')} "
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
    _refuse_merged(grid, layout)
    reader = _Reader(sampling, grid, layout, options)
    rows = reader.rows()
    if reader.wrong:
        raise _refused(grid, reader.wrong)
    if not rows:
        raise ImportRefused(f"{grid.name} holds no readings under its heads; nothing was added.")
    rows, remarks = _in_right_unit(sampling, grid, layout, rows, options)
    if options.heights:
        rows, said = _from_datums(sampling, grid, rows)
        remarks += said
    _refuse_known(sampling, grid, rows)
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


def _refused(grid: Grid, wrong: Sequence[str]) -> ImportRefused:
    shown = list(wrong[:MOST_SHOWN])
    if len(wrong) > MOST_SHOWN:
        shown.append(f"and {len(wrong) - MOST_SHOWN} more")
    n = len(wrong)
    return ImportRefused(f"{grid.name} was not taken in: {n} {'thing is' if n == 1 else 'things are'} wrong in it.", shown)


def _refuse_merged(grid: Grid, layout: Layout) -> None:
    first = grid.lines[layout.head_row]
    last = grid.lines[-1]
    for top, bottom, left, right in grid.merged:
        if bottom >= first and top <= last and (bottom > top or right > left):
            raise ImportRefused(
                f"{grid.name}: cells in lines {top} to {bottom}, columns {left + 1} to {right + 1}, are merged: it cannot "
                "be said which casting or feature they belong to. Split them and save the file again."
            )


class _Reader:
    """Goes through the lines below the heads and gathers readings and what is wrong."""

    def __init__(self, sampling: Sampling, grid: Grid, layout: Layout, options: Options) -> None:
        self.sampling, self.grid, self.layout, self.options = sampling, grid, layout, options
        self.wrong: list[str] = []
        self.features = {f.balloon: f for f in sampling.features}
        self.targets = {t.label: t for t in sampling.record.datum_targets(sampling.job.of_id)} if options.heights else {}
        self.marks: dict[str, int] = {}
        self.seen: dict[tuple[str, str, int], int] = {}

    def rows(self) -> list[Row]:
        """Every reading that was understood; `wrong` says the rest."""
        serials = [item.serial for item in self.sampling.castings]
        twice = sorted({serial for serial in serials if serials.count(serial) > 1})
        if twice:
            self.wrong.append(f"casting {', '.join(twice)} is in the record twice; it cannot be said which is meant")
        found: list[Row] = []
        start = self.layout.head_row + 1
        for cells, line in zip(self.grid.rows[start:], self.grid.lines[start:], strict=True):
            found += self._line(cells, line)
        if len(self.marks) > 1:
            self.wrong.append(
                f"decimal points (line {self.marks['.']}) and decimal commas (line {self.marks[',']}) in one file: write "
                "them all one way and leave thousands without a mark"
            )
        return found

    def _cell(self, cells: tuple[str, ...], column: Column | None) -> str:
        return cells[column.place] if column is not None and column.place < len(cells) else ""

    def _line(self, cells: tuple[str, ...], line: int) -> list[Row]:
        layout = self.layout
        serial = self._cell(cells, layout.one("serial"))
        name = self._cell(cells, layout.one("feature"))
        found: list[Row] = []
        if layout.form == "features" and not serial:
            if any(self._cell(cells, c) for c in layout.columns if c.role == "value"):
                self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return found
        balloon = ""
        if layout.form != "features":
            if not name:
                if any(self._cell(cells, c) for c in layout.columns if c.role == "value"):
                    self.wrong.append(f"line {line}: no feature in column {self._head('feature')}")
                return found
            balloon = self._balloon(name, line)
            if not balloon:
                return found
        for column in layout.columns:
            if column.role != "value":
                continue
            text = self._cell(cells, column)
            if not text:
                continue
            whose = (
                (column.of, serial) if layout.form == "features"
                else (balloon, column.of) if layout.form == "castings" else (balloon, serial)
            )  # fmt: skip
            row = self._reading(cells, line, column, text, *whose)
            if row is not None:
                found.append(row)
        return found

    def _head(self, role: str) -> str:
        column = self.layout.one(role)
        return column.head if column else role

    def _balloon(self, name: str, line: int) -> str:
        if name in self.targets:
            return name
        try:
            return find.feature(self.sampling.features, name, f"{self.sampling.revision.rev} (line {line})").balloon
        except NotFound as problem:
            self.wrong.append(f"line {line}: {problem}")
            return ""

    def _reading(
        self, cells: tuple[str, ...], line: int, column: Column, text: str, balloon: str, serial: str
    ) -> Row | None:
        if not serial:
            self.wrong.append(f"line {line}: no serial in column {self._head('serial')}")
            return None
        if len(serial) > 40:
            self.wrong.append(f"line {line}: {serial[:24]}… is no serial; 40 characters are the most")
            return None
        feature = self.features.get(balloon)
        value = self._value(text, line, column, feature, self._cell(cells, self.layout.one("unit")))
        if value is None:
            return None
        mm, unit = value
        rep = self._rep(cells, line)
        key = (balloon, serial, rep)
        if key in self.seen:
            more = "" if self.layout.form != "long" else "; a column repeat (1, 2, 3) says that both count"
            self.wrong.append(f"line {line}: {balloon} of casting {serial} stands in line {self.seen[key]} already{more}")
            return None
        self.seen[key] = line
        work = self._cell(cells, self.layout.one("temperature"))
        work_c = number(work) if work else self.options.temperature_c
        if work and work_c is None:
            self.wrong.append(f"line {line}: {work[:24]} is no temperature")
            return None
        return Row(
            line, column.head, balloon, serial, mm, text[:MOST_TYPED], unit, rep,
            self._cell(cells, self.layout.one("by")) or self.options.by or "",
            self._cell(cells, self.layout.one("instrument")) or self.options.instrument or "", work_c,
        )  # fmt: skip

    def _rep(self, cells: tuple[str, ...], line: int) -> int:
        text = self._cell(cells, self.layout.one("repeat"))
        if not text:
            return 1
        rep = number(text)
        if rep is None or rep != int(rep) or not 1 <= rep <= 999:
            self.wrong.append(f"line {line}: {text[:24]} is no number of a repeat")
            return 1
        return int(rep)

    def _value(
        self, text: str, line: int, column: Column, feature: Feature | None, unit_cell: str
    ) -> tuple[float, str] | None:
        """The reading in mm (degrees) and the unit it was written in; None when it is none (said in `wrong`)."""
        said = unit_cell or column.unit
        angle = feature is not None and is_angle(feature)
        where = f"line {line}, {column.head}"
        if said and angle and said.casefold() not in DEGREES:
            self.wrong.append(f"{where}: {feature.balloon if feature else ''} is an angle, not in {said}")
            return None
        if said and not angle and unit_mm(said) is None:
            self.wrong.append(f"{where}: {said} is no unit of length known here; give mm, cm, m, um or in")
            return None
        unit = "deg" if angle else (said or self.layout.unit or "mm")
        plain = text.translate(MINUS).strip()
        if plain.startswith("=") or plain.startswith("@"):
            shown = plain if len(plain) <= 24 else plain[:23] + "…"
            self.wrong.append(f"{where}: {shown} is a formula, kept as text; save the file with values")
            return None
        value = number(plain)
        if value is not None:
            for mark in ".,":
                if mark in plain:
                    self.marks.setdefault(mark, line)
            return value * (1.0 if angle else unit_mm(unit) or 1.0), _short(unit)
        parsed = quantity.parse_line(text, _short(unit), 0.0, feature.quantity if feature else "length")
        if isinstance(parsed, quantity.Entry) and len(parsed.sizes) == 1:
            return parsed.sizes[0].mm, parsed.sizes[0].unit
        sentence = "several sizes in one cell" if isinstance(parsed, quantity.Entry) else parsed.sentence
        self.wrong.append(f"{where}: {sentence}")
        return None


def _short(unit: str) -> str:
    return {"inch": "in", "inches": "in", '"': "in", "µm": "um"}.get(unit.casefold(), unit.casefold())


# ------------------------------------------------------------------------------ unit, heights, doubles
def _in_right_unit(
    sampling: Sampling, grid: Grid, layout: Layout, rows: list[Row], options: Options
) -> tuple[list[Row], list[str]]:
    """Refuse a file whose figures only fit the drawing in another unit, unless the unit was stated."""
    from inspect_tui.metrology.loops_rows import unit_of

    stated = options.unit or any(column.unit for column in layout.columns) or layout.one("unit") is not None
    nominals = {f.balloon: sampling.sizes(f).as_cast for f in sampling.features if not is_angle(f)}
    if stated or options.heights:
        return rows, []
    by_casting: dict[str, dict[str, float]] = {}
    for row in rows:
        if row.balloon in nominals and row.unit == "mm":
            by_casting.setdefault(row.serial, {})[row.balloon] = row.value
    asked = []
    for serial, values in by_casting.items():
        if len(values) < ENOUGH_ROWS:
            continue
        unit, share = unit_of(values, nominals)
        if unit and unit != "mm":
            asked.append(f"casting {serial}: {100 * share:.0f} % of {len(values)} figures fit the drawing in {unit}")
    if asked:
        raise ImportRefused(
            f"{grid.name} does not say its unit, and its figures do not look like mm. Say it with --unit in (or --unit mm "
            "to take them as mm all the same); nothing was added.", asked,
        )  # fmt: skip
    return rows, []


def _from_datums(sampling: Sampling, grid: Grid, rows: list[Row]) -> tuple[list[Row], list[str]]:
    """Heights over the table turned into sizes from the datum targets of each casting."""
    targets = {t.label: t for t in sampling.record.datum_targets(sampling.job.of_id)}
    features = {f.balloon: f for f in sampling.features}
    wrong: list[str] = []
    remarks: list[str] = []
    out: list[Row] = []
    for serial in dict.fromkeys(row.serial for row in rows):
        own = [row for row in rows if row.serial == serial]
        heights = [(targets[row.balloon], row.value) for row in own if row.balloon in targets]
        for row in own:
            if row.balloon in targets:
                continue
            feature = features[row.balloon]
            same = [(t, h) for t, h in heights if t.axis == feature.axis]
            if not same:
                wrong.append(f"line {row.line}: casting {serial} has no height of a datum target along {feature.axis.upper()}")
                continue
            out.append(replace(row, value=abs(row.value - _level(same, feature))))
        spread = [h for _, h in heights]
        if len(spread) > 1 and max(spread) - min(spread) > 0.1:
            said = ", ".join(f"{t.label} {h:.2f}" for t, h in heights)
            remarks.append(f"casting {serial} stood tilted on the table ({said}); heights count from its targets")
    if wrong:
        raise _refused(grid, wrong)
    return out, remarks


def _level(heights: Sequence[tuple[DatumTarget, float]], feature: Feature) -> float:
    """Height of the datum where a feature was taken: straight between the targets, level beyond what they say."""
    mean = sum(h for _, h in heights) / len(heights)
    place = station_of(feature)
    if place is None:
        return mean
    known = [(getattr(t, f"{place[0]}_mm"), h) for t, h in heights]
    points = [(x, h) for x, h in known if x is not None]
    if len({x for x, _ in points}) < 2:
        return mean
    mid = sum(x for x, _ in points) / len(points)
    level = sum(h for _, h in points) / len(points)
    slope = sum((x - mid) * (h - level) for x, h in points) / sum((x - mid) ** 2 for x, _ in points)
    return level + slope * (place[1] - mid)


def _refuse_known(sampling: Sampling, grid: Grid, rows: Sequence[Row]) -> None:
    """Refuse a file whose every reading is in the record already: the same list under another name."""
    serials = {item.serial: item for item in sampling.castings}
    if len(rows) < ENOUGH_ROWS:
        return
    for row in rows:
        item = serials.get(row.serial)
        if item is None:
            return
        there = [one.value for one in sampling.taken(sampling.feature(row.balloon), item)]
        if not any(abs(value - row.value) < 1e-9 for value in there):
            return
    raise ImportRefused(
        f"All {len(rows)} readings of {grid.name} are in the record already, for the same castings and features. "
        "Nothing was added."
    )


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
        raise _refused(prepared.grid, list(dict.fromkeys(wrong)))
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
