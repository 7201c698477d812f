"""Proves what a hub holds: every chain from its first entry, every row and picture; to be run each night.

A bench proves what it takes in, and what it sends again. Rows that nobody asks for are looked at here alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import frozen_by_name
from inspect_tui.hub.chain import chain
from inspect_tui.hub.connect import opened
from inspect_tui.hub.ddl import quoted
from inspect_tui.hub.exchange import check_version
from inspect_tui.record.care.whole import heads_on
from inspect_tui.record.chain.canon import genesis, head_text, link
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.chain.verify import Told
from inspect_tui.record.kinds import DEVICE, KINDS

if TYPE_CHECKING:
    import psycopg

    Watch = Callable[[int, int], None]

_MOST = 50  # problems named one by one
_TOLD_EVERY = 5_000  # entries


@frozen_by_name
class Checked:
    """`problems` and `notes` are sentences; `heads` are `device·seq·first 16 hex`; `counts` are rows by table."""

    problems: tuple[str, ...]
    notes: tuple[str, ...]
    heads: tuple[str, ...]
    counts: dict[str, int]

    @property
    def ok(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems


def check(address: str, printed: Sequence[str] = (), watch: Watch | None = None) -> Checked:
    """Check all that this login may read; `printed` are heads that were noted before, on papers or by the last check.

    To be asked as a login that reads all shops (hub_read); a bench's login checks its own shop. HubError with a
    sentence where the hub cannot be read at all.
    """
    import psycopg

    with opened(address) as con:
        check_version(con)
        con.isolation_level = psycopg.IsolationLevel.REPEATABLE_READ  # one view of it, whatever is sent meanwhile
        con.read_only = True
        with con.transaction():
            return _checked(con, printed, watch)


def _checked(con: psycopg.Connection[Any], printed: Sequence[str], watch: Watch | None) -> Checked:
    devices = con.execute(
        "SELECT device_id, count(*), min(of_shop), count(DISTINCT of_shop) FROM hub.entry GROUP BY device_id ORDER BY 1"
    ).fetchall()
    problems: list[str] = []
    if not devices:
        _against_heads(con, printed, problems)
        return Checked(problems=tuple(problems), notes=("This login sees no entry at all.",), heads=(), counts={})
    heads: list[str] = []
    told = Told(watch, sum(entries for _, entries, _, _ in devices), _TOLD_EVERY)
    names = {bytes(device): bench for device, bench in con.execute(f"SELECT id, bench FROM hub.{DEVICE.table}")}
    for device, _, shop, shops in devices:
        name = f"{names.get(bytes(device), '?')} ({bytes(device).hex()[:8]})"
        if shops > 1:
            problems.append(f"The entries of bench {name} stand under {shops} shops: it can be of one only.")
        heads.append(_follow(con, bytes(device), name, shop, problems, told))
    counts = _counts(con, problems)
    _against_heads(con, printed, problems)
    notes = _pictures(con, problems)
    if len(problems) > _MOST:
        problems[_MOST:] = [f"... and {len(problems) - _MOST} more."]
    return Checked(problems=tuple(problems), notes=tuple(notes), heads=tuple(heads), counts=counts)


def _follow(
    con: psycopg.Connection[Any], device: bytes, name: str, shop: int, problems: list[str], told: Callable[[], None]
) -> str:
    """Walk one chain; returns its head. After a break it goes on from the hash that is written."""
    seq, before = 0, genesis(device)
    for held in chain(con, device):
        told()
        whole = held.seq == seq + 1
        if not whole:
            problems.append(f"Bench {name}: entries {seq + 1} to {held.seq - 1} are missing.")
        seq = held.seq
        if held.kind is None:
            problems.append(f"Bench {name}, entry {seq}: this program does not know its kind {held.number}.")
        elif held.line is None:
            problems.append(f"Bench {name}, entry {seq}: its {held.kind.what} ({uuid_text(held.id)}) is missing.")
        elif whole and link(before, held.line.text) != held.hash:
            what = f"its {held.kind.what} ({uuid_text(held.id)}) or the entry"
            problems.append(f"Bench {name}, entry {seq}: {what} is not what was written.")
        before = held.hash
    return head_text(device, seq, before)


def _counts(con: psycopg.Connection[Any], problems: list[str]) -> dict[str, int]:
    """Rows by table; each must have its entry, of the same shop."""
    counts = {}
    for kind in KINDS:
        table = f"hub.{quoted(kind.table)}"
        row = con.execute(
            f"SELECT count(*), count(*) FILTER (WHERE e.id IS NULL), count(*) FILTER (WHERE e.of_shop <> t.of_shop) "
            f"FROM {table} t LEFT JOIN hub.entry e ON e.id = t.id AND e.kind = %s",
            (kind.number,),
        ).fetchone()
        assert row is not None
        counts[kind.table], bare, astray = row
        if bare:
            problems.append(f"{bare} rows of {kind.table} stand in no chain.")
        if astray:
            problems.append(f"{astray} rows of {kind.table} stand under another shop than their entries.")
    return counts


def _against_heads(con: psycopg.Connection[Any], printed: Sequence[str], problems: list[str]) -> None:
    for device, seq, begins in heads_on(printed, problems):
        row = con.execute("SELECT hash FROM hub.entry WHERE device_id = %s AND seq = %s", (device, seq)).fetchone()
        if row is None:
            problems.append(f"Entry {seq} of device {device.hex()[:8]} was known before; the hub does not hold it.")
        elif not bytes(row[0]).hex().startswith(begins):
            problems.append(f"Entry {seq} of device {device.hex()[:8]} is not the one that was known before.")


def _pictures(con: psycopg.Connection[Any], problems: list[str]) -> list[str]:
    """Pictures with another content are problems; one that is not there may be at a bench, or lost there."""
    wrong = con.execute("SELECT sha256 FROM hub.picture WHERE sha256 <> encode(sha256(content), 'hex')").fetchall()
    away = con.execute(
        "SELECT DISTINCT a.shown_name FROM hub.attachment a LEFT JOIN hub.picture p "
        "ON p.of_shop = a.of_shop AND p.sha256 = a.sha256 WHERE p.sha256 IS NULL ORDER BY 1"
    ).fetchall()
    problems.extend(f"The picture {digest[:16]}… at the hub is not what was kept." for (digest,) in wrong)
    return [f"The picture {name} is not at the hub: sync from the bench that has it." for (name,) in away]
