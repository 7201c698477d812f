"""A core, a tool, a geometrical tolerance or the mould as a form: its row of the job file, read and written."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.signed import GEOMETRIES
from inspect_tui.model.words import AXES, STATES_OF_WORK, TOOL_KINDS
from inspect_tui.shop.common.geometry.tolerances import WORDS
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import change, of_record, write
from inspect_tui.shop.jobs.file.mistakes import Mistakes, Row, Spot
from inspect_tui.shop.jobs.file.tooling import core_number

if TYPE_CHECKING:
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.jobs.file.change import Change, Proposed

TOOL_KIND_WORDS: Mapping[str, str] = {
    "pattern_cope": "makes the cope's half of the casting",
    "pattern_drag": "makes the drag's half of the casting",
    "core_stick": "shaped as the core: boxes are cast off it",
    "core_box": "the core is made in it",
    "loose_piece": "of a box or pattern, drawn apart",
    "master": "another tool is cast from it",
    "production_pattern": "cast from a master",
    "gauge_template": "sizes are held against it",
    "mould": "taken off the pattern, to try cores in",
    "other": "anything else",
}
# table -> (key of the row, `name: hint`)
FIELDS: Mapping[str, tuple[tuple[str, str], ...]] = {
    "core": (
        ("number", "number: 1 to 999"),
        ("name", "called: such as port core"),
        ("only_locates", "only locates: yes where it makes no face of the casting; empty: no"),
        ("set", "set as: its place in the setting order; may be left out"),
        ("volume_dm3", "volume: of the core, dm³, or such as 2400 cm3; may be left out"),
        ("in_metal_dm3", "in metal: dm³ of it in metal, for its lift; may be left out"),
        ("print_area_mm2", "print area: mm² that bear its lift; may be left out"),
        ("body", "body: x from, to, y from, to, z from, to; several parted by ;"),
        ("ends", "ends: what its two ends are called, such as x: inlet, outlet"),
        ("chaplets", "chaplets: how many"),
        ("chaplet_note", "where: the chaplets stand"),
        ("vents", "vents: how many, through what"),
        ("lift", "lift: where it is lifted"),
        ("tolerance", "tolerance: ± mm between two of its faces or seats"),
        ("template", "template: its number"),
        ("check", "check: balloon of what the setter proves"),
        ("check_name", "check is: in words"),
        ("check_limits", "check from: least and most in the mould, such as 5.9 to 7.9, or min 6"),
        ("caution", "caution: one line"),
        ("note", "note: what else is to be known"),
    ),
    "tool": (
        ("label", "called: such as stick 3"),
        ("kind", "kind: what it is"),
        ("core", "core: its number; empty for patterns"),
        ("material", "material: such as mahogany, resin, aluminium; may be left out"),
        ("made_from", "made from: the tool that it is cast off; may be left out"),
        ("resin", "resin: what its resin shrinks: 0.12 %; -0.2 % where it grows"),
        ("second_contraction", "second: contraction of a master for a metal tool, such as 1.3 %"),
        ("grain", "grain: along x, y or z, of a wooden tool; may be left out"),
        ("weight_kg", "weight: kg, or such as 850 g; may be left out"),
        ("loose_pieces", "loose pieces: how many belong to it"),
        ("dowels", "dowels: how many"),
        ("mark", "mark: paint or number on it"),
        ("owner", "owner: to whom it belongs"),
        ("lift", "lift: where it is lifted"),
        ("note", "note: what else is to be known"),
    ),
    "geometry": (
        ("balloon", "number: in its balloon on the drawing, such as G1"),
        ("name", "name: of what it is asked, such as flange face; may be left out"),
        ("what", "what: position, flatness, parallelism ..."),
        ("tolerance", "tolerance: width of its zone, mm"),
        ("diameter", "diameter: yes where the zone is round; empty: no"),
        ("datums", "datums: as the frame has them, such as A B; may be left out"),
        ("sizes", "sizes: it is computed from: F07 F08; empty: looked at"),
        ("datum_sizes", "datum from: three sizes of it or more; empty: stands on it"),
        ("state", "state: raw or finished; empty: raw"),
        ("sheet", "sheet: of the drawing; may be left out"),
        ("zone", "zone: on the sheet, such as B4; may be left out"),
        ("characteristic", "characteristic: the customer's number of it; may be left out"),
        ("note", "note: what else is to be known"),
    ),
    "mould": (
        ("x", "x: of the box round the casting, as drawn: 0 to 520"),
        ("y", "y: the same along y"),
        ("z", "z: the same along z"),
    ),
}
CHOICES: Mapping[str, Mapping[str, Sequence[str | tuple[str, str]]]] = {
    "core": {"only_locates": (("no", "it makes faces of the casting"), ("yes", "it carries or locates others"))},
    "tool": {
        "kind": tuple((kind, TOOL_KIND_WORDS[kind]) for kind in TOOL_KINDS),
        "grain": tuple((axis, f"along {axis}") for axis in AXES if axis in "xyz"),
    },
    "geometry": {
        "what": tuple((what, WORDS[what]) for what in GEOMETRIES),
        "diameter": (("no", "between two planes or lines"), ("yes", "the zone is round")),
        "state": STATES_OF_WORK,
    },
    "mould": {},
}
KEY = {"core": "number", "tool": "label", "geometry": "balloon"}
MOST_TOLD = 4  # mistakes that fit under a form


@frozen_by_name
class RowChange:
    """What a form would do: the changes in words, and what is asked about before it is written."""

    proposed: Proposed
    table: str
    name: str

    @property
    def sentence(self) -> str:
        """All of it in a line; that nothing is another where it is so."""
        told = "; ".join(told.sentence for told in self.proposed.changes)
        return told or f"{self.table} {self.name}".strip() + " is as it was: nothing was written"


# ------------------------------------------------------------------------------ what stands in the form
def all_first(record: Record, job: Job, table: str) -> list[tuple[str, dict[str, str]]]:
    """What things of a table are called, and the texts of their forms; the newest first."""
    rows = write.rows(of_record.plan_of(record, job)).get(table, [])
    rows = [rows] if isinstance(rows, dict) else rows
    return [(str(row.get(KEY.get(table, ""), table)), texts_of(table, row)) for row in reversed(rows)]


def first(record: Record, job: Job, table: str, name: str = "") -> dict[str, str]:
    """The texts of the form of one thing; empty ones where there is none of that name."""
    wanted = name.casefold()
    return next(
        (texts for called, texts in all_first(record, job, table) if not name or called.casefold() == wanted), {}
    )


def texts_of(table: str, row: Mapping[str, Any]) -> dict[str, str]:
    """A row as it is typed into the fields of its form."""
    return {key: _text(key, row[key]) for key, _ in FIELDS[table] if key in row}


def _text(key: str, value: Any) -> str:
    if key == "body":
        boxes = value if isinstance(value, list) else [value]
        return "; ".join(" ".join(MM.figures(mm, 12) for axis in "xyz" for mm in box[axis]) for box in boxes)
    if key == "ends":
        axis, names = next(iter(value.items()))
        return f"{axis}: {', '.join(names)}"
    if isinstance(value, list) and key.endswith("sizes"):
        return " ".join(value)
    if isinstance(value, list):
        return " to ".join(MM.figures(mm, 12) for mm in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return MM.figures(value, 12) if isinstance(value, float) else str(value)


# ------------------------------------------------------------------------------ read, proposed, written
def read(
    record: Record, job: Job, table: str, texts: Mapping[str, str], name: str = "", style: Style = MM
) -> RowChange:
    """What the fields would change in the job; `name` is the thing that they change, empty for a new one.

    Raises JobFileError with all that is wrong. Nothing is written. A tool of a core that nobody named yet names it.
    """
    old = of_record.plan_of(record, job)
    rows = write.rows(old)
    listed = list(rows.get(table, [])) if table in KEY else []
    before = _named(listed, table, name)
    if name and before is None and table in KEY:
        raise JobFileError(f"There is no {table} {name} in job {job.number} any more.")
    row = _row(table, texts, before or (rows.get(table) if table not in KEY else None))
    called = str(row.get(KEY.get(table, ""), "")).strip()
    if table in KEY:
        if before is None and _named(listed, table, called) is not None:
            raise JobFileError(f"There is a {table} {called} already: give this one another name, or change that one.")
        if before is not None and called.casefold() != name.casefold():
            raise JobFileError(f"It is called {name}: another name is given where things are renamed.")
        rows[table] = [row if other is before else other for other in listed] + ([row] if before is None else [])
    elif any(texts.get(key, "").strip() for key, _ in FIELDS[table]):
        rows[table] = row
    else:
        rows.pop(table, None)
    if table == "tool":
        _name_core(rows, row)
    new = _plan(rows, style)
    proposed = change.propose(record, job, new)
    mine = tuple(told for told in proposed.changes if _is_of(told, table, called, rows))
    return RowChange(proposed=replace(proposed, changes=mine), table=table, name=called)


def drop(record: Record, job: Job, table: str, name: str) -> RowChange:
    """What taking a thing of a table off the job would change. JobFileError where there is none of that name."""
    rows = write.rows(of_record.plan_of(record, job))
    listed = list(rows.get(table, []))
    gone = _named(listed, table, name)
    if gone is None:
        raise JobFileError(f"There is no {table} {name} in job {job.number} any more.")
    rows[table] = [row for row in listed if row is not gone]
    proposed = change.propose(record, job, _plan(rows, MM))
    mine = tuple(told for told in proposed.changes if _is_of(told, table, str(gone[KEY[table]]), rows))
    return RowChange(proposed=replace(proposed, changes=mine), table=table, name=name)


def _is_of(told: Change, table: str, called: str, rows: Mapping[str, Any]) -> bool:
    """Whether a change is that of the row, or the core that a new tool names."""
    if told.table == table:
        return table not in KEY or told.name.casefold() == called.casefold()
    return table == "tool" and told.table == "core" and told.what == "added"


def save(record: Record, made: RowChange, why: str = "", by: Id | None = None) -> str:
    """Write it whole, or nothing; the sentence that says what was done. JobFileError where it lacks a reason."""
    change.write_changes(record, made.proposed, why, by)
    return made.sentence


def _named(rows: Sequence[dict[str, Any]], table: str, name: str) -> dict[str, Any] | None:
    return next((row for row in rows if name and str(row[KEY[table]]).casefold() == name.casefold()), None)


def _row(table: str, texts: Mapping[str, str], before: Mapping[str, Any] | None) -> dict[str, Any]:
    """The row with what is typed over; what is not in the form, and what stands as it was shown, stays exact."""
    row = dict(before or {})
    shown = texts_of(table, row)
    for key, _ in FIELDS[table]:
        text = texts.get(key, shown.get(key, "")).strip()
        if text == shown.get(key, ""):
            continue
        if not text:
            row.pop(key, None)
        else:
            row[key] = _value(table, key, text)
    return row


def _value(table: str, key: str, text: str) -> Any:
    if key == "body":
        return [_box(part.strip()) for part in text.split(";") if part.strip()]
    if key == "ends":
        axis, _, names = text.partition(":")
        return {axis.strip().casefold(): [name.strip() for name in names.split(",")]}
    if table == "core" and key == "number":
        number = core_number(text)
        if isinstance(number, Wrong):
            raise JobFileError(f"number: {number}.")
        return number
    return text


def _box(text: str) -> Any:
    """A box as the job file has it, from six figures."""
    figures = fields.sizes(text, 6, signed=True)
    if isinstance(figures, Wrong):
        raise JobFileError(f"body: '{text}' is no box: six figures, x from and to, y from and to, z from and to.")
    return {axis: list(figures[2 * n : 2 * n + 2]) for n, axis in enumerate("xyz")}


def _name_core(rows: write.Rows, row: Mapping[str, Any]) -> None:
    number = core_number(row["core"]) if row.get("core") not in (None, "") else None
    cores = rows.setdefault("core", [])
    if isinstance(number, int) and all(core["number"] != number for core in cores):
        cores.append({"number": number, "name": f"core {number}"})


def _plan(rows: write.Rows, style: Style) -> Any:
    """The plan of these rows; mistakes are told by what they are of, not by a line."""
    mistakes = Mistakes()
    tables: dict[str, list[Row]] = {"feature": []}  # a job may have none yet
    line = 0
    for name, held in rows.items():
        if name in ("picture", "sampling"):
            continue
        for values in [held] if isinstance(held, dict) else held:
            line += 1
            row = Row(name, Spot(line, 1), mistakes)
            row.doubled = not isinstance(held, dict)
            for column, (key, value) in enumerate(values.items(), start=2):
                row.put(key, value, Spot(line, column), Spot(line, column))
            tables.setdefault(name, []).append(row)
    try:
        return jobfile.of_rows(tables, mistakes, style)
    except JobFileError:
        if not mistakes:
            raise
        told = [f"{said.rstrip('.')}." for said in mistakes.bare]
        more = [f"And {len(told) - MOST_TOLD} more like it."] if len(told) > MOST_TOLD else []
        raise JobFileError(" ".join([*told[:MOST_TOLD], *more])) from None
