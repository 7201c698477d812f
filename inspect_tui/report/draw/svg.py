"""Paints band and chart as drawings for papers: to scale, black on white, readable in print without colour.

Band: black strokes are limits, the ground between them is grey, a small open triangle with a dashed line is the
target. Small dots are other readings. The big diamond is the reading that counts, and the bar through it is as wide
as its expanded uncertainty. What lies beyond the drawn range is an arrow at the edge, open for the target, small for
other readings. Chart: dots are readings, rings castings, crosses other checks. Sizes in points (1/72 in).
Only figures and our own words go into a drawing, and every text is escaped.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw import chart as kinds
from inspect_tui.report.draw.band import MARGIN, Band, Lane, Range, drawn_range
from inspect_tui.report.draw.chart import Chart, Frame, Series, frame, nice_step, ticks
from inspect_tui.report.words import visible

INK, GREY, GROUND, RED = "#111", "#8a8a8a", "#e9e9e9", "#a5140f"
FONT = "'Libertinus Serif', Charter, 'Bitstream Charter', Georgia, serif"
EDGE = 4.0  # room left and right of a band for arrows and half a diamond
ROOM_LEFT, ROOM_RIGHT, ROOM_TOP, ROOM_BELOW = 38.0, 62.0, 14.0, 26.0  # around a chart
AT_ONCE = 1e-6  # cores or days: places across that are the same


# ------------------------------------------------------------------------------ the drawing and its words
def svg(parts: Sequence[str], width: float, height: float, said: str) -> str:
    """The drawing as one element, with what it says for those who cannot see it."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}pt" '
        f'height="{height:g}pt" role="img"><title>{escape(visible(said))}</title>{"".join(parts)}</svg>'
    )


def text(x: float, y: float, words: str, anchor: str = "start", size: float = 6.5, *, bold: bool = False) -> str:
    """Words at a place."""
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-family="{escape(FONT)}" font-size="{size:g}" text-anchor="{anchor}" '
        f'fill="{INK}"{weight}>{escape(visible(words))}</text>'
    )


# ------------------------------------------------------------------------------ the band
@frozen
class Scale:
    """Where sizes lie across a drawing, points from its left edge."""

    range: Range
    width: float

    def x(self, size: float) -> float:
        """Points from the left edge."""
        return EDGE + self.range.share(size) * (self.width - 2.0 * EDGE)


def band_svg(
    band: Band,
    *,
    width: float = 164.0,
    lane_height: float = 11.0,
    head: float = 11.0,
    style: Style = PAPER,
) -> str:
    """The band of one feature, its lanes under one scale; `head` is room for the figures above, or 0."""
    at = Scale(band.range, width)
    height = head + lane_height * max(len(band.lanes), 1)
    parts = [_ground(at, band.lower, band.upper, band.target, head, height)]
    if head:
        parts.append(_figures(at, band.lower, band.upper, head, style))
    for index, lane in enumerate(band.lanes):
        parts.append(_lane(at, lane, head + lane_height * (index + 0.5), lane_height))
    return svg(parts, width, height, _said(band, style))


def fit_svg(
    clearance: float | None,
    least: float,
    most: float,
    *,
    u95: float = 0.0,
    width: float = 120.0,
    words: bool = True,
    style: Style = PAPER,
) -> str:
    """A clearance between its least and its most, mm; below nought the print does not go in at all."""
    at = Scale(Range(min(0.0, least - MARGIN * (most - least)), most + 0.6 * (most - least)), width)
    head, lane, foot = 10.0, 12.0, 8.0 if words else 0.0
    parts = [_ground(at, least, most, None, head, head + lane), _figures(at, least, most, head, style)]
    zero = at.x(0.0)
    parts.append(f'<path d="M{zero:.2f} {head:.2f}V{head + lane:.2f}" stroke="{INK}" stroke-width="2"/>')
    parts.append(_lane(at, Lane(clearance, u95), head + lane / 2.0, lane))
    if words:
        y = head + lane + 6.5
        parts.append(text((zero + at.x(least)) / 2.0, y, "rubs", "middle", 6.0))
        parts.append(text((at.x(least) + at.x(most)) / 2.0, y, "goes", "middle", 6.0))
        parts.append(text((at.x(most) + width) / 2.0, y, "floats", "middle", 6.0))
    said = f"clearance {style.length(clearance)}, {style.pair(least, most)}"
    return svg(parts, width, head + lane + foot, said)


