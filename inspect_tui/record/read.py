"""A connection that only reads, for a worker thread, a report, or a file that may not be written."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from importlib import import_module
from pathlib import Path

from inspect_tui.record.ask.gauges import GaugeQueries
from inspect_tui.record.file import place
from inspect_tui.record.file.connect import connect_reader
from inspect_tui.record.file.trouble import explain

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.ask.changes import ChangeQueries
    from inspect_tui.record.ask.export import ExportQueries
    from inspect_tui.record.ask.first_article import FirstArticleQueries
    from inspect_tui.record.ask.kit import KitQueries
    from inspect_tui.record.ask.proving import ProvingQueries
    from inspect_tui.record.ask.trends import TrendQueries
    from inspect_tui.record.chain.verify import Verification

    class _ColdQueries(KitQueries, ProvingQueries, FirstArticleQueries, TrendQueries, ExportQueries, ChangeQueries):
        """What type checkers know of the questions that are looked up when they are first asked."""
else:

    class _ColdQueries:
        """Questions of kit, first article, trends, export, changes: their modules are imported when one is asked.

        The bench and `inspect-tui log` ask none of them and start without them.
        """

        def __getattr__(self, name):
            if not name.startswith("_"):
                for module, queries in COLD:
                    query = vars(getattr(import_module(f"inspect_tui.record.ask.{module}"), queries)).get(name)
                    if query is not None:
                        return query.__get__(self)
            raise AttributeError(f"{type(self).__name__} has no {name}")


COLD = (
    ("kit", "KitQueries"),
    ("proving", "ProvingQueries"),
    ("first_article", "FirstArticleQueries"),
    ("trends", "TrendQueries"),
    ("export", "ExportQueries"),
    ("changes", "ChangeQueries"),
)


class Reader(GaugeQueries, _ColdQueries):
    """All questions of the record on one connection; it belongs to the thread that opened it."""

    def __init__(self, path: Path, con: sqlite3.Connection, busy_s: float, key: tuple[int, int]) -> None:
        super().__init__(path, con, busy_s)
        self._key: tuple[int, int] | None = key

    @classmethod
    def of(cls, path: Path, busy_s: float = 10.0) -> Reader:
        """Open a record to read beside the one who writes it."""
        key = place.opened(path)
        try:
            reader = cls(path, connect_reader(path, busy_s), busy_s, key)
            reader.look_for_ones()
            return reader
        except BaseException as error:
            place.closed(key)
            if isinstance(error, sqlite3.Error):
                raise explain(error, path, busy_s) from error
            raise

    def with_withdrawn(self) -> Reader:
        """The same questions on the same connection; lists hold what is withdrawn too. Only for as long as this one."""
        everything = Reader(self.path, self._con, self.busy_s, (0, 0))
        everything._key, everything._struck_too, everything._ones = None, True, self._ones
        return everything

    def each_apart(self) -> Reader:
        """The same questions on the same connection, everything as it was entered, whatever was said to be one."""
        apart = Reader(self.path, self._con, self.busy_s, (0, 0))
        apart._key, apart._struck_too = None, self._struck_too
        return apart

    def look_for_ones(self, schema: str = "main") -> None:
        """Look what was said to be one thing: when the record is opened, and when somebody may have said more."""
        if not self._said_same():
            self._ones = None
            return
        from inspect_tui.record import one_thing  # most records need none of it

        self._ones = one_thing.load(self._con, schema)
        if self._ones is not None:
            self._ones.tell(self._con)

    def _said_same(self) -> bool:
        there = self._con.execute("SELECT count(*) FROM main.sqlite_schema WHERE name = 'same_thing'").fetchone()[0]
        return bool(there and self._con.execute("SELECT EXISTS (SELECT 1 FROM same_thing)").fetchone()[0])

    def close(self) -> None:
        """Close the connection; a second time does nothing."""
        if self._key is not None:
            self._con.close()
            place.closed(self._key)
            self._key = None

    def __enter__(self) -> Reader:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def damage(self) -> str | None:
        """A sentence when pages of the file are damaged (SQLite's quick check), None when it is sound."""
        try:
            (answer,) = self._con.execute("PRAGMA quick_check(1)").fetchone()
        except sqlite3.DatabaseError as error:
            answer = str(error)
        return None if answer == "ok" else f"{self.path.name} is damaged: {' '.join(str(answer).split())[:160]}."

    def verify(self, since: Mapping[bytes, int] | None = None) -> Verification:
        """Check the whole record: chains, rows, triggers, references, pages (see `record/chain/verify.py`)."""
        from inspect_tui.record.chain.verify import verify  # the bench never asks

        return verify(self._con, since)

    @property
    def connection(self) -> sqlite3.Connection:
        """The connection itself, for those in `record/care/` who look at the file and not at what it says."""
        return self._con
