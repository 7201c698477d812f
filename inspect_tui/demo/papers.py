"""The sheets of the invented shop as the files that were brought in: readings, checks of gauges, counts."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path

from inspect_tui.demo.scenario import FACT
from inspect_tui.demo.sheets import Row
from inspect_tui.metrology.typed.show import MM

READ = ("feature", "value", "unit", "by", "instrument", "temperature")


def castings(folder: Path, name: str, rows: Iterable[Row]) -> Path:
    """Readings of castings: a row a reading, blank where nothing was read."""
    return _file(folder, name, ("serial", *READ), ((row.on, *_read(row)) for row in rows))


def tools(folder: Path, name: str, rows: Iterable[Row]) -> Path:
    """Readings of tools, each with its day."""
    return _file(folder, name, ("tool", "day", *READ), ((row.on, row.day, *_read(row)) for row in rows))


def checks(folder: Path, name: str, rows: Iterable[Row], piece: str, size: str, u: str) -> Path:
    """Quick checks of gauges on a reference piece."""
    heads = ("gauge", "day", "person", "piece", "size", "u", "reading")
    return _file(
        folder,
        name,
        heads,
        ((r.instrument, r.day, r.person, piece, size, u, r.typed) for r in rows),
    )


def counts(folder: Path, name: str, tool: str, made: Iterable[tuple[str, int, str]]) -> Path:
    """How many cores a tool made: day, count and lot of each line."""
    return _file(folder, name, ("tool", "date", "made", "lot"), ((tool, day, n, lot) for day, n, lot in made))


def _read(row: Row) -> tuple[str, ...]:
    unit = "deg" if FACT[row.balloon].quantity == "angle" else "mm"
    return row.balloon, row.typed, unit, row.person, row.instrument, MM.figures(row.work_c)


def _file(folder: Path, name: str, heads: Sequence[str], lines: Iterable[Sequence[object]]) -> Path:
    path = folder / name
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(heads)
        writer.writerows(lines)
    return path
