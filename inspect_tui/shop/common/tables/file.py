"""Reads a table from a file (CSV, TSV, XLSX, ODS, XLS) as a grid of texts with line numbers, running nothing in it.

The one reader of tables: readings, counts, studies, budgets come through it. Cells arrive as they are written, a
number of a workbook in full. What is too large is refused before it is in memory; what is odd is told; what cannot be
read is a `NoTable`, which says what to do. A file is opened once: that it is moved or written to meanwhile does no
harm. What columns mean is not known here (`table_columns`, `intake.columns`).
"""

from __future__ import annotations

import csv
import io
import re
import stat
from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import IO

from inspect_tui.errors import NoTable
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed import show
from inspect_tui.record.text import clean
from inspect_tui.shop.common.tables import workbook, workbook_apart
from inspect_tui.shop.common.tables.workbook_apart import Watch
from inspect_tui.shop.common.tables.workbook_marks import Merged, lines

CHUNK = 1 << 20
EVERY = 2_000  # rows between two looks at whether somebody still waits
SAMPLE = 50  # lines by which the separator is found
SEPARATORS = {";": "semicolon", "\t": "tab", "|": "bar", ",": "comma"}
_DECIMAL_COMMA = re.compile(r'\s*"?[+-]?\d*,\d+"?\s*')
_QUOTED = re.compile(r'"[^"]*"')


@frozen
class Limits:
    """The most that is taken in at once."""

    bytes: int
    rows: int
    columns: int


READINGS = Limits(50_000_000, 100_000, 2_000)  # every one of them is checked, shown and written
FIGURES = Limits(200_000_000, 5_000_000, 2_000)  # columns that are only computed with


def nobody_waits(what: str, done: int, of: int) -> None:
    """For who does not want to know how far the reading is."""


@frozen_by_name
class Grid:
    """Rows of texts without empty ones; `lines` are their numbers in the file. `sha256` is of the file's bytes.

    `separator` and `sheet` are "" where there is none; `steered` are (line, column) of cells that lost control
    characters; `merged` is first line, last line, first column, last column. `remarks` say what was odd.
    """

    name: str
    sha256: str
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    separator: str
    sheet: str = ""
    merged: Merged = ()
    steered: frozenset[tuple[int, int]] = frozenset()
    remarks: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        """The most cells of a row."""
        return max((len(row) for row in self.rows), default=0)


def read(
    path: str | Path,
    sheet: str | None = None,
    watch: Watch = nobody_waits,
    *,
    limits: Limits = READINGS,
    headed: bool = False,
) -> Grid:
    """The grid of a file; NoTable when it is missing, too large, or no table.

    `sheet` names the sheet of a workbook, else the first that can be seen is read. With `headed` the first line names
    the columns: what does not part that line parts none, and a line of separators is a line of readings that lack.
    """
    path = Path(path).expanduser()
    name = clean(path.name)
    raw, digest, count = _bytes(path, name, limits)
    if workbook.is_one(raw):
        page = workbook_apart.read(raw, name, sheet, limits.rows, watch)
        remarks = page.remarks
        if page.others:
            remarks = (f"only sheet {page.title} was read, not {', '.join(page.others[:6])}", *remarks)
        return _grid(name, digest, page.rows, limits, sheet=page.title, merged=page.merged, remarks=remarks)
    if count > limits.rows:
        raise _too_many(name, show.number(count), limits)
    if sheet is not None and raw.strip():
        raise NoTable(f"{name} is plain text and has no sheets.", f"Leave the sheet {sheet} out.")
    return of_text(*_decoded(raw, name), name, watch, limits=limits, headed=headed, digest=digest)


def of_text(
    text: str,
    remarks: tuple[str, ...] = (),
    name: str = "the file",
    watch: Watch = nobody_waits,
    *,
    limits: Limits = READINGS,
    headed: bool = False,
    digest: str = "",
) -> Grid:
    """The grid in a text; `name` is what it is called in sentences. NoTable as `read`."""
    separator = _separator(_first_lines(text), headed)
    return _grid(name, digest, _cells(text, separator, name, watch), limits, separator, headed, remarks=remarks)


