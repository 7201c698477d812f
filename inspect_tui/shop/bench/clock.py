"""What is said of a clock that cannot be believed, and which day counts meanwhile."""

from __future__ import annotations

from inspect_tui.frozen import frozen
from inspect_tui.record.chain.clock import ClockDoubt, local_day
from inspect_tui.todo import Todo

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.store import Record

YEAR_US = 366 * 86_400_000_000


@frozen
class ClockWrong:
    """A clock that ran back or far ahead, in a sentence, with what can be done about it."""

    sentence: str
    todo: Todo = Todo.SAY_DAY


def wrong(doubted: ClockDoubt | None, said: str | None = None) -> ClockWrong | None:
    """What is wrong with the clock, and of which day readings are taken meanwhile; `said`: the day that was given.

    None where there is no doubt, or where somebody said the very day of the clock.
    """
    if doubted is None:
        return None
    shows, last = local_day(doubted.now_us, doubted.tz_min), local_day(doubted.believed_us, doubted.tz_min)
    if said == shows:
        return None
    first = f"The clock of this machine says {shows}, and the newest entry of the record is of {last}"
    if shows == last:
        minutes = (doubted.believed_us - doubted.now_us) // 60_000_000
        first = f"The clock of this machine is {minutes} minutes behind the newest entry of the record"
    return ClockWrong(f"{first}: set the clock right. Until then readings are marked and taken as of {said or last}.")


def latest_day(doubted: ClockDoubt) -> str:
    """The last day (ISO) that can be said while the clock is in doubt: its own, or a year after the record's."""
    return local_day(max(doubted.now_us, doubted.believed_us + YEAR_US), doubted.tz_min)


def believed_day(record: Record) -> str | None:
    """The day (ISO) until which the record is believed while the clock is in doubt; None while the clock is right."""
    doubted = record.clock_doubt()
    return None if doubted is None else local_day(doubted.believed_us, doubted.tz_min)
