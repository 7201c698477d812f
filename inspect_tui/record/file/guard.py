"""Looks before and after each write: is this still the file that the path names, whole as it was made?

A file that was moved, deleted or put in another's place goes on taking what is written to it, where nobody will ever
look for it. A trigger that somebody added can make an insert do nothing at all without an error.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path

from inspect_tui.errors import RecordError, TooNew
from inspect_tui.record.chain.canon import canonical, genesis, link, sha256
from inspect_tui.record.file.connect import pragma
from inspect_tui.record.kinds import BY_NUMBER
from inspect_tui.todo import Todo

# SHA-256 over the SQL of every table, index, view and trigger, by version of the schema; a test makes them again.
WHOLE = {
    1: "1e6f307aa0edbbe17f2a285ffa8c1351107ef79f86fc3b2338e63cc2b0e07926",
    2: "96bfe87b21966718cd49755a4e56e63d457fe18178e5a5c49090072ddd1656a9",
    3: "4ab5d9bbace55250bad23f8ace930ae0c1993eba34564dc1f2c52e35987da191",
    4: "ba432035bbfb7d8ff23f18b9aced9fd64dfa9b11cca979ca5706a0d29cf02fb7",
    5: "d9c8c03e5c534012d9376c6b4a9d3adeb1e6313939094278529d1b72f20ed2a4",
    6: "9419014531a6736f8fb95ec421fa0148da2ad36e42c5c26ca3869cb307d6fea7",
    7: "4d705ba1c9c731884eea916ed791874b91ba5884b34369a872052fe522f644e4",
    8: "406fbdf638bbcaecaf2e469d705f91096da31f77f793e6f1396329030b3e35b8",
    9: "3127537ab3427200333f9ed14c7ebd1c99bcfe6c51296da05fe97cb685f89abc",
    10: "13e5a836e3816fc50ed2f6e099d2136a10674f999dd4fab9e4d6c8be26bd5a8b",
    11: "3d4c1bb5a560487f52a54932bf858609a0c82144b7058fd66b62a572ab7041f8",
    12: "7f48163fc6766199d215600cabe9cc73d9da8748faf917c5039107d8e3b95df2",
    13: "0e2013446fa5087e359ffa28f0080feaaa14dcbfa488c7b89a7cc7e8f44c6e0b",
    14: "9a968f5661973f86de7ffa4e57e0de382b7436a3bcada64f4c2394ec5b3d020d",
}

_SQL = "SELECT name, sql FROM sqlite_schema WHERE sql NOTNULL AND name NOT LIKE 'sqlite!_%' ESCAPE '!' ORDER BY name"


def digest(con: sqlite3.Connection) -> str:
    """SHA-256 over all SQL of the schema, as hex; tables of SQLite's own (`ANALYZE`) do not count."""
    return sha256("\0".join(sql for _, sql in con.execute(_SQL)).encode()).hexdigest()


def misfit(con: sqlite3.Connection) -> str:
    """What in the schema is not as this program makes it, as a sentence; '' where all of it is.

    A version that this program does not ship is not judged.
    """
    version = int(str(pragma(con, "user_version")))
    if version not in WHOLE or digest(con) == WHOLE[version]:
        return ""
    there = dict(con.execute(_SQL).fetchall())
    shipped = _made(version)
    for name in sorted({*there, *shipped}):
        if name not in shipped:
            return f"Something was added to the tables of the record: {name}."
        if name not in there:
            return f"Something is missing from the tables of the record: {name}."
        if there[name] != shipped[name]:
            return f"Something was changed in the tables of the record: {name}."
    raise AssertionError(f"the digest of version {version} is not that of its files")


def _made(version: int) -> dict[str, str]:
    """Name and SQL of everything that the files up to a version make."""
    from inspect_tui.record.file import schema

    con = sqlite3.connect(":memory:", isolation_level=None)
    try:
        for number, file in schema.migrations(schema.shipped()):
            if number <= version:
                schema.apply(con, number, file, proven=False)
        return dict(con.execute(_SQL).fetchall())
    finally:
        con.close()


class Guard:
    """What one connection saw of its file when it was opened; asked before and after each of its writes."""

    def __init__(self, path: Path, con: sqlite3.Connection, key: tuple[int, int]) -> None:
        self.path, self._key = path, key
        self._beside = path.with_name(f"{path.name}-wal")
        self._cookie = pragma(con, "schema_version")
        self._version = pragma(con, "user_version")
        self._log: tuple[int, int] | None = None

    def file(self) -> None:
        """Raise RecordError where the path does not name the open file any more."""
        name = self.path.name
        try:
            status = self.path.stat()
        except FileNotFoundError:
            wrong = f"{name} is no longer in {self.path.parent}: it was moved, renamed or deleted while it was open."
            do = "Put it back, or leave and open it where it is now."
        except OSError as error:
            wrong, do = f"{name} cannot be reached ({error.strerror}).", "Bring its folder back."
        else:
            if (status.st_dev, status.st_ino) == self._key:
                return
            wrong = f"another file was put in the place of {name} while it was open."
            do = "Leave and open it again: it is then looked at anew."
        raise RecordError(f"Not logged: {wrong} {do}", todo=Todo.TRY_AGAIN, tells_fate=True)

    def log_is_away(self) -> bool:
        """Whether the log beside the file, once seen, is gone; RecordError where another lies in its place."""
        try:
            status = self._beside.stat()
        except OSError:
            return self._log is not None
        here = (status.st_dev, status.st_ino)
        if self._log is None:
            self._log = here
        elif here != self._log:
            raise RecordError(
                f"Not logged: the file {self.path.name}-wal beside the record was changed for another while it was "
                "open. Leave, keep both files as they are and have them looked at.",
                tells_fate=True,
            )
        return False

    def tables(self, con: sqlite3.Connection) -> None:
        """Raise RecordError where somebody changed tables, triggers or views since the file was opened.

        Asked inside the write transaction, so that nothing changes between the look and the write.
        """
        cookie = pragma(con, "schema_version")
        if cookie == self._cookie:
            return
        version = pragma(con, "user_version")
        if version != self._version:
            raise TooNew(
                f"Not logged: {self.path.name} was brought to version {version} of the record while it was open here. "
                "Leave and start again.",
                tells_fate=True,
            )
        wrong = misfit(con)
        if wrong:
            raise RecordError(
                f"Not logged: {wrong} Have the record checked before anything is logged.", tells_fate=True
            )
        self._cookie = cookie


def end_fits(con: sqlite3.Connection, device: bytes) -> bool:
    """Whether the newest entry of a device is what its row says: its hash is made again from the row."""
    entries = con.execute(
        "SELECT seq, kind, fmt, id, at_us, tz_min, by_id, hash FROM entry WHERE device_id = ? "
        "ORDER BY seq DESC LIMIT 2",
        (device,),
    ).fetchall()
    if not entries:
        return True
    seq, number, fmt, row_id, at_us, tz_min, by_id, written = entries[0]
    before = entries[1][-1] if len(entries) > 1 else genesis(device)
    kind = BY_NUMBER.get(number)
    names = kind.names_of(fmt) if kind is not None else None
    if kind is None or names is None:
        return False
    row = con.execute(f"SELECT {', '.join(names)} FROM {kind.table} WHERE id = ?", (row_id,)).fetchone()
    return row is not None and link(before, canonical(number, fmt, device, seq, at_us, tz_min, by_id, row)) == written
