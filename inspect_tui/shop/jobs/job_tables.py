"""The job file as tables: a sheet for each kind of row, a column for each key, units in the head; read and laid out.

A cell that holds only a ditto mark says the same as the one above it. Merged heads, unknown heads and cells that cannot
be read are mistakes with their place, as in a job file of lines.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from inspect_tui.errors import InspectError, JobFileError, NoTable
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.common import parting
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.common.tables.file import Grid
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import heads
from inspect_tui.shop.jobs.file.mistakes import Mistakes, Row, Spot, letters, nearest
from inspect_tui.shop.jobs.file.plan import JobPlan
from inspect_tui.shop.jobs.file.write import Rows
from inspect_tui.todo import Todo

DITTO = ('"', "''", "”", "〃", "ditto", "do.")
NONE = "none"  # a list that is said to hold nothing, such as the tools of a size that is measured on castings only
_UNIT = re.compile(r"\s*[(\[]\s*([^)\]]*?)\s*[)\]]\s*$")
_LIST = re.compile(r"\s*[;,]\s*")


@frozen
class Col:
    """One column: its head, the key it fills, and which part of it: an end (0, 1), an axis or another name."""

    head: str
    key: str
    part: int | str | None = None
    unit: str = ""


def _cols(*heads_: str) -> tuple[Col, ...]:
    return tuple(Col(head, head) for head in heads_)


def _ends(key: str, unit: str = "mm") -> tuple[Col, ...]:
    return (Col(f"{key} A", key, 0, unit), Col(f"{key} B", key, 1, unit))


def _axes(key: str, unit: str = "mm") -> tuple[Col, ...]:
    return tuple(Col(f"{key} {axis}", key, axis, unit) for axis in "xyz")


def _span(head: str, key: str, unit: str = "mm") -> tuple[Col, ...]:
    return (Col(f"{head} least", key, 0, unit), Col(f"{head} most", key, 1, unit))


CERTIFICATE = _cols("calibrated", "due", "result", "U", "k", "error", "reference")
SHEETS: dict[str, tuple[str, tuple[Col, ...]]] = {  # sheet -> (table, columns)
    "people": ("person", _cols("initials", "name", "role", "active")),
    "gauges": (
        "gauge",
        (
            *_cols("label", "kind", "serial", "unit", "resolution"),
            Col("range from", "range", 0),
            Col("range to", "range", 1),
            *_cols("rule", "expansion_per_c"),
            Col("jaw", "jaw", None, "mm"),
            *CERTIFICATE,
        ),
    ),
    "certificates": ("certificate", (*_cols("gauge"), *CERTIFICATE)),
    "cores": (
        "core",
        (
            *_cols("number", "name", "makes_surface", "only_locates", "set"),
            Col("volume", "volume_dm3", None, "dm3"),
            Col("in metal", "in_metal_dm3", None, "dm3"),
            Col("print area", "print_area_mm2", None, "mm2"),
            *(Col(head, "ends", head) for head in ("ends along", "low end", "high end")),
            *_cols("chaplets", "chaplet_note", "vents", "lift"),
            Col("tolerance", "tolerance", None, "mm"),
            *_cols("template", "check", "check_name"),
            *_span("check", "check_limits"),
            *_cols("caution", "note"),
        ),
    ),
    "bodies": ("body", (*_cols("core"), *_cols("x", "y", "z", "note"))),  # a box a row, x as 0 to 40
    "tools": (
        "tool",
        (
            *_cols("label", "kind", "core", "material", "made_from", "resin", "resin_u"),
            *_cols("second_contraction", "second_u", "expansion_per_c", "loose_pieces", "dowels"),
            Col("weight", "weight_kg", None, "kg"),
            *_cols("mark", "owner", "grain", "lift", "note"),
        ),
    ),
    "targets": ("target", (*_cols("label", "axis"), *_axes("at"), *_cols("name"))),
    "faces": ("face", _cols("balloon", "name", "by", "axis", "metal", "datum", "cut_up", "wall_to")),
    "features": (
        "feature",
        (
            *_cols("balloon", "name", "quantity", "axis"),
            Col("nominal", "nominal", None, "mm"),
            *_cols("limits", "limits_raw", "a", "b", "between"),
            *_ends("at"),
            *_ends("stock"),
            *_ends("coat"),
            Col("draft angle", "draft", "deg"),
            Col("draft height", "draft", "height", "mm"),
            *_cols("contraction", "contraction_u", "machined", "scale", "tools"),
            *_axes("where"),
            *(Col(f"direction {axis}", "direction", n) for n, axis in enumerate("xyz")),
            *_cols("note", "sheet", "zone", "characteristic", "limits_source", "limits_raw_source"),
        ),
    ),
    "geometry": (
        "geometry",
        (
            *_cols("balloon", "name", "what"),
            Col("tolerance", "tolerance", None, "mm"),
            *_cols("diameter", "datums", "sizes", "datum_sizes", "state"),
            *_cols("sheet", "zone", "characteristic", "note"),
        ),
    ),
    "seats": (
        "seat",
        (
            *_cols("label", "place", "kind", "core", "in", "axis"),
            Col("size", "size", None, "mm"),
            Col("clearance", "clearance", None, "mm"),
            *_span("clearance", "clearance_limits"),
            *_cols("clearance_source"),
            *_axes("at"),
            *_cols("holds", "way", "points"),
            Col("lift", "lift", None, "mm"),
            *_cols("blocked_by", "count", "mark", "print", "print_limits", "seat", "seat_limits", "gap", "note"),
        ),
    ),
    "loops": (
        "loop",
        (
            *_cols("label", "name", "wall"),
            *_span("limit", "limits"),
            *_cols("note"),
            *(Col(f"part {name}" if name == "name" else name, "parts", name) for name in ("name", "sign")),
            *(Col(name, "parts", name, "mm") for name in ("size", "plus", "minus")),
            *(Col(name, "parts", name) for name in ("shape", "tool", "fit", "feature")),
        ),
    ),
    "passages": (
        "passage",
        (
            *_cols("label", "name", "formula", "rated", "least", "unit", "exponent"),
            Col("points", "points", "law"),  # 3500: 42; 3900: 46.5
            *_cols("note"),
        ),
    ),
    "samplings": ("sampling", _cols("label", "heat", "poured", "quantity", "castings")),
    "pictures": ("picture", _cols("file", "on", "caption", "name", "balloons")),
}
JOB = {  # line of the sheet "job" -> (table, key, part)
    "number": ("job", "number", None),
    "name": ("job", "name", None),
    "alloy": ("job", "alloy", None),
    "construction": ("job", "construction", None),
    "customer's reference": ("job", "customer_ref", None),
    "customer": ("job", "customer", None),
    "part number": ("job", "part_no", None),
    "order": ("job", "order", None),
    "ordered": ("job", "quantity", None),
    "foundry": ("job", "foundry", None),
    **{f"contraction {axis}": ("job", "contraction", axis) for axis in "xyz"},
    **{f"u of contraction {axis}": ("job", "contraction_u", axis) for axis in "xyz"},
    "source of the contraction": ("job", "contraction_source", None),
    "rule": ("job", "rule", None),
    "tool share": ("job", "tool_share", None),
    "tool band": ("job", "tool_band", None),
    "drawing": ("drawing", "number", None),
    "revision": ("drawing", "rev", None),
    "issued": ("drawing", "issued", None),
    "general limits": ("drawing", "general", None),
    "parting": ("parting", "steps", None),
    **{f"mould {axis}": ("mould", axis, None) for axis in "xyz"},
}
LISTS = ("tools", "blocked_by", "castings", "sizes", "datum_sizes")
ENDS = ("ends along", "low end", "high end")
BLANK = {
    "at": "?",
    "stock": "0",
    "coat": "0",
    "direction": "0",
    "range": "0",
}  # an empty cell beside a filled
GUARDED = re.compile(r"'(?=[=+\-@'])")  # the apostrophe that a CSV puts before a sign that a spreadsheet would compute


@frozen_by_name
class Sheet:
    """A table to write: its name, the heads and the rows of cells."""

    name: str
    heads: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]


# ------------------------------------------------------------------------------ read
def read(paths: Sequence[Path], style: Style = MM) -> JobPlan:
    """The plan of a workbook, of a folder of CSV files or of several files; JobFileError names every mistake."""
    mistakes = Mistakes()
    grids = _grids(paths, mistakes)
    tables: dict[str, list[Row]] = {}
    for name, grid in grids.items():
        if name == "job":
            _job(grid, name, mistakes, tables)
        elif name in SHEETS:
            table, columns = SHEETS[name]
            tables.setdefault(table, []).extend(_rows(grid, name, table, columns, mistakes))
    _bodies(tables, mistakes)
    folder = paths[0] if paths[0].is_dir() else paths[0].parent
    return jobfile.of_rows(tables, mistakes, style, folder, "The table")


def is_table(path: Path) -> bool:
    """Whether a path is a job as tables rather than a text of lines."""
    return path.is_dir() or path.suffix.casefold() in (".xlsx", ".xls", ".ods", ".csv", ".tsv")


def _grids(paths: Sequence[Path], mistakes: Mistakes) -> dict[str, Grid]:
    """The sheets by their names; a file of its own is a sheet named as the file is."""
    files = [file for path in paths for file in (sorted(path.glob("*.csv")) if path.is_dir() else [path])]
    grids: dict[str, Grid] = {}
    known = ("job", *SHEETS)
    try:
        for file in files:
            for grid in table_file.every(file):
                name = (grid.sheet or file.stem).strip().casefold()
                if name not in known:
                    told = f"'{grid.sheet or file.name}' is no table of a job; {nearest(name, known)}"
                    mistakes.add(Spot(1, 1, name), told)
                elif name in grids:
                    mistakes.add(Spot(1, 1, name), f"there are two of the table {name}")
                else:
                    grids[name] = grid
    except NoTable as problem:
        raise JobFileError(problem.told("Nothing was taken.")) from None
    if "job" not in grids:
        raise JobFileError("There is no table job, which says the number of the job.", todo=Todo.SEE_EXAMPLE)
    return grids


def _job(grid: Grid, name: str, mistakes: Mistakes, tables: dict[str, list[Row]]) -> None:
    """The lines of the sheet job: what in the first column, its value in the second."""
    known = {line.casefold(): where for line, where in JOB.items()}
    for line, cells in zip(grid.lines, grid.rows, strict=True):
        what, spot = " ".join(cells[0].split()).casefold(), Spot(line, 1, name)
        value = _bare(cells[1]) if len(cells) > 1 else ""
        if not what or not value or what in ("what", "job"):
            continue
        if what not in known:
            mistakes.add(spot, f"'{cells[0]}' is nothing that is said of a job; {nearest(what, known)}")
            continue
        table, key, part = known[what]
        row = tables.setdefault(table, [_row(table, spot, mistakes)])[0]
        at = Spot(line, 2, name)
        if table == "parting":
            _parting(row, value, spot, at)
        elif part is None:
            row.put(key, value, spot, at)
        else:
            held = row.values.get(key)
            row.put(key, {**(held if isinstance(held, dict) else {}), part: value}, spot, at)


def _bodies(tables: dict[str, list[Row]], mistakes: Mistakes) -> None:
    """The boxes of the sheet bodies, each into the row of its core."""
    cores = {str(row.values.get("number", "")): row for row in tables.get("core", [])}
    for box in tables.pop("body", []):
        number = str(box.values.pop("core", "")).casefold().removeprefix("core").strip()
        core = cores.get(number)
        if core is None:
            mistakes.add(box.spot, f"there is no core {number or 'named'} in the table cores")
            continue
        boxes = [*core.values.get("body", []), box.values]
        core.put("body", boxes, box.spot, box.spot)


def _parting(row: Row, value: str, spot: Spot, at: Spot) -> None:
    try:
        said = parting.parse(value)
    except InspectError as problem:
        row.mistakes.add(at, f"parting: {problem}")
        row.broken.update(heads.PARTING)
        return
    for key, figure in heads.parting_row(said).items():
        row.put(key, figure, spot, at)


def _row(table: str, spot: Spot, mistakes: Mistakes) -> Row:
    row = Row(table, spot, mistakes)
    row.doubled = table in jobfile.MANY
    row.who = f"[[{table}]]" if row.doubled else f"[{table}]"
    return row


def _rows(grid: Grid, name: str, table: str, columns: Sequence[Col], mistakes: Mistakes) -> list[Row]:
    heads = _heads(grid, name, columns, mistakes)
    headed = {at for at, head in enumerate(grid.rows[0]) if head}  # one that is not known is told once
    headed |= _under_merged(grid, name, mistakes)
    rows: list[Row] = []
    above: dict[int, str] = {}
    for line, cells in list(zip(grid.lines, grid.rows, strict=True))[1:]:
        row = _row(table, Spot(line, 1, name), mistakes)
        for at, typed in enumerate(cells):
            cell = _bare(typed)
            if cell.casefold() in DITTO:
                cell = above.get(at, "")
            if cell:
                above[at] = cell
            if not cell:
                continue
            spot = Spot(line, at + 1, name)
            if at not in heads:
                if at not in headed:
                    mistakes.add(spot, "it stands under no head that is known")
                continue
            column, unit = heads[at]
            _put(row, column, _with_unit(cell, unit), spot)
        if table == "loop" and rows and _goes_on(rows[-1], row):
            rows[-1].values["parts"] += row.values.get("parts", [])
        elif row.values:
            rows.append(_whole(row))
    return rows


def _under_merged(grid: Grid, name: str, mistakes: Mistakes) -> set[int]:
    """The columns whose head is merged with its neighbour's, which is told."""
    under: set[int] = set()
    for top, bottom, left, right in grid.merged:
        if top <= grid.lines[0] <= bottom and right > left:
            told = f"cells {letters(left + 1)}{top} to {letters(right + 1)}{bottom} are merged: give each column a head"
            mistakes.add(Spot(top, left + 1, name), told)
            under |= set(range(left, right + 1))
    return under


