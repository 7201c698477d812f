"""The line about backups says how old the newest is, where it lies, and what it lacks."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from inspect_tui.record.care.backup_words import ago, words
from inspect_tui.record.care.backups import Backup, Standing

NOW = datetime(2026, 3, 10, 16, 30)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (-61, "in the future (look at the clock)"),
        (0, "just now"),
        (89, "just now"),
        (90, "2 min ago"),
        (40 * 60, "40 min ago"),
        (90 * 60, "2 h ago"),
        (35 * 3600, "35 h ago"),
        (9 * 86400, "9 days ago"),
    ],
)
def test_ages_in_words(seconds: float, said: str) -> None:
    assert ago(timedelta(seconds=seconds)) == said


def test_the_line() -> None:
    backup = Backup(NOW - timedelta(minutes=40), Path("/shop/backups/shop-20260310-155000.db"))
    assert words(Standing(backup, True, False), NOW) == "Last good backup 40 min ago in /shop/backups."
    lacks = "Last good backup 40 min ago in /shop/backups; what was logged since is not in it."
    assert words(Standing(backup, False, False), NOW) == lacks
    assert words(Standing(backup, False, True), NOW).startswith("TOO OLD: last good backup 40 min ago")
    assert words(Standing(None, True, False), NOW) == "There is no backup yet."
    assert words(Standing(None, False, True), NOW) == "There is NO backup, and work of more than a day."
