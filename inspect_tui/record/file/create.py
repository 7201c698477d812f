"""Makes a new record: whole under another name, flushed, and only then given its own."""

from __future__ import annotations

import errno
import os
import sqlite3
from collections.abc import Sequence
from pathlib import Path

from inspect_tui.errors import DiskFull, RecordError
from inspect_tui.record.chain.canon import genesis
from inspect_tui.record.chain.ids import Clock, IdMaker
from inspect_tui.record.chain.write import Transaction
from inspect_tui.record.file import place, schema
from inspect_tui.record.file.backup import clear, private, sync
from inspect_tui.record.file.connect import pragma
from inspect_tui.record.file.lock import FileLock
from inspect_tui.record.file.state import Memory, state_dir
from inspect_tui.record.file.trouble import explain
from inspect_tui.record.kinds import Device


def lay_out(new: Path, steps: Sequence[schema.Step]) -> None:
    """Make the file at `new`, which is not there yet or empty, with all its tables and nothing in them.

    It is nobody's record yet and is flushed as a whole later on, so no step of it waits for the disk; it is proven when
    the last table stands.
    """
    con = sqlite3.connect(new, isolation_level=None)
    try:
        con.execute("PRAGMA foreign_keys=ON")
        con.execute("PRAGMA synchronous=OFF")
        for number, file in steps:
            schema.apply(con, number, file, proven=number == steps[-1][0])
    finally:
        con.close()


def create(
    path: Path,
    steps: Sequence[schema.Step],
    busy_s: float,
    state: Path | None,
    clock: Clock,
    ids: IdMaker,
    bench: str,
    program: str,
) -> None:
    """Make a record at `path` with its first device; does nothing when another program was quicker."""
    lock = FileLock(Path(f"{path}.lock"), busy_s)
    new = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        with lock:
            if path.exists() and path.stat().st_size:
                return
            clear(path.parent, f".{path.name}.")
            private(new)
            lay_out(new, steps)
            con = sqlite3.connect(new, isolation_level=None)
            try:
                con.execute("PRAGMA foreign_keys=ON")
                con.execute("BEGIN IMMEDIATE")
                device = ids()
                tx = Transaction(con, device, 0, genesis(device), clock, ids, {})
                tx.put(Device(id=device, bench=bench, shop_id=ids(), program=program), None)
                con.execute("COMMIT")
                pragma(con, "journal_mode=WAL")
            finally:
                con.close()
            sync(new)
            # remembered before the file has its name: a crash between the two leaves a memory without a file, no harm
            Memory(state_dir(state), device, path, tx.seq, tx.head).close()
            new.replace(path)
            sync(path.parent)
    except sqlite3.Error as error:
        raise explain(error, path, busy_s) from error
    except OSError as error:
        if error.errno == errno.ENOSPC:
            raise DiskFull(f"No record was made: {place.full(path)}.") from error
        raise RecordError(f"No record can be made at {path} ({error.strerror}).") from error
    finally:
        new.unlink(missing_ok=True)
        lock.close()
