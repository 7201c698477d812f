"""A table of any length as CSV (RFC 4180, UTF-8), row by row, with text guarded against being taken for a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path

from inspect_tui.report.paper.table_csv import cell


def write(path: Path, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    """Write the file at `path`, which must not be there yet; rows are read once and never held. Raises OSError."""
    with path.open("x", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\r\n")
        writer.writerow(headings)
        writer.writerows([cell(value) for value in row] for row in rows)
