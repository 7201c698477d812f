"""Copies of a record by SQLite's backup interface (never a file copy), verified before they get their name."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Mapping
from contextlib import suppress
from errno import ENOSPC
from pathlib import Path

from inspect_tui.errors import DiskFull, RecordError
from inspect_tui.record.chain.verify import verify
from inspect_tui.record.file.place import full
from inspect_tui.record.file.trouble import FULL, primary

LEFT_S = 3600  # a file that is still being written changes far more often


def back_up(
    con: sqlite3.Connection,
    source: Path,
    folder: Path,
    stamp: str,
    label: str = "",
    proved: Mapping[bytes, int] | None = None,
) -> Path:
    """Copy what `con` sees to `<folder>/<name>-<stamp>[-<label>].db`, prove it, and return its path.

    The copy is one file without a log beside it. A copy that cannot be proved is removed and RecordError raised. Up to
    the numbers in `proved` (by device) the chains were proved in an earlier copy and are not walked again.
    """
    word = "".join(c if c.isalnum() else "-" for c in label).strip("-")
    name = f"{source.stem}-{stamp}" + (f"-{word}" if word else "")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        clear(folder, f".{source.stem}-")
        final, again = folder / f"{name}.db", 1
        while final.exists():
            again += 1
            final = folder / f"{name}-{again}.db"
        new = folder / f".{final.name}.{os.getpid()}"
    except OSError as error:
        raise RecordError(f"No backup: {folder} cannot be written ({error.strerror}).") from error
    try:
        private(new)
        copy = sqlite3.connect(new, isolation_level=None)
        try:
            con.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
            _prove(copy, proved)
        finally:
            copy.close()
        sync(new)
        new.replace(final)
        sync(folder)
    except (sqlite3.Error, OSError) as error:
        if primary(error) == FULL or getattr(error, "errno", 0) == ENOSPC:
            raise DiskFull(f"No backup: {full(final)}.") from error
        raise RecordError(f"No backup in {folder}: {error}.") from error
    finally:
        new.unlink(missing_ok=True)
    return final


def _prove(copy: sqlite3.Connection, proved: Mapping[bytes, int] | None) -> None:
    checked = verify(copy, proved)
    if not checked.ok:
        raise RecordError(f"The backup was not kept, it does not verify: {checked.problems[0]}")
    written = copy.execute("SELECT count(*) FROM entry").fetchone()[0]
    if sum(checked.counts.values()) != written:
        raise RecordError("The backup was not kept: it does not hold a row for each entry.")


def private(path: Path) -> None:
    """Make an empty file that only its owner may read; SQLite gives its log the same rights."""
    os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0), 0o600))


def clear(folder: Path, begins: str) -> None:
    """Remove what programs that were killed left half written: files of this beginning that nobody writes any more."""
    with suppress(OSError):
        for file in list(os.scandir(folder)):
            if file.name.startswith(begins) and _is_half_written(file.name):
                with suppress(OSError):
                    if file.is_file(follow_symlinks=False) and time.time() - file.stat().st_mtime > LEFT_S:
                        Path(file.path).unlink()


def _is_half_written(name: str) -> bool:
    """Named after the process that wrote it, `.NAME.1234` or `.NAME.1234.new`, or what SQLite keeps beside such."""
    for end in ("-journal", "-wal", "-shm"):
        name = name.removesuffix(end)
    return name.removesuffix(".new").rpartition(".")[2].isdigit()


def sync(path: Path) -> None:
    """Flush a file, or the names in a folder, to the disk."""
    if os.name == "nt" and path.is_dir():
        return
    fd = os.open(path, os.O_RDONLY)
    try:
        os.fsync(fd)
    finally:
        os.close(fd)
