"""Saves what can be read of a damaged record into a new file, and lists what is missing; the damaged one stays."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from errno import ENOSPC
from pathlib import Path
from time import time_ns

from inspect_tui.errors import DiskFull, NotOurs, RecordError
from inspect_tui.frozen import frozen
from inspect_tui.record.chain import past_damage
from inspect_tui.record.chain.canon import canonical, genesis, link
from inspect_tui.record.chain.ids import uuid7, uuid_text
from inspect_tui.record.chain.write import ADD_ENTRY, REBUILD_ALL
from inspect_tui.record.file import place, schema
from inspect_tui.record.file.backup import clear, private, sync
from inspect_tui.record.file.connect import to_read
from inspect_tui.record.file.create import lay_out
from inspect_tui.record.file.state import Memory
from inspect_tui.record.file.trouble import FULL, primary
from inspect_tui.record.kinds import BY_NUMBER, KINDS, Kind
from inspect_tui.todo import Todo

_MOST = 200  # missing rows named one by one
_TOLD_EVERY = 5_000  # rows


@frozen
class Salvaged:
    """`path` of the new record, rows saved by table, and a sentence for each thing that is missing."""

    path: Path
    counts: dict[str, int]
    missing: tuple[str, ...]


def salvage(
    damaged: Path, to: Path, state: Path, bench: str, program: str, watch: Callable[[int], None] | None = None
) -> Salvaged:
    """Read every table of `damaged` by key and write what can be read to a new record at `to`.

    Rows keep their ids and entries their hashes, so that `verify` shows what is missing; rows that name what was lost
    are kept. A new device begins (`salvaged`), which this machine remembers at `state`. `watch` is told how many rows
    are done. RecordError with a sentence where nothing at all can be read, or `to` is there already.
    """
    look = place.look(damaged)
    if not look.exists:
        raise RecordError(f"There is no record at {damaged}.")
    if to.exists():
        raise RecordError(f"{to} is there already and stays as it is: name another file.")
    steps = [step for step in schema.migrations(schema.shipped()) if step[0] <= look.version or not look.version]
    clear(to.parent, f".{to.name}.")
    half = to.with_name(f".{to.name}.{os.getpid()}")
    private(half)
    try:
        lay_out(half, steps)
        with closing(sqlite3.connect(half, isolation_level=None)) as new:
            saved = _copy(damaged, new, watch)
            new.execute("BEGIN")
            device, written = _begin_device(new, bench, program)
            new.execute("DELETE FROM cache_summary")
            new.execute(REBUILD_ALL)
            new.execute("COMMIT")
        sync(half)
        Memory(state, device, to.absolute(), 1, written).close()
        half.rename(to)
        sync(to.parent)
    except BaseException as wrong:
        half.unlink(missing_ok=True)
        if primary(wrong) == FULL or (isinstance(wrong, OSError) and wrong.errno == ENOSPC):
            raise DiskFull(
                f"Nothing was saved: {place.full(to)}. {damaged.name} is as it was. Name a place with more room.",
                todo=Todo.FREE_SPACE,
            ) from wrong
        if isinstance(wrong, sqlite3.Error):
            raise RecordError(f"Nothing could be saved from {damaged.name} ({wrong}).") from wrong
        raise
    return Salvaged(to, saved.counts, tuple(saved.missing))


class _Saved:
    def __init__(self, watch: Callable[[int], None] | None) -> None:
        self.counts: dict[str, int] = {}
        self.missing: list[str] = []
        self._watch, self._done = watch, 0

    def row(self, table: str) -> None:
        self.counts[table] = self.counts.get(table, 0) + 1
        self._done += 1
        if self._watch is not None and self._done % _TOLD_EVERY == 0:
            self._watch(self._done)


def _copy(damaged: Path, new: sqlite3.Connection, watch: Callable[[int], None] | None) -> _Saved:
    saved = _Saved(watch)
    with closing(sqlite3.connect(to_read(damaged), uri=True, isolation_level=None)) as old:
        try:
            there = {name for (name,) in old.execute("SELECT name FROM sqlite_schema WHERE type = 'table'")}
        except sqlite3.DatabaseError as wrong:
            raise NotOurs(f"The tables of {damaged.name} cannot be listed ({wrong}): nothing can be saved.") from wrong
        new.execute("PRAGMA foreign_keys=OFF")  # a row whose parent is lost is better than none
        new.execute("PRAGMA synchronous=OFF")
        new.execute("BEGIN")
        for kind in KINDS:
            if kind.table in there:
                _table(old, new, kind, saved)
        _entries(old, new, saved)
        new.execute("COMMIT")
    _what_is_missing(new, saved)
    return saved


def _table(old: sqlite3.Connection, new: sqlite3.Connection, kind: Kind, saved: _Saved) -> None:
    names = [row[1] for row in old.execute(f"PRAGMA table_info({kind.table})")]
    known = [name for name in kind.names if name in names]
    insert = f"INSERT INTO {kind.table} ({', '.join(known)}) VALUES ({','.join('?' * len(known))})"
    lost: list[tuple[int, int | None]] = []
    select = f"SELECT {', '.join(known)} FROM {kind.table} WHERE id > ? ORDER BY id"
    for row in past_damage.rows(old, select, (), 0, past_damage.IDS, lost):
        try:
            new.execute(insert, row)
        except sqlite3.IntegrityError as wrong:  # a value that no table takes: torn, not written so
            saved.missing.append(f"A row of {kind.table} ({uuid_text(row[0])}) is torn and was left out: {wrong}.")
            continue
        saved.row(kind.table)
    for before, behind in lost:
        saved.missing.append(f"Rows of {kind.table} {_between(before, behind)} cannot be read.")


def _between(before: int, behind: int | None) -> str:
    """The time of a gap: an id begins with the milliseconds of its making."""
    from datetime import UTC, datetime

    def day(number: int) -> str:
        return f"{datetime.fromtimestamp((number >> 80) / 1000, UTC):%Y-%m-%d %H:%M}"

    start = f"after {day(before)}" if before else "from the first"
    return f"written {start} and before {day(behind)} (UTC)" if behind is not None else f"written {start} (UTC)"


def _entries(old: sqlite3.Connection, new: sqlite3.Connection, saved: _Saved) -> None:
    names = "seq, kind, fmt, id, at_us, tz_min, by_id, hash"
    insert = f"INSERT INTO entry ({names}, device_id) VALUES (?,?,?,?,?,?,?,?,?)"
    select = f"SELECT {names} FROM entry WHERE device_id = ? AND seq > ? ORDER BY seq"
    for (device,) in new.execute("SELECT id FROM device ORDER BY id").fetchall():
        lost: list[tuple[int, int | None]] = []
        for row in past_damage.rows(old, select, (device,), 0, past_damage.SEQUENCE, lost):
            try:
                new.execute(insert, (*row, device))
            except sqlite3.IntegrityError as wrong:
                saved.missing.append(f"Entry {row[0]} of device {device.hex()[:8]} is torn and was left out: {wrong}.")
                continue
            saved.row("entry")
        for before, behind in lost:
            until = f" and before {behind}" if behind is not None else ""
            saved.missing.append(f"Entries of device {device.hex()[:8]} after number {before}{until} cannot be read.")


def _what_is_missing(new: sqlite3.Connection, saved: _Saved) -> None:
    """Name the rows that an entry speaks of and no table holds, and the rows without an entry."""
    rows = new.execute("SELECT device_id, seq, kind, id, at_us FROM entry ORDER BY device_id, seq").fetchall()
    from datetime import UTC, datetime

    gone = []
    for device, seq, number, row_id, at_us in rows:
        kind = BY_NUMBER.get(number)
        if kind is not None and new.execute(f"SELECT 1 FROM {kind.table} WHERE id = ?", (row_id,)).fetchone() is None:
            at = datetime.fromtimestamp(at_us / 1e6, UTC)
            gone.append(f"The {kind.what} of entry {seq}, device {device.hex()[:8]}, {at:%Y-%m-%d %H:%M} UTC, is lost.")
    saved.missing.extend(gone[:_MOST])
    if len(gone) > _MOST:
        saved.missing.append(f"... and {len(gone) - _MOST} more rows.")
    for kind in KINDS:
        try:
            (bare,) = new.execute(
                f"SELECT count(*) FROM {kind.table} t WHERE NOT EXISTS (SELECT 1 FROM entry e WHERE e.id = t.id)"
            ).fetchone()
        except sqlite3.OperationalError:
            continue  # a table of a later version
        if bare:
            are = f"1 row of {kind.table} is" if bare == 1 else f"{bare} rows of {kind.table} are"
            saved.missing.append(f"{are} saved without an entry: nothing proves {'it' if bare == 1 else 'them'}.")


def _begin_device(new: sqlite3.Connection, bench: str, program: str) -> tuple[bytes, bytes]:
    """The new file writes as itself from now on, from where the longest chain in it ends."""
    parent = new.execute(
        "SELECT device_id, max(seq), (SELECT shop_id FROM device d WHERE d.id = device_id) FROM entry "
        "GROUP BY device_id ORDER BY max(id) DESC LIMIT 1"
    ).fetchone()
    if parent is None:
        raise RecordError("No entry at all could be read: there is nothing to save. Go on with the newest backup.")
    kind = next(kind for kind in KINDS if kind.table == "device")
    device, at_us = uuid7(), time_ns() // 1000
    values = {
        "id": device,
        "bench": bench,
        "shop_id": parent[2] or uuid7(),
        "parent_id": parent[0],
        "parent_seq": parent[1],
        "why": "salvaged",
        "program": program,
    }
    row = [values[name] for name in kind.names]
    new.execute(kind.insert, row)
    written = link(genesis(device), canonical(kind.number, kind.fmt, device, 1, at_us, 0, None, row))
    new.execute(
        ADD_ENTRY,
        (device, 1, kind.number, kind.fmt, device, at_us, 0, None, written),
    )
    return device, written
