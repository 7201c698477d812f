"""Turns SQLite's errors into sentences: what happened, what was kept, what to do."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from inspect_tui.errors import Busy, Damaged, DiskFull, InspectError, NotOurs, ReadOnly, RecordError
from inspect_tui.record.file.lock import busy_sentence
from inspect_tui.record.file.place import full
from inspect_tui.todo import Todo

_NO_ROOM_FOR_INDEX = 10 | 19 << 8  # SQLITE_IOERR_SHMSIZE: the index of the log cannot become longer
BUSY, LOCKED, NOMEM, READONLY, IOERR, CORRUPT, FULL, CANTOPEN, NOTADB = 5, 6, 7, 8, 10, 11, 13, 14, 26


def primary(error: BaseException) -> int:
    """SQLite's primary result code; 0 when there is none."""
    return int(getattr(error, "sqlite_errorcode", None) or 0) & 0xFF


def explain(error: sqlite3.Error, path: Path, waited_s: float, writing: bool = False) -> InspectError:
    """The error to raise in its place; `writing` says first that nothing was logged."""
    code, name, no = primary(error), path.name, "Not logged: " if writing else ""
    if code in (BUSY, LOCKED):
        return Busy(no + busy_sentence(path, waited_s), tells_fate=writing)
    if code == FULL or getattr(error, "sqlite_errorcode", 0) == _NO_ROOM_FOR_INDEX:
        return DiskFull(f"Not logged: {full(path)}.", todo=Todo.FREE_SPACE, tells_fate=True)
    if code == READONLY:
        return ReadOnly(
            f"{no}{name} may be read only. Ask for the right to write, or work on a copy.", tells_fate=writing
        )
    if code == IOERR:
        return RecordError(
            f"{no}the disk reported an error ({error}) with {name}. Try again, and have the disk looked at.",
            tells_fate=writing,
        )
    if code == CORRUPT:
        return Damaged(
            f"{name} is damaged ({error}). Nothing more is written to it: keep it, and go on with the newest backup."
        )
    if code == NOTADB:
        return NotOurs(f"{name} is not a record of this program; it was not touched.")
    if code == CANTOPEN:
        return RecordError(f"{name} cannot be opened: look at the rights of the file and of its folder.")
    if isinstance(error, sqlite3.IntegrityError):
        return RecordError(f"{no}the record refuses this ({error}).", tells_fate=writing)
    return RecordError(f"The record {name} could not be used ({error}).")
