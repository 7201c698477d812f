"""All readings as one flat SQLite file: a table, views, notes to search, what the columns mean."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from inspect_tui.shop.jobs.export_columns import ExportColumn

TYPES: dict[str, type] = {"text": str, "day": str, "time": str, "integer": int, "yes/no": int, "number": float}
PORTION = 2000  # rows to a statement's batch; more do not make it faster
INDEXED = ("job", "feature")
NOTE_COLUMNS = ("id", "about", "reading", "at", "person", "text")
KIND_OF_SIZE = "job, feature, feature_name, measured_on, tool, unit"
VIEWS = {
    "readings_that_count": ("readings that are neither struck nor contested", "SELECT * FROM readings WHERE counts"),
    "struck": ("readings that do not count, with who struck them and why", "SELECT * FROM readings WHERE NOT counts"),
    "lines": (
        "what was typed in one go, once: the mean of its repeats that count and its verdict",
        "SELECT line, min(at_utc) AS at_utc, day, job, revision, feature, feature_name, unit, measured_on, tool, "
        "serial, lot, count, person, gauge, target, lower, upper, line_n, line_mean, line_u, verdict FROM readings "
        "WHERE counts GROUP BY line",
    ),
    "by_feature": (
        "how many readings of each feature count, their mean, standard deviation and range, by what they were read on",
        f"SELECT {KIND_OF_SIZE}, count(*) AS n, avg(corrected) AS mean, "
        "CASE WHEN count(*) > 1 THEN sqrt(sum((corrected - middle) * (corrected - middle)) / (count(*) - 1)) END AS s, "
        "min(corrected) AS smallest, max(corrected) AS largest FROM (SELECT *, "
        f"avg(corrected) OVER (PARTITION BY {KIND_OF_SIZE}) AS middle FROM readings "
        f"WHERE counts AND in_question IS NULL) GROUP BY {KIND_OF_SIZE}",
    ),
    "notes_of_readings": (
        "each note beside the reading that it is about",
        "SELECT r.job, r.feature, r.feature_name, r.tool, r.serial, r.day, r.as_read, n.at AS noted_at, "
        "n.person AS noted_by, n.text, n.rowid AS note FROM notes n JOIN readings r ON r.id = n.reading",
    ),
}


def write(
    path: Path, columns: Sequence[ExportColumn], rows: Iterable[Sequence[Any]], notes: Iterable[Sequence[Any]]
) -> int:
    """Write the file at `path`, which must not be there yet; gives back how many readings it holds.

    `rows` and `notes` are read once and never held together, so a record of any length fits. Raises sqlite3.Error.
    """
    from sqlite_utils import Database

    db = Database(path)
    try:
        # a draft that nobody else reads: it is made durable as a whole when it gets its name
        for pragma in ("journal_mode=OFF", "synchronous=OFF"):
            db.conn.execute(f"PRAGMA {pragma}")
        names = [column.name for column in columns]
        readings = db.table("readings").create(
            {column.name: TYPES[column.kind] for column in columns}, pk="id", strict=True
        )
        readings.insert_all(_headed(names, rows), batch_size=PORTION)
        notes_table = db.table("notes").create(dict.fromkeys(NOTE_COLUMNS, str), pk="id", strict=True)
        notes_table.insert_all(_headed(NOTE_COLUMNS, notes), batch_size=PORTION)
        notes_table.enable_fts(["text"], tokenize="unicode61 remove_diacritics 2")
        meanings = db.table("columns").create(
            dict.fromkeys(("name", "kind", "unit", "meaning"), str), pk="name", strict=True
        )
        meanings.insert_all({"name": c.name, "kind": c.kind, "unit": c.unit, "meaning": c.meaning} for c in columns)
        for name, (_, sql) in VIEWS.items():
            db.create_view(name, sql)
        readings.create_index(list(INDEXED))
        count: int = readings.count
        return count
    finally:
        db.close()


def stored(path: Path, columns: Sequence[ExportColumn]) -> Iterator[tuple[Any, ...]]:
    """The readings of such a file in the order they were written, yes and no as truth values."""
    flags = [i for i, column in enumerate(columns) if column.kind == "yes/no"]
    con = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    try:
        names = ", ".join(column.name for column in columns)
        for row in con.execute(f"SELECT {names} FROM readings ORDER BY rowid"):
            values = list(row)
            for i in flags:
                values[i] = None if row[i] is None else bool(row[i])
            yield tuple(values)
    finally:
        con.close()


def _headed(names: Sequence[str], rows: Iterable[Sequence[Any]]) -> Iterator[list[Any]]:
    """Rows as the library takes them without a dict for each: the names first."""
    return chain([list(names)], map(list, rows))
