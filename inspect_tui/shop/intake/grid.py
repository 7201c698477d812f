"""Reads a CSV or XLSX file as a grid of texts with line numbers, within limits, without running anything in it.

Cells of a spreadsheet arrive as they are written: a formula as its text, a number in full. What is too large is
refused before it is in memory; what cannot be read is told with what to do. A file is opened once: that it is moved or
written to meanwhile does no harm.
"""

from __future__ import annotations

import csv
import io
import re
import stat
from collections.abc import Callable, Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import IO

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.record.file.text import clean
from inspect_tui.shop.intake import xlsx as import_sheet

MOST_BYTES = 50_000_000
MOST_ROWS = 100_000
MOST_COLUMNS = 2_000
CHUNK = 1 << 20
EVERY = 2_000  # lines between two looks at whether somebody still waits
NOTHING = "Nothing was added."
SEPARATORS = {";": "semicolon", "\t": "tab", "|": "bar", ",": "comma"}
OLE = b"\xd0\xcf\x11\xe0"  # spreadsheets of an old kind, and new ones under a password
LOCKED = "EncryptedPackage".encode("utf-16-le")

Watch = Callable[[str, int, int], None]  # what is done, how far, of how many (0: not known); may raise to end it


def nobody_waits(what: str, done: int, of: int) -> None:
    """For who does not want to know how far the reading is."""


@frozen
class Grid:
    """Rows of texts without empty ones; `lines` are their numbers in the file. `sha256` is of the file's bytes."""

    name: str
    sha256: str
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str  # "" in a spreadsheet
    merged: tuple[tuple[int, int, int, int], ...] = ()  # first line, last line, first column, last column
    steered: frozenset[tuple[int, int]] = frozenset()  # (line, column) of cells that lost control characters
    remarks: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """The most cells of a row."""
        return max((len(row) for row in self.rows), default=0)


