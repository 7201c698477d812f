"""Recognises a log (`-wal`) that belongs to another file or another day, before SQLite would replay it.

Somebody puts a copy back by hand and leaves the old log beside it: SQLite takes what stands in the log for the newest
pages of the copy. Nothing in the log says whose it is, but the chain does: read with its own log a record only goes
on from where it stands without it.
"""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path
from time import gmtime, strftime

from inspect_tui.frozen import NamedTuple
from inspect_tui.record.chain.verify import follow
from inspect_tui.record.file.connect import uri
from inspect_tui.record.file.devices import end_of, find

try:
    import fcntl
except ImportError:
    fcntl = None  # type: ignore[assignment]

_FRAMES_FROM = 32  # bytes of the head of a log; one that is shorter holds nothing
_LIVE_BYTE = 128  # of the -shm: every connection that is open holds a lock on it


class Heads(NamedTuple):
    """The last number and hash of each device as the file shows them; `sound` is False where that cannot be read."""

    sound: bool
    by_device: dict[bytes, tuple[int, bytes]]


def belongs(path: Path, state: Path) -> bool:
    """Whether the log beside the file, where there is one, goes on from what the file holds.

    False only where what the file holds without it is not there with it, or what stands behind that is no chain. Every
    entry that can be read without the log is a true one, also in a file that is torn because a power cut came while
    the log was folded in: there it is found again with the log. A file that cannot be read without its log needs it.
    `state` is where this machine remembers what it wrote.
    """
    log = Path(f"{path}-wal")
    try:
        if log.stat().st_size <= _FRAMES_FROM or in_use(path):
            return True
    except OSError:
        return True
    alone = _heads(path)
    if not alone.sound:
        return True
    return _goes_on(path, alone.by_device, state)


def in_use(path: Path) -> bool:
    """Whether another program has the file open: it looked at the log before us."""
    if fcntl is None:
        return False
    try:
        fd = os.open(f"{path}-shm", os.O_RDWR)
    except OSError:
        return False
    try:
        fcntl.lockf(fd, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, _LIVE_BYTE)
        fcntl.lockf(fd, fcntl.LOCK_UN, 1, _LIVE_BYTE)
    except OSError:
        return True
    finally:
        os.close(fd)
    return False


def _connect(path: Path, options: str) -> sqlite3.Connection:
    con = sqlite3.connect(uri(path, options), uri=True, isolation_level=None)
    con.execute("PRAGMA query_only=ON")
    con.execute("PRAGMA cell_size_check=ON")
    return con


def _heads(path: Path) -> Heads:
    con = _connect(path, "immutable=1")
    try:
        ends = [end_of(con, device) for (device,) in con.execute("SELECT id FROM device").fetchall()]
        return Heads(True, {end.device: (end.seq, end.head) for end in ends if end.seq})
    except sqlite3.DatabaseError:
        return Heads(False, {})
    finally:
        con.close()


def _goes_on(path: Path, heads: dict[bytes, tuple[int, bytes]], state: Path) -> bool:
    """Whether the file with its log holds these heads and an unbroken chain behind each of them.

    Read only, so that closing does not fold the log in.
    """
    con = _connect(path, "mode=ro")
    try:
        con.execute("BEGIN")
        for device, (seq, written) in heads.items():
            row = con.execute("SELECT hash FROM entry WHERE device_id = ? AND seq = ?", (device, seq)).fetchone()
            if row is None or row[0] != written:
                return False
        problems: list[str] = []
        for (device,) in con.execute("SELECT id FROM device").fetchall():
            follow(con, device, heads[device][0] if device in heads else 0, problems)
        if problems:
            return False
        if find(con, state, path)[1] == "":
            return True  # what this machine wrote last is in it
        (sound,) = con.execute("PRAGMA quick_check(1)").fetchone()  # as long as the file is large, so only then
        return bool(sound == "ok")
    except sqlite3.DatabaseError:
        return False
    finally:
        con.close()


def move_aside(path: Path) -> Path:
    """Give the log and its index another name beside the file; returns the log's new name."""
    stamp = strftime("%Y%m%d-%H%M%S", gmtime())
    kept = path.with_name(f"{path.name}-wal.stray-{stamp}")
    again = 1
    while kept.exists():
        again += 1
        kept = path.with_name(f"{path.name}-wal.stray-{stamp}-{again}")
    Path(f"{path}-wal").rename(kept)
    Path(f"{path}-shm").unlink(missing_ok=True)
    return kept
