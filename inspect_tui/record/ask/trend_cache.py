"""Keeps the summaries of trends in the record's file: a cache beside the chain, written on a connection of its own."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from pathlib import Path

from inspect_tui.errors import ReadOnly
from inspect_tui.record.ask.trend_rows import KEPT, KeptRecent, KeptTrend
from inspect_tui.record.file import place
from inspect_tui.record.file.connect import connect_writer
from inspect_tui.record.file.lock import FileLock
from inspect_tui.record.file.trouble import explain

PART = 1000  # rows to a transaction: who logs a reading meanwhile waits for one of them at most

_TREND = f"INSERT OR REPLACE INTO cache_trend ({', '.join(KEPT)}) VALUES ({','.join('?' * len(KEPT))})"
_RECENT = (
    "INSERT OR REPLACE INTO cache_recent (tool_of_id, feature_id, source, place, width, value) VALUES (?,?,?,?,?,?)"
)
_MARK = "INSERT OR REPLACE INTO cache_trend_mark (one, frontier, rules) VALUES (1, ?, ?)"


def keep(
    path: Path,
    trends: Sequence[KeptTrend],
    recent: Sequence[KeptRecent],
    frontier: dict[str, int],
    rules: str,
    *,
    made_again: Iterable[bytes] | None = None,
    busy_s: float = 10.0,
) -> None:
    """Write summaries and, last of all, the frontier that they know; from any thread.

    `made_again` are the tools and jobs whose rows are all in `trends`: what is left of them from before goes. None:
    everything was made again. Nothing here is part of the chain, so no device is opened and nothing is hashed. An
    interrupted call leaves no frontier: the next time everything is made again.
    """
    record_file = place.look(path)
    if not record_file.exists or record_file.read_only_why:
        raise ReadOnly(f"Nothing is kept in {path.name}. {record_file.read_only_why}".rstrip())
    key = place.opened(path)
    try:
        lock = FileLock(Path(f"{path}.lock"), busy_s)
        try:
            con = connect_writer(path, busy_s)
            try:
                _keep(con, lock, trends, recent, frontier, rules, made_again)
            finally:
                con.close()
        finally:
            lock.close()
    except sqlite3.Error as error:
        raise explain(error, path, busy_s) from error
    finally:
        place.closed(key)


def _keep(
    con: sqlite3.Connection,
    lock: FileLock,
    trends: Sequence[KeptTrend],
    recent: Sequence[KeptRecent],
    frontier: dict[str, int],
    rules: str,
    made_again: Iterable[bytes] | None,
) -> None:
    con.execute("PRAGMA synchronous=NORMAL")  # what a power cut takes away is made again
    rows = [(*recent_row[:5], recent_row.value.tobytes()) for recent_row in recent]
    if made_again is None:
        gone: list[tuple[str, tuple[bytes, ...]]] = [("1", ())]
    else:
        gone = [("tool_of_id = ?", (subject,)) for subject in made_again]
    parts = range(0, max(len(trends), len(rows), 1), PART)
    for start in parts:
        with lock:
            con.execute("BEGIN IMMEDIATE")
            try:
                if start == 0:
                    con.execute("DELETE FROM cache_trend_mark")
                    for where, values in gone:
                        con.execute(f"DELETE FROM cache_trend WHERE {where}", values)
                        con.execute(f"DELETE FROM cache_recent WHERE {where}", values)
                con.executemany(_TREND, trends[start : start + PART])
                con.executemany(_RECENT, rows[start : start + PART])
                if start == parts[-1]:
                    con.execute(_MARK, (json.dumps(frontier, sort_keys=True), rules))
                con.execute("COMMIT")
            except BaseException:
                con.execute("ROLLBACK")
                raise
