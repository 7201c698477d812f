"""The ends of the chains of a record: what it knows, small enough to compare two files by."""

from __future__ import annotations

import sqlite3

from inspect_tui.record.file.devices import end_of

Heads = dict[bytes, tuple[int, bytes]]  # device -> number and hash of its last entry


def heads_of(con: sqlite3.Connection) -> Heads:
    """The last number and hash of every device in this file."""
    ends = [end_of(con, device) for (device,) in con.execute("SELECT id FROM device").fetchall()]
    return {end.device: (end.seq, end.head) for end in ends if end.seq}


def holds(con: sqlite3.Connection, heads: Heads) -> bool:
    """Whether every one of these ends lies in this file, so that it knows all that the other one knows."""
    return all(
        con.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, seq)).fetchone() == (written,)
        for device, (seq, written) in heads.items()
    )
