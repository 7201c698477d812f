"""Reads the rows of a table by key, jumping over damaged pages: what can be read behind them is read."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator

from inspect_tui.frozen import frozen

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

_MOST = 1 << 128  # keys are numbers below this


@frozen
class Keys:
    """How the keys of a table are counted: as numbers from `first` on, in steps of `step`."""

    number: Callable[[Any], int]  # of a key as it stands in a row
    key: Callable[[int], Any]
    step: int  # the least jump: what lies closer together than this may be lost with a damaged page


SEQUENCE = Keys(int, int, 1)
# ids of one millisecond follow one another by less than 2^32 each
IDS = Keys(lambda key: int.from_bytes(key, "big"), lambda number: min(number, _MOST - 1).to_bytes(16, "big"), 1 << 31)


def rows(
    con: sqlite3.Connection,
    select: str,
    before: tuple[Any, ...],
    after: int,
    keys: Keys,
    lost: list[tuple[int, int | None]],
) -> Iterator[tuple[Any, ...]]:
    """The rows behind the key number `after`, in order.

    `select` ends with `key > ? ORDER BY key` and gives the key first; `before` are the values before that mark. Each
    gap that had to be jumped over is noted in `lost`: the last key before it and the first behind it, None where
    nothing behind it can be read.
    """
    while True:
        try:
            for row in con.execute(select, (*before, keys.key(after))):
                after = keys.number(row[0])
                yield row
            return
        except sqlite3.DatabaseError:
            landed = _landing(con, select, before, after, keys)
            lost.append((after, landed))
            if landed is None:
                return
            after = landed - 1


def _landing(con: sqlite3.Connection, select: str, before: tuple[Any, ...], after: int, keys: Keys) -> int | None:
    """The number of the first key behind the damage: found by doubling, then drawn in by halving."""
    step, bad, good = keys.step, after, None
    while good is None:
        tried = after + step
        if tried >= (_MOST if keys.step > 1 else 1 << 62):
            return None
        try:
            row = con.execute(f"{select} LIMIT 1", (*before, keys.key(tried))).fetchone()
        except sqlite3.DatabaseError:
            bad, step = tried, step * 2
            continue
        if row is None:
            good, landed = tried, None
        else:
            good, landed = tried, keys.number(row[0])
    while good - bad > keys.step:
        middle = (good + bad) // 2
        try:
            row = con.execute(f"{select} LIMIT 1", (*before, keys.key(middle))).fetchone()
        except sqlite3.DatabaseError:
            bad = middle
            continue
        good = middle
        if row is not None:
            landed = keys.number(row[0])
    return landed
