"""Opens SQLite connections with the settings that durability rests on, and checks that they were really taken."""

from __future__ import annotations

import sqlite3
import sys
from pathlib import Path

from inspect_tui.errors import NotOurs, RecordError, TooNew
from inspect_tui.record.file.place import APPLICATION_ID

_EVERY = (
    "PRAGMA synchronous=FULL",
    "PRAGMA foreign_keys=ON",
    "PRAGMA recursive_triggers=ON",
    "PRAGMA trusted_schema=OFF",
    "PRAGMA cell_size_check=ON",
    "PRAGMA mmap_size=0",
    "PRAGMA cache_size=-16000",  # KiB; reading 100,000 values is 2 ms quicker than with the usual 2 MB
    "PRAGMA wal_autocheckpoint=0",  # checkpoints take our lock, so they are made by hand
)
_MAC = ("PRAGMA fullfsync=ON", "PRAGMA checkpoint_fullfsync=ON")  # plain fsync there does not reach the platter


def uri(path: Path, options: str) -> str:
    """A file: URI; SQLite takes the path as UTF-8 and needs only these three escaped."""
    plain = str(path).replace("%", "%25").replace("?", "%3f").replace("#", "%23")
    return f"file:{plain}?{options}"


def to_read(path: Path) -> str:
    """The URI that reads a file as it lies: with its log where there is one, else complete in itself."""
    return uri(path, "mode=ro" if Path(f"{path}-wal").exists() else "immutable=1")


def connect_writer(path: Path, busy_s: float) -> sqlite3.Connection:
    """A connection that writes durably to an existing record."""
    con = sqlite3.connect(uri(path, "mode=rw"), uri=True, timeout=busy_s, isolation_level=None, cached_statements=256)
    try:
        check_ours(con, path)
        if pragma(con, "journal_mode") != "wal" and pragma(con, "journal_mode=WAL") != "wal":
            raise RecordError(f"{path.name} cannot be written durably here: this disk refuses the write-ahead log.")
        for statement in (*_EVERY, *(_MAC if sys.platform == "darwin" else ())):
            con.execute(statement)
        if pragma(con, "synchronous") != 2 or pragma(con, "foreign_keys") != 1:
            raise RecordError("This build of SQLite ignores the settings that keep a record: use another one.")
    except BaseException:
        con.close()
        raise
    return con


def connect_reader(path: Path, busy_s: float) -> sqlite3.Connection:
    """A connection that only reads; it also reads a record on a write-protected stick."""
    options = "mode=ro"
    con = sqlite3.connect(uri(path, options), uri=True, timeout=busy_s, isolation_level=None, cached_statements=256)
    try:
        try:
            con.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchone()
        except sqlite3.OperationalError:
            if Path(f"{path}-wal").exists():
                raise
            # a folder that cannot hold the -shm file: with no log beside it the file is complete in itself
            con.close()
            con = sqlite3.connect(uri(path, "immutable=1"), uri=True, isolation_level=None, cached_statements=256)
        check_ours(con, path)
        for statement in ("PRAGMA query_only=ON", "PRAGMA trusted_schema=OFF", "PRAGMA cell_size_check=ON"):
            con.execute(statement)
    except BaseException:
        con.close()
        raise
    return con


def check_ours(con: sqlite3.Connection, path: Path) -> None:
    """Look once more, through SQLite: the log beside the file may be newer than its first page."""
    if pragma(con, "application_id") != APPLICATION_ID:
        raise NotOurs(f"{path.name} belongs to another program; it was not touched.")


def check_version(path: Path, version: int, known: int) -> None:
    """Refuse what a newer program made."""
    if version > known:
        raise TooNew(
            f"{path.name} was made by version {version} of the record; this program knows version {known}. "
            "Nothing was changed: use the newer program."
        )


def pragma(con: sqlite3.Connection, text: str) -> object:
    """The first value that a PRAGMA answers."""
    row = con.execute(f"PRAGMA {text}").fetchone()
    return None if row is None else row[0]
