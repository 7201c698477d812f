"""The band as a drawing for papers: the same sign as on the screen, to scale, readable in print without colour.

Black strokes are limits, the ground between them is grey, a small open triangle with a dashed line is the target.
Small dots are other readings. The big diamond is the reading that counts, and the bar through it is as wide as its
expanded uncertainty. A reading beyond the drawn range is an arrow at the edge. Sizes in points (1/72 in).
Only figures and our own words go into a drawing, and every text is escaped.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from inspect_tui.frozen import frozen
from inspect_tui.report.words import figure, visible

MARGIN = 0.35  # drawn beyond each limit, as a share of the band: as on the screen
INK, GREY, GROUND, RED = "#111", "#8a8a8a", "#e9e9e9", "#a5140f"
FONT = "'Libertinus Serif', Charter, 'Bitstream Charter', Georgia, serif"
EDGE = 4.0  # room left and right for arrows and half a diamond


@frozen
class Lane:
    """One line of readings: the one that counts, what it is worth, and small ones beside it (mm or degrees)."""

    value: float | None = None
    u95: float = 0.0
    bad: bool = False
    others: tuple[float, ...] = ()


@frozen
class Scale:
    """Where a size lies across the drawing."""

    low: float
    high: float
    width: float

    def x(self, size: float) -> float:
        """Points from the left edge."""
        return EDGE + (size - self.low) / (self.high - self.low) * (self.width - 2.0 * EDGE)

    def shows(self, size: float) -> bool:
        """Whether a size lies inside the drawn range."""
        return self.low <= size <= self.high


def scale(
    lower: float | None, upper: float | None, target: float | None, values: Sequence[float], width: float
) -> Scale:
    """The drawn range: limits and a margin; with a side open, room around target and readings."""
    if lower is not None and upper is not None:
        room = MARGIN * max(upper - lower, 1e-6)
        return Scale(lower - room, upper + room, width)
    known = [x for x in (lower, upper, target, *values) if x is not None] or [0.0]
    span = max(max(known) - min(known), 0.02 * max(abs(known[0]), 1.0))
    return Scale(min(known) - MARGIN * span, max(known) + MARGIN * span, width)


def band_svg(
    lanes: Sequence[Lane],
    *,
    lower: float | None,
    upper: float | None,
    target: float | None,
    width: float = 164.0,
    lane_height: float = 11.0,
    head: float = 11.0,
    places: int = 2,
) -> str:
    """The band of one feature, a lane for each casting under one scale; `head` is room for the figures above, or 0."""
    values = [x for lane in lanes for x in (lane.value, *lane.others) if x is not None]
    at = scale(lower, upper, target, values, width)
    height = head + lane_height * max(len(lanes), 1)
    parts = [_ground(at, lower, upper, target, head, height)]
    if head:
        parts.append(_figures(at, lower, upper, head, places))
    for index, lane in enumerate(lanes):
        parts.append(_lane(at, lane, head + lane_height * (index + 0.5), lane_height))
    return svg(parts, width, height, _said(lanes, lower, upper, target, places))


def fit_svg(
    clearance: float | None, least: float, most: float, *, u95: float = 0.0, width: float = 120.0, words: bool = True
) -> str:
    """A clearance between its least and its most, mm; below nought the print does not go in at all."""
    at = Scale(min(0.0, least - MARGIN * (most - least)), most + 0.6 * (most - least), width)
    head, lane, foot = 10.0, 12.0, 8.0 if words else 0.0
    parts = [_ground(at, least, most, None, head, head + lane), _figures(at, least, most, head, 2)]
    zero = at.x(0.0)
    parts.append(f'<path d="M{zero:.2f} {head:.2f}V{head + lane:.2f}" stroke="{INK}" stroke-width="2"/>')
    parts.append(_lane(at, Lane(clearance, u95), head + lane / 2.0, lane))
    if words:
        y = head + lane + 6.5
        parts.append(text((zero + at.x(least)) / 2.0, y, "rubs", "middle", 6.0))
        parts.append(text((at.x(least) + at.x(most)) / 2.0, y, "goes", "middle", 6.0))
        parts.append(text((at.x(most) + width) / 2.0, y, "floats", "middle", 6.0))
    said = f"clearance {figure(clearance)} mm, {figure(least)} to {figure(most)} mm"
    return svg(parts, width, head + lane + foot, said)


def check_svg(lower: float | None, upper: float | None, *, width: float = 120.0, places: int = 1) -> str:
    """A go/no-go size: where the template or gap block must go and where it must not."""
    at = scale(lower, upper, None, (), width)
    head, lane, foot = 10.0, 10.0, 8.0
    parts = [_ground(at, lower, upper, None, head, head + lane), _figures(at, lower, upper, head, places)]
    y = head + lane + 6.5
    left = at.x(lower) if lower is not None else 0.0
    right = at.x(upper) if upper is not None else width
    parts.append(text((left + right) / 2.0, head + lane - 2.5, "GO", "middle", 7.5, bold=True))
    if lower is not None:
        parts.append(text(left / 2.0, y, "no-go", "middle", 6.0))
    if upper is not None:
        parts.append(text((right + width) / 2.0, y, "no-go", "middle", 6.0))
    return svg(parts, width, head + lane + foot, f"goes at {figure(lower, places)} to {figure(upper, places)} mm")


def stock_svg(
    required: float, before: float, after: float, u95: float, most: float, *, width: float = 164.0, height: float = 11.0
) -> str:
    """Stock on a machined face from the finished face (left edge) to `most`, mm: as it stands and after setting up.

    The stroke is the least that must be there; the ring is the casting as it stands, the diamond after setting up.
    """
    low = min(0.0, before, after)
    at = Scale(low, max(most, required, before, after) * 1.05 + 1e-9, width)
    middle = height / 2.0
    parts = [
        f'<path d="M{at.x(low):.2f} {middle:.2f}H{width - EDGE:.2f}" stroke="{GREY}" stroke-width=".5"/>',
        f'<rect x="{at.x(required):.2f}" y="0" width="{max(width - EDGE - at.x(required), 0.0):.2f}" '
        f'height="{height:.2f}" fill="{GROUND}"/>',
        f'<path d="M{at.x(required):.2f} 0V{height:.2f}" stroke="{INK}" stroke-width="1.2"/>',
        f'<path d="M{at.x(before):.2f} {middle:.2f}H{at.x(after):.2f}" stroke="{GREY}" stroke-width="1" '
        'stroke-dasharray="1.5 1.5"/>',
        f'<circle cx="{at.x(before):.2f}" cy="{middle:.2f}" r="2.2" fill="#fff" stroke="{INK}" stroke-width=".8"/>',
        _lane(at, Lane(after, u95, after < required), middle, height, line=False),
    ]
    said = f"stock {figure(before)} mm as it stands, {figure(after)} mm set up, {figure(required)} mm needed"
    return svg(parts, width, height, said)


def overview_svg(points: Sequence[tuple[str, float, str]], *, width: float = 520.0, most: float = 1.7) -> str:
    """All features on one band: (balloon, deviation as a share of the half band, level); outside ones are named.

    Limits stand at -1 and +1. Features follow each other downward in small steps so that none hides another.
    """
    at = Scale(-most, most, width)
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
            parts.append(f'<circle cx="{at.x(max(-most, min(most, share))):.2f}" cy="{y:.2f}" r="1.3" fill="{INK}"/>')
    taken: list[tuple[float, float, float]] = []
    for balloon, share, level in named:
        index = next(i for i, p in enumerate(points) if p[0] == balloon)
        y = head + 4.0 + step * (index % rows)
        parts.append(_mark(at, share, y, 3.0, level == "bad", hollow=level == "doubt"))
        label = visible(balloon)
        rightward = (share >= 0) != (abs(share) > most * 0.93)  # away from the middle, inward at the edges
        x = at.x(max(-most, min(most, share))) + (5.0 if rightward else -5.0)
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
    at = Scale(-1.7, 1.7, height * 3.0)
    parts = [
        _ground(at, -1.0, 1.0, 0.0, height * 0.1, height * 0.95),
        _lane(at, Lane(0.32, 0.36), height * 0.55, height),
    ]
    return svg(parts, height * 3.0, height, "inspect_tui")


# ------------------------------------------------------------------------------ pieces
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
    if target is not None and at.shows(target):
        x = at.x(target)
        out += (
            f'<path d="M{x:.2f} {top:.2f}V{bottom:.2f}" stroke="{GREY}" stroke-width=".5" stroke-dasharray="1.5 1.5"/>'
        )
        out += f'<path d="M{x - 2.4:.2f} {top:.2f}h4.8l-2.4 3.4z" fill="#fff" stroke="{INK}" stroke-width=".7"/>'
    return out


def _figures(at: Scale, lower: float | None, upper: float | None, head: float, places: int) -> str:
    out = ""
    for limit, other, anchor in ((lower, upper, "end"), (upper, lower, "start")):
        if limit is None:
            continue
        words, x = figure(limit, places), at.x(limit)
        half = 1.7 * len(words)
        crowded = other is not None and abs(at.x(other) - x) < 2.0 * half + 4.0
        place = "middle" if not crowded and half < x < at.width - half else anchor
        out += text(x, head - 2.6, words, place)
    return out


def _lane(at: Scale, lane: Lane, y: float, height: float, *, line: bool = True) -> str:
    out = ""
    if line:
        out += f'<path d="M{EDGE:.2f} {y:.2f}H{at.width - EDGE:.2f}" stroke="{GREY}" stroke-width=".4"/>'
    for other in lane.others:
        if at.shows(other):
            out += f'<circle cx="{at.x(other):.2f}" cy="{y:.2f}" r="1.2" fill="{INK}"/>'
    if lane.value is None:
        return out
    if at.shows(lane.value) and lane.u95 > 0.0:
        left, right = at.x(max(lane.value - lane.u95, at.low)), at.x(min(lane.value + lane.u95, at.high))
        colour = RED if lane.bad else INK
        out += f'<path d="M{left:.2f} {y:.2f}H{right:.2f}" stroke="{colour}" stroke-width="2.2"/>'
    return out + _mark(at, lane.value, y, min(height * 0.34, 3.8), lane.bad)


def _mark(at: Scale, value: float, y: float, half: float, bad: bool, *, hollow: bool = False) -> str:
    colour = RED if bad else INK
    fill = f'fill="#fff" stroke="{colour}" stroke-width="1"' if hollow else f'fill="{colour}"'
    if value < at.low:
        return f'<path d="M{EDGE - 3:.2f} {y:.2f}l6 {-half:.2f}v{2 * half:.2f}z" {fill}/>'
    if value > at.high:
        return f'<path d="M{at.width - EDGE + 3:.2f} {y:.2f}l-6 {-half:.2f}v{2 * half:.2f}z" {fill}/>'
    x = at.x(value)
    h = f"{half:.2f}"
    return f'<path d="M{x:.2f} {y - half:.2f}l{h} {h}l-{h} {h}l-{h} -{h}z" {fill}/>'


def _said(lanes: Sequence[Lane], lower: float | None, upper: float | None, target: float | None, places: int) -> str:
    read = ", ".join(figure(lane.value, places) for lane in lanes if lane.value is not None) or "no reading"
    ends = " to ".join("open" if x is None else figure(x, places) for x in (lower, upper))
    return f"band {ends}, target {figure(target, places) or 'none'}: {read}"
