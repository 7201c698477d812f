"""Reads one sheet of a workbook (XLSX, ODS or XLS) as rows of texts, within limits, running nothing in it.

The values are read by calamine, which is imported here only, when a workbook is read. What it passes over in silence
(`workbook_marks`) is put in its place: a formula whose value was not saved and a cell that holds an error arrive as
their text, not as an empty cell. Nothing here is safe against every damage: `workbook_apart` runs it.
"""

from __future__ import annotations

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from inspect_tui.errors import InspectError, NoTable
from inspect_tui.frozen import frozen
from inspect_tui.shop.common.tables import workbook_marks
from inspect_tui.shop.common.tables.workbook_marks import Marks, Merged, Place

OLE = b"\xd0\xcf\x11\xe0"  # the container of XLS, and of an XLSX under a password
LOCKED = "EncryptedPackage".encode("utf-16-le")
OLD_KIND = Marks({}, remarks=("a spreadsheet of the old kind does not tell cells that hold an error from empty ones",))


@frozen
class Sheet:
    """A sheet that was chosen; `rows` gives the lines that are not empty, with their numbers, as they are asked for.

    `others` are the sheets that can be seen and were not read because nobody said which.
    """

    title: str
    others: tuple[str, ...]
    rows: Iterator[tuple[int, list[str]]]
    merged: Merged
    remarks: tuple[str, ...]


def is_one(raw: bytes) -> bool:
    """Whether these bytes are packed like a workbook."""
    return raw.startswith((b"PK", OLE))


def names(raw: bytes, name: str) -> list[str]:
    """The sheets that can be seen, or all where none can; `name` is the file's in sentences. NoTable if it is none."""
    return [page.name for page in _seen(_open(_Book(raw, name).bytes(None), name))]


def read(raw: bytes, name: str, sheet: str | None) -> Sheet:
    """The sheet of that name, or the first that can be seen. NoTable when it cannot be read."""
    book = _Book(raw, name)
    some = book.bytes(None)
    listed = _open(some, name)
    seen = _seen(listed)
    title = _title(listed, seen, sheet, name)
    with _sentences(name):
        marks = book.marks(title)
        whole = book.bytes(title)
        values = (listed if whole is some else _open(whole, name)).get_sheet_by_name(title)
        merged = marks.merged or _merged(values)
    others = () if sheet is not None else tuple(page.name for page in seen if page.name != title)
    return Sheet(title, others, _rows(values, marks.texts), merged, marks.remarks)


class _Book:
    """The bytes of a workbook: what of them calamine is given, and what it does not say."""

    def __init__(self, raw: bytes, name: str) -> None:
        self.raw = raw
        if raw.startswith(OLE) and LOCKED in raw:
            raise locked(name)
        self.packed = workbook_marks.packed(raw, name) if raw.startswith(b"PK") else None

    def bytes(self, title: str | None) -> bytes:
        """The workbook with that sheet only; without a title, enough of it to list the sheets."""
        return self.raw if self.packed is None else self.packed.repacked(title)

    def marks(self, title: str) -> Marks:
        """What stands beside the values of a sheet. NoTable when its cells lie too far apart to be read."""
        return OLD_KIND if self.packed is None else self.packed.marks(title)


# ------------------------------------------------------------------------------ sheets
def _open(raw: bytes, name: str) -> Any:
    from python_calamine import CalamineWorkbook

    with _sentences(name):
        return CalamineWorkbook.from_filelike(io.BytesIO(raw))


def _pages(book: Any) -> list[Any]:
    """Sheets with cells: charts, dialogues and macros have none."""
    from python_calamine import SheetTypeEnum

    return [page for page in book.sheets_metadata if page.typ == SheetTypeEnum.WorkSheet]


def _seen(book: Any) -> list[Any]:
    from python_calamine import SheetVisibleEnum

    pages = _pages(book)
    return [page for page in pages if page.visible == SheetVisibleEnum.Visible] or pages


def _title(book: Any, seen: list[Any], sheet: str | None, name: str) -> str:
    if not seen:
        raise NoTable(f"{name} has no sheet with cells.", "Save the readings as XLSX or CSV.")
    if sheet is None:
        return str(seen[0].name)
    there = [str(page.name) for page in _pages(book)]
    title = next((title for title in there if title.casefold() == sheet.strip().casefold()), None)
    if title is None:
        raise NoTable(f"{name} has no sheet {sheet}; it has: {', '.join(there)}.")
    return title


# ------------------------------------------------------------------------------ rows
def _rows(values: Any, texts: dict[Place, str]) -> Iterator[tuple[int, list[str]]]:
    """Lines with something in them, with their numbers from 1."""
    beside: dict[int, dict[int, str]] = {}
    for (line, column), text in texts.items():
        beside.setdefault(line, {})[column] = text
    before = [""] * (values.start[1] if values.start else 0)  # rows come from the first column that holds something
    last = 0
    for line, row in enumerate(values.iter_rows(), start=1):
        last = line
        cells = before + [
            value if (kind := type(value)) is str else _figure(value) if kind is float else _text(value)
            for value in row
        ]
        if line in beside:
            _put(cells, beside[line])
        if any(cells):
            yield line, cells
    for line in sorted(beside):  # below the last value
        if line > last:
            cells = []
            _put(cells, beside[line])
            yield line, cells


def _put(cells: list[str], texts: dict[int, str]) -> None:
    """The texts into their cells, which pass for empty."""
    cells.extend([""] * (max(texts) + 1 - len(cells)))
    for column, text in texts.items():
        cells[column] = text


def _figure(value: float) -> str:
    if value.is_integer() and abs(value) < 1e15:  # a number of a casting has all its digits
        return str(int(value))
    return f"{value:.12g}"  # as a spreadsheet shows it at most: 16 digits hold its own rounding


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    return str(value.isoformat() if hasattr(value, "isoformat") else value)


def _merged(values: Any) -> Merged:
    ranges = values.merged_cell_ranges or ()
    return tuple((top + 1, bottom + 1, left, right) for (top, left), (bottom, right) in ranges)


# ------------------------------------------------------------------------------ what is wrong with a file
@contextmanager
def _sentences(name: str) -> Iterator[None]:
    """Whatever a damaged file makes a library raise becomes a sentence; what is said on purpose stays as it is."""
    try:
        yield
    except (InspectError, KeyboardInterrupt, SystemExit):
        raise
    except MemoryError:
        raise NoTable(f"{name} does not fit in memory.", "Cut it into smaller files.") from None
    except BaseException as problem:  # a library in Rust panics with what is no Exception
        kind = type(problem).__name__
        if kind == "PasswordError":
            raise locked(name) from None
        raise workbook_marks.damaged(name, kind) from None


def locked(name: str) -> NoTable:
    """That a file cannot be read without its password."""
    return NoTable(f"{name} is locked with a password.", "Open it, save it without one, try again.")