def read(path: str | Path, sheet: str | None = None, watch: Watch = nobody_waits) -> Grid:
    """The grid of a file; DataError with a sentence when it is missing, too large, or no table."""
    path = Path(path).expanduser()
    name = clean(path.name)
    raw, digest, lines = _bytes(path, name)
    if not raw.strip():
        raise DataError(f"{name} is empty. {NOTHING} Was it saved, and is it the right file?")
    if raw.startswith(b"PK"):
        rows, numbers, merged, remarks = import_sheet.read(raw, name, sheet, MOST_ROWS, MOST_COLUMNS, watch)
        return _grid(name, digest, zip(numbers, rows, strict=True), "", merged, remarks)
    if raw.startswith(OLE):
        if LOCKED in raw:
            raise DataError(f"{name} is locked with a password. {NOTHING} Open it, save it without one, try again.")
        raise DataError(f"{name} is a spreadsheet of an old kind. {NOTHING} Save it as XLSX or CSV.")
    if lines > MOST_ROWS:
        raise DataError(import_sheet.too_many(name, f"{lines:,}".replace(",", " "), MOST_ROWS))
    if sheet is not None:
        raise DataError(f"{name} is plain text and has no sheets. {NOTHING} Leave the sheet {sheet} out.")
    text = _decoded(raw, name)
    separator = _separator(text[: CHUNK // 4].splitlines())
    return _grid(name, digest, _cells(text, separator, name, watch), separator)


def sheets(path: str | Path) -> list[str]:
    """Names of the sheets of a spreadsheet that can be seen; none for other files."""
    path = Path(path).expanduser()
    raw, _, _ = _bytes(path, clean(path.name))
    return import_sheet.names(raw, clean(path.name)) if raw.startswith(b"PK") else []


# ------------------------------------------------------------------------------ bytes
def _bytes(path: Path, name: str) -> tuple[bytes, str, int]:
    """What a file holds, its hash, and how many lines it has; too many lines are counted, not kept."""
    said = clean(str(path))[:200]
    try:
        if path.is_dir():
            raise DataError(f"{said} is a folder. {NOTHING} Name a file in it.")
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):  # a pipe would be waited for, a device has no end
            raise DataError(f"{said} is a pipe or a device, not a file. {NOTHING} Save the readings as CSV or XLSX.")
        if about.st_size > MOST_BYTES:
            raise DataError(f"{name} is larger than {MOST_BYTES // 1_000_000} MB. {NOTHING} Cut it into smaller files.")
        with path.open("rb") as file:
            return _taken(file)
    except FileNotFoundError:
        raise DataError(f"There is no file {said}. {NOTHING} Check its name and folder.") from None
    except PermissionError:
        raise DataError(
            f"There is no right to read {said}. {NOTHING} Ask its owner, or copy it where you may read it."
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL in it
        why = getattr(error, "strerror", None) or str(error)
        raise DataError(f"{said} cannot be read ({why}). {NOTHING}") from None


def _taken(file: IO[bytes]) -> tuple[bytes, str, int]:
    total = sha256()
    pieces: list[bytes] = []
    feeds = returns = size = 0
    last = b""
    while (piece := file.read(CHUNK)) and size <= MOST_BYTES:
        total.update(piece)
        size += len(piece)
        feeds, returns = feeds + piece.count(b"\n"), returns + piece.count(b"\r")
        last = piece[-1:]
        if not pieces or max(feeds, returns) <= MOST_ROWS or pieces[0].startswith(b"PK"):
            pieces.append(piece)
    # one kind of line end is counted, whichever there is more of
    return b"".join(pieces), total.hexdigest(), max(feeds, returns) + (last not in (b"\n", b"\r", b""))


def _decoded(raw: bytes, name: str) -> str:
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", "replace")
    if b"\0" in raw:
        line = raw[: raw.index(b"\0")].count(b"\n") + 1
        raise DataError(
            f"{name} is no text and no XLSX: line {line} holds bytes that no text has. {NOTHING} Save it as CSV "
            "(UTF-8) or XLSX."
        )
    if raw.startswith(b"%PDF") or raw.startswith(b"{\\rtf"):
        raise DataError(f"{name} is a document, not a table. {NOTHING} Save the readings as CSV or XLSX.")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return raw.decode("cp1252", "replace")  # what older spreadsheets write


# ------------------------------------------------------------------------------ rows
def _grid(
    name: str,
    digest: str,
    cells: Iterable[tuple[int, Iterable[str]]],
    separator: str,
    merged: tuple[tuple[int, int, int, int], ...] = (),
    remarks: tuple[str, ...] = (),
) -> Grid:
    """Clean cells, without empty rows and, in text, without remarks; what was taken out is said."""
    rows: list[tuple[str, ...]] = []
    numbers: list[int] = []
    steered: set[tuple[int, int]] = set()
    passed: list[int] = []
    for number, row in cells:
        kept = []
        for place, cell in enumerate(row):
            text = _plain(cell)
            if len(text) < len(cell) and _steers(cell):
                steered.add((number, place))
            kept.append(text)
        while kept and not kept[-1]:
            kept.pop()
        if not kept:
            continue
        if separator and kept[0].startswith("#"):  # nothing to do with a spreadsheet, where it may be a serial
            if sum(map(bool, kept)) > 1:
                passed.append(number)
            continue
        rows.append(tuple(kept))
        numbers.append(number)
    if not rows:
        raise DataError(f"{name} is empty. {NOTHING} Was it saved, and is it the right file?")
    if passed:
        remarks += (f"{_lines(passed)} begin{'s' * (len(passed) == 1)} with # and counted as a remark: left out",)
    if steered:
        remarks += (f"control characters were taken out of {_lines(sorted({line for line, _ in steered}))}",)
    return Grid(
        name=name,
        sha256=digest,
        rows=tuple(rows),
        lines=tuple(numbers),
        separator=separator,
        merged=merged,
        steered=frozenset(steered),
        remarks=remarks,
    )


def _lines(numbers: list[int]) -> str:
    shown = ", ".join(map(str, numbers[:6])) + (f" and {len(numbers) - 6} more" if len(numbers) > 6 else "")
    return f"line{'s' * (len(numbers) > 1)} {shown}"


def _plain(text: str) -> str:
    """Without control characters: nothing in a file may steer a screen."""
    return clean(text).strip()


def _steers(text: str) -> bool:
    """Whether something was taken out that is not blank: tabs and line ends only part words."""
    return len(clean(text)) < len(text) and any(not letter.isspace() and not clean(letter) for letter in text)


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


def _cells(text: str, separator: str, name: str, watch: Watch) -> Iterator[tuple[int, list[str]]]:
    source = io.StringIO(text, newline="")  # a cell in quotation marks may go over several lines
    of = text.count("\n") or text.count("\r")
    if not separator:
        for number, line in enumerate(source, start=1):
            yield number, [line.strip().strip('"')]
        return
    reader = csv.reader(source, delimiter=separator, strict=True, skipinitialspace=True)
    begins = 1
    try:
        for count, row in enumerate(reader):
            if count % EVERY == 0:
                watch("read", count, of)
            if len(row) > MOST_COLUMNS:
                raise DataError(
                    f"line {begins} of {name} has {len(row)} cells; {MOST_COLUMNS} are the most. {NOTHING} Cut the "
                    "file into parts."
                )
            yield begins, row
            begins = reader.line_num + 1
    except csv.Error:
        raise DataError(
            f"line {begins} of {name} cannot be taken apart. {NOTHING} Is a quotation mark left open there?"
        ) from None
