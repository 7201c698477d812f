"""The wall clock of the demo's story, in the shop's own time zone."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from random import Random


class Clock:
    """The wall clock of the story: it is set for each event, and each row that is written takes a little while."""

    def __init__(self, seed: int) -> None:
        self._random = Random(f"{seed}|clock")
        self.at = datetime(2023, 6, 5, 5, 0, tzinfo=UTC)
        self._pace = 0.0

    def set(self, day: date, hour: int, minute: int, pace: float) -> None:
        """Go forward to a local time; `pace` is about how many seconds a row takes."""
        at = datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC) - timedelta(minutes=_offset(day))
        if at < self.at:
            raise ValueError(f"the story goes backwards at {at}")
        self.at, self._pace = at, pace

    def microseconds(self) -> tuple[int, int]:
        """Now, without going on: ids take their time from here."""
        return round(self.at.timestamp() * 1000) * 1000, _offset(self.at.date())

    def __call__(self) -> tuple[int, int]:
        """Now, and a little while goes by."""
        now = self.microseconds()
        self.at += timedelta(milliseconds=round(1000 * self._pace * self._random.uniform(0.6, 1.6)) + 2)
        return now


def _offset(day: date) -> int:
    """Minutes from UTC of the shop's clock: an hour, and another from the last Sunday of March to that of October."""

    def last_sunday(month: int) -> date:
        end = date(day.year, month, 31)
        return end - timedelta(days=(end.weekday() + 1) % 7)

    return 120 if last_sunday(3) <= day < last_sunday(10) else 60
