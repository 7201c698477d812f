"""The record as it was: a connection that sees exactly the rows whose entry lies at or before a frontier.

SQLite looks a bare name up among the temporary things first, so a temporary view with the name of each recorded table
puts a window before it, and every question of `queries` is answered as it would have been answered then. What was
added, corrected or revised later lies beyond the frontier and cannot change an old report.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Mapping
from pathlib import Path

from inspect_tui.errors import RecordError
from inspect_tui.record.file.trouble import explain
from inspect_tui.record.kinds import KINDS
from inspect_tui.record.read import Reader

_SEEN = (
    "EXISTS (SELECT 1 FROM main.entry e WHERE e.id = t.id "
    "AND e.seq <= (SELECT f.seq FROM temp.seen_until f WHERE f.device_id = e.device_id))"
)


def reader_at(path: Path, frontier: Mapping[str, int], busy_s: float = 10.0) -> Reader:
    """Open the record as it stood at `frontier` (device as 32 hex digits -> last number); close it when done.

    The kept summaries are not windowed: ask `readings`, not `summaries`. Raises RecordError for a frontier that this
    record does not reach (a device or a number that it does not hold).
    """
    reader = Reader.of(path, busy_s)
    try:
        _look_back(reader._con, path, frontier)
        reader.look_for_ones("temp")  # what was said to be one later is not one yet
    except sqlite3.Error as error:
        reader.close()
        raise explain(error, path, busy_s) from error
    except BaseException:
        reader.close()
        raise
    return reader


def _look_back(con: sqlite3.Connection, path: Path, frontier: Mapping[str, int]) -> None:
    try:
        wanted = {bytes.fromhex(device): int(seq) for device, seq in frontier.items()}
    except ValueError:
        raise RecordError("This frontier cannot be read: devices are written as 32 hex digits.") from None
    for device, seq in wanted.items():
        if con.execute("SELECT 1 FROM main.entry WHERE device_id = ? AND seq = ?", (device, seq)).fetchone() is None:
            raise RecordError(
                f"{path.name} does not hold entry {seq} of device {device.hex()[:8]}…: this report was made from a "
                "fuller record. Bring the others' entries in first."
            )
    con.execute("PRAGMA query_only=OFF")  # for temporary things only: the file is open to read
    con.execute("PRAGMA temp_store=MEMORY")
    con.execute("CREATE TEMP TABLE seen_until (device_id BLOB PRIMARY KEY, seq INTEGER NOT NULL) WITHOUT ROWID")
    con.executemany("INSERT INTO temp.seen_until VALUES (?, ?)", wanted.items())
    tables = {name for (name,) in con.execute("SELECT name FROM main.sqlite_schema WHERE type = 'table'")}
    for kind in KINDS:
        if kind.table in tables:
            con.execute(f"CREATE TEMP VIEW {kind.table} AS SELECT t.* FROM main.{kind.table} t WHERE {_SEEN}")
    con.execute(
        "CREATE TEMP VIEW entry AS SELECT t.* FROM main.entry t "
        "WHERE t.seq <= (SELECT f.seq FROM temp.seen_until f WHERE f.device_id = t.device_id)"
    )
    # the record's own views are bound to its tables: the same text once more, bound to the windows
    for (text,) in con.execute("SELECT sql FROM main.sqlite_schema WHERE type = 'view' ORDER BY rowid").fetchall():
        con.execute(re.sub(r"^\s*CREATE\s+VIEW", "CREATE TEMP VIEW", text, count=1))
    con.execute("PRAGMA query_only=ON")
