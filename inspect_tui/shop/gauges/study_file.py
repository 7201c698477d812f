"""A gauge study from a plain CSV file: columns part, person, trial, value in any order; others are left alone.

Bias, linearity and stability need the columns reference and value. A unit may stand with the heading, `value [mm]`.
"""

from __future__ import annotations

from pathlib import Path

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import units as quantity_units
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called
from inspect_tui.shop.common.tables import columns as table_columns
from inspect_tui.shop.common.tables.columns import Column, Table
from inspect_tui.shop.gauges import units
from inspect_tui.shop.gauges.results import Result, StudyRow, against_references, crossed
from inspect_tui.todo import Todo

COLUMNS = ("part", "person", "trial", "value")
OTHER_NAMES = {  # what other programs and people call these columns: only to say what to rename
    "part": ("part id", "part no", "part number", "piece", "sample", "item", "workpiece"),
    "person": ("operator", "appraiser", "inspector", "who", "by", "name", "measured by"),
    "trial": ("repeat", "replicate", "replication", "run", "repetition", "trial no"),
    "value": ("reading", "measurement", "measured value", "result", "size", "measurement value"),
    "reference": ("ref", "reference value", "master", "nominal", "true value"),
}


def study(
    path: str | Path,
    band: str | None = None,
    design: str = "crossed",
    style: Style = MM,
    *,
    sheet: str | None = None,
    step: str | None = None,
) -> tuple[Result, str, tuple[str, ...]]:
    """Work out the study in a file; returns the result, the unit of its figures ("" when unknown) and remarks.

    `sheet` names the sheet of a workbook, the first that can be seen when it is left out.

    `band` is the width of the tolerance and `step` what the gauge reads in, as typed; without a unit they are in that
    of the heading, mm when there is none.
    The result has it in the unit of the figures: mm, or deg for angles.
    DataError with a sentence when columns lack, cells are no sizes, or the study cannot be worked with.
    """
    table = table_columns.read(path, sheet)
    if not table.rows:
        raise DataError(f"{table.name} has headings and no readings: nothing was worked out.")
    if design != "crossed":
        if band is not None:
            raise DataError(f"A {design} study takes no band.", todo=Todo.LEAVE_BAND_OUT)
        return _against_references(table, design, style)
    _need(table, COLUMNS, "a study needs part, person, trial and value")
    values = _values(table)
    style, _ = style.readings_in(values.unit)  # of an unknown unit as they stand in the file
    parts, people, trials = (_labels(table, name, values) for name in COLUMNS[:3])
    cells = zip(parts, people, values.values, values.rows, strict=True)
    odd = units.check([units.StudyReading(a, b, v, table.lines[row]) for a, b, v, row in cells], table.name, style)
    numbered = _trials(table, values, parts, people, trials)
    made = [StudyRow(*cells) for cells in zip(parts, people, numbered, values.values, strict=True)]
    family = "angle" if values.unit == "deg" else "length"
    width = None if band is None else units.band_width(band, family, _heading(table))
    reads_in = None if step is None else units.step(step, family, _heading(table))
    try:
        result = crossed(made, width, Path(table.name).stem, style, reads_in)
    except DataError as problem:
        empty = f"{_empty(values)} " if values.missing else ""
        raise DataError(f"{table.name}: {empty}{problem}") from None
    return result, values.unit, table.remarks + values.remarks + odd + ((_empty(values),) if values.missing else ())


def _need(table: Table, wanted: tuple[str, ...], needs: str) -> None:
    """DataError that names the columns that lack, those there are, and which of these may be meant."""
    lack = [name for name in wanted if not _there(table, name)]
    if not lack:
        return
    shown = ", ".join(h for h in table.headings if h) or "none with a name"
    say = f"{table.name} has no column {' and no column '.join(lack)}; {needs}. Its columns are: {shown}."
    for name in lack:
        for heading in table.headings:
            plain, unit = _unit_in_name(heading)
            if plain == name and unit:
                say += f" Write {heading} as {name} [{unit}]."
                break
            if plain in (name, *OTHER_NAMES[name]):
                say += f" Is {heading} the {name}? Then call it {name}{f' [{unit}]' if unit else ''}."
                break
    raise DataError(say)


