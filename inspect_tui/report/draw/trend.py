"""What the chart of one size over cores or dates shows: readings, castings, band, repairs, wear line and forecast."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import INCH, MM, Style
from inspect_tui.report.draw import chart as kinds
from inspect_tui.report.draw.chart import Break, Chart, Fan, Level, Series, beyond, month_starts, tame
from inspect_tui.shop.trends import forecast, job_view, residuals
from inspect_tui.shop.trends.tracks import CASTING, CORE, Track
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CORES, DATE = "cores", "date"
SLOTS = 400  # a chart gets the smallest and the largest reading of each of so many stretches
NEAR_TOOL, NEAR_CASTINGS = 3.0, 1.0  # spans of the readings: limits up to so far off are in the picture
KINDS = {CASTING: kinds.CASTING, CORE: kinds.CORE}


def trend_chart(trend: Trend, axis: str = CORES, *, castings: bool = True, style: Style = MM) -> Chart:
    """The chart of one size; without readings on this axis it says so and has none."""
    import numpy as np

    x = positions(trend.main, axis)
    known = ~np.isnan(x)
    if not known.any():
        said = "no reading has a count" if len(trend.main) else "not measured yet"
        return Chart(
            readings=Series((), ()),
            title=trend.title,
            of=trend.main.label,
            said=said,
            uncounted=axis == CORES and bool(len(trend.main)),
        )
    values = trend.main.value[known]
    low, high = tame(np.sort(values).tolist())
    fan = _fan(trend, axis)
    picture = Chart(
        readings=Series(*thinned(x[known], values), label=trend.main.label),
        unit=style.unit_word(trend.feature.quantity) if trend.unit == "mm" else trend.unit,
        across=across(trend, axis),
        title=trend.title,
        of=trend.main.label,
        said=f"{trend.title} on {trend.where}: {trend.sentence}",
        beside=_beside(trend, axis, castings, low, high),
        levels=_levels(trend, low, high, style),
        ground=(trend.limits.band.lower, trend.limits.band.upper)
        if trend.tool is not None
        else (trend.sizes.band.lower, trend.sizes.band.upper),
        breaks=breaks(trend.marks, axis),
        fan=fan,
        signals=_signals(trend, x),
        signal="not fitted" if trend.fit is not None else "alarm begins",
        low=low,
        high=high,
        named=show.number if axis == CORES else show.day,
        steps=None if axis == CORES else month_starts,
        per=INCH if style.word == "in" and trend.unit == "mm" else 1.0,
    )
    above, below = beyond(picture, values[(values > high) | (values < low)].tolist())
    return replace(picture, above=above, below=below)


def comparison(first: Trend, second: Trend, axis: str = CORES, style: Style = MM) -> Chart | None:
    """Two sizes on one axis, each as its difference from its target; None where one has no readings there."""
    import numpy as np

    drawn = []
    for trend in (first, second):
        x, y = positions(trend.main, axis), trend.main.value - trend.sizes.target
        keep = ~np.isnan(x) & residuals.believable(trend.main.value)
        drawn.append(thinned(x[keep], y[keep]))
    (x1, y1), (x2, y2) = drawn
    if not x1 or not x2:
        return None
    return Chart(
        readings=Series(x1, y1, label=f"{first.title} ({first.where})"),
        unit=style.readings_in(first.unit)[1],
        across=across(first, axis),
        beside=(Series(x2, y2, kinds.SECOND, f"{second.title} ({second.where})"),),
        levels=(Level(0.0, "target", kinds.TARGET),),
        breaks=breaks([*first.marks, *(m for m in second.marks if m.tool != first.where)], axis),
        named=show.number if axis == CORES else show.day,
        steps=None if axis == CORES else month_starts,
        per=INCH if style.word == "in" and first.unit == "mm" else 1.0,
    )


def positions(track: Track, axis: str) -> NDArray[np.float64]:
    """Where each reading stands across: cores made, or days."""
    return track.count if axis == CORES else track.day


def place_of(trend: Trend, at: int | None, axis: str) -> float | None:
    """The place across of a reading of the main track; None where it has none."""
    x = positions(trend.main, axis)
    return float(x[at]) if at is not None and at < len(x) and x[at] == x[at] else None


def across(trend: Trend, axis: str) -> str:
    """What is counted across."""
    return f"{trend.counter.word} made" if axis == CORES else "date"


def thinned(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[list[float], list[float]]:
    """As `reduced`, for arrays: 100,000 readings at every key that moves the cursor."""
    import numpy as np

    if len(x) > 4 * SLOTS:
        low, high = float(x.min()), float(x.max())
        slot = ((x - low) / ((high - low) or 1.0) * (SLOTS - 1)).astype(np.int64)  # rounded as `reduced` rounds
        order = np.lexsort((y, slot))
        least = np.flatnonzero(np.diff(slot[order], prepend=-1))
        most = np.append(least[1:], len(order)) - 1
        keep = np.unique(np.concatenate([order[least], order[most]]))
        x, y = x[keep], y[keep]
    return x.tolist(), y.tolist()


def breaks(marks: Sequence[job_view.Mark], axis: str) -> tuple[Break, ...]:
    """Repairs and jumps whose place on this axis is known, with their numbers."""
    placed = [(n, m, m.day if axis == DATE else m.count) for n, m in enumerate(marks, start=1)]
    return tuple(Break(at, m.kind, n, m.words) for n, m, at in placed if at is not None)


def _beside(trend: Trend, axis: str, castings: bool, low: float, high: float) -> tuple[Series, ...]:
    """Castings, as the tool's size, and other checks that lie near enough to be drawn."""
    import numpy as np

    beside = []
    room = 1.5 * (high - low) + 0.2
    for track in trend.others:
        if track.of == CASTING and not castings:
            continue
        x = positions(track, axis)
        y = trend.as_tool(track.value) if track.of == CASTING else track.value
        known = ~np.isnan(x)
        keep = known & (y > low - room) & (y < high + room)
        if keep.any():
            far = int((known & ~keep).sum())
            kind = KINDS.get(track.of, kinds.CHECK)
            beside.append(Series(*thinned(x[keep], y[keep]), kind, track.label, far))
    return tuple(beside)


