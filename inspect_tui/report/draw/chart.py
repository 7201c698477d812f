"""What a chart shows, however it is drawn: readings, series beside them, levels, breaks, a fan ahead, and its frame.

Readings far off would press the others into one flat line: `tame` says between which a chart is drawn, and a painter
puts an arrow at the edge for what lies beyond. A long series is reduced to the smallest and the largest of each
stretch, so nothing that stands out is hidden (100,000 readings draw as fast as 300).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from math import floor, isfinite, log10

from inspect_tui.frozen import frozen, frozen_by_name

ROOM = 0.05  # of the drawn values, left free above and below them; in their unit where they are all the same
WILD = 8.0  # interquartile ranges from the middle: drawn at the edge, for the others would be one flat line

# kinds of series; each painter has its own mark for a kind, and says it in its key
READING = "reading"
CASTING = "casting"  # as the size of the tool that gives it
CORE = "core"
CHECK = "check"
SECOND = "second"  # another size beside the first
DOWN = "down"  # the downward side of a two-sided chart
FIT = "fit"  # a line through readings
CENTRE = "centre"  # a centre line that is not straight
CONTROL = "control"  # a control limit that is not straight
LINES = (FIT, CENTRE, CONTROL)  # lines of the chart, not readings: they hide none

# kinds of level, beside CENTRE and CONTROL
LIMIT = "limit"
TARGET = "target"
BAND = "band"  # a limit of the drawing on a chart that has control limits too
NAME = "name"  # the label alone: its line is drawn otherwise


@frozen
class Series:
    """Points of one kind, in order; `label` says what they are, `far` how many of it lie too far off to be drawn."""

    xs: Sequence[float]
    ys: Sequence[float]
    kind: str = READING
    label: str = ""
    far: int = 0


@frozen
class Level:
    """A line across. `reach`: the chart is drawn as far as it; else it is drawn only where the chart comes to it."""

    y: float
    label: str
    kind: str = CONTROL
    reach: bool = True
    name: str = ""  # in full, where there is room


@frozen
class Break:
    """Where a segment starts, a tool was repaired or a size jumped: place across, kind, its number, what happened."""

    x: float
    kind: str = ""
    number: int = 0
    words: str = ""


@frozen_by_name
class Fan:
    """A line with what it may become (95 %) from `now` on, a place across; the line alone before it."""

    xs: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]
    now: float
    label: str = ""


def plain(x: float) -> str:
    """A place across as it is: 12, 12.5."""
    return f"{x:g}"


@frozen_by_name
class Chart:
    """One chart of a thing (`title`) measured on something (`of`): values upward in `unit` over places across.

    Places are counts, days (ordinals) or anything that `named` names. The picture shows the readings from `low` to
    `high` (None: all of them); `above` and `below` say how many lie beyond it. `signals` are points that stand out,
    `signal` says why. `ground` is the band that is shaded, None an open side.
    `uncounted`: there are readings, but none has a place on this axis. `per` is what one unit of the axis is in the
    unit of the values: 25.4 for a chart of mm read in inches.
    """

    readings: Series
    unit: str = "mm"
    across: str = "reading"
    title: str = ""
    of: str = ""
    said: str = ""
    beside: tuple[Series, ...] = ()
    levels: tuple[Level, ...] = ()
    ground: tuple[float | None, float | None] | None = None
    breaks: tuple[Break, ...] = ()
    fan: Fan | None = None
    signals: tuple[tuple[float, float], ...] = ()
    signal: str = ""
    low: float | None = None
    high: float | None = None
    above: int = 0
    below: int = 0
    uncounted: bool = False
    named: Callable[[float], str] = plain
    steps: Callable[[float, float], list[float]] | None = None
    per: float = 1.0


@frozen
class Frame:
    """The drawn places across, x0 to x1, and values, y0 to y1."""

    x0: float
    x1: float
    y0: float
    y1: float

    def shows(self, y: float) -> bool:
        """Whether a value lies in the picture."""
        return self.y0 <= y <= self.y1


def frame(chart: Chart) -> Frame:
    """The places and values to draw: all but those that are far off, with a little room above and below.

    A chart without readings has none: ValueError.
    """
    if not len(chart.readings.xs):
        raise ValueError("a chart without readings has no frame")
    ys = [chart.low, chart.high] if chart.low is not None and chart.high is not None else list(chart.readings.ys)
    known = [y for y in ys if y is not None]
    xs = [min(chart.readings.xs), max(chart.readings.xs)]
    for series in chart.beside:
        known += series.ys
        xs += series.xs
    known += [level.y for level in chart.levels if level.reach]
    if chart.fan is not None:
        xs += chart.fan.xs
        known += [*chart.fan.middle, *chart.fan.low[-1:], *chart.fan.high[-1:]]
    y0, y1 = min(known), max(known)
    flat = y1 - y0 <= 1e-9 * max(abs(y1), abs(y0), 1.0)
    room = max(ROOM, 1e-6 * abs(y1)) if flat else ROOM * (y1 - y0)
    x0, x1 = min(xs), max(xs)
    if x1 <= x0:
        x0, x1 = x0 - 0.5, x1 + 0.5
    return Frame(x0, x1, y0 - room, y1 + room)


def beyond(chart: Chart, values: Iterable[float]) -> tuple[int, int]:
    """How many of the values lie above the picture, and how many below it."""
    f = frame(chart)
    above = below = 0
    for value in values:
        above, below = above + (value > f.y1), below + (value < f.y0)
    return above, below


def tame(values: Sequence[float]) -> tuple[float, float]:
    """Between which values a chart is drawn: all of them, unless a few stand far off. Nothing gives 0, 0."""
    order = sorted(values)
    if not order:
        return 0.0, 0.0
    middle = _quantile(order, 0.5)
    reach = WILD * (_quantile(order, 0.75) - _quantile(order, 0.25))
    if reach <= 0.0:  # most are equal: the others are what is to be seen
        return order[0], order[-1]
    near = [y for y in (order[0], order[-1]) if abs(y - middle) <= reach]
    if len(near) == 2:
        return order[0], order[-1]
    inner = [y for y in order if abs(y - middle) <= reach] or order
    return inner[0], inner[-1]


def _quantile(order: Sequence[float], p: float) -> float:
    """The quantile of sorted values, linear between neighbours (Hyndman and Fan 1996, type 7)."""
    at = p * (len(order) - 1)
    i = min(int(at), len(order) - 2) if len(order) > 1 else 0
    return order[i] + (at - i) * (order[i + 1] - order[i]) if len(order) > 1 else order[0]


def reduced(
    xs: Sequence[float],
    ys: Sequence[float],
    slots: int,
    low: float | None = None,
    high: float | None = None,
) -> tuple[list[float], list[float]]:
    """The smallest and the largest reading of each of `slots` stretches across low..high, in order; a few are all."""
    if len(xs) <= 2 * slots:
        return list(xs), list(ys)
    x0 = min(xs) if low is None else low
    x1 = max(xs) if high is None else high
    span = (x1 - x0) or 1.0  # readings of one moment stand in one stretch
    least: dict[int, int] = {}
    most: dict[int, int] = {}
    for i, x in enumerate(xs):
        slot, y = int((x - x0) / span * (slots - 1)), ys[i]
        if slot not in least:
            least[slot] = most[slot] = i
        elif y < ys[least[slot]]:
            least[slot] = i
        elif y >= ys[most[slot]]:
            most[slot] = i
    keep = sorted({*least.values(), *most.values()})
    return [xs[i] for i in keep], [ys[i] for i in keep]


# ------------------------------------------------------------------------------ round figures along an axis
def nice_step(span: float, most: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that cuts `span` into at most `most` pieces."""
    if not (span > 0 and isfinite(span)):
        return 1.0
    raw = span / max(most, 1)
    power = 10.0 ** floor(log10(raw))
    return next((m * power for m in (1, 2, 5, 10) if m * power >= raw * (1 - 1e-9)), 10 * power)


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round values between low and high."""
    step = nice_step(high - low, most)
    first = -(-low // step) * step
    return [first + i * step for i in range(int((high - first) / step + 1e-9) + 1)] if step else [low]


def month_starts(x0: float, x1: float) -> list[float]:
    """The first of some months between two days (ordinals), at most about six of them."""
    from datetime import date

    first, last = date.fromordinal(max(int(x0), 1)), date.fromordinal(max(int(x1), 1))
    months = (last.year - first.year) * 12 + last.month - first.month
    every = next((m for m in (1, 2, 3, 6, 12, 24, 60) if months / m <= 6), 120)
    starts = []
    for k in range(0, months + 2, 1):
        year, month = divmod(first.year * 12 + first.month - 1 + k, 12)
        if (month % every == 0 if every <= 12 else month == 0 and year % (every // 12) == 0) and year <= 9999:
            day = float(date(year, month + 1, 1).toordinal())
            if x0 <= day <= x1:
                starts.append(day)
    return starts
