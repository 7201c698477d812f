"""Questions of an export: every reading and every note, page by page, from one state of the record."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from inspect_tui.frozen import NamedTuple
from inspect_tui.record.ask.readings import LoggedReading, ReadingQueries
from inspect_tui.record.kinds import KINDS

PAGE = 2000  # rows held at a time


class NoteLine(NamedTuple):
    """A note with what it is about (the recorded thing in words), when (microseconds UTC, offset) and by whom."""

    id: bytes
    about: str
    about_id: bytes
    text: str
    at_us: int
    tz_min: int
    by: str | None


class ExportQueries(ReadingQueries):
    """What an export asks: all of it, without holding all of it."""

    @contextmanager
    def one_state(self) -> Iterator[None]:
        """All questions in this block see the record as it stood at the first of them, whoever writes meanwhile."""
        self._rows_of("BEGIN")
        try:
            yield
        finally:
            self._rows_of("ROLLBACK")

    def every_reading(self, page: int = 0) -> Iterator[list[LoggedReading]]:
        """All readings in the order they were made, struck ones too, in pages (of so many rows; 0: the usual)."""
        after: bytes | None = None
        while page_read := self.readings(after_id=after, limit=page or PAGE):
            yield page_read
            after = page_read[-1].reading.id

    def every_note(self, page: int = 0) -> Iterator[NoteLine]:
        """All notes in the order they were written, whatever they are about."""
        words = {kind.number: kind.what for kind in KINDS}
        after = b""
        while rows := self._rows_of(
            "SELECT n.id, n.about_kind, n.about_id, n.text, e.at_us, e.tz_min, p.initials FROM note n "
            "JOIN entry e ON e.id = n.id LEFT JOIN person p ON p.id = e.by_id WHERE n.id > ? ORDER BY n.id LIMIT ?",
            (after, page or PAGE),
        ):
            for id_, kind, *rest in rows:
                yield NoteLine(id_, words.get(kind, "something"), *rest)
            after = rows[-1][0]
