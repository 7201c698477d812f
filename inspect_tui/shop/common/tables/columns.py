"""Columns of figures under the headings of a table that was read, or what is wrong where.

A heading line names the columns; a unit may stand with the name, `width [mm]` or `width (in)`. Figures carry a decimal
point or a decimal comma. An empty cell is a reading that is missing, never 0.
"""

from __future__ import annotations

import json
import re
from array import array
from collections.abc import Sequence
from difflib import get_close_matches
from hashlib import sha256
from math import isfinite
from pathlib import Path

from inspect_tui.errors import DataError, NoTable
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed import fields, units
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.common.tables.file import FIGURES, Grid
from inspect_tui.shop.common.tables.workbook_marks import letters

_HEADING = re.compile(r"(?P<name>.*?)\s*[\[(]\s*(?P<unit>[^\])]{1,24}?)\s*[\])]")
_NUMBER = re.compile(r"[+-]?(?:\d+(?P<mark>[.,]?)\d*|(?P<mark2>[.,])\d+)(?:[eE][+-]?\d{1,4})?")
_WHOLE = re.compile(r"[+-]?\d+")
_WITH_UNIT = re.compile(r"(?P<number>[+-]?[\d.,]+)\s*(?P<unit>[^\d\s.,][^\d]*)")
LARGEST, SMALLEST = 1e100, 1e-100  # beyond, a figure is no measured size, and its square leaves the doubles
MINUS = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " "})


@frozen_by_name
class Table:
    """Cells as text under their headings; `lines` are the line numbers in the file."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str  # "" when there is one column, or in a workbook
    remarks: tuple[str, ...] = ()  # how it was read, where it could have been read otherwise


@frozen_by_name
class Column:
    """The readings of one column in order; `rows` are their places in the table, `missing` counts the empty cells."""

    name: str
    unit: str  # "" when the file does not say
    values: array[float]
    rows: tuple[int, ...]
    missing: int
    remarks: tuple[str, ...] = ()


def signature(heads: Sequence[str], known: Sequence[str]) -> str:
    """Hash of the heads in any order, without the castings' own serials, which change from file to file."""
    serials = {text.casefold() for text in known}
    names = sorted(head.strip().casefold() for head in heads if head.strip() and head.strip().casefold() not in serials)
    return sha256(json.dumps(names).encode()).hexdigest()


def read(path: str | Path, sheet: str | None = None) -> Table:
    """The table of a file; NoTable with a sentence when it is none."""
    return _headed(table_file.read(path, sheet, limits=FIGURES, headed=True))


def parse(text: str, name: str = "the file") -> Table:
    """The table in a text; `name` is what it is called in sentences."""
    return _headed(table_file.of_text(text, (), name, limits=FIGURES, headed=True))


def _headed(grid: Grid) -> Table:
    """The first row of a grid as headings of the others."""
    headings, rows = grid.rows[0], grid.rows[1:]
    for row, number in zip(rows, grid.lines[1:], strict=True):
        if len(row) > len(headings):
            hint = ""
            if grid.separator == ",":
                hint = "If commas are decimal marks, separate the cells by semicolons or put them in quotation marks."
            n = len(headings)
            raise NoTable(f"line {number} of {grid.name} has {len(row)} cells under {n} heading{'s' * (n != 1)}.", hint)
    remarks = grid.remarks
    for top, bottom, left, right in grid.merged:
        cells = f"{letters(left)}{top}:{letters(right)}{bottom}"
        remarks += (f"cells {cells} of {grid.name} are merged: only the first of them holds what stands there",)
    if grid.separator == "," and len(headings) == 2:
        remarks += _decimal_commas(rows, grid.name)
    return Table(
        name=grid.name,
        headings=headings,
        rows=rows,
        lines=grid.lines[1:],
        separator=grid.separator,
        remarks=remarks,
    )


def _decimal_commas(rows: Sequence[tuple[str, ...]], name: str) -> tuple[str, ...]:
    """Two columns of whole numbers between commas could be one column of decimal commas: say how they were read."""
    pairs = [row for row in rows if any(row)]
    if not pairs or any(len(row) != 2 or not _WHOLE.fullmatch(row[0]) or not row[1].isdecimal() for row in pairs):
        return ()
    if [row[0] for row in pairs] == [str(n) for n in range(1, len(pairs) + 1)]:
        return ()  # the first column numbers the lines
    left, right = pairs[0]
    return (
        f"In {name} commas are taken to separate the columns, so {left},{right} was read as {left} and {right}. If "
        "they are decimal marks, separate the cells by semicolons.",
    )


def split_heading(heading: str) -> tuple[str, str]:
    """Name and unit of a heading: `width [mm]` -> ("width", "mm")."""
    match = _HEADING.fullmatch(heading.strip())
    return (match["name"], match["unit"]) if match and match["name"] else (heading.strip(), "")


