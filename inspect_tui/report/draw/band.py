"""What a band shows, however it is drawn: limits, target, readings with their uncertainty, and the drawn range.

The band is the sign of the program: the same picture stands on the bench, in the feature view and in the papers.
What lies outside the drawn range is no less there: a painter puts an arrow at that edge.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import isnan

from inspect_tui.frozen import frozen

MARGIN = 0.35  # drawn beyond each limit, as a share of the band
LEAST = 1e-6  # mm: a band without width still has a picture
HUGE = 1e12  # mm: no size
OPEN = 0.02  # with a side open: at least so much of the size is drawn


@frozen
class Lane:
    """One line of readings: the one that counts, what it is worth (mm or degrees), and small ones beside it."""

    value: float | None = None
    u95: float = 0.0
    bad: bool = False
    others: tuple[float, ...] = ()


@frozen
class Range:
    """The drawn sizes, from the left edge of a picture to its right."""

    low: float
    high: float

    def share(self, size: float) -> float:
        """Where a size lies: 0 at the left edge, 1 at the right; less or more outside."""
        return (size - self.low) / (self.high - self.low)

    def shows(self, size: float) -> bool:
        """Whether a size lies in the picture."""
        return self.low <= size <= self.high

    def beyond(self, size: float) -> int:
        """-1 for a size left of the picture, 1 for one right of it, 0 inside."""
        return -1 if size < self.low else 1 if size > self.high else 0

    def inside(self, size: float) -> float:
        """The size, or the edge that lies nearest to it."""
        return min(max(size, self.low), self.high)


@frozen
class Band:
    """Limits and target (None: open, hidden), a lane for each casting or one for all, and the drawn range."""

    lower: float | None
    upper: float | None
    target: float | None
    lanes: tuple[Lane, ...]
    range: Range


def band(lower: float | None, upper: float | None, target: float | None, lanes: Iterable[Lane] = ()) -> Band:
    """The band of one feature, sizes in mm or degrees.

    A limit, target or reading that is no size is left out; a reading beyond all sizes stays, as an arrow.
    """
    lower, upper, target = (x if x is not None and abs(x) < HUGE else None for x in (lower, upper, target))
    if lower is not None and upper is not None and lower > upper:
        lower, upper = upper, lower
    whole = tuple(_believable(lane) for lane in lanes)
    values = [x for lane in whole for x in (lane.value, *lane.others) if x is not None and abs(x) < HUGE]
    return Band(lower, upper, target, whole, drawn_range(lower, upper, target, values))


def drawn_range(
    lower: float | None, upper: float | None, target: float | None = None, values: Iterable[float] = ()
) -> Range:
    """The limits and a margin; with a side open, room around what is known."""
    if lower is not None and upper is not None:
        room = MARGIN * max(upper - lower, LEAST, 1e-9 * abs(lower), 1e-9 * abs(upper))
        return Range(lower - room, upper + room)
    known = [x for x in (lower, upper, target, *values) if x is not None] or [0.0]
    room = MARGIN * max(max(known) - min(known), OPEN * max(abs(known[0]), 1.0))
    return Range(min(known) - room, max(known) + room)


def _believable(lane: Lane) -> Lane:
    value = None if lane.value is None or isnan(lane.value) else lane.value
    u95 = 0.0 if isnan(lane.u95) else abs(lane.u95)
    others = tuple(x for x in lane.others if not isnan(x))
    if value is lane.value and u95 == lane.u95 and len(others) == len(lane.others):
        return lane
    return Lane(value, u95, lane.bad, others)