def sheets(path: str | Path, *, limits: Limits = READINGS) -> list[str]:
    """Names of the sheets of a workbook that can be seen; none for other files. NoTable as `read`."""
    path = Path(path).expanduser()
    name = clean(path.name)
    raw, _, _ = _bytes(path, name, limits)
    return workbook_apart.names(raw, name) if workbook.is_one(raw) else []


def every(path: str | Path, watch: Watch = nobody_waits, *, limits: Limits = READINGS) -> list[Grid]:
    """Every sheet of a workbook that holds anything, or the one table of another file. NoTable as `read`."""
    path = Path(path).expanduser()
    name = clean(path.name)
    raw, digest, _ = _bytes(path, name, limits)
    if not workbook.is_one(raw):
        return [read(path, None, watch, limits=limits, headed=True)]
    grids = []
    for page in workbook_apart.every(raw, name, limits.rows, watch):
        rows = [(number, row) for number, row in page.rows if any(cell.strip() for cell in row)]
        if rows:
            grid = _grid(name, digest, rows, limits, sheet=page.title, merged=page.merged, remarks=page.remarks)
            grids.append(grid)
    return grids


# ------------------------------------------------------------------------------ bytes
def _bytes(path: Path, name: str, limits: Limits) -> tuple[bytes, str, int]:
    """What a file holds, its hash, and how many lines it has; too many lines are counted, not kept."""
    said = clean(str(path))[:200]
    try:
        if path.is_dir():
            raise NoTable(f"{said} is a folder.", "Name a file in it.")
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):  # a pipe would be waited for, a device has no end
            raise NoTable(f"{said} is a pipe or a device, not a file.", "Save the readings as CSV or XLSX.")
        if about.st_size > limits.bytes:
            raise NoTable(f"{name} is larger than {limits.bytes // 1_000_000} MB.", "Cut it into smaller files.")
        with path.open("rb") as file:
            return _taken(file, limits)
    except FileNotFoundError:
        raise NoTable(f"There is no file {said}.", "Check its name and folder.") from None
    except PermissionError:
        raise NoTable(
            f"There is no right to read {said}.", "Ask its owner, or copy it where you may read it."
        ) from None
    except (OSError, ValueError) as error:  # ValueError: a name with a NUL in it
        why = getattr(error, "strerror", None) or str(error)
        raise NoTable(f"{said} cannot be read ({why}).") from None


def _taken(file: IO[bytes], limits: Limits) -> tuple[bytes, str, int]:
    total = sha256()
    pieces: list[bytes] = []
    feeds = returns = size = 0
    last = b""
    while (piece := file.read(CHUNK)) and size <= limits.bytes:
        total.update(piece)
        size += len(piece)
        feeds, returns = feeds + piece.count(b"\n"), returns + piece.count(b"\r")
        last = piece[-1:]
        if not pieces or max(feeds, returns) <= limits.rows or workbook.is_one(pieces[0]):
            pieces.append(piece)
    # one kind of line end is counted, whichever there is more of
    return b"".join(pieces), total.hexdigest(), max(feeds, returns) + (last not in (b"\n", b"\r", b""))


