"""The daily proof: only what came since a record was last found whole; all of it again after a week.

Rows that were found whole are not read again on every day of the week: of ten million readings that would take a
quarter of an hour. What is remembered lies with the state of this machine, not in the record, and is no more than a
saving of time: where it is gone or does not fit, all is proved.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import suppress
from datetime import date, timedelta
from hashlib import sha256
from pathlib import Path

from inspect_tui.frozen import frozen, replace
from inspect_tui.record.care import whole
from inspect_tui.record.care.heads import Heads, heads_of, holds
from inspect_tui.record.care.whole import Whole

ALL_AGAIN = timedelta(days=7)


@frozen
class Proved:
    """The day on which all of a record was last found whole, and the ends of its chains when it last was."""

    all_on: date
    heads: Heads


def check(
    con: sqlite3.Connection,
    path: Path,
    state: Path,
    today: date,
    printed: Sequence[str] = (),
    watch: Callable[[int, int], None] | None = None,
    tail: bool = False,
) -> Whole:
    """As `whole.check`, and it is remembered; with `tail` only what came since, where that is less than a week ago."""
    before = _remembered(path, state) if tail else None
    if before is not None and not (today - ALL_AGAIN < before.all_on <= today and holds(con, before.heads)):
        before = None
    heads = _heads_of_a_sound(con)
    since = {device: seq for device, (seq, _) in before.heads.items()} if before is not None else None
    found = whole.check(con, path, state, printed, watch, since)
    if found.ok and heads:
        _remember(path, state, Proved(before.all_on if before is not None else today, heads))
    if before is None:
        return found
    new = sum(seq for seq, _ in heads.values()) - sum(since.values() if since else ())
    said = (
        f"All of it was last proved on {before.all_on:%Y-%m-%d}; {new} entries that came since it was last looked at "
        "were proved now."
    )
    return replace(found, notes=(said, *found.notes))


def _heads_of_a_sound(con: sqlite3.Connection) -> Heads:
    """The ends of the chains before anything is proved: what is written meanwhile is proved the next time."""
    with suppress(sqlite3.DatabaseError):
        return heads_of(con)
    return {}


def _file(path: Path, state: Path) -> Path:
    return state / "proved" / sha256(str(path).encode("utf-8", "surrogateescape")).hexdigest()[:32]


def _remembered(path: Path, state: Path) -> Proved | None:
    with suppress(OSError, ValueError, TypeError, KeyError, AttributeError):
        kept = json.loads(_file(path, state).read_text("utf-8"))
        heads = {
            bytes.fromhex(device): (int(seq), bytes.fromhex(head)) for device, (seq, head) in kept["heads"].items()
        }
        return Proved(date.fromisoformat(kept["all_on"]), heads) if heads else None
    return None


def _remember(path: Path, state: Path, proved: Proved) -> None:
    heads = {device.hex(): [seq, head.hex()] for device, (seq, head) in proved.heads.items()}
    with suppress(OSError):  # then all is proved again the next time
        file = _file(path, state)
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(json.dumps({"all_on": proved.all_on.isoformat(), "heads": heads}), "utf-8")
