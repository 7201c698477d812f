"""The wear list as a table (XLSX, CSV): heads in words, figures as figures, sizes in the unit beside them."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from pathlib import Path

from inspect_tui.report.paper import file as paper_file
from inspect_tui.report.paper import table_csv, table_xlsx
from inspect_tui.report.paper.file import form_of
from inspect_tui.shop.trends.fleet import FleetLine

ENDINGS = (".xlsx", ".csv")
HEADS = (
    "tool",
    "size",
    "name",
    "unit",
    "readings",
    "now",
    "target",
    "limit",
    "wear of 1000",
    "made a week",
    "left",
    "left at least",
    "left at most",
    "day of the limit",
    "at worst",
    "risk in four weeks",
    "out of use since",
    "what it says",
)


def cells(lines: Sequence[FleetLine]) -> list[list[object]]:
    """A row for each size, as of the day the list is of; the risk is a fraction, what has no end is empty."""
    return [
        [
            line.kept.label,
            line.kept.balloon,
            line.kept.name,
            line.kept.unit,
            line.kept.n,
            line.kept.value_mm,
            line.kept.target_mm,
            line.kept.limit_mm,
            None if line.kept.rate is None else 1000.0 * line.kept.rate,
            line.kept.per_week,
            _ended(line.kept.cores_left),
            _ended(line.kept.low),
            _ended(line.kept.high),
            line.due,
            line.worst,
            line.kept.risk,
            line.retired,
            line.timing,
        ]
        for line in lines
    ]


def _ended(figure: float | None) -> float | None:
    return figure if figure is not None and isfinite(figure) else None


def make(lines: Sequence[FleetLine], form: str) -> bytes:
    """The table as bytes; `form` is xlsx or csv."""
    if form == "csv":
        return table_csv.table(HEADS, cells(lines))
    return table_xlsx.workbook("wear", HEADS, cells(lines))


def write(lines: Sequence[FleetLine], path: str | Path, *, force: bool = False) -> Path:
    """Write the table, its form chosen by the ending of `path`; PaperError with a sentence when it cannot be."""
    path = Path(path).expanduser()
    form = form_of(path, ENDINGS)
    return paper_file.write_bytes(paper_file.target(path, force=force), make(lines, form), force=force)
