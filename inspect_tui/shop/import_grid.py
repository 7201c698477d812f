"""Reads a CSV or XLSX file as a grid of texts with line numbers, within limits, without running anything in it.

Cells of a spreadsheet arrive as they are written: a formula as its text, a number in full. What is too large is
refused before it is in memory; merged cells are refused where they hide which column a reading belongs to.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import IO, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.record.text import clean

MOST_BYTES = 50_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 2_000
MOST_UNPACKED = 300_000_000
CHUNK = 1 << 20
SEPARATORS = {";": "semicolon", "\t": "tab", "|": "bar", ",": "comma"}
MERGED = re.compile(rb'<mergeCell\s[^>]*ref="([A-Z]+)(\d+):([A-Z]+)(\d+)"')


@frozen
class Grid:
    """Rows of texts without empty ones; `lines` are their numbers in the file. `sha256` is of the file's bytes."""

    name: str
    sha256: str
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str  # "" in a spreadsheet
    merged: tuple[tuple[int, int, int, int], ...] = ()  # first line, last line, first column, last column

    @property
    def width(self) -> int:
        """The most cells of a row."""
        return max((len(row) for row in self.rows), default=0)


def read(path: str | Path, sheet: str | None = None) -> Grid:
    """The grid of a file; DataError with a sentence when it is missing, too large, or no table."""
    path = Path(path).expanduser()
    try:
        if path.is_dir():
            raise DataError(f"{path} is a folder: name a file in it.")
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise DataError(f"{path.name} is larger than {MOST_BYTES // 1_000_000} MB: cut it into smaller files.")
        with path.open("rb") as file:
            digest, lines, head = _scan(file)
    except FileNotFoundError:
        raise DataError(f"There is no file {path}: check its name.") from None
    except OSError as error:
        raise DataError(f"{path} cannot be read ({error.strerror}).") from None
    if not head.strip():
        raise DataError(f"{path.name} is empty.")
    if head.startswith(b"PK"):
        return _spreadsheet(path, digest, sheet)
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        raise DataError(f"{path.name} is a spreadsheet of an old kind: save it as XLSX or CSV.")
    if lines > MOST_ROWS:
        raise DataError(_too_many(path.name, f"{lines:,}".replace(",", " ")))
    return _text_grid(path, digest)


def _too_many(name: str, rows: str) -> str:
    limit = f"{MOST_ROWS:,}".replace(",", " ")
    return f"{name} has {rows} rows; {limit} are the most that are taken in at once. Cut it into parts."


def _scan(file: IO[bytes]) -> tuple[str, int, bytes]:
    """Hash, number of lines and beginning of a file, piece by piece."""
    total, lines, head, last = sha256(), 0, b"", b""
    while piece := file.read(CHUNK):
        total.update(piece)
        head = head or piece[:4096]
        # one kind of line end is counted, whichever there is more of
        lines += max(piece.count(b"\n"), piece.count(b"\r"))
        last = piece[-1:]
    return total.hexdigest(), lines + (last not in (b"\n", b"\r", b"")), head


# ------------------------------------------------------------------------------ text
def _text_grid(path: Path, digest: str) -> Grid:
    raw = path.read_bytes()
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        text = raw.decode("utf-16", "replace")
    elif b"\0" in raw[:4096]:
        raise DataError(f"{path.name} is no text and no XLSX: save it as CSV or XLSX first.")
    else:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            text = raw.decode("cp1252", "replace")  # what older spreadsheets write
    lines = text.splitlines()
    separator = _separator(lines)
    rows: list[tuple[str, ...]] = []
    numbers: list[int] = []
    for number, cells in _cells(lines, separator, path.name):
        if any(cells) and not cells[0].startswith("#"):
            rows.append(cells)
            numbers.append(number)
    if not rows:
        raise DataError(f"{path.name} is empty.")
    return Grid(path.name, digest, tuple(rows), tuple(numbers), separator)


