"""The forecast of a trend: its fan, the day on which a count comes, and what it says, most important first."""

from __future__ import annotations

from math import isfinite

from inspect_tui.frozen import frozen
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.typed.show import day, number
from inspect_tui.shop.trends.job_view import JUMP
from inspect_tui.shop.trends.trend import HORIZON_WEEKS, Trend


@frozen
class WearAhead:
    """The wear line ahead: cores in all, and the size as it stands, at the lower and at the upper end (95 %)."""

    count: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


def wear_ahead(trend: Trend, steps: int = 24) -> WearAhead | None:
    """The line in force from its repair on and the forecast to a little beyond the limit, at most as far again."""
    if trend.fit is None or trend.now is None:
        return None
    start, now = trend.segments.starts[-1], trend.now
    far = max(now, 1.0)
    reach = now + far
    if trend.left is not None and trend.left.left is not None:
        best = trend.left.high if isfinite(trend.left.high) else 1.5 * trend.left.left
        reach = now + min(max(1.15 * best, 0.2 * far), 1.5 * far)
    at = [reach * i / steps for i in range(steps + 1)]
    middle, low, high = [], [], []
    for x in at:
        middle.append(trend.fit.at(x).value)
        edges = []
        for line in trend.fit.lines:
            e, t = line.at(x), t_quantile(0.975, line.dof)
            edges += [(e.value - t * e.u), (e.value + t * e.u)] if line.weight > 0.02 else []
        low.append(min(edges))
        high.append(max(edges))
    return WearAhead(tuple(start + x for x in at), tuple(middle), tuple(low), tuple(high))


def day_at(trend: Trend, count: float) -> float | None:
    """The day on which a count was or will be reached, at the present rate; None where that is not known."""
    known = trend.counter.day_of(count)
    if known is not None or trend.counter.now is None or not trend.per_week or count < trend.counter.now:
        return known
    return trend.counter.day[-1] + 7 * (count - trend.counter.now) / trend.per_week


def headline(trend: Trend) -> list[str]:
    """What the trend says, most important first: what is left, since when, by which limit, what is doubtful."""
    said, style = [trend.sentence] if trend.sentence else [], trend.view.style
    if trend.left is not None and trend.left.limit is not None:
        said.append(f"limit {style.with_unit(trend.left.limit, trend.unit)}: {trend.limits.words}")
    if trend.now is not None and trend.tool is not None:
        rate = f", {number(trend.per_week)} a week" if trend.per_week else ""
        how = trend.counter.how or "not counted"
        said.append(f"{number(trend.now)} {trend.counter.word} since {_since(trend)} ({how}){rate}")
    if trend.risk is not None and trend.left is not None and trend.left.kind in ("left", "at least"):
        said.append(f"risk to reach the limit within {style.figures(HORIZON_WEEKS)} weeks: {style.percent(trend.risk)}")
    said += [alarm.words for alarm in trend.alarms]
    return [*said, *trend.remarks, *trend.read_off]


def _since(trend: Trend) -> str:
    if not trend.segments.marks:
        return "new"
    mark = trend.segments.marks[-1][-1]
    if mark.kind == JUMP:
        return f"the jump of {day(mark.day)}, which no repair explains"
    return f"the repair of {day(mark.day)} ({mark.words})"