def _bare(typed: str) -> str:
    return " ".join((typed[1:] if GUARDED.match(typed) else typed).split())


def _heads(grid: Grid, name: str, columns: Sequence[Col], mistakes: Mistakes) -> dict[int, tuple[Col, str]]:
    """Which column each head is, and the unit that it says for bare figures."""
    known = {_folded(column.head): column for column in columns}
    columns_at: dict[int, tuple[Col, str]] = {}
    for at, typed in enumerate(grid.rows[0]):
        unit = _UNIT.search(typed)
        head = _folded(_UNIT.sub("", typed))
        spot = Spot(grid.lines[0], at + 1, name)
        column = known.get(head)
        if column is None and head:
            mistakes.add(spot, f"there is no column '{typed}'; {nearest(head, known)}")
        elif column is not None and any(column == other for other, _ in columns_at.values()):
            mistakes.add(spot, f"'{typed}' stands twice")
        elif column is not None:
            columns_at[at] = (column, unit[1] if unit and unit[1].casefold() not in (column.unit, "") else "")
    return columns_at


def _folded(head: str) -> str:
    return " ".join(head.replace("_", " ").casefold().split())


def _with_unit(cell: str, unit: str) -> str:
    """A bare figure with the unit of its head; what says a unit itself stays."""
    return f"{cell} {unit}" if unit and re.fullmatch(r"[+-]?[\d.,/ ]+", cell) else cell


