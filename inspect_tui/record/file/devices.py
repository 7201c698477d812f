"""Which device a file goes on as: the one this machine remembers for it, or a new one for a copy or a restored file."""

from __future__ import annotations

import sqlite3
from pathlib import Path

from inspect_tui.frozen import NamedTuple
from inspect_tui.record.chain.canon import genesis
from inspect_tui.record.file.state import remembered


class ChainEnd(NamedTuple):
    """Where a device's chain ends in this file; `id` is the last row's, empty before the first."""

    device: bytes
    seq: int
    head: bytes
    id: bytes = b""


def end_of(con: sqlite3.Connection, device: bytes) -> ChainEnd:
    """The last entry of a device."""
    row = con.execute(
        "SELECT seq, hash, id FROM entry WHERE device_id = ? ORDER BY seq DESC LIMIT 1", (device,)
    ).fetchone()
    return ChainEnd(device, 0, genesis(device)) if row is None else ChainEnd(device, *row)


def find(con: sqlite3.Connection, directory: Path, path: Path) -> tuple[ChainEnd | None, str]:
    """The end of the chain to go on with and '', or the end of the parent's chain and why a new device begins.

    why is `restored` when the file is behind what is remembered or has another hash there, `copied` when none of its
    devices is remembered for this file.
    """
    devices = [row[0] for row in con.execute("SELECT id FROM device ORDER BY id DESC")]
    why = "copied"
    for device in devices:
        known = remembered(directory, device)
        if known is None or (known.path != path and _another_file(known.path, path)):
            continue
        there = con.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, known.seq)).fetchone()
        if there is not None and there[0] == known.head:
            return end_of(con, device), ""
        why = "restored"
    return (end_of(con, devices[0]) if devices else None), why


def lineage(con: sqlite3.Connection, device: bytes) -> list[bytes]:
    """A device and those whose files it went on from, oldest first."""
    own: list[bytes] = []
    at: bytes | None = device
    while at is not None and at not in own:
        own.append(at)
        row = con.execute("SELECT parent_id FROM device WHERE id = ?", (at,)).fetchone()
        at = row[0] if row else None
    return own[::-1]


def _another_file(known: Path, path: Path) -> bool:
    """True when the remembered path is a file still there, and not this one: this one is a copy."""
    try:
        return not known.samefile(path)
    except OSError:
        return False  # gone: the file was moved here
