"""Reads columns of figures from a plain CSV file, as spreadsheets and gauges write them, or says what is wrong where.

A heading line names the columns; a unit may stand with the name, `width [mm]` or `width (in)`. Cells are separated by
comma, semicolon or tab; figures carry a decimal point or a decimal comma. An empty cell is a reading that is missing,
never 0. Lines that begin with # are remarks.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Sequence
from difflib import get_close_matches
from math import isfinite
from pathlib import Path

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed import units as quantity_units

MOST_BYTES = 200_000_000
SEPARATORS = {";": "semicolon", "\t": "tab", ",": "comma"}
_HEADING = re.compile(r"(?P<name>.*?)\s*[\[(]\s*(?P<unit>[^\])]{1,24}?)\s*[\])]")
_NUMBER = re.compile(r"[+-]?(?:\d+(?P<mark>[.,]?)\d*|(?P<mark2>[.,])\d+)(?:[eE][+-]?\d{1,4})?")
_WHOLE = re.compile(r"[+-]?\d+")
_WITH_UNIT = re.compile(r"(?P<number>[+-]?[\d.,]+)\s*(?P<unit>[^\d\s.,][^\d]*)")
LARGEST, SMALLEST = 1e100, 1e-100  # beyond, a figure is no measured size, and its square leaves the doubles
MINUS = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " "})


@frozen
class Table:
    """Cells as text under their headings; `lines` are the line numbers in the file."""

    name: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str  # "" when there is one column
    remarks: tuple[str, ...] = ()  # how it was read, where it could have been read otherwise


@frozen
class Column:
    """The readings of one column in order; `rows` are their places in the table, `missing` counts the empty cells."""

    name: str
    unit: str  # "" when the file does not say
    values: array[float]
    rows: tuple[int, ...]
    missing: int
    remarks: tuple[str, ...] = ()


def read(path: str | Path) -> Table:
    """The table of a CSV file; DataError with a sentence when it is none."""
    path = Path(path).expanduser()
    return parse(_text(path), path.name)


def _text(path: Path) -> str:
    if path.is_dir():
        raise DataError(f"{path} is a folder: name a CSV file in it.")
    try:
        if path.stat().st_size > MOST_BYTES:
            raise DataError(f"{path.name} is larger than {MOST_BYTES // 1_000_000} MB: cut it into smaller files.")
        raw = path.read_bytes()
    except FileNotFoundError:
        raise DataError(f"There is no file {path}: check its name.") from None
    except OSError as error:
        raise DataError(f"{path} cannot be read ({error.strerror}).") from None
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", "replace")
    if b"\0" in raw[:4096]:
        raise DataError(f"{path.name} is no text: save it as CSV first.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")  # what older spreadsheets write


def parse(text: str, name: str = "the file") -> Table:
    """The table in a text; `name` is what it is called in sentences."""
    lines = text.splitlines()
    first = next((line for line in lines if line.strip() and not line.lstrip().startswith("#")), None)
    if first is None:
        raise DataError(f"{name} is empty: the first line names the columns, the next ones hold the readings.")
    separator = max(SEPARATORS, key=_outside_quotes(first).count)
    if separator not in _outside_quotes(first):
        separator = ""
    kept = [(i, line) for i, line in enumerate(lines, 1) if line.strip() and not line.lstrip().startswith("#")]
    if separator:
        rows, numbers = _cells(kept, separator, name)
    else:
        rows, numbers = [(line.strip().strip('"'),) for _, line in kept], [i for i, _ in kept]
    headings = rows[0]
    for row, number in zip(rows[1:], numbers[1:], strict=True):
        if len(row) > len(headings) and any(row[len(headings) :]):
            hint = ""
            if separator == ",":
                hint = " If commas are decimal marks, separate the cells by semicolons or put them in quotation marks."
            raise DataError(f"line {number} of {name} has {len(row)} cells under {len(headings)} headings.{hint}")
    remarks = _decimal_commas(rows[1:], name) if separator == "," and len(headings) == 2 else ()
    return Table(
        name=name,
        headings=headings,
        rows=tuple(rows[1:]),
        lines=tuple(numbers[1:]),
        separator=separator,
        remarks=remarks,
    )


def _decimal_commas(rows: list[tuple[str, ...]], name: str) -> tuple[str, ...]:
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


def _cells(kept: list[tuple[int, str]], separator: str, name: str) -> tuple[list[tuple[str, ...]], list[int]]:
    """The rows, and the line each of them begins in; a cell in quotation marks may go over several lines."""
    import csv

    reader = csv.reader((line for _, line in kept), delimiter=separator, strict=True, skipinitialspace=True)
    rows: list[tuple[str, ...]] = []
    numbers: list[int] = []
    begins = 0
    try:
        for row in reader:
            rows.append(tuple(cell.strip() for cell in row))
            numbers.append(kept[begins][0])
            begins = reader.line_num
    except csv.Error:
        line = kept[min(begins, len(kept) - 1)][0]
        raise DataError(f"line {line} of {name} cannot be taken apart: is a quotation mark left open?") from None
    return rows, numbers


def _outside_quotes(line: str) -> str:
    return re.sub(r'"[^"]*"', "", line)


def split_heading(heading: str) -> tuple[str, str]:
    """Name and unit of a heading: `width [mm]` -> ("width", "mm")."""
    match = _HEADING.fullmatch(heading.strip())
    return (match["name"], match["unit"]) if match and match["name"] else (heading.strip(), "")


def find_column(table: Table, name: str) -> int:
    """The place of the column called `name`, with or without its unit, in any case; DataError names those there are."""
    wanted = name.strip().casefold()
    full = [i for i, heading in enumerate(table.headings) if heading.casefold() == wanted]
    found = full or [i for i, heading in enumerate(table.headings) if split_heading(heading)[0].casefold() == wanted]
    if len(found) == 1:
        return found[0]
    if len(found) > 1:
        raise DataError(f"{table.name} has {len(found)} columns called {name}: give each a name of its own.")
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

    DataError for a cell that is no reading, told by line and column, and for decimal points and commas in one column.
    """
    place = find_column(table, name)
    called, own = split_heading(table.headings[place])
    values, rows = array("d"), []
    missing = 0
    marks: dict[str, int] = {}
    for row, (cells, line) in enumerate(zip(table.rows, table.lines, strict=True)):
        text = cells[place].translate(MINUS).strip() if place < len(cells) else ""
        if not text:
            missing += 1
            continue
        match = _NUMBER.fullmatch(text)
        if match is None:
            raise DataError(_no_reading(table, called, own, text, line))
        mark = match["mark"] or match["mark2"]
        if mark:
            marks.setdefault(mark, line)
        value = float(text.replace(",", "."))
        if not _measurable(value):
            raise DataError(_no_reading(table, called, own, text, line))
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
    """One figure as written, with a decimal point or comma; None when it is none."""
    text = text.translate(MINUS).strip()
    value = float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else None
    return value if value is not None and _measurable(value) else None


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
    to = quantity_units.short_unit(wanted, "length")
    if to is None:
        raise DataError(f"{wanted} is no unit known here: give mm, cm, m, um, in, ft, thou, deg or C.")
    if not own:
        return values, to.name, ()
    unit = quantity_units.short_unit(own, to.family)
    if unit is None or unit.family != to.family:
        raise DataError(f"column {called} of {file} is in {own}, which is not a {to.family} to be told in {wanted}.")
    if unit == to:
        return values, to.name, ()
    scale = unit.num * to.den, unit.den * to.num
    moved = array("d", [_moved(v, unit, to, scale) for v in values])
    return moved, to.name, (f"column {called} is in {own}; the figures are given in {to.name}",)


def _moved(value: float, unit: quantity_units.Unit, to: quantity_units.Unit, scale: tuple[int, int]) -> float:
    return (value + unit.shift / unit.shift_den) * scale[0] / scale[1] - to.shift / to.shift_den


def labels(table: Table, name: str, rows: Sequence[int]) -> list[str | None]:
    """The words of another column beside the readings at `rows`; None where the cell is empty."""
    place = find_column(table, name)
    return [(table.rows[row][place] or None) if place < len(table.rows[row]) else None for row in rows]
