"""What the chart of one size over cores or dates shows: readings, castings, band, repairs, wear line and forecast."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import INCH, MM, Style
from inspect_tui.report.draw import chart as kinds
from inspect_tui.report.draw.chart import Break, Chart, Fan, Level, Series, beyond, month_starts, reduced, tame
from inspect_tui.shop.trends import forecast, parts
from inspect_tui.shop.trends.tracks import CASTING, CORE, Track
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CORES, DATE = "cores", "date"
SLOTS = 400  # a chart gets the smallest and the largest reading of each of so many stretches
NEAR_TOOL, NEAR_CASTINGS = 3.0, 1.0  # spans of the readings: limits up to so far off are in the picture
KINDS = {CASTING: kinds.CASTING, CORE: kinds.CORE}


def trend_chart(one: Trend, axis: str = CORES, *, castings: bool = True, style: Style = MM) -> Chart:
    """The chart of one size; without readings on this axis it says so and has none."""
    import numpy as np

    x = positions(one.main, axis)
    known = ~np.isnan(x)
    if not known.any():
        said = "no reading has a count" if len(one.main) else "not measured yet"
        return Chart(
            readings=Series((), ()),
            title=one.title,
            of=one.main.label,
            said=said,
            uncounted=axis == CORES and bool(len(one.main)),
        )
    values = one.main.value[known]
    low, high = tame(np.sort(values).tolist())
    fan = _fan(one, axis)
    picture = Chart(
        readings=Series(*thinned(x[known], values), label=one.main.label),
        unit=style.unit_word(one.feature.quantity) if one.unit == "mm" else one.unit,
        across=across(one, axis),
        title=one.title,
        of=one.main.label,
        said=f"{one.title} on {one.where}: {one.sentence}",
        beside=_beside(one, axis, castings, low, high),
        levels=_levels(one, low, high, style),
        ground=(one.limits.band.lower, one.limits.band.upper)
        if one.tool is not None
        else (one.sizes.band.lower, one.sizes.band.upper),
        breaks=breaks(one.marks, axis),
        fan=fan,
        signals=_signals(one, x),
        signal="not fitted" if one.fit is not None else "alarm begins",
        low=low,
        high=high,
        named=show.number if axis == CORES else show.day,
        steps=None if axis == CORES else month_starts,
        per=INCH if style.word == "in" and one.unit == "mm" else 1.0,
    )
    above, below = beyond(picture, values[(values > high) | (values < low)].tolist())
    return replace(picture, above=above, below=below)


def comparison(first: Trend, second: Trend, axis: str = CORES) -> Chart | None:
    """Two sizes on one axis, each as its difference from its target; None where one has no readings there."""
    import numpy as np

    drawn = []
    for one in (first, second):
        x, y = positions(one.main, axis), one.main.value - one.sizes.target
        keep = ~np.isnan(x) & parts.believable(one.main.value)
        drawn.append(thinned(x[keep], y[keep]))
    (x1, y1), (x2, y2) = drawn
    if not x1 or not x2:
        return None
    return Chart(
        readings=Series(x1, y1, label=f"{first.title} ({first.where})"),
        unit=first.unit,
        across=across(first, axis),
        beside=(Series(x2, y2, kinds.SECOND, f"{second.title} ({second.where})"),),
        levels=(Level(0.0, "target", kinds.TARGET),),
        breaks=breaks([*first.marks, *(m for m in second.marks if m.tool != first.where)], axis),
        named=show.number if axis == CORES else show.day,
        steps=None if axis == CORES else month_starts,
    )


def positions(track: Track, axis: str) -> NDArray[np.float64]:
    """Where each reading stands across: cores made, or days."""
    return track.count if axis == CORES else track.day


def place_of(one: Trend, at: int | None, axis: str) -> float | None:
    """The place across of a reading of the main track; None where it has none."""
    x = positions(one.main, axis)
    return float(x[at]) if at is not None and at < len(x) and x[at] == x[at] else None


def across(one: Trend, axis: str) -> str:
    """What is counted across."""
    return f"{one.counter.word} made" if axis == CORES else "date"


def thinned(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[list[float], list[float]]:
    """The smallest and the largest reading of each stretch, in order; all of them where they are few."""
    return reduced(x.tolist(), y.tolist(), SLOTS, few=4 * SLOTS)


def breaks(marks: Sequence[parts.Mark], axis: str) -> tuple[Break, ...]:
    """Repairs and jumps whose place on this axis is known, with their numbers."""
    placed = [(n, m, m.day if axis == DATE else m.count) for n, m in enumerate(marks, start=1)]
    return tuple(Break(at, m.kind, n, m.words) for n, m, at in placed if at is not None)


def _beside(one: Trend, axis: str, castings: bool, low: float, high: float) -> tuple[Series, ...]:
    """Castings, as the tool's size, and other checks that lie near enough to be drawn."""
    import numpy as np

    found = []
    room = 1.5 * (high - low) + 0.2
    for track in one.others:
        if track.of == CASTING and not castings:
            continue
        x = positions(track, axis)
        y = one.as_tool(track.value) if track.of == CASTING else track.value
        known = ~np.isnan(x)
        keep = known & (y > low - room) & (y < high + room)
        if keep.any():
            far = int((known & ~keep).sum())
            kind = KINDS.get(track.of, kinds.CHECK)
            found.append(Series(*thinned(x[keep], y[keep]), kind, track.label, far))
    return tuple(found)