def _put(row: Row, column: Col, cell: str, spot: Spot) -> None:
    value: Any = cell
    held = row.values.get(column.key)
    if column.key in LISTS:
        value = [] if cell.strip().casefold() == NONE else [part for part in _LIST.split(cell) if part]
    elif column.part == "law":
        value = [part.split(":") for part in cell.split(";")]
    elif column.key == "parts":
        value = [{**(held[0] if held else {}), column.part: cell}]
    elif column.part in (0, 1, 2):
        blank = [BLANK.get(column.key, "")] * (3 if column.key == "direction" else 2)
        value = list(held) if isinstance(held, list) else blank
        value[column.part] = cell
    elif column.part is not None:
        value = {**(held if isinstance(held, dict) else {}), column.part: cell}
    row.put(column.key, value, spot, spot)


def _whole(row: Row) -> Row:
    """A row whose cells are all read: limits of one side, the ends of a core."""
    for key in ("limits", "check_limits"):
        limits = row.values.get(key)
        if isinstance(limits, list) and "" in limits:
            row.values[key] = f"max {limits[1]}" if not limits[0] else f"min {limits[0]}"
    ends = row.values.get("ends")
    if isinstance(ends, dict):
        row.values["ends"] = {ends.get(ENDS[0], ""): [ends.get(ENDS[1], ""), ends.get(ENDS[2], "")]}
    return row