def check_svg(
    lower: float | None, upper: float | None, *, width: float = 120.0, style: Style = PAPER, said: str = ""
) -> str:
    """A go/no-go size: where the template or gap block must go and where it must not.

    `said` is for those who cannot see it, in words of the paper.
    """
    at = Scale(drawn_range(lower, upper), width)
    head, lane, foot = 10.0, 10.0, 8.0
    parts = [_ground(at, lower, upper, None, head, head + lane), _figures(at, lower, upper, head, style, 1)]
    y = head + lane + 6.5
    left = at.x(lower) if lower is not None else 0.0
    right = at.x(upper) if upper is not None else width
    parts.append(text((left + right) / 2.0, head + lane - 2.5, "GO", "middle", 7.5, bold=True))
    if lower is not None:
        parts.append(text(left / 2.0, y, "no-go", "middle", 6.0))
    if upper is not None:
        parts.append(text((right + width) / 2.0, y, "no-go", "middle", 6.0))
    return svg(parts, width, head + lane + foot, said or f"goes at {style.pair(lower, upper, 1)}")


def stock_svg(
    required: float,
    before: float,
    after: float,
    u95: float,
    most: float,
    *,
    width: float = 164.0,
    height: float = 11.0,
    style: Style = PAPER,
) -> str:
    """Stock on a machined face from the finished face (left edge) to `most`, mm: as it stands and after setting up.

    The stroke is the least that must be there; the ring is the casting as it stands, the diamond after setting up.
    """
    at = Scale(Range(min(0.0, before, after), max(most, required, before, after) * 1.05 + 1e-9), width)
    middle = height / 2.0
    parts = [
        f'<path d="M{at.x(at.range.low):.2f} {middle:.2f}H{width - EDGE:.2f}" stroke="{GREY}" stroke-width=".5"/>',
        f'<rect x="{at.x(required):.2f}" y="0" width="{max(width - EDGE - at.x(required), 0.0):.2f}" '
        f'height="{height:.2f}" fill="{GROUND}"/>',
        f'<path d="M{at.x(required):.2f} 0V{height:.2f}" stroke="{INK}" stroke-width="1.2"/>',
        f'<path d="M{at.x(before):.2f} {middle:.2f}H{at.x(after):.2f}" stroke="{GREY}" stroke-width="1" '
        'stroke-dasharray="1.5 1.5"/>',
        f'<circle cx="{at.x(before):.2f}" cy="{middle:.2f}" r="2.2" fill="#fff" stroke="{INK}" stroke-width=".8"/>',
        _lane(at, Lane(after, u95, after < required), middle, height, line=False),
    ]
    said = f"stock {style.length(before)} as it stands, {style.length(after)} set up, {style.length(required)} needed"
    return svg(parts, width, height, said)