def _decoded(raw: bytes, name: str) -> tuple[str, tuple[str, ...]]:
    """The text, and how it was read where that was a guess."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", "replace"), ()
    if b"\0" in raw:
        line = raw[: raw.index(b"\0")].count(b"\n") + 1
        raise NoTable(
            f"{name} is no text and no workbook: line {line} holds bytes that no text has.",
            "Save it as CSV (UTF-8) or XLSX.",
        )
    if raw.startswith((b"%PDF", b"{\\rtf")):
        raise NoTable(f"{name} is a document, not a table.", "Save the readings as CSV or XLSX.")
    try:
        return raw.decode("utf-8-sig"), ()
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        return raw.decode("cp1252", "replace"), (f"line {line} is not UTF-8: read as Windows-1252, as older files are",)


# ------------------------------------------------------------------------------ rows
def _grid(
    name: str,
    digest: str,
    cells: Iterable[tuple[int, list[str]]],
    limits: Limits,
    separator: str = "",
    headed: bool = False,
    sheet: str = "",
    merged: Merged = (),
    remarks: tuple[str, ...] = (),
) -> Grid:
    """Clean cells, without empty rows and, in text, without remarks; what was taken out is said."""
    rows: list[tuple[str, ...]] = []
    numbers: list[int] = []
    steered: set[tuple[int, int]] = set()
    passed: list[int] = []
    for number, row in cells:
        kept = [cell.strip() for cell in row]
        whole = "".join(row)
        if not (whole.isascii() and whole.isprintable()):  # cell by cell only where there is something to take out
            kept = [clean(cell).strip() for cell in row]
            steered |= {(number, column) for column, cell in enumerate(row) if _steers(cell)}
        while kept and not kept[-1]:
            kept.pop()
        if not kept:
            if headed and separator and rows and row:  # separators alone: every reading of this line is missing
                rows.append(())
                numbers.append(number)
            continue
        if not sheet and kept[0].startswith("#"):  # in a workbook it may be a serial
            if sum(map(bool, kept)) > 1:
                passed.append(number)
            continue
        if len(kept) > limits.columns:
            raise NoTable(
                f"line {number} of {name} has {len(kept)} cells; {limits.columns} are the most.",
                "Cut the file into parts.",
            )
        rows.append(tuple(kept))
        numbers.append(number)
        if len(rows) > limits.rows:
            raise _too_many(name, f"more than {show.number(limits.rows)}", limits)
    if not rows:
        raise NoTable(f"{name} is empty.", "Was it saved, and is it the right file?")
    if passed:
        remarks += (f"{lines(passed)} begin{'s' * (len(passed) == 1)} with # and counted as a remark: left out",)
    if steered:
        remarks += (f"control characters were taken out of {lines(sorted({line for line, _ in steered}))}",)
    return Grid(
        name=name,
        sha256=digest,
        rows=tuple(rows),
        lines=tuple(numbers),
        separator=separator,
        sheet=sheet,
        merged=merged,
        steered=frozenset(steered),
        remarks=remarks,
    )


def _too_many(name: str, rows: str, limits: Limits) -> NoTable:
    most = show.number(limits.rows)
    return NoTable(f"{name} has {rows} rows; {most} are the most that are taken in at once.", "Cut it into parts.")


def _steers(text: str) -> bool:
    """Whether something was taken out that is not blank: tabs and line ends only part words."""
    return len(clean(text)) < len(text) and any(not letter.isspace() and not clean(letter) for letter in text)


def _first_lines(text: str) -> list[str]:
    """The lines that tell how the others are parted: no remarks, none that are empty."""
    some = text[: CHUNK // 4].splitlines()
    return [line for line in some if line.strip() and not line.lstrip().startswith("#")][:SAMPLE]


def _separator(sample: list[str], headed: bool) -> str:
    """The one that parts the lines alike; a decimal comma in every row is not mistaken for it."""
    bare = [_QUOTED.sub("", line) for line in sample]
    best, score = "", 0.0
    for separator in SEPARATORS:
        counts = [line.count(separator) for line in bare]
        most = max(counts, default=0)
        if not most or (headed and not counts[0]):
            continue
        if separator == "," and all(_DECIMAL_COMMA.fullmatch(line) for line in sample if "," in line):
            continue  # one column of figures
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
            yield begins, row
            begins = reader.line_num + 1
    except csv.Error:
        raise NoTable(
            f"line {begins} of {name} cannot be taken apart.", "Is a quotation mark left open there?"
        ) from None