def _levels(trend: Trend, low: float, high: float, style: Style) -> tuple[Level, ...]:
    """Limits and target. The picture reaches to the limit that the size wears to, and to limits that lie near."""
    band = trend.limits.band if trend.tool is not None else trend.sizes.band
    worn_to = trend.left.limit if trend.tool is not None and trend.left is not None else None
    span = (NEAR_TOOL if trend.tool is not None else NEAR_CASTINGS) * max(high - low, 0.02)
    levels = []
    for limit, side in ((band.lower, "lower"), (band.upper, "upper")):
        if limit is not None:
            reach = limit == worn_to if worn_to is not None else low - span <= limit <= high + span
            figure = _figure(trend, limit, style)
            short = "limit" if limit == worn_to else side
            levels.append(Level(limit, f"{short} {figure}", kinds.LIMIT, reach, f"{side} limit {figure}"))
    if trend.tool is not None:
        levels.append(Level(trend.sizes.target, f"target {_figure(trend, trend.sizes.target, style)}", kinds.TARGET))
    return tuple(levels)


def _figure(trend: Trend, size: float, style: Style) -> str:
    return style.length(size, unit=False) if trend.unit == "mm" else style.figure(size)


def _fan(trend: Trend, axis: str) -> Fan | None:
    ahead = forecast.wear_ahead(trend)
    if ahead is None:
        return None

    def place(count: float) -> float | None:
        return count if axis == CORES else forecast.day_at(trend, count)

    rows = [
        (x, middle, low, high)
        for count, middle, low, high in zip(ahead.count, ahead.middle, ahead.low, ahead.high, strict=True)
        if (x := place(count)) is not None
    ]
    if len(rows) < 2:
        return None
    now = place(trend.segments.starts[-1] + (trend.now or 0.0))
    xs, middle, low, high = zip(*rows, strict=True)
    return Fan(xs=xs, middle=middle, low=low, high=high, now=xs[0] if now is None else now, label="wear")


def _signals(trend: Trend, x: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    """Readings that were not fitted, and where an alarm begins."""
    import numpy as np

    wanted: list[int] = []
    if trend.fit is not None:
        counted = np.flatnonzero(~np.isnan(trend.segments.since))
        wanted = [int(counted[i]) for i in trend.fit.flagged]
    wanted += [alarm.first for alarm in trend.alarms]
    return tuple((float(x[i]), float(trend.main.value[i])) for i in wanted if not np.isnan(x[i]))