def find_column(table: Table, name: str) -> int:
    """The place of the column called `name`, with or without its unit, in any case; DataError names those there are."""
    wanted = name.strip().casefold()
    full = [i for i, heading in enumerate(table.headings) if heading.casefold() == wanted]
    places = full or [i for i, heading in enumerate(table.headings) if split_heading(heading)[0].casefold() == wanted]
    if len(places) == 1:
        return places[0]
    if len(places) > 1:
        raise DataError(f"{table.name} has {len(places)} columns called {name}: give each a name of its own.")
    named = [heading for heading in table.headings if heading]
    close = get_close_matches(wanted, [h.casefold() for h in named], n=1, cutoff=0.5)
    nearest = next((h for h in named if close and h.casefold() == close[0]), None)
    shown = ", ".join(named[:12]) + (f" and {len(named) - 12} more" if len(named) > 12 else "")
    say = f"There is no column {name} in {table.name}; its columns are: {shown or 'none with a name'}."
    if nearest:
        say += f" Nearest: {nearest}."
    if named and all(_NUMBER.fullmatch(heading) for heading in named):
        say += " They are figures: is the line of headings missing?"
    raise DataError(say)


def column(table: Table, name: str, unit: str | None = None) -> Column:
    """The readings of a column; `unit` is what they are wanted in, which needs the heading to say a unit of that kind.

    A cell may say a unit of its own where the heading says one. DataError for a cell that is no reading, told by line
    and column, and for decimal points and commas in one column.
    """
    place = find_column(table, name)
    called, own = split_heading(table.headings[place])
    known = units.short_unit(own, "length") if own else None
    if known is not None and known.family not in ("length", "angle"):
        known = None
    values, rows = array("d"), []
    missing = 0
    marks: dict[str, int] = {}
    for row, (cells, line) in enumerate(zip(table.rows, table.lines, strict=True)):
        text = cells[place].translate(MINUS).strip() if place < len(cells) else ""
        if not text:
            missing += 1
            continue
        value = number(text)
        if value is None and known is not None:
            answer = fields.size(text, own, signed=True, to=own)
            value = None if isinstance(answer, fields.Wrong) else answer
        if value is None:
            raise DataError(_no_reading(table, called, own, text, line))
        for mark in ".,":
            if mark in text:
                marks.setdefault(mark, line)
        values.append(value)
        rows.append(row)
    if len(marks) > 1:
        raise DataError(
            f"column {called} of {table.name} holds a decimal point (line {marks['.']}) and a decimal comma "
            f"(line {marks[',']}): which is it? Write them all one way; leave thousands without a mark."
        )
    converted, shown_unit, remarks = _in_unit(values, called, own, unit, table.name)
    return Column(name=called, unit=shown_unit, values=converted, rows=tuple(rows), missing=missing, remarks=remarks)


def number(text: str) -> float | None:
    """One figure as written, with a decimal point or comma, thousands apart or a fraction; None when it is none."""
    text = text.translate(MINUS).strip()
    if _NUMBER.fullmatch(text):
        value = float(text.replace(",", "."))
    else:
        answer = fields.figure(text)
        if isinstance(answer, fields.Wrong):
            return None
        value = answer
    return value if _measurable(value) else None


def _measurable(value: float) -> bool:
    return value == 0.0 or SMALLEST <= abs(value) <= LARGEST


def _no_reading(table: Table, called: str, own: str, text: str, line: int) -> str:
    where = f"line {line} of {table.name}"
    shown = text if len(text) <= 24 else text[:23] + "…"
    bare = text.lstrip("+-").casefold()
    if bare in ("nan", "inf", "infinity") or (_NUMBER.fullmatch(text) and not isfinite(float(text.replace(",", ".")))):
        return f"{where}: {shown} under {called} is not a size; leave the cell empty where there is no reading."
    if _NUMBER.fullmatch(text):
        return f"{where}: {shown} under {called} is no measured size, in whatever unit; is the exponent right?"
    match = _WITH_UNIT.fullmatch(text)
    if match:
        is_in = f"is in {own}" if own else f"may say its unit, as {called} [mm]"
        return (
            f"{where}: {shown} under {called} carries a unit of its own; give figures only, all in one unit. "
            f"The heading {is_in}."
        )
    return f"{where}: {shown} under {called} is not a number; leave the cell empty where there is no reading."


def _in_unit(
    values: array[float], called: str, own: str, wanted: str | None, file: str
) -> tuple[array[float], str, tuple[str, ...]]:
    """The values in the unit wanted; unchanged when none is, or when the heading does not say another."""
    if wanted is None or own == wanted:
        return values, own, ()
    to = units.short_unit(wanted, "length")
    if to is None:
        raise DataError(f"{wanted} is no unit known here: give mm, cm, m, um, in, ft, thou, deg or C.")
    if not own:
        return values, to.name, ()
    unit = units.short_unit(own, to.family)
    if unit is None or unit.family != to.family:
        raise DataError(f"column {called} of {file} is in {own}, which is not a {to.family} to be told in {wanted}.")
    if unit == to:
        return values, to.name, ()
    scale = unit.num * to.den, unit.den * to.num
    moved = array("d", [_moved(v, unit, to, scale) for v in values])
    return moved, to.name, (f"column {called} is in {own}; the figures are given in {to.name}",)


def _moved(value: float, unit: units.Unit, to: units.Unit, scale: tuple[int, int]) -> float:
    return (value + unit.shift / unit.shift_den) * scale[0] / scale[1] - to.shift / to.shift_den


def labels(table: Table, name: str, rows: Sequence[int]) -> list[str | None]:
    """The words of another column beside the readings at `rows`; None where the cell is empty."""
    place = find_column(table, name)
    return [(table.rows[row][place] or None) if place < len(table.rows[row]) else None for row in rows]