def overview_svg(points: Sequence[tuple[str, float, str]], *, width: float = 520.0, most: float = 1.7) -> str:
    """All features on one band: (balloon, deviation as a share of the half band, level); outside ones are named.

    Limits stand at -1 and +1. Features follow each other downward in small steps so that none hides another.
    """
    at = Scale(Range(-most, most), width)
    head, step = 12.0, 3.2
    named = [p for p in points if p[2] in ("bad", "doubt")]
    rows = max(min(len(points), 16), 6)
    height = head + step * rows + 6.0
    parts = [_ground(at, -1.0, 1.0, 0.0, head, height)]
    for place, words in ((-1.0, "lower limit"), (0.0, "nominal"), (1.0, "upper limit")):
        parts.append(text(at.x(place), head - 4.0, words, "middle", 7.0))
    for index, (_, share, level) in enumerate(points):
        y = head + 4.0 + step * (index % rows)
        if level not in ("bad", "doubt"):
            parts.append(f'<circle cx="{at.x(at.range.inside(share)):.2f}" cy="{y:.2f}" r="1.3" fill="{INK}"/>')
    taken: list[tuple[float, float, float]] = []
    for balloon, share, level in named:
        index = next(i for i, p in enumerate(points) if p[0] == balloon)
        y = head + 4.0 + step * (index % rows)
        parts.append(_mark(at, share, y, 3.0, level == "bad", hollow=level == "doubt"))
        label = visible(balloon)
        rightward = (share >= 0) != (abs(share) > most * 0.93)  # away from the middle, inward at the edges
        x = at.x(at.range.inside(share)) + (5.0 if rightward else -5.0)
        wide = 3.6 * len(label) + 2.0
        start = x if rightward else x - wide
        for shift in (0.0, 6.0, -6.0, 12.0, -12.0, 18.0, -18.0):
            spot = (start, start + wide, y + shift)
            clear = all(spot[1] < a or b < spot[0] or abs(spot[2] - c) >= 5.6 for a, b, c in taken)
            if clear and head + 2.0 < spot[2] < height - 1.0:
                taken.append(spot)
                side = "start" if rightward else "end"
                parts.append(text(x, spot[2] + 2.2, label, side, 6.6, bold=level == "bad"))
                break
    return svg(parts, width, height, f"{len(points)} features against their limits")


def sign_svg(height: float = 19.0) -> str:
    """The sign of the program: a band with its limits, its target and a reading with its uncertainty."""
    at = Scale(Range(-1.7, 1.7), height * 3.0)
    parts = [
        _ground(at, -1.0, 1.0, 0.0, height * 0.1, height * 0.95),
        _lane(at, Lane(0.32, 0.36), height * 0.55, height),
    ]
    return svg(parts, height * 3.0, height, "inspect_tui")


def _ground(
    at: Scale, lower: float | None, upper: float | None, target: float | None, top: float, bottom: float
) -> str:
    left = at.x(lower) if lower is not None else EDGE
    right = at.x(upper) if upper is not None else at.width - EDGE
    out = ""
    if lower is not None or upper is not None:
        wide, high = right - left, bottom - top
        out += f'<rect x="{left:.2f}" y="{top:.2f}" width="{wide:.2f}" height="{high:.2f}" fill="{GROUND}"/>'
    for limit in (lower, upper):
        if limit is not None:
            x = at.x(limit)
            out += f'<path d="M{x:.2f} {top:.2f}V{bottom:.2f}" stroke="{INK}" stroke-width="1.2"/>'
    if target is None:
        return out
    if (side := at.range.beyond(target)) != 0:
        return out + _arrow(at, side, top + 2.4, 2.2, f'fill="#fff" stroke="{INK}" stroke-width=".7"')
    x = at.x(target)
    out += f'<path d="M{x:.2f} {top:.2f}V{bottom:.2f}" stroke="{GREY}" stroke-width=".5" stroke-dasharray="1.5 1.5"/>'
    return out + f'<path d="M{x - 2.4:.2f} {top:.2f}h4.8l-2.4 3.4z" fill="#fff" stroke="{INK}" stroke-width=".7"/>'


def _figures(at: Scale, lower: float | None, upper: float | None, head: float, style: Style, digits: int = 2) -> str:
    out = ""
    for limit, other, anchor in ((lower, upper, "end"), (upper, lower, "start")):
        if limit is None:
            continue
        words, x = style.length(limit, digits, unit=False), at.x(limit)
        half = 1.7 * len(words)
        crowded = other is not None and abs(at.x(other) - x) < 2.0 * half + 4.0
        place = "middle" if not crowded and half < x < at.width - half else anchor
        out += text(x, head - 2.6, words, place)
    return out


