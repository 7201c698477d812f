"""Whether the wall clock can be believed beside what the record holds: it may have run back, or far ahead.

Until when the record is believed: its newest entry; but where that lies before what was last measured while nobody
doubted the clock, or years after it, the clock was wrong by then, and what was measured counts. So a stay with a wrong
clock leaves no trace in what is believed after it was put right. A record may lie for long, but hardly for the better
part of a year on a machine that nobody used meanwhile: a slip of the year is asked about at once, by a question that
the day of the clock answers. One that nobody was asked about (an older program, a machine that told of use) is found
once it is put right: the clock is soon after what was entered before the year, then, where one that fell back is not.
"""

from __future__ import annotations

from time import gmtime, strftime

from inspect_tui.frozen import NamedTuple
from inspect_tui.record.chain.ids import REST_US

TYPE_CHECKING = False
if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Callable

SLACK_US = 300_000_000  # benches that share a record differ by minutes; common practice, no source
# a record that lay for longer lay on a machine in use, or its clock is wrong: a slip of the year leaps so far; likewise
LEAP_US = 300 * 86_400_000_000
SOON_US = 60 * 86_400_000_000  # so soon after the entries before a leap a clock was put right; likewise
NEVER_YET_US = 978_307_200_000_000  # 2001-01-01: a clock without a battery begins long before it
LAST_S = 253_402_300_799  # 9999-12-31


class ClockDoubt(NamedTuple):
    """A clock that is wrong, or a record that is: microseconds UTC, minutes from UTC."""

    now_us: int
    tz_min: int
    believed_us: int  # until when the record's entries are believed

    @property
    def back(self) -> bool:
        """Whether it ran back; else it is far ahead."""
        return self.now_us < self.believed_us


def doubt_of(
    now: tuple[int, int], believed_us: int | None, in_use: Callable[[int], bool] | None = None
) -> ClockDoubt | None:
    """What is wrong with a clock that says `now`; None where nothing is.

    `in_use`: whether something else tells that the machine was in use shortly before a moment (microseconds UTC).
    """
    if believed_us is None or believed_us - SLACK_US <= now[0] <= believed_us + LEAP_US:
        return None
    if believed_us < now[0] <= believed_us + REST_US and in_use is not None and in_use(now[0]):
        return None
    return ClockDoubt(*now, believed_us)


def believed_until(con: sqlite3.Connection, now_us: int | None = None) -> int | None:
    """Until when (microseconds UTC) the entries of a record are believed; None of an empty one.

    `now_us`: what the clock says, which may tell that it was a year ahead and was put right.
    """
    believed = _believed(con)
    if believed is None or now_us is None or believed - now_us < LEAP_US - SOON_US:
        return believed
    ahead = con.execute(
        "SELECT id, at_us FROM entry WHERE at_us > ? ORDER BY id LIMIT 1", (now_us + SLACK_US,)
    ).fetchone()
    before = con.execute("SELECT at_us FROM entry WHERE id < ? ORDER BY id DESC LIMIT 1", (ahead[0],)).fetchone()
    if before is None or now_us - before[0] > SOON_US or ahead[1] - before[0] < LEAP_US:
        return believed
    return int(before[0])  # the entries after it lie a year ahead, and the clock has gone on from there


def _believed(con: sqlite3.Connection) -> int | None:
    newest = con.execute("SELECT at_us FROM entry ORDER BY id DESC LIMIT 1").fetchone()
    if newest is None:
        return None
    setup = con.execute(
        "SELECT s.id, e.at_us FROM setup s CROSS JOIN entry e ON e.id = s.id WHERE s.clock_doubt = 0 "
        "ORDER BY s.id DESC LIMIT 1"
    ).fetchone()
    reading = con.execute(
        "SELECT r.id, e.at_us FROM reading r CROSS JOIN setup s ON s.id = r.setup_id CROSS JOIN entry e ON e.id = r.id "
        "WHERE s.clock_doubt = 0 ORDER BY r.id DESC LIMIT 1"
    ).fetchone()
    measured = [row for row in (setup, reading) if row is not None]
    if measured:
        base_id, base = max(measured)
    else:
        base_id, base = con.execute("SELECT id, at_us FROM entry ORDER BY id LIMIT 1").fetchone()
        if base < NEVER_YET_US:  # it was made with a clock that had lost its day
            return int(newest[0])
    if not base <= newest[0] <= base + REST_US:
        return int(base)
    if newest[0] > base + LEAP_US and (before := _before_a_leap(con, base_id)) is not None:
        return before
    return int(newest[0])


def _before_a_leap(con: sqlite3.Connection, since_id: bytes) -> int | None:
    """Where the entries from one on leap ahead: when the last one before was written."""
    leapt = con.execute(
        "SELECT before_us FROM (SELECT id, at_us, lag(at_us) OVER (ORDER BY id) AS before_us FROM entry WHERE id >= ?) "
        "WHERE at_us - before_us > ? ORDER BY id LIMIT 1",
        (since_id, LEAP_US),
    ).fetchone()
    return int(leapt[0]) if leapt else None


def local_day(at_us: int, tz_min: int) -> str:
    """The day (ISO date) of a moment by the clock of a bench; the last one there is where it says more."""
    return strftime("%Y-%m-%d", gmtime(min(at_us // 1_000_000 + tz_min * 60, LAST_S)))
