"""A connection that only reads, for a worker thread, a report, or a file that may not be written."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from pathlib import Path

from inspect_tui.record import place
from inspect_tui.record.connect import connect_reader
from inspect_tui.record.first_article import FirstArticleQueries
from inspect_tui.record.gauges import GaugeQueries
from inspect_tui.record.kit import KitQueries
from inspect_tui.record.trends import TrendQueries
from inspect_tui.record.trouble import explain
from inspect_tui.record.verify import Verification, verify


class Reader(KitQueries, GaugeQueries, FirstArticleQueries, TrendQueries):
    """All questions of `queries` and `readings` on one connection; it belongs to the thread that opened it."""

    def __init__(self, path: Path, con: sqlite3.Connection, busy_s: float, key: tuple[int, int]) -> None:
        super().__init__(path, con, busy_s)
        self._key: tuple[int, int] | None = key

    @classmethod
    def of(cls, path: Path, busy_s: float = 10.0) -> Reader:
        """Open a record to read beside the one who writes it."""
        key = place.opened(path)
        try:
            return cls(path, connect_reader(path, busy_s), busy_s, key)
        except BaseException as error:
            place.closed(key)
            if isinstance(error, sqlite3.Error):
                raise explain(error, path, busy_s) from error
            raise

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

    def verify(self, since: Mapping[bytes, int] | None = None) -> Verification:
        """Check the whole record: chains, rows, triggers, references, pages (see `record/verify.py`)."""
        return verify(self._con, since)