def _unit_in_name(heading: str) -> tuple[str, str]:
    """`value_mm` -> ("value", "mm"); `Part ID` -> ("part id", "")."""
    name, unit = table_columns.split_heading(heading)
    plain = " ".join(name.casefold().replace("_", " ").replace("-", " ").split())
    first, _, last = plain.rpartition(" ")
    unit_behind = quantity_units.short_unit(last, "length") if first and not unit else None
    return (first, last) if unit_behind is not None else (plain, unit)


def _heading(table: Table) -> str:
    """The unit that stands with the heading of the values; empty when none does."""
    return table_columns.split_heading(table.headings[table_columns.find_column(table, "value")])[1]


def _there(table: Table, name: str) -> bool:
    return any(name in (h.casefold(), table_columns.split_heading(h)[0].casefold()) for h in table.headings)


def _values(table: Table) -> Column:
    own = _heading(table)
    if not own:
        return table_columns.column(table, "value")
    for family, unit in (("length", "mm"), ("angle", "deg")):
        known = quantity_units.short_unit(own, family)
        if known is not None and known.family == family:
            return table_columns.column(table, "value", unit)
    raise DataError(f"column value of {table.name} is in {own}: a study of sizes needs mm, in, another length or deg.")


def _labels(table: Table, name: str, values: Column) -> list[str]:
    names_of_rows = table_columns.labels(table, name, values.rows)
    for label, row in zip(names_of_rows, values.rows, strict=True):
        if label is None:
            raise DataError(f"line {table.lines[row]} of {table.name} has a value and no {name}: say which.")
    return [label or "" for label in names_of_rows]


def _trials(table: Table, values: Column, parts: list[str], people: list[str], trials: list[str]) -> list[int]:
    """Trials as whole numbers: 1, 2, 3 in the order of their names; two of one name in a cell are told by line."""
    seen: dict[tuple[str, str, str], int] = {}
    for part, person, trial, row in zip(parts, people, trials, values.rows, strict=True):
        line = table.lines[row]
        before = seen.setdefault((part, person, trial), line)
        if before != line:
            raise DataError(
                f"lines {before} and {line} of {table.name} are both part {part}, {called('person', person)}, trial "
                f"{trial}: number the repeats."
            )
    names = {name: n for n, name in enumerate(dict.fromkeys(trials), 1)}
    return [names[trial] for trial in trials]


def _empty(values: Column) -> str:
    if values.missing == 1:
        return "One cell under value is empty and was left out, not counted as 0."
    return f"{values.missing} cells under value are empty and were left out, not counted as 0."


def _against_references(table: Table, design: str, style: Style) -> tuple[Result, str, tuple[str, ...]]:
    _need(table, ("reference", "value"), f"a {design} study needs reference and value")
    values = _values(table)
    style, _ = style.readings_in(values.unit)
    references = table_columns.column(table, "reference", values.unit or None)
    size = dict(zip(references.rows, references.values, strict=True))
    made: list[StudyRow] = []
    known: dict[str, tuple[float, float]] = {}
    for value, row in zip(values.values, values.rows, strict=True):
        if row not in size:
            raise DataError(f"line {table.lines[row]} of {table.name} has a value and no reference: say the size.")
        name = MM.figures(size[row])  # by which the pieces are told apart, whatever the style
        known[name] = (size[row], 0.0)
        made.append(StudyRow(name, "", len(made) + 1, value))
    units.against_reference(
        [(v, size[row], table.lines[row]) for v, row in zip(values.values, values.rows, strict=True)],
        table.name,
        style,
    )
    result = against_references(design, made, known, Path(table.name).stem, style)
    return result, values.unit, table.remarks + values.remarks + ((_empty(values),) if values.missing else ())