def _goes_on(before: Row, row: Row) -> bool:
    """Whether a row is one more part of the loop above it."""
    label = row.values.get("label")
    return label is None or label == before.values.get("label")


# ------------------------------------------------------------------------------ laid out
def lay_out(rows: Rows) -> list[Sheet]:
    """The sheets of a job: what a file of lines holds, all of it."""
    lines: list[tuple[Any, ...]] = []
    for what, (table, key, part) in JOB.items():
        value = rows.get(table, {}).get(key)
        if table == "parting":
            value = _parting_words(rows["parting"]) if table in rows else None
        elif table == "mould" and value is not None:
            value = " to ".join(str(mm) for mm in value)
        elif part is not None:
            value = value.get(part) if isinstance(value, dict) else value
        if value is not None:
            lines.append((what, value))
    made = [Sheet(name="job", heads=("what", "value"), rows=tuple(lines))]
    for name, (table, columns) in SHEETS.items():
        given = _boxes(rows) if table == "body" else rows.get(table, [])
        cells = [line for row in given for line in _cells(table, row, columns)]
        shown = tuple(f"{col.head} ({col.unit})" if col.unit else col.head for col in columns)
        made.append(Sheet(name=name, heads=shown, rows=tuple(cells)))
    return made


def _boxes(rows: Rows) -> list[dict[str, Any]]:
    """The boxes of all cores, a row each."""
    made = []
    for core in rows.get("core", []):
        boxes = core.get("body", [])
        for box in boxes if isinstance(boxes, list) else [boxes]:
            spans = {axis: " to ".join(str(mm) for mm in box[axis]) for axis in "xyz"}
            made.append({"core": core["number"], **spans, "note": box.get("note")})
    return made


