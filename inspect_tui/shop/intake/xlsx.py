"""Reads a sheet of an XLSX file as rows of texts; whatever is wrong with the file becomes a sentence.

The reading library is imported here only, when a spreadsheet is read. Formulas stay text and are never worked out.
"""

from __future__ import annotations

import io
import re
import warnings
import zipfile
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from inspect_tui.errors import DataError, InspectError

MOST_UNPACKED = 300_000_000
CHUNK = 1 << 20
EVERY = 2_000
NOTHING = "Nothing was added."
MERGED = re.compile(rb'<(?:\w+:)?mergeCell\s[^>]*ref="([A-Z]+)(\d+):([A-Z]+)(\d+)"')

Merged = tuple[tuple[int, int, int, int], ...]
Rows = tuple[list[tuple[str, ...]], list[int], Merged, tuple[str, ...]]


def too_many(name: str, rows: str, most: int) -> str:
    """That a file has more rows than are taken in at once."""
    limit = f"{most:,}".replace(",", " ")
    return f"{name} has {rows} rows; {limit} are the most that are taken in at once. {NOTHING} Cut it into parts."


def read(
    raw: bytes,
    name: str,
    sheet: str | None,
    most_rows: int,
    most_columns: int,
    watch: Callable[[str, int, int], None],
) -> Rows:
    """Rows that are not empty, their line numbers, merged cells, and remarks; DataError when it is no XLSX."""
    book = _open(raw, name)
    try:
        page, seen = _page(book, sheet, name)
        rows, lines = _rows(page, name, most_rows, most_columns, watch)
        merged = _merged(raw, getattr(page, "_worksheet_path", ""))
    except InspectError:
        raise
    except Exception as error:  # whatever a damaged file makes the reading library raise
        raise _no_xlsx(name, error) from None
    finally:
        with suppress(Exception):
            book.close()
    others = [title for title in seen if title != page.title]
    remarks = (f"only sheet {page.title} was read, not {', '.join(others[:6])}",) if others and sheet is None else ()
    return rows, lines, merged, remarks


def names(raw: bytes, name: str) -> list[str]:
    """The sheets that can be seen."""
    book = _open(raw, name)
    try:
        return [page.title for page in _seen(book)]
    finally:
        with suppress(Exception):
            book.close()


def _open(raw: bytes, name: str) -> Any:
    try:
        import openpyxl
    except ImportError:
        raise DataError(
            f"{name} is a spreadsheet; reading it needs the extra 'report' (pip install 'inspect-tui[report]'). "
            f"{NOTHING} Or save it as CSV."
        ) from None
    # what it passes over (styles, lists to choose from) is no reading, and nothing may be printed over the screen
    warnings.filterwarnings("ignore", category=UserWarning, module="openpyxl")
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            members = packed.namelist()
            unpacked = sum(info.file_size for info in packed.infolist())
        if unpacked > MOST_UNPACKED:
            raise DataError(f"{name} unpacks to {unpacked // 1_000_000} MB. {NOTHING} Cut it into smaller files.")
        if "[Content_Types].xml" not in members or not any(one.startswith("xl/") for one in members):
            raise DataError(
                f"{name} is a packed file, but no XLSX (it holds {', '.join(members[:3]) or 'nothing'}). {NOTHING} "
                "Save the readings as XLSX or CSV."
            )
        return openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=False, keep_links=False)
    except DataError:
        raise
    except Exception as error:  # as above
        raise _no_xlsx(name, error) from None


def _no_xlsx(name: str, error: Exception) -> DataError:
    return DataError(
        f"{name} is no XLSX that can be read: it is cut off or damaged ({type(error).__name__}). {NOTHING} Save it "
        "again, or as CSV."
    )


def _seen(book: Any) -> list[Any]:
    return [page for page in book.worksheets if page.sheet_state == "visible"] or list(book.worksheets)


def _page(book: Any, sheet: str | None, name: str) -> tuple[Any, list[str]]:
    pages = _seen(book)
    if not pages:
        raise DataError(f"{name} has no sheet with cells. {NOTHING} Save the readings as XLSX or CSV.")
    if sheet is None:
        return pages[0], [page.title for page in pages]
    for page in book.worksheets:
        if page.title.casefold() == sheet.strip().casefold():
            return page, [page.title]
    there = ", ".join(page.title for page in book.worksheets)
    raise DataError(f"{name} has no sheet {sheet}; it has: {there}. {NOTHING}")


def _rows(
    page: Any, name: str, most_rows: int, most_columns: int, watch: Callable[[str, int, int], None]
) -> tuple[list[tuple[str, ...]], list[int]]:
    rows: list[tuple[str, ...]] = []
    lines: list[int] = []
    page.reset_dimensions()  # one formatted cell in the last corner would make a million rows of thousands of cells
    for number, row in enumerate(page.iter_rows(values_only=True), start=1):
        if number % EVERY == 0:
            watch("read", number, 0)
        if not row:
            continue
        cells = [_as_text(value) for value in row]
        while cells and not cells[-1]:
            cells.pop()
        if len(cells) > most_columns:
            raise DataError(
                f"line {number} of {name} has {len(cells)} cells; {most_columns} are the most. {NOTHING} Cut the file "
                "into parts."
            )
        if cells:
            rows.append(tuple(cells))
            lines.append(number)
            if len(rows) > most_rows:
                raise DataError(too_many(name, f"more than {most_rows:,}".replace(",", " "), most_rows))
    return rows, lines


def _as_text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "TRUE" if value else "FALSE"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return f"{value:.12g}"  # as a spreadsheet shows it at most: 16 digits hold its own rounding
    if hasattr(value, "isoformat"):
        return str(value.isoformat())
    text = getattr(value, "text", None)  # a formula over several cells
    return str(text if isinstance(text, str) else value)


def _merged(raw: bytes, member: str) -> Merged:
    """Merged ranges of a sheet, straight from its XML: the reading library leaves them out when it streams."""
    if not member:
        return ()
    found: list[tuple[int, int, int, int]] = []
    with zipfile.ZipFile(io.BytesIO(raw)) as packed, packed.open(member.lstrip("/")) as xml:
        tail = b""
        while piece := xml.read(CHUNK):
            text = tail + piece
            last = 0
            for match in MERGED.finditer(text):
                first, top, end, bottom = match.groups()
                found.append((int(top), int(bottom), _column(first), _column(end)))
                last = match.end()
            tail = text[max(last, len(text) - 400) :]
    return tuple(found)


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number - 1


def letters(place: int) -> str:
    """The letters of a column: 0 -> A, 27 -> AB."""
    name, left = "", place + 1
    while left:
        left, digit = divmod(left - 1, 26)
        name = chr(65 + digit) + name
    return name