def _levels(one: Trend, low: float, high: float, style: Style) -> tuple[Level, ...]:
    """Limits and target. The picture reaches to the limit that the size wears to, and to limits that lie near."""
    band = one.limits.band if one.tool is not None else one.sizes.band
    worn_to = one.left.limit if one.tool is not None and one.left is not None else None
    span = (NEAR_TOOL if one.tool is not None else NEAR_CASTINGS) * max(high - low, 0.02)
    levels = []
    for limit, side in ((band.lower, "lower"), (band.upper, "upper")):
        if limit is not None:
            reach = limit == worn_to if worn_to is not None else low - span <= limit <= high + span
            figure = _figure(one, limit, style)
            short = "limit" if limit == worn_to else side
            levels.append(Level(limit, f"{short} {figure}", kinds.LIMIT, reach, f"{side} limit {figure}"))
    if one.tool is not None:
        levels.append(Level(one.sizes.target, f"target {_figure(one, one.sizes.target, style)}", kinds.TARGET))
    return tuple(levels)


def _figure(one: Trend, size: float, style: Style) -> str:
    return style.length(size, unit=False) if one.unit == "mm" else style.figure(size)


def _fan(one: Trend, axis: str) -> Fan | None:
    ahead = forecast.fan(one)
    if ahead is None:
        return None

    def place(count: float) -> float | None:
        return count if axis == CORES else forecast.day_at(one, count)

    rows = [
        (x, middle, low, high)
        for count, middle, low, high in zip(ahead.count, ahead.middle, ahead.low, ahead.high, strict=True)
        if (x := place(count)) is not None
    ]
    if len(rows) < 2:
        return None
    now = place(one.cut.starts[-1] + (one.now or 0.0))
    xs, middle, low, high = zip(*rows, strict=True)
    return Fan(xs=xs, middle=middle, low=low, high=high, now=xs[0] if now is None else now, label="wear")


def _signals(one: Trend, x: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    """Readings that were not fitted, and where an alarm begins."""
    import numpy as np

    wanted: list[int] = []
    if one.fit is not None:
        counted = np.flatnonzero(~np.isnan(one.cut.since))
        wanted = [int(counted[i]) for i in one.fit.flagged]
    wanted += [alarm.first for alarm in one.alarms]
    return tuple((float(x[i]), float(one.main.value[i])) for i in wanted if not np.isnan(x[i]))
