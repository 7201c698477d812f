"""One size over cores or dates as a drawing: readings, castings, band, repairs, wear line, forecast; black on white.

Dots are readings, rings castings as the size of the tool that gives them, crosses other checks. A long series is drawn
by the smallest and the largest reading of each stretch. What stands far off is an arrow at the edge.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen
from inspect_tui.report.draw.band_svg import GREY, GROUND, INK, RED, svg, text
from inspect_tui.report.term.chart import nice_step, ticks
from inspect_tui.report.term.trend import CORES, DATE, day_words, positions, reduced, tame
from inspect_tui.report.words import figure
from inspect_tui.shop.trends import forecast as trend_forecast
from inspect_tui.shop.trends.counts import shown
from inspect_tui.shop.trends.forecast import Fan
from inspect_tui.shop.trends.tracks import CASTING
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SLOTS = 400
ROOM_LEFT, ROOM_RIGHT, ROOM_TOP, ROOM_BELOW = 38.0, 62.0, 14.0, 26.0


@frozen
class Frame:
    """Where values lie on the drawing, points (1/72 in)."""

    x0: float
    x1: float
    y0: float
    y1: float
    width: float
    height: float

    def x(self, value: float) -> float:
        """Points from the left edge."""
        return ROOM_LEFT + (value - self.x0) / (self.x1 - self.x0) * (self.width - ROOM_LEFT - ROOM_RIGHT)

    def y(self, value: float) -> float:
        """Points from the top."""
        return ROOM_TOP + (self.y1 - value) / (self.y1 - self.y0) * (self.height - ROOM_TOP - ROOM_BELOW)

    @property
    def right(self) -> float:
        """The right edge of the field."""
        return self.width - ROOM_RIGHT

    @property
    def bottom(self) -> float:
        """The lower edge of the field."""
        return self.height - ROOM_BELOW


def chart_svg(one: Trend, *, axis: str = CORES, width: float = 520.0, height: float = 220.0) -> str:
    """The drawing as one SVG element; with what it says for those who cannot see it."""
    import numpy as np

    x = positions(one.main, axis)
    known = ~np.isnan(x)
    if not known.any():
        said = "no reading has a count" if len(one.main) else "not measured yet"
        return svg([text(width / 2, height / 2, said, "middle", 9.0)], width, height, f"{one.title}: {said}")
    values = one.main.value[known]
    low, high = tame(values)
    fan = trend_forecast.fan(one)
    along = [] if fan is None else _along(one, fan, axis)
    beside = _beside(one, axis, low, high)
    frame = _frame(one, x[known], low, high, fan, along, beside, width, height)
    parts = [_field(frame), *_axes(frame, one, axis), *_band(frame, one)]
    if fan is not None:
        parts += _fan(frame, one, fan, along)
    parts += _marks(frame, one, axis)
    for ring, xs, ys in beside:
        parts.append(_rings(frame, xs, ys) if ring else _crosses(frame, xs, ys))
    xs, ys = reduced(x[known], values, SLOTS)
    parts.append(_dots(frame, xs, ys))
    parts.append(text(ROOM_LEFT, 9.0, f"{one.title}, {one.main.label}", "start", 8.0, bold=True))
    parts.append(_key(frame, one, beside, fan is not None))
    return svg(parts, width, height, f"{one.title} on {one.where}: {one.sentence}")


def _along(one: Trend, fan: Fan, axis: str) -> list[float | None]:
    return list(fan.count) if axis == CORES else [trend_forecast.day_at(one, count) for count in fan.count]


def _beside(one: Trend, axis: str, low: float, high: float) -> list[tuple[bool, list[float], list[float]]]:
    """Castings (rings) and other checks (crosses) that lie near enough to be drawn."""
    import numpy as np

    found = []
    room = 1.5 * (high - low) + 0.2
    for track in one.others:
        x = positions(track, axis)
        y = one.as_tool(track.value) if track.of == CASTING else track.value
        keep = ~np.isnan(x) & (y > low - room) & (y < high + room)
        if keep.any():
            found.append((track.of == CASTING, *reduced(x[keep], y[keep], SLOTS)))
    return found


def _frame(
    one: Trend,
    x: NDArray[np.float64],
    low: float,
    high: float,
    fan: Fan | None,
    along: Sequence[float | None],
    beside: Sequence[tuple[bool, list[float], list[float]]],
    width: float,
    height: float,
) -> Frame:
    ys = [low, high, *(y for _, _, part in beside for y in part)]
    xs = [float(x.min()), float(x.max()), *(a for _, part, _ in beside for a in part)]
    if one.tool is not None:
        ys.append(one.sizes.target)
    if one.left is not None and one.left.limit is not None:
        ys.append(one.left.limit)
    if fan is not None:
        xs += [a for a in along if a is not None]
        ys += [y for side in (fan.middle, fan.low[-1:], fan.high[-1:]) for y in side]
    room = 0.05 * (max(ys) - min(ys)) or 0.05
    left, right = min(xs), max(xs)
    if right <= left:
        left, right = left - 0.5, right + 0.5
    return Frame(x0=left, x1=right, y0=min(ys) - room, y1=max(ys) + room, width=width, height=height)


def _field(f: Frame) -> str:
    return (
        f'<rect x="{ROOM_LEFT:g}" y="{ROOM_TOP:g}" width="{f.right - ROOM_LEFT:.2f}" '
        f'height="{f.bottom - ROOM_TOP:.2f}" fill="none" stroke="{GREY}" stroke-width=".5"/>'
    )


def _axes(f: Frame, one: Trend, axis: str) -> list[str]:
    parts = []
    step = nice_step(f.y1 - f.y0, 6)
    places = 2 if step < 0.5 else 1
    for value in ticks(f.y0, f.y1, 6):
        y = f.y(value)
        parts.append(f'<path d="M{ROOM_LEFT - 3:g} {y:.2f}h3" stroke="{INK}" stroke-width=".5"/>')
        parts.append(text(ROOM_LEFT - 5, y + 2.2, figure(value, places), "end", 6.5))
    named: Callable[[float], str] = shown if axis == CORES else day_words
    where = ticks(f.x0, f.x1, 6) if axis == CORES else _days(f.x0, f.x1)
    for value in where:
        x = f.x(value)
        parts.append(f'<path d="M{x:.2f} {f.bottom:.2f}v3" stroke="{INK}" stroke-width=".5"/>')
        parts.append(text(x, f.bottom + 10, named(value), "middle", 6.5))
    name = f"{one.counter.word} made" if axis == CORES else "date"
    parts.append(text(f.right, f.height - 4, name, "end", 6.8))
    parts.append(text(4, ROOM_TOP - 4, one.unit, "start", 6.8))
    return parts


def _days(x0: float, x1: float) -> list[float]:
    """The first of some months between two days."""
    from datetime import date

    first, last = date.fromordinal(max(int(x0), 1)), date.fromordinal(max(int(x1), 1))
    months = (last.year - first.year) * 12 + last.month - first.month
    every = next((m for m in (1, 2, 3, 6, 12, 24, 60) if months / m <= 6), 120)
    found = []
    for k in range(0, months + 2, 1):
        year, month = divmod(first.year * 12 + first.month - 1 + k, 12)
        if (month % every == 0 if every <= 12 else month == 0 and year % (every // 12) == 0) and year <= 9999:
            day = float(date(year, month + 1, 1).toordinal())
            if x0 <= day <= x1:
                found.append(day)
    return found


def _band(f: Frame, one: Trend) -> list[str]:
    parts = []
    band = one.limits.band if one.tool is not None else one.sizes.band
    top = f.y(min(band.upper, f.y1)) if band.upper is not None else ROOM_TOP
    bottom = f.y(max(band.lower, f.y0)) if band.lower is not None else f.bottom
    if top < bottom:
        parts.append(
            f'<rect x="{ROOM_LEFT:g}" y="{top:.2f}" width="{f.right - ROOM_LEFT:.2f}" height="{bottom - top:.2f}" '
            f'fill="{GROUND}" fill-opacity=".6"/>'
        )
    for limit, name in ((band.lower, "lower limit"), (band.upper, "upper limit")):
        if limit is not None and f.y0 <= limit <= f.y1:
            y = f.y(limit)
            parts.append(f'<path d="M{ROOM_LEFT:g} {y:.2f}H{f.right:.2f}" stroke="{INK}" stroke-width="1.1"/>')
            parts.append(text(f.right + 3, y + 2.2, f"{name} {figure(limit)}", "start", 6.5))
    if one.tool is not None and f.y0 <= one.sizes.target <= f.y1:
        y = f.y(one.sizes.target)
        parts.append(
            f'<path d="M{ROOM_LEFT:g} {y:.2f}H{f.right:.2f}" stroke="{GREY}" stroke-width=".5" stroke-dasharray="2 2"/>'
        )
        parts.append(text(f.right + 3, y + 2.2, f"target {figure(one.sizes.target)}", "start", 6.5))
    return parts


def _fan(f: Frame, one: Trend, fan: Fan, along: Sequence[float | None]) -> list[str]:
    now = one.cut.starts[-1] + (one.now or 0.0)
    rows = [
        (x, low, middle, high, count)
        for x, low, middle, high, count in zip(along, fan.low, fan.middle, fan.high, fan.count, strict=True)
        if x is not None
    ]
    if len(rows) < 2:
        return []
    parts = []
    ahead = [row for row in rows if row[4] >= now - 1e-6]

    def clipped(value: float) -> float:
        return f.y(min(max(value, f.y0), f.y1))

    if len(ahead) > 1:
        edge = [f"{f.x(x):.2f} {clipped(high):.2f}" for x, _, _, high, _ in ahead]
        edge += [f"{f.x(x):.2f} {clipped(low):.2f}" for x, low, _, _, _ in reversed(ahead)]
        parts.append(f'<path d="M{"L".join(edge)}Z" fill="{GREY}" fill-opacity=".25"/>')
    behind = [row for row in rows if row[4] <= now + 1e-6]
    for part, dash in ((behind, ""), (rows[len(behind) - 1 :] if behind else rows, ' stroke-dasharray="4 2"')):
        if len(part) > 1:
            line = "L".join(f"{f.x(x):.2f} {clipped(middle):.2f}" for x, _, middle, _, _ in part)
            parts.append(f'<path d="M{line}" fill="none" stroke="{INK}" stroke-width="1"{dash}/>')
    return parts


def _marks(f: Frame, one: Trend, axis: str) -> list[str]:
    parts = []
    for number, mark in enumerate(one.marks, start=1):
        at = mark.day if axis == DATE else mark.count
        if at is None or not f.x0 <= at <= f.x1:
            continue
        x = f.x(at)
        parts.append(
            f'<path d="M{x:.2f} {ROOM_TOP:g}V{f.bottom:.2f}" stroke="{INK}" stroke-width=".7" stroke-dasharray="1 2"/>'
        )
        parts.append(text(x + 2, ROOM_TOP + 7, f"{mark.kind} {number}", "start", 6.2))
    return parts


def _dots(f: Frame, xs: Sequence[float], ys: Sequence[float]) -> str:
    """Every dot as one path; beyond the field an arrow."""
    path, far = [], []
    for x, y in zip(xs, ys, strict=True):
        at = f.x(x)
        if y > f.y1:
            far.append(f"M{at - 2:.1f} {ROOM_TOP + 5:.1f}h4l-2 -4z")
        elif y < f.y0:
            far.append(f"M{at - 2:.1f} {f.bottom - 5:.1f}h4l-2 4z")
        else:
            path.append(f"M{at:.1f} {f.y(y):.1f}h0")
    out = f'<path d="{"".join(path)}" stroke="{INK}" stroke-width="2.2" stroke-linecap="round"/>'
    return out + (f'<path d="{"".join(far)}" fill="{RED}"/>' if far else "")


def _rings(f: Frame, xs: Sequence[float], ys: Sequence[float]) -> str:
    return "".join(
        f'<circle cx="{f.x(x):.1f}" cy="{f.y(y):.1f}" r="1.7" fill="#fff" fill-opacity=".7" stroke="{GREY}" '
        'stroke-width=".7"/>'
        for x, y in zip(xs, ys, strict=True)
        if f.y0 <= y <= f.y1
    )


def _crosses(f: Frame, xs: Sequence[float], ys: Sequence[float]) -> str:
    path = "".join(
        f"M{f.x(x) - 1.8:.1f} {f.y(y) - 1.8:.1f}l3.6 3.6m0 -3.6l-3.6 3.6"
        for x, y in zip(xs, ys, strict=True)
        if f.y0 <= y <= f.y1
    )
    return f'<path d="{path}" stroke="{INK}" stroke-width=".7" fill="none"/>'


def _key(f: Frame, one: Trend, beside: Sequence[tuple[bool, list[float], list[float]]], fan: bool) -> str:
    said = ["● readings"]
    said += ["○ castings, as the size of the tool" if any(ring for ring, _, _ in beside) else ""]
    said += ["× other checks" if any(not ring for ring, _, _ in beside) else ""]
    said += ["line: wear, grey: 95 % of it ahead" if fan else ""]
    return text(ROOM_LEFT, f.height - 4, " · ".join(part for part in said if part), "start", 6.2)


def mark_lines(one: Trend) -> list[str]:
    """What the numbered lines of the drawing mean."""
    return [f"{m.kind} {number}, {day_words(m.day)}: {m.words}" for number, m in enumerate(one.marks, start=1)]
