"""Instants as people say them at a bench: today's by the clock, older ones by the date."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone


def when(at_us: int, tz_min: int, now: datetime | None = None) -> str:
    """`10:42` today, `21 Nov 10:42` this year, `2024-11-21` before; local to the bench that wrote it."""
    zone = timezone(timedelta(minutes=tz_min))
    then = datetime.fromtimestamp(at_us / 1e6, zone)
    today = (now or datetime.now(zone)).astimezone(zone)
    if then.date() == today.date():
        return then.strftime("%H:%M")
    if then.year == today.year:
        return then.strftime("%d %b %H:%M")
    return then.strftime("%Y-%m-%d")