def _lane(at: Scale, lane: Lane, y: float, height: float, *, line: bool = True) -> str:
    out = ""
    drawn = at.range
    if line:
        out += f'<path d="M{EDGE:.2f} {y:.2f}H{at.width - EDGE:.2f}" stroke="{GREY}" stroke-width=".4"/>'
    for other in lane.others:
        if drawn.shows(other):
            out += f'<circle cx="{at.x(other):.2f}" cy="{y:.2f}" r="1.2" fill="{INK}"/>'
    here = 0 if lane.value is None else drawn.beyond(lane.value)  # its own arrow covers those of the others
    for side in sorted({drawn.beyond(other) for other in lane.others} - {0, here}):
        out += _arrow(at, side, y, 1.6, f'fill="{INK}"')
    if lane.value is None:
        return out
    if drawn.shows(lane.value) and lane.u95 > 0.0:
        left, right = (at.x(drawn.inside(lane.value + end)) for end in (-lane.u95, lane.u95))
        colour = RED if lane.bad else INK
        out += f'<path d="M{left:.2f} {y:.2f}H{right:.2f}" stroke="{colour}" stroke-width="2.2"/>'
    return out + _mark(at, lane.value, y, min(height * 0.34, 3.8), lane.bad)


def _mark(at: Scale, value: float, y: float, half: float, bad: bool, *, hollow: bool = False) -> str:
    colour = RED if bad else INK
    fill = f'fill="#fff" stroke="{colour}" stroke-width="1"' if hollow else f'fill="{colour}"'
    if (side := at.range.beyond(value)) != 0:
        return _arrow(at, side, y, half, fill)
    x = at.x(value)
    h = f"{half:.2f}"
    return f'<path d="M{x:.2f} {y - half:.2f}l{h} {h}l-{h} {h}l-{h} -{h}z" {fill}/>'


def _arrow(at: Scale, side: int, y: float, half: float, fill: str) -> str:
    """What lies beyond the left edge (-1) or the right (1)."""
    if side < 0:
        return f'<path d="M{EDGE - 3:.2f} {y:.2f}l6 {-half:.2f}v{2 * half:.2f}z" {fill}/>'
    return f'<path d="M{at.width - EDGE + 3:.2f} {y:.2f}l-6 {-half:.2f}v{2 * half:.2f}z" {fill}/>'


def _said(band: Band, style: Style) -> str:
    def figure(size: float | None) -> str:
        return style.length(size, unit=False)

    read = ", ".join(figure(lane.value) for lane in band.lanes if lane.value is not None) or "no reading"
    ends = " to ".join("open" if x is None else figure(x) for x in (band.lower, band.upper))
    return f"band {ends}, target {figure(band.target) or 'none'}: {read}"


# ------------------------------------------------------------------------------ the chart
def chart_svg(chart: Chart, *, width: float = 520.0, height: float = 220.0) -> str:
    """The chart as one SVG element; without readings, what it says in words."""
    if not len(chart.readings.xs):
        return svg(
            [text(width / 2, height / 2, chart.said, "middle", 9.0)], width, height, f"{chart.title}: {chart.said}"
        )
    return svg(_Field(chart, width, height).parts(), width, height, chart.said)


