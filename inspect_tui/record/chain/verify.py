"""Proves that a record is what was written: every hash made again, every row in a chain, every trigger in its place.

It shows any changed, removed or reordered row. It cannot by itself show that a whole tail was cut off or written
anew: that is what the heads printed on reports are for. Tamper-evident, not tamper-proof.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping

from inspect_tui.frozen import frozen
from inspect_tui.record.chain.canon import canonical, genesis, head_text, link
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.kinds import BY_NUMBER, KINDS, Kind, triggers

_MOST = 50  # problems named one by one; a file changed throughout needs no longer list


@frozen
class Verification:
    """`problems` are sentences; `heads` are `device·seq·first 16 hex`; `counts` are rows by table."""

    ok: bool
    problems: tuple[str, ...]
    heads: tuple[str, ...]
    counts: dict[str, int]


def verify(con: sqlite3.Connection, since: Mapping[bytes, int] | None = None) -> Verification:
    """Check the whole record; with `since` (device -> last number already verified) only the chains after that."""
    problems: list[str] = []
    heads: list[str] = []
    counts: dict[str, int] = {}
    inside = con.in_transaction  # a migration proves itself before it commits
    if not inside:
        con.execute("BEGIN")  # one view of the file, whatever is logged meanwhile
    try:
        version = con.execute("PRAGMA user_version").fetchone()[0]
        kinds = [kind for kind in KINDS if kind.version <= version]  # a backup from before a migration is whole too
        _soundness(con, kinds, problems)
        for kind in kinds:
            try:
                counts[kind.table] = con.execute(f"SELECT count(*) FROM {kind.table}").fetchone()[0]
                _strays(con, kind.table, kind.number, problems)
            except sqlite3.OperationalError as error:
                problems.append(f"The table {kind.table} cannot be read: {error}.")
        for (device,) in con.execute("SELECT DISTINCT device_id FROM entry ORDER BY device_id").fetchall():
            heads.append(follow(con, device, (since or {}).get(device, 0), problems))
    except sqlite3.DatabaseError as error:
        problems.append(f"The file is damaged: {error}.")
    finally:
        if not inside:
            con.execute("ROLLBACK")
    if len(problems) > _MOST:
        problems[_MOST:] = [f"... and {len(problems) - _MOST} more."]
    return Verification(not problems, tuple(problems), tuple(heads), counts)


def _soundness(con: sqlite3.Connection, kinds: list[Kind], problems: list[str]) -> None:
    for (text,) in con.execute("PRAGMA quick_check(10)"):
        if text != "ok":
            problems.append(f"The file is damaged: {text}.")
    for table, _, parent, _ in con.execute("PRAGMA foreign_key_check"):
        problems.append(f"A row of {table} names a row of {parent} that is not there.")
    there = {
        name: " ".join(sql.split())
        for name, sql in con.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
    }
    wanted = triggers("entry", "device_id seq")
    for kind in kinds:
        wanted |= triggers(kind.table, kind.unique)
    for name, sql in wanted.items():
        if there.get(name) != sql:
            problems.append(f"The trigger {name} is {'changed' if name in there else 'missing'}.")


def _strays(con: sqlite3.Connection, table: str, number: int, problems: list[str]) -> None:
    rows = con.execute(
        f"SELECT t.id FROM {table} t LEFT JOIN entry e ON e.id = t.id AND e.kind = ? WHERE e.id IS NULL LIMIT 10",
        (number,),
    )
    for (row_id,) in rows:
        problems.append(f"{table} {uuid_text(row_id)} stands in no chain.")


def follow(con: sqlite3.Connection, device: bytes, since: int, problems: list[str]) -> str:
    """Walk one device's chain; returns its head. After a break it goes on from the hash that is written."""
    seq, before = since, genesis(device)
    if since:
        row = con.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, since)).fetchone()
        if row is None:
            problems.append(f"Device {device.hex()}: number {since}, verified before, is gone.")
            seq = 0
        else:
            before = row[0]
    selects = {
        (kind.number, fmt): f"SELECT {', '.join(names)} FROM {kind.table} WHERE id = ?"
        for kind in KINDS
        for fmt in range(1, kind.fmt + 1)
        if (names := kind.names_of(fmt)) is not None
    }
    entries = con.execute(
        "SELECT seq, kind, fmt, id, at_us, tz_min, by_id, hash FROM entry WHERE device_id = ? AND seq > ? ORDER BY seq",
        (device, seq),
    )
    one = con.cursor()
    for number, kind, fmt, row_id, at_us, tz_min, by_id, written in entries:
        if number != seq + 1:
            problems.append(f"Device {device.hex()}: entries {seq + 1} to {number - 1} are missing.")
        seq = number
        select = selects.get((kind, fmt))
        if select is None:
            problems.append(f"Entry {seq}: this program does not know kind {kind}, format {fmt}.")
            before = written
            continue
        row = one.execute(select, (row_id,)).fetchone()
        table = BY_NUMBER[kind].table
        if row is None:
            problems.append(f"Entry {seq}: {table} {uuid_text(row_id)} is missing.")
        elif link(before, canonical(kind, fmt, device, seq, at_us, tz_min, by_id, row)) != written:
            problems.append(f"Entry {seq}: {table} {uuid_text(row_id)} or its entry is not what was written.")
        before = written
    return head_text(device, seq, before)
