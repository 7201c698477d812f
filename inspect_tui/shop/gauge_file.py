"""A gauge study from a plain CSV file: columns part, person, trial, value in any order; others are left alone.

Bias, linearity and stability need the columns reference and value. A unit may stand with the heading, `value [mm]`.
"""

from __future__ import annotations

from pathlib import Path
from statistics import median

from inspect_tui.errors import DataError
from inspect_tui.metrology import quantity_units
from inspect_tui.shop import table_file
from inspect_tui.shop.gauge_results import Result, Row, against_references, crossed
from inspect_tui.shop.table_file import Column, Table

ALIKE = 0.05  # readings of one piece lie within 5 % of each other, else nothing is said about their unit
INCH = 25.4
COLUMNS = ("part", "person", "trial", "value")


def study(path: str | Path, band: float | None = None, design: str = "crossed") -> tuple[Result, str, tuple[str, ...]]:
    """Work out the study in a file; returns the result, the unit of its figures ("" when unknown) and remarks.

    `band` is the width of the tolerance in the unit of the figures (mm when the heading says a unit of length).
    DataError with a sentence when columns lack, cells are no sizes, or the study cannot be worked with.
    """
    table = table_file.read(path)
    if not table.rows:
        raise DataError(f"{table.name} has headings and no readings: nothing was worked out.")
    if design != "crossed":
        return _against_references(table, design)
    named = [h for h in COLUMNS if not _there(table, h)]
    if named:
        shown = ", ".join(h for h in table.headings if h) or "none with a name"
        raise DataError(
            f"{table.name} has no column {' and no column '.join(named)}; a study needs part, person, trial and value. "
            f"Its columns are: {shown}."
        )
    values = _values(table)
    parts, people, trials = (_labels(table, name, values) for name in COLUMNS[:3])
    _same_unit(table, values, parts)
    numbered = _trials(table, values, parts, people, trials)
    made = [Row(*cells) for cells in zip(parts, people, numbered, values.values, strict=True)]
    try:
        result = crossed(made, band, Path(table.name).stem)
    except DataError as problem:
        empty = f"{_empty(values)} " if values.missing else ""
        raise DataError(f"{table.name}: {empty}{problem}") from None
    return result, values.unit, values.remarks + ((_empty(values),) if values.missing else ())


def _there(table: Table, name: str) -> bool:
    return any(name in (h.casefold(), table_file.split_heading(h)[0].casefold()) for h in table.headings)


def _values(table: Table) -> Column:
    own = table_file.split_heading(table.headings[table_file.find_column(table, "value")])[1]
    if not own:
        return table_file.column(table, "value")
    for family, unit in (("length", "mm"), ("angle", "deg")):
        if quantity_units.short_unit(own, family) is not None:
            return table_file.column(table, "value", unit)
    raise DataError(f"column value of {table.name} is in {own}: a study of sizes needs mm, in, another length or deg.")


def _labels(table: Table, name: str, values: Column) -> list[str]:
    found = table_file.labels(table, name, values.rows)
    for label, row in zip(found, values.rows, strict=True):
        if label is None:
            raise DataError(f"line {table.lines[row]} of {table.name} has a value and no {name}: say which.")
    return [label or "" for label in found]


def _trials(table: Table, values: Column, parts: list[str], people: list[str], trials: list[str]) -> list[int]:
    """Trials as whole numbers: 1, 2, 3 in the order of their names; two of one name in a cell are told by line."""
    seen: dict[tuple[str, str, str], int] = {}
    for part, person, trial, row in zip(parts, people, trials, values.rows, strict=True):
        line = table.lines[row]
        before = seen.setdefault((part, person, trial), line)
        if before != line:
            raise DataError(
                f"lines {before} and {line} of {table.name} are both part {part}, {person}, trial {trial}: "
                "number the repeats."
            )
    names = {name: n for n, name in enumerate(dict.fromkeys(trials), 1)}
    return [names[trial] for trial in trials]


def _same_unit(table: Table, values: Column, parts: list[str]) -> None:
    """A reading that is 25.4 times off the others of its piece was read in another unit; DataError says where."""
    by: dict[str, list[tuple[float, int]]] = {}
    for part, value, row in zip(parts, values.values, values.rows, strict=True):
        by.setdefault(part, []).append((value, row))
    for part, cells in by.items():
        middle = median(value for value, _ in cells)
        alike = [value for value, _ in cells if abs(value - middle) <= ALIKE * abs(middle)]
        if not middle or len(alike) < 2:
            continue
        for value, row in cells:
            for factor, word in ((INCH, "inches among mm"), (1 / INCH, "mm among inches")):
                if abs(value * factor / middle - 1.0) < ALIKE / 2:
                    raise DataError(
                        f"line {table.lines[row]} of {table.name}: {value:g} on part {part}, where the others read "
                        f"about {middle:g}: {word}? Write all values in one unit."
                    )


def _empty(values: Column) -> str:
    if values.missing == 1:
        return "One cell under value is empty and was left out, not counted as 0."
    return f"{values.missing} cells under value are empty and were left out, not counted as 0."


def _against_references(table: Table, design: str) -> tuple[Result, str, tuple[str, ...]]:
    missing = [h for h in ("reference", "value") if not _there(table, h)]
    if missing:
        shown = ", ".join(h for h in table.headings if h) or "none with a name"
        raise DataError(
            f"{table.name} has no column {' and no column '.join(missing)}; a {design} study needs reference and "
            f"value. Its columns are: {shown}."
        )
    values = _values(table)
    references = table_file.column(table, "reference", values.unit or None)
    size = dict(zip(references.rows, references.values, strict=True))
    made: list[Row] = []
    known: dict[str, tuple[float, float]] = {}
    for value, row in zip(values.values, values.rows, strict=True):
        if row not in size:
            raise DataError(f"line {table.lines[row]} of {table.name} has a value and no reference: say the size.")
        name = f"{size[row]:g}"
        known[name] = (size[row], 0.0)
        made.append(Row(name, "", len(made) + 1, value))
    result = against_references(design, made, known, Path(table.name).stem)
    return result, values.unit, values.remarks + ((_empty(values),) if values.missing else ())
