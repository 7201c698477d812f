"""Trends as text: the list by urgency, the chart of one size over cores or dates, surprises, orders.

Readings are braille dots, castings o (as the size of the tool that gives them), other checks x, the forecast · above
and below; words and marks carry all, colour repeats it. What stands far off is drawn at the edge with ▲ ▼ and counted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from math import isfinite
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.report.term.chart import Level, chart_text
from inspect_tui.shop.trends import forecast as trend_forecast
from inspect_tui.shop.trends import parts
from inspect_tui.shop.trends.counts import shown
from inspect_tui.shop.trends.job import JUMP
from inspect_tui.shop.trends.tracks import CASTING, CORE, Track
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


CORES, DATE = "cores", "date"
SLOTS = 240  # a chart gets the smallest and the largest reading of each of so many stretches: nothing is hidden
WILD = 8.0  # interquartile ranges from the middle: drawn at the edge, for the others would be one flat line
MARKS = {"tool": "x", "core": "+", "casting": "o"}


# ------------------------------------------------------------------------------ the chart
def chart(
    one: Trend,
    width: int,
    height: int,
    *,
    axis: str = CORES,
    castings: bool = True,
    forecast: bool = True,
    cursor: int | None = None,
) -> Text:
    """One size over cores or dates, `width` x `height` characters; `cursor` is a reading of the main track."""
    import numpy as np

    x = positions(one.main, axis)
    known = ~np.isnan(x)
    title = f"{one.title} on {_what(one.main)}"
    if not known.any():
        out = Text(title[:width] + "\n", style="bold")
        why = "no reading has a count: press x for the chart over dates" if len(one.main) else "not measured yet"
        return out + Text(why, style="yellow")
    values = one.main.value[known]
    low, high = tame(values)
    xs, ys = reduced(x[known], np.clip(values, low, high))
    more, ends = _beside(one, axis, castings, low, high)
    levels = _levels(one, low, high)
    if forecast and (fan := trend_forecast.fan(one, max(24, width // 2))) is not None:
        along = _along(one, fan.count, axis)
        now = one.cut.starts[-1] + (one.now or 0.0)
        for side, mark in ((fan.low, "·"), (fan.high, "·"), (fan.middle, "-")):
            keep = [i for i, at in enumerate(along) if at is not None and (mark == "-" or fan.count[i] >= now - 1e-6)]
            more.append(([along[i] or 0.0 for i in keep], [side[i] for i in keep], mark))
    signals = [int(i) for i in _flagged(one, xs, ys, x, known)]
    picture = chart_text(
        xs,
        ys,
        width=width,
        height=height - 1,
        levels=levels,
        signals=signals,
        breaks=[(at, m.words) for m in one.marks if (at := _of_mark(one, m.day, m.count, axis)) is not None],
        unit=one.unit,
        x_name="cores made" if axis == CORES else "date",
        title=title,
        more=more,
        cursor=float(x[cursor]) if cursor is not None and cursor < len(x) and not np.isnan(x[cursor]) else None,
    )
    return _own_axis(picture, one, axis, xs, more, width) + Text("\n") + _legend(one, ends, values, low, high, width)


def positions(track: Track, axis: str) -> NDArray[np.float64]:
    """Where each reading stands across: cores made, or days."""
    return track.count if axis == CORES else track.day


def reduced(x: NDArray[np.float64], y: NDArray[np.float64], slots: int = SLOTS) -> tuple[list[float], list[float]]:
    """The smallest and the largest reading of each stretch, in order; all of them where they are few."""
    import numpy as np

    if len(x) <= 4 * slots:
        return x.tolist(), y.tolist()
    low, high = float(x.min()), float(x.max())
    slot = ((x - low) * ((slots - 1) / (high - low if high > low else 1.0))).astype(np.int64)
    order = np.lexsort((y, slot))
    first = np.flatnonzero(np.diff(slot[order], prepend=-1))
    last = np.append(first[1:], len(order)) - 1
    keep = np.unique(np.concatenate([order[first], order[last]]))
    return x[keep].tolist(), y[keep].tolist()


def tame(values: NDArray[np.float64]) -> tuple[float, float]:
    """Between which the chart is drawn: everything, unless a few readings stand far off."""
    import numpy as np

    quarter, middle, three = np.quantile(values, [0.25, 0.5, 0.75])
    reach = WILD * max(float(three - quarter), 1e-6)
    inner = values[np.abs(values - middle) <= reach]
    return (float(inner.min()), float(inner.max())) if len(inner) else (float(values.min()), float(values.max()))


def _beside(
    one: Trend, axis: str, castings: bool, low: float, high: float
) -> tuple[list[tuple[list[float], list[float], str]], list[str]]:
    """Other tracks on the same axis, castings as the tool's size, and what their marks mean."""
    import numpy as np

    series, said = [], []
    for track in one.others:
        if track.of == CASTING and not castings:
            continue
        x = positions(track, axis)
        y = one.as_tool(track.value) if track.of == CASTING else track.value
        room = 1.5 * (high - low) + 0.2
        keep = ~np.isnan(x) & (y > low - room) & (y < high + room)
        if not keep.any():
            continue
        xs, ys = reduced(x[keep], y[keep], SLOTS // 2)
        series.append((xs, ys, MARKS[track.of]))
        far = int((~keep & ~np.isnan(x)).sum())
        said.append(f"{MARKS[track.of]} {_what(track)}" + (f" ({far} far off)" if far else ""))
    return series, said


def _levels(one: Trend, low: float, high: float) -> list[Level]:
    levels = [Level(one.sizes.target, f"target {one.sizes.target:.2f}", "┈")] if one.tool else []
    band = one.limits.band
    if one.tool is not None and one.left is not None and one.left.limit is not None:
        levels.append(Level(one.left.limit, f"limit {one.left.limit:.2f}", "━", "bold"))
    elif one.tool is not None:
        span = max(high - low, 0.02)
        for limit, name in ((band.lower, "lower"), (band.upper, "upper")):
            if limit is not None and low - 3 * span <= limit <= high + 3 * span:
                levels.append(Level(limit, f"{name} {limit:.2f}", "━", "bold"))
    else:
        span = max(high - low, 0.02)
        for limit, name in ((one.sizes.band.lower, "lower"), (one.sizes.band.upper, "upper")):
            if limit is not None and low - span <= limit <= high + span:
                levels.append(Level(limit, f"{name} {limit:.2f}", "━", "bold"))
    return levels


def _along(one: Trend, counts: Sequence[float], axis: str) -> list[float | None]:
    return list(counts) if axis == CORES else [trend_forecast.day_at(one, count) for count in counts]


def _of_mark(one: Trend, day: float, count: float | None, axis: str) -> float | None:
    return day if axis == DATE else count


def _flagged(
    one: Trend, xs: Sequence[float], ys: Sequence[float], x: NDArray[np.float64], known: NDArray[np.bool_]
) -> list[int]:
    """Places among the drawn points of readings that were not fitted, and of where an alarm begins."""
    import numpy as np

    wanted: list[int] = []
    if one.fit is not None:
        counted = np.flatnonzero(~np.isnan(one.cut.since))
        wanted = [int(counted[i]) for i in one.fit.flagged]
    wanted += [alarm.first for alarm in one.alarms]
    there = {(a, b): i for i, (a, b) in enumerate(zip(xs, ys, strict=True))}
    low, high = min(ys), max(ys)
    return [
        there[key]
        for i in wanted
        if known[i] and (key := (float(x[i]), float(np.clip(one.main.value[i], low, high)))) in there
    ]


def _own_axis(
    picture: Text,
    one: Trend,
    axis: str,
    xs: Sequence[float],
    more: Sequence[tuple[Sequence[float], Sequence[float], str]],
    width: int,
) -> Text:
    """The same chart with its ends named as counts or dates."""
    lines = list(picture.split("\n", allow_blank=True))
    stroke = lines[-2].plain
    start = stroke.index("└") + 1
    plot = len(stroke) - start
    left = min([*xs, *(x for part, _, _ in more for x in part)])
    right = max([*xs, *(x for part, _, _ in more for x in part)])
    named = _namer(axis)
    first, last = named(left), named(right)
    middle = f"{one.counter.word} made" if axis == CORES else "date"
    middle += f" → · {one.unit} ↑"
    gap = max(plot - len(first) - len(last) - len(middle), 2)
    lines[-1] = Text((" " * start + first + " " * (gap // 2) + middle + " " * (gap - gap // 2) + last)[:width])
    return Text("\n").join(lines)


def _namer(axis: str) -> Callable[[float], str]:
    return shown if axis == CORES else day_words


def day_words(ordinal: float) -> str:
    """An ordinal as an ISO date."""
    return date.fromordinal(int(ordinal)).isoformat() if isfinite(ordinal) and ordinal >= 1 else "?"


def _legend(
    one: Trend, beside: Sequence[str], values: NDArray[np.float64], low: float, high: float, width: int
) -> Text:
    said: list[str] = []
    above, below = int((values > high).sum()), int((values < low).sum())
    if above:
        said.append(f"▲ {above} above the picture, up to {float(values.max()):.2f}")
    if below:
        said.append(f"▼ {below} below it, down to {float(values.min()):.2f}")
    said += beside
    if one.fit is not None:
        said.append("- wear · 95 %")
    if one.marks:
        said.append("┊ repair" + (" or jump" if any(m.kind == JUMP for m in one.marks) else ""))
    if (one.fit is not None and one.fit.flagged) or one.alarms:
        said.append("◆ not fitted" if one.fit is not None else "◆ alarm begins")
    return Text("  ".join(said)[:width], style="dim")


def _what(track: Track) -> str:
    return track.label


# ------------------------------------------------------------------------------ words of a point
def point_words(one: Trend, at: int, who: str = "") -> str:
    """The reading under the cursor: value, place, what it is of, who; and how far it lies from the line."""
    track = one.main
    value = float(track.value[at])
    said = f"{value:.2f} {one.unit}"
    count = float(track.count[at])
    if isfinite(count):
        said += f" at {shown(count)} {one.counter.word}"
    said += f", {day_words(float(track.day[at]))}"
    if track.words(at):
        said += f", {track.words(at)}"
    if one.fit is not None and isfinite(count):
        said += f"; {value - (value - float(one.residuals()[at])):+.2f} from the wear line"
    beside = _casting_at(one, count, at)
    return said + (f"; {beside}" if beside else "") + (f"  {who}" if who else "")


def _casting_at(one: Trend, count: float, at: int) -> str:
    """The casting of the same lot, or the one next to it in count."""
    import numpy as np

    track = one.castings
    if track is None:
        return ""
    lot = one.main.lot[at] if one.main.lot is not None else None
    if lot is not None and track.lot is not None and lot in track.lot:
        i = list(track.lot).index(lot)
        return f"casting of the lot {float(track.value[i]):.2f}"
    if not isfinite(count) or np.isnan(track.count).all():
        return ""
    i = int(np.nanargmin(np.abs(track.count - count)))
    return f"nearest casting {float(track.value[i]):.2f} ({track.words(i) or day_words(float(track.day[i]))})"


# ------------------------------------------------------------------------------ two sizes
def compare(first: Trend, second: Trend, width: int, height: int, *, axis: str = CORES) -> Text:
    """Two sizes on one axis, each as its difference from its target: dots the first, o the second."""
    import numpy as np

    drawn = []
    for one in (first, second):
        x, y = positions(one.main, axis), one.main.value - _zero(one)
        keep = ~np.isnan(x) & parts.believable(one.main.value)
        drawn.append((x[keep], y[keep]))
    if not all(len(x) for x, _ in drawn):
        return Text("one of the two has no readings on this axis: x changes the axis", style="yellow")
    (x1, y1), (x2, y2) = drawn
    xs, ys = reduced(x1, y1)
    more = [(*reduced(x2, y2, SLOTS // 2), "o")]
    title = f"⠿ {first.title} ({first.where})   o {second.title} ({second.where})"
    marks = [*first.marks, *(m for m in second.marks if m.tool != first.where)]
    picture = chart_text(
        xs,
        ys,
        width=width,
        height=height - 1,
        levels=[Level(0.0, "target", "┈")],
        unit=first.unit,
        title=title,
        breaks=[(at, m.words) for m in marks if (at := _of_mark(first, m.day, m.count, axis)) is not None],
        x_name="",
        more=more,
    )
    text = _own_axis(picture, first, axis, xs, more, width)
    return text + Text("\ndifference from the target of each, mm  ┊ repair"[: width + 1], style="dim")


def _zero(one: Trend) -> float:
    return one.sizes.target


def tracks_words(one: Trend) -> str:
    """What was measured: 400 sample cores, 23 castings."""
    names = {CORE: "sample cores", CASTING: "castings"}
    said = [f"{len(t)} {names.get(t.of, 'checks of ' + one.where)}" for t in (one.main, *one.others) if len(t)]
    return ", ".join(said) or "nothing measured yet"
