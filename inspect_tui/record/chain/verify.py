"""Proves that a record is what was written: every hash made again, every row in a chain, every trigger in its place.

It shows any changed, removed or reordered row. It cannot by itself show that a whole tail was cut off or written
anew: that is what the heads printed on reports are for. Tamper-evident, not tamper-proof.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress

from inspect_tui.frozen import frozen
from inspect_tui.record.chain import past_damage
from inspect_tui.record.chain.canon import canonical, genesis, head_text, link
from inspect_tui.record.chain.ids import uuid_text, written_ms
from inspect_tui.record.kinds import BY_NUMBER, KINDS, Kind, triggers

_TOLD_EVERY = 20_000  # entries
_HOUR_MS = 3_600_000
_MOST = 50  # problems named one by one; a file changed throughout needs no longer list


@frozen
class Verification:
    """`problems` are sentences; `heads` are `device·seq·first 16 hex`; `counts` are rows by table."""

    ok: bool
    problems: tuple[str, ...]
    heads: tuple[str, ...]
    counts: dict[str, int]


def verify(
    con: sqlite3.Connection,
    since: Mapping[bytes, int] | None = None,
    watch: Callable[[int, int], None] | None = None,
    pages: bool = True,
) -> Verification:
    """Check the whole record; with `since` (device -> last number already verified) only what was written after that.

    It goes on after damage with what can be read. `watch` is told now and then how many of how many entries are done.
    `pages`: False with `since` reads nothing of what is older, neither pages nor counts.
    """
    since = since or {}
    problems: list[str] = []
    heads: list[str] = []
    counts: dict[str, int] = {}
    inside = con.in_transaction  # a migration proves itself before it commits
    if not inside:
        con.execute("BEGIN")  # one view of the file, whatever is logged meanwhile
    try:
        version = con.execute("PRAGMA user_version").fetchone()[0]
        kinds = [kind for kind in KINDS if kind.version <= version]  # a backup from before a migration is whole too
        ends = _devices(con, problems)
        told = Told(watch, sum(max(end - since.get(device, 0), 0) for device, end in ends.items()), _TOLD_EVERY)
        with _damage_told(problems):
            if pages:
                _pages(con, problems)
            if not since:
                _references(con, problems)
            _guards(con, kinds, version, problems)
        floor = _first_behind(con, ends, since) if since else b""
        for kind in kinds:
            try:
                if pages:
                    counts[kind.table] = con.execute(f"SELECT count(*) FROM {kind.table}").fetchone()[0]
                _strays(con, kind.table, kind.number, floor, problems)
            except sqlite3.DatabaseError as error:
                problems.append(f"The table {kind.table} cannot be read: {error}.")
        for device in ends:
            with _damage_told(problems):
                heads.append(follow(con, device, since.get(device, 0), problems, told))
    except sqlite3.DatabaseError as error:
        problems.append(f"The file is damaged: {error}.")
    finally:
        if not inside:
            con.execute("ROLLBACK")
    if len(problems) > _MOST:
        problems[_MOST:] = [f"... and {len(problems) - _MOST} more."]
    return Verification(not problems, tuple(problems), tuple(heads), counts)


@contextmanager
def _damage_told(problems: list[str]) -> Iterator[None]:
    try:
        yield
    except sqlite3.DatabaseError as error:
        problems.append(f"The file is damaged: {error}.")


def _devices(con: sqlite3.Connection, problems: list[str]) -> dict[bytes, int]:
    """Each device that wrote here, with its last number: by its entries, else by its row."""
    ends: dict[bytes, int] = {}
    device: bytes | None = b""
    while device is not None:  # one step of the index each, not a walk through all entries
        try:
            (device,) = con.execute("SELECT min(device_id) FROM entry WHERE device_id > ?", (device,)).fetchone()
            if device is not None:
                ends[device] = con.execute("SELECT max(seq) FROM entry WHERE device_id = ?", (device,)).fetchone()[0]
        except sqlite3.DatabaseError as error:
            problems.append(f"The file is damaged: {error}.")
            with suppress(sqlite3.DatabaseError):
                for (other,) in con.execute("SELECT id FROM device ORDER BY id"):
                    ends.setdefault(other, 0)
            break
    return ends


class Told:
    """Counts entries over all chains, and tells of every so many that are done, and of the last."""

    def __init__(self, watch: Callable[[int, int], None] | None, total: int, every: int) -> None:
        self._watch, self._total, self._every, self._done = watch, total, every, 0
        if watch is not None and total > every:
            watch(0, total)  # pages and references are looked at first, which takes a while

    def __call__(self) -> None:
        """One entry more is done."""
        if self._watch is not None:
            self._done += 1
            if self._done % self._every == 0 or self._done == self._total:
                self._watch(self._done, self._total)


def _first_behind(con: sqlite3.Connection, ends: Mapping[bytes, int], since: Mapping[bytes, int]) -> bytes:
    """An id below those of all rows that were written behind these numbers: by the time in ids, and an hour earlier.

    Rows of one writing may have their ids in any order, and an id may be given some time before its row is written.
    """
    wrote = [device for device, end in ends.items() if end > since.get(device, 0)]  # one may be silent for years
    ids: list[bytes] = []
    with suppress(sqlite3.DatabaseError):  # said where the chain is walked
        for device in wrote or ends:
            ids += (
                con.execute(
                    "SELECT id FROM entry WHERE device_id = ? AND seq >= ? ORDER BY seq LIMIT 1",
                    (device, since.get(device, 0)),
                ).fetchone()
                or ()
            )
        if ids:
            return max(written_ms((min if wrote else max)(ids)) - _HOUR_MS, 0).to_bytes(6, "big")
    return b""


def _pages(con: sqlite3.Connection, problems: list[str]) -> None:
    for (text,) in con.execute("PRAGMA quick_check(10)"):
        if text != "ok":
            problems.append(f"The file is damaged: {text}.")


def _references(con: sqlite3.Connection, problems: list[str]) -> None:
    for table, _, parent, _ in con.execute("PRAGMA foreign_key_check"):
        problems.append(f"A row of {table} names a row of {parent} that is not there.")


def _guards(con: sqlite3.Connection, kinds: list[Kind], version: int, problems: list[str]) -> None:
    there = {
        name: " ".join(sql.split())
        for name, sql in con.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
    }
    wanted = triggers("entry", "device_id seq")
    for kind in kinds:
        wanted |= triggers(kind.table, kind.unique_in(version))
    for name, sql in wanted.items():
        if there.get(name) != sql:
            problems.append(f"The trigger {name} is {'changed' if name in there else 'missing'}.")


def _strays(con: sqlite3.Connection, table: str, number: int, floor: bytes, problems: list[str]) -> None:
    """Rows from the id `floor` on that have no entry."""
    rows = con.execute(
        f"SELECT t.id FROM {table} t LEFT JOIN entry e ON e.id = t.id AND e.kind = ? "
        "WHERE t.id >= ? AND e.id IS NULL LIMIT 10",
        (number, floor),
    )
    for (row_id,) in rows:
        problems.append(f"{table} {uuid_text(row_id)} stands in no chain.")


def follow(
    con: sqlite3.Connection,
    device: bytes,
    since: int,
    problems: list[str],
    told: Callable[[], None] = lambda: None,
) -> str:
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
    unread: list[tuple[int, int | None]] = []
    entries = past_damage.rows(
        con,
        "SELECT seq, kind, fmt, id, at_us, tz_min, by_id, hash FROM entry WHERE device_id = ? AND seq > ? ORDER BY seq",
        (device,),
        seq,
        past_damage.SEQUENCE,
        unread,
    )
    single = con.cursor()
    for number, kind, fmt, row_id, at_us, tz_min, by_id, written in entries:
        told()
        if number != seq + 1:
            problems.append(f"Device {device.hex()}: entries {seq + 1} to {number - 1} are missing.")
        broken = number != seq + 1
        seq = number
        select = selects.get((kind, fmt))
        if select is None:
            problems.append(f"Entry {seq}: this program does not know kind {kind}, format {fmt}.")
            before = written
            continue
        table = BY_NUMBER[kind].table
        try:
            row = single.execute(select, (row_id,)).fetchone()
        except sqlite3.DatabaseError as error:
            problems.append(f"Entry {seq}: {table} {uuid_text(row_id)} cannot be read: {error}.")
            before = written
            continue
        if row is None:
            problems.append(f"Entry {seq}: {table} {uuid_text(row_id)} is missing.")
        elif not broken and link(before, canonical(kind, fmt, device, seq, at_us, tz_min, by_id, row)) != written:
            name = reading_words(con, row_id) if table == "reading" else ""
            problems.append(f"Entry {seq}: {table} {uuid_text(row_id)}{name} or its entry is not what was written.")
        before = written
    if unread and unread[-1][1] is None:
        problems.append(f"Device {device.hex()}: what stands after entry {unread[-1][0]} cannot be read.")
    return head_text(device, seq, before)


def reading_words(con: sqlite3.Connection, reading_id: bytes) -> str:
    """` (59.66 of F12 on box 3)`: what a person knows a reading by, as it stands there now; '' where that is unread."""
    with suppress(sqlite3.DatabaseError):
        row = con.execute(
            "SELECT r.typed, r.typed_unit, f.balloon, coalesce(t.label, i.serial, '?') FROM reading r "
            "LEFT JOIN feature f ON f.id = r.feature_id LEFT JOIN tool t ON t.id = r.tool_id "
            "LEFT JOIN item i ON i.id = r.item_id WHERE r.id = ?",
            (reading_id,),
        ).fetchone()
        if row is not None:
            return f" ({row[0]} {row[1]} of {row[2]} on {row[3]})"
    return ""