def _separator(lines: Iterable[str]) -> str:
    """The one that parts the lines alike; a decimal comma in every row is not mistaken for it."""
    sample = [re.sub(r'"[^"]*"', "", line) for line in list(lines)[:50] if line.strip() and not line.startswith("#")]
    best, score = "", 0.0
    for separator in SEPARATORS:
        counts = [line.count(separator) for line in sample]
        most = max(counts, default=0)
        if most:
            alike = sum(count == most for count in counts) / len(counts)
            if alike * min(most, 3) > score + 1e-9:
                best, score = separator, alike * min(most, 3)
    return best


def _cells(lines: list[str], separator: str, name: str) -> Iterator[tuple[int, tuple[str, ...]]]:
    if not separator:
        for number, line in enumerate(lines, start=1):
            yield number, (_clean(line.strip().strip('"')),)
        return
    reader = csv.reader(lines, delimiter=separator, strict=True, skipinitialspace=True)
    begins = 1
    try:
        for row in reader:
            if len(row) > MOST_COLUMNS:
                raise DataError(f"line {begins} of {name} has {len(row)} cells; {MOST_COLUMNS} are the most.")
            yield begins, tuple(_clean(cell) for cell in row)
            begins = reader.line_num + 1
    except csv.Error:
        raise DataError(f"line {begins} of {name} cannot be taken apart: is a quotation mark left open?") from None


def _clean(text: str) -> str:
    """Without control characters: nothing in a file may steer a screen."""
    return clean(text).strip()


# ------------------------------------------------------------------------------ spreadsheets
def _spreadsheet(path: Path, digest: str, sheet: str | None) -> Grid:
    import zipfile

    try:
        import openpyxl
    except ImportError:
        raise DataError(
            f"{path.name} is a spreadsheet; reading it needs the extra 'report' (pip install 'inspect-tui[report]'). "
            "Or save it as CSV."
        ) from None
    try:
        with zipfile.ZipFile(path) as packed:
            unpacked = sum(info.file_size for info in packed.infolist())
            if unpacked > MOST_UNPACKED:
                raise DataError(f"{path.name} unpacks to {unpacked // 1_000_000} MB: cut it into smaller files.")
        book = openpyxl.load_workbook(path, read_only=True, data_only=False, keep_links=False)
    except DataError:
        raise
    except Exception as error:  # whatever a broken file makes the reading library raise
        raise DataError(f"{path.name} is no XLSX that can be read ({type(error).__name__}): save it again.") from None
    try:
        page = _page(book, sheet, path.name)
        rows, lines = _sheet_rows(page, path.name)
        merged = _merged(path, getattr(page, "_worksheet_path", ""))
    finally:
        book.close()
    if not rows:
        raise DataError(f"{path.name} is empty.")
    return Grid(path.name, digest, tuple(rows), tuple(lines), "", merged)


def _page(book: Any, sheet: str | None, name: str) -> Any:
    pages = [page for page in book.worksheets if page.sheet_state == "visible"] or book.worksheets
    if sheet is None:
        return pages[0]
    for page in book.worksheets:
        if page.title.casefold() == sheet.casefold():
            return page
    raise DataError(f"{name} has no sheet {sheet}; it has: {', '.join(page.title for page in book.worksheets)}.")


def _sheet_rows(page: Any, name: str) -> tuple[list[tuple[str, ...]], list[int]]:
    rows: list[tuple[str, ...]] = []
    lines: list[int] = []
    for number, row in enumerate(page.iter_rows(values_only=True), start=1):
        if len(row) > MOST_COLUMNS:
            row = row[:MOST_COLUMNS]
        cells = [_as_text(value) for value in row]
        while cells and not cells[-1]:
            cells.pop()
        if cells and not cells[0].startswith("#"):
            rows.append(tuple(cells))
            lines.append(number)
            if len(rows) > MOST_ROWS:
                raise DataError(_too_many(name, f"more than {MOST_ROWS:,}".replace(",", " ")))
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
    return _clean(str(text if isinstance(text, str) else value))


def _merged(path: Path, member: str) -> tuple[tuple[int, int, int, int], ...]:
    """Merged ranges of a sheet, straight from its XML: the reading library leaves them out when it streams."""
    import zipfile

    if not member:
        return ()
    found: list[tuple[int, int, int, int]] = []
    with zipfile.ZipFile(path) as packed, packed.open(member.lstrip("/")) as xml:
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