class _Field:
    """The field of a chart: where places and values lie on the drawing, and what is drawn there."""

    def __init__(self, chart: Chart, width: float, height: float) -> None:
        self.chart, self.width, self.height = chart, width, height
        self.frame: Frame = frame(chart)
        self.right, self.bottom = width - ROOM_RIGHT, height - ROOM_BELOW

    def x(self, place: float) -> float:
        """Points from the left edge."""
        f = self.frame
        return ROOM_LEFT + (place - f.x0) / (f.x1 - f.x0) * (self.width - ROOM_LEFT - ROOM_RIGHT)

    def y(self, value: float) -> float:
        """Points from the top."""
        f = self.frame
        return ROOM_TOP + (f.y1 - value) / (f.y1 - f.y0) * (self.height - ROOM_TOP - ROOM_BELOW)

    def inside(self, value: float) -> float:
        """Points from the top; at the edge for a value beyond the field."""
        return self.y(min(max(value, self.frame.y0), self.frame.y1))

    def parts(self) -> list[str]:
        """Everything, from the back to the front."""
        chart = self.chart
        parts = [
            f'<rect x="{ROOM_LEFT:g}" y="{ROOM_TOP:g}" width="{self.right - ROOM_LEFT:.2f}" '
            f'height="{self.bottom - ROOM_TOP:.2f}" fill="none" stroke="{GREY}" stroke-width=".5"/>'
        ]
        parts += self._axes()
        parts += self._levels()
        parts += self._fan()
        parts += self._breaks()
        for series in chart.beside:
            parts.append(self._rings(series) if series.kind == kinds.CASTING else self._crosses(series))
        parts.append(self._dots(chart.readings))
        parts.append(
            text(ROOM_LEFT, 9.0, f"{chart.title}, {chart.of}" if chart.of else chart.title, "start", 8.0, bold=True)
        )
        parts.append(text(ROOM_LEFT, self.height - 4, self._key(), "start", 6.2))
        return parts

    def _axes(self) -> list[str]:
        f, chart = self.frame, self.chart
        parts = []
        y0, y1 = f.y0 / chart.per, f.y1 / chart.per
        places = 2 if nice_step(y1 - y0, 6) < 0.5 else 1
        for value in ticks(y0, y1, 6):
            y = self.y(value * chart.per)
            parts.append(f'<path d="M{ROOM_LEFT - 3:g} {y:.2f}h3" stroke="{INK}" stroke-width=".5"/>')
            parts.append(text(ROOM_LEFT - 5, y + 2.2, PAPER.figure(value, places), "end", 6.5))
        for value in chart.steps(f.x0, f.x1) if chart.steps else ticks(f.x0, f.x1, 6):
            x = self.x(value)
            parts.append(f'<path d="M{x:.2f} {self.bottom:.2f}v3" stroke="{INK}" stroke-width=".5"/>')
            parts.append(text(x, self.bottom + 10, chart.named(value), "middle", 6.5))
        parts.append(text(self.right, self.height - 4, chart.across, "end", 6.8))
        parts.append(text(4, ROOM_TOP - 4, chart.unit, "start", 6.8))
        return parts

    def _levels(self) -> list[str]:
        parts = []
        if self.chart.ground is not None:
            lower, upper = self.chart.ground
            top = self.y(min(upper, self.frame.y1)) if upper is not None else ROOM_TOP
            bottom = self.y(max(lower, self.frame.y0)) if lower is not None else self.bottom
            if top < bottom:
                parts.append(
                    f'<rect x="{ROOM_LEFT:g}" y="{top:.2f}" width="{self.right - ROOM_LEFT:.2f}" '
                    f'height="{bottom - top:.2f}" fill="{GROUND}" fill-opacity=".6"/>'
                )
        for level in self.chart.levels:
            if not self.frame.shows(level.y):
                continue
            y = self.y(level.y)
            line = f'<path d="M{ROOM_LEFT:g} {y:.2f}H{self.right:.2f}" '
            if level.kind == kinds.LIMIT:
                parts.append(f'{line}stroke="{INK}" stroke-width="1.1"/>')
            else:
                parts.append(f'{line}stroke="{GREY}" stroke-width=".5" stroke-dasharray="2 2"/>')
            parts.append(text(self.right + 3, y + 2.2, level.name or level.label, "start", 6.5))
        return parts

    def _fan(self) -> list[str]:
        fan = self.chart.fan
        if fan is None or len(fan.xs) < 2:
            return []
        parts = []
        rows = list(zip(fan.xs, fan.low, fan.middle, fan.high, strict=True))
        ahead = [row for row in rows if row[0] >= fan.now - AT_ONCE]
        if len(ahead) > 1:
            edge = [f"{self.x(x):.2f} {self.inside(high):.2f}" for x, _, _, high in ahead]
            edge += [f"{self.x(x):.2f} {self.inside(low):.2f}" for x, low, _, _ in reversed(ahead)]
            parts.append(f'<path d="M{"L".join(edge)}Z" fill="{GREY}" fill-opacity=".25"/>')
        behind = [row for row in rows if row[0] <= fan.now + AT_ONCE]
        for part, dash in ((behind, ""), (rows[len(behind) - 1 :] if behind else rows, ' stroke-dasharray="4 2"')):
            if len(part) > 1:
                line = "L".join(f"{self.x(x):.2f} {self.inside(middle):.2f}" for x, _, middle, _ in part)
                parts.append(f'<path d="M{line}" fill="none" stroke="{INK}" stroke-width="1"{dash}/>')
        return parts

    def _breaks(self) -> list[str]:
        parts = []
        for mark in self.chart.breaks:
            if not self.frame.x0 <= mark.x <= self.frame.x1:
                continue
            x = self.x(mark.x)
            parts.append(
                f'<path d="M{x:.2f} {ROOM_TOP:g}V{self.bottom:.2f}" stroke="{INK}" stroke-width=".7" '
                'stroke-dasharray="1 2"/>'
            )
            parts.append(text(x + 2, ROOM_TOP + 7, f"{mark.kind} {mark.number}", "start", 6.2))
        return parts

    def _dots(self, series: Series) -> str:
        """Every dot as one path; beyond the field an arrow."""
        f = self.frame
        path, far = [], []
        for place, value in zip(series.xs, series.ys, strict=True):
            x = self.x(place)
            if value > f.y1:
                far.append(f"M{x - 2:.1f} {ROOM_TOP + 5:.1f}h4l-2 -4z")
            elif value < f.y0:
                far.append(f"M{x - 2:.1f} {self.bottom - 5:.1f}h4l-2 4z")
            else:
                path.append(f"M{x:.1f} {self.y(value):.1f}h0")
        out = f'<path d="{"".join(path)}" stroke="{INK}" stroke-width="2.2" stroke-linecap="round"/>'
        return out + (f'<path d="{"".join(far)}" fill="{RED}"/>' if far else "")

    def _rings(self, series: Series) -> str:
        return "".join(
            f'<circle cx="{self.x(x):.1f}" cy="{self.y(y):.1f}" r="1.7" fill="#fff" fill-opacity=".7" '
            f'stroke="{GREY}" stroke-width=".7"/>'
            for x, y in zip(series.xs, series.ys, strict=True)
            if self.frame.shows(y)
        )

    def _crosses(self, series: Series) -> str:
        path = "".join(
            f"M{self.x(x) - 1.8:.1f} {self.y(y) - 1.8:.1f}l3.6 3.6m0 -3.6l-3.6 3.6"
            for x, y in zip(series.xs, series.ys, strict=True)
            if self.frame.shows(y)
        )
        return f'<path d="{path}" stroke="{INK}" stroke-width=".7" fill="none"/>'

    def _key(self) -> str:
        """What the marks of this drawing stand for."""
        fan, beside = self.chart.fan, [series.kind == kinds.CASTING for series in self.chart.beside]
        said = ["● readings"]
        said += ["○ castings, as the size of the tool"] if any(beside) else []
        said += ["× other checks"] if not all(beside) else []
        said += [f"line: {fan.label}, grey: 95 % of it ahead"] if fan is not None else []
        return " · ".join(said)
