"""What is said about the backups of a record: how old the newest good one is and where it lies."""

from __future__ import annotations

from datetime import datetime, timedelta

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.care.backups import Standing


def words(standing: Standing, now: datetime) -> str:
    """One line: `Last good backup 40 min ago in backups (all of it).`"""
    newest = standing.newest
    if newest is None:
        return "There is no backup yet." if not standing.old else "There is NO backup, and work of more than a day."
    since = ago(now - newest.at)
    lacks = "" if standing.complete else "; what was logged since is not in it"
    too_old = "TOO OLD: last good backup" if standing.old else "Last good backup"
    return f"{too_old} {since} in {newest.path.parent}{lacks}."


def ago(span: timedelta) -> str:
    """`just now`, `40 min ago`, `5 h ago`, `9 days ago`; by a clock that was set back `in the future`."""
    seconds = span.total_seconds()
    if seconds < -60:
        return "in the future (look at the clock)"
    if seconds < 90:
        return "just now"
    if seconds < 90 * 60:
        return f"{round(seconds / 60)} min ago"
    if seconds < 36 * 3600:
        return f"{round(seconds / 3600)} h ago"
    return f"{round(seconds / 86400)} days ago"
