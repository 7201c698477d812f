"""Instants as people say them at a bench: today's by the clock, older ones by the date."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone


def when(at_us: int, tz_min: int, today: str) -> str:
    """`10:42` on `today` (ISO date), `21 Nov 10:42` in the same year, `2024-11-21` before; local to its bench."""
    then = datetime.fromtimestamp(at_us / 1e6, timezone(timedelta(minutes=tz_min)))
    date = then.date().isoformat()
    if date == today:
        return then.strftime("%H:%M")
    return then.strftime("%d %b %H:%M") if date[:4] == today[:4] else date