def _parting_words(row: Mapping[str, Any]) -> str:
    axis, along = row["axis"], row.get("along", "x")
    if "at" in row:
        return f"at {axis} {row['at']}"
    return "; ".join(f"{along} {low} to {high} at {axis} {place}" for low, high, place in row["steps"])


def _cells(table: str, row: Mapping[str, Any], columns: Sequence[Col]) -> Iterable[tuple[Any, ...]]:
    if table == "loop":
        for part in row["parts"]:
            yield tuple(_cell({**row, "parts": [part]}, column) for column in columns)
        return
    yield tuple(_cell(row, column) for column in columns)


def _cell(row: Mapping[str, Any], column: Col) -> Any:
    value = row.get(column.key)
    if value is None:
        return None
    if column.key in LISTS:
        return "; ".join(str(part) for part in value) or NONE
    if column.part == "law":
        return "; ".join(f"{area}: {flow}" for area, flow in value)
    if column.key == "ends":
        axis, names = next(iter(value.items()))
        return {ENDS[0]: axis, ENDS[1]: names[0], ENDS[2]: names[1]}[str(column.part)]
    if column.key == "parts":
        return value[0].get(column.part)
    if column.key in ("limits", "check_limits") and isinstance(column.part, int) and isinstance(value, str):  # one only
        word = ("min", "max")[column.part]
        return value[3:].strip() if value.startswith(word) else None
    if isinstance(column.part, int) and isinstance(value, list):
        return value[column.part]
    if column.part is not None and isinstance(value, Mapping):
        return value.get(column.part)
    return value
