"""The forecast of a trend: its fan, the day on which a count comes, and what it says, most important first."""

from __future__ import annotations

from math import isfinite

from inspect_tui.frozen import frozen
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.typed.show import day, number
from inspect_tui.shop.trends.trend import HORIZON_WEEKS, Trend


@frozen
class Fan:
    """The wear line ahead: cores in all, and the size as it stands, at the lower and at the upper end (95 %)."""

    count: tuple[float, ...]
    middle: tuple[float, ...]
    low: tuple[float, ...]
    high: tuple[float, ...]


def fan(one: Trend, steps: int = 24) -> Fan | None:
    """The line in force from its repair on and the forecast to a little beyond the limit, at most as far again."""
    if one.fit is None or one.now is None:
        return None
    start, now = one.cut.starts[-1], one.now
    far = max(now, 1.0)
    reach = now + far
    if one.left is not None and one.left.left is not None:
        best = one.left.high if isfinite(one.left.high) else 1.5 * one.left.left
        reach = now + min(max(1.15 * best, 0.2 * far), 1.5 * far)
    at = [reach * i / steps for i in range(steps + 1)]
    middle, low, high = [], [], []
    for x in at:
        middle.append(one.fit.at(x).value)
        edges = []
        for line in one.fit.lines:
            e, t = line.at(x), t_quantile(0.975, line.dof)
            edges += [(e.value - t * e.u), (e.value + t * e.u)] if line.weight > 0.02 else []
        low.append(min(edges))
        high.append(max(edges))
    return Fan(tuple(start + x for x in at), tuple(middle), tuple(low), tuple(high))


def day_at(one: Trend, count: float) -> float | None:
    """The day on which a count was or will be reached, at the present rate; None where that is not known."""
    known = one.counter.day_of(count)
    if known is not None or one.counter.now is None or not one.per_week or count < one.counter.now:
        return known
    return one.counter.day[-1] + 7 * (count - one.counter.now) / one.per_week


def headline(one: Trend) -> list[str]:
    """What the trend says, most important first: what is left, since when, by which limit, what is doubtful."""
    said, style = [one.sentence] if one.sentence else [], one.view.style
    if one.left is not None and one.left.limit is not None:
        said.append(f"limit {style.with_unit(one.left.limit, one.unit)}: {one.limits.words}")
    if one.now is not None and one.tool is not None:
        rate = f", {number(one.per_week)} a week" if one.per_week else ""
        how = one.counter.how or "not counted"
        said.append(f"{number(one.now)} {one.counter.word} since {_since(one)} ({how}){rate}")
    if one.risk is not None and one.left is not None and one.left.kind in ("left", "at least"):
        said.append(f"risk to reach the limit within {style.figures(HORIZON_WEEKS)} weeks: {style.percent(one.risk)}")
    said += [alarm.words for alarm in one.alarms]
    return said + list(one.remarks)


def _since(one: Trend) -> str:
    if not one.cut.marks:
        return "new"
    mark = one.cut.marks[-1][-1]
    return f"the repair of {day(mark.day)} ({mark.words})"
