"""When something was written, on the clock of the bench that wrote it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta


def local_day(at_us: int, tz_min: int) -> str:
    """ISO date on the bench's own clock."""
    return local_time(at_us, tz_min)[:10]


def local_time(at_us: int, tz_min: int) -> str:
    """ISO date and time to the second on the bench's own clock, with its offset."""
    at = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=at_us, minutes=tz_min)
    sign = "-" if tz_min < 0 else "+"
    return f"{at:%Y-%m-%dT%H:%M:%S}{sign}{abs(tz_min) // 60:02d}:{abs(tz_min) % 60:02d}"
