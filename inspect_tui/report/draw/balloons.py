"""Sheets on which numbers stand: beside the ends of sizes in a view of the mould, and round a photograph.

In a view a size is a line between two strokes outside the casting, on a lane of its own or a shared one; thin lines
lead from its two faces to it, and its number stands on it or beside it. So nothing has to be known but where its ends
stand along its direction. Round a photograph numbers stand in two columns, a line leading from each to its place.
No number covers another; what does not fit on a sheet goes to the next. Sizes in points (1/72 in).
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping, Sequence
from math import ceil

from inspect_tui.frozen import NamedTuple, frozen_by_name, replace
from inspect_tui.report.draw.sketch import View
from inspect_tui.report.draw.sketch_svg import TITLE, WIDTH, At, placed, view_parts
from inspect_tui.report.draw.svg import INK, svg, text

LETTERS = 7.2  # size of the letters of a number
TALL = 11.0  # of its outline
GAP = 3.0  # between numbers, and between a size and its number
LANE = TALL + 2.0
MOST_TALL = 610.0  # of a sheet, so that it fits a page of A4 and of Letter with its heading
TALLEST_VIEW = 210.0
ASIDE = 0.36  # of the width of a sheet: lanes of sizes that run upward
LEAST_TALL = 300.0  # of the room for numbers beside a photograph
PLAIN, STROKE = f'stroke="{INK}" stroke-width=".9"', f'stroke="{INK}" stroke-width="1.1"'
THIN = 'stroke="#666" stroke-width=".35"'


class Ring(NamedTuple):
    """A number in its outline: left edge, top edge, width; all are as tall."""

    balloon: str
    x: float
    y: float
    wide: float


@frozen_by_name
class Sheet:
    """One drawing with its numbers: what it shows, its size, the strokes under the numbers, and the numbers."""

    title: str
    width: float
    height: float
    parts: tuple[str, ...]
    rings: tuple[Ring, ...]

    @property
    def svg(self) -> str:
        """The drawing as one element."""
        said = f"{self.title}: {', '.join(ring.balloon for ring in self.rings)}"
        return svg([*self.parts, *(_ring(ring) for ring in self.rings)], self.width, self.height, said)


@frozen_by_name
class Taken:
    """A size in a view: its numbers, its ends along its direction, mm (one of them may not be known), its spot."""

    balloons: tuple[str, ...]
    ends: tuple[float | None, float | None]
    upright: bool
    spot: float | None = None


def wide(balloon: str) -> float:
    """How wide the outline of a number is."""
    return max(len(balloon) * LETTERS * 0.6 + 6.0, TALL)


def _wide(balloons: Sequence[str]) -> float:
    return sum(wide(balloon) for balloon in balloons) + (len(balloons) - 1) * 1.0


def _ring(ring: Ring) -> str:
    shape = f'x="{ring.x:.2f}" y="{ring.y:.2f}" width="{ring.wide:.2f}" height="{TALL:g}" rx="{TALL / 2:g}"'
    words = text(ring.x + ring.wide / 2, ring.y + TALL / 2 + LETTERS * 0.34, ring.balloon, "middle", LETTERS, bold=True)
    return f'<rect {shape} fill="#fff" stroke="{INK}" stroke-width=".8"/>{words}'


def _rings(balloons: Sequence[str], x: float, y: float) -> list[Ring]:
    rings = []
    for balloon in balloons:
        rings.append(Ring(balloon, x, y, wide(balloon)))
        x += rings[-1].wide + 1.0
    return rings


# ------------------------------------------------------------------------------ a view of the mould
class _Lane(NamedTuple):
    """A size on its lane: from where to where it goes, where its numbers begin, and all the room that it takes."""

    size: Taken
    low: float
    high: float
    start: float
    room: tuple[float, float]


def view_sheets(view: View, sizes: Sequence[Taken], width: float = WIDTH) -> list[Sheet]:
    """A view with its sizes, on as many sheets as they need; none where there is no size."""
    level, upright = [s for s in sizes if not s.upright], [s for s in sizes if s.upright]
    across = width * (1.0 - ASIDE) if upright else width
    across = min(across, TALLEST_VIEW * (view.x1 - view.x0) / (view.y1 - view.y0) if view.true else across)
    at = placed(view, across, TITLE * 1.25 + 4.0)
    below = _lanes([_level(size, at, across if upright else width) for size in level])
    beside = _lanes([_upright(size, at) for size in upright])
    _, foot = view_parts(view, across, 0.0, missing=False)
    sheets = []
    chunks_below = _chunks(below, [LANE] * len(below), MOST_TALL - foot - 2 * GAP)
    chunks_beside = _chunks(beside, [_lane_wide(lane) for lane in beside], width - at.left - at.wide - 3 * GAP)
    count = max(len(chunks_below), len(chunks_beside))
    for number in range(count):
        title = view.title if count == 1 else f"{view.title} ({number + 1} of {count})"
        parts, _ = view_parts(replace(view, title=title), across, 0.0, missing=False)
        rings: list[Ring] = []
        y = foot + GAP
        for lane in chunks_below[number] if number < len(chunks_below) else ():
            for one in lane:
                parts += _strokes(one, at, y + TALL / 2)
                rings += _rings(one.size.balloons, one.start, y)
            y += LANE
        x, low = at.left + at.wide + 2 * GAP, 0.0
        for lane in chunks_beside[number] if number < len(chunks_beside) else ():
            for one in lane:
                middle = x + _lane_wide(lane) / 2
                parts += _strokes(one, at, middle)
                rings += _rings(one.size.balloons, middle - _wide(one.size.balloons) / 2, one.start)
                low = max(low, one.room[1])
            x += _lane_wide(lane)
        tall = max(y, low, foot) + GAP
        sheets.append(Sheet(title=title, width=width, height=tall, parts=tuple(parts), rings=tuple(rings)))
    return sheets


def _ends(size: Taken) -> tuple[float, float]:
    known = [end for end in size.ends if end is not None]
    return min(known), max(known)


def _level(size: Taken, at: At, width: float) -> _Lane:
    """A size that runs across: its numbers on it where it is long enough, else behind it, else before it."""
    low, high = (at.x(end) for end in _ends(size))
    need = _wide(size.balloons)
    if high - low >= need + 2 * GAP:
        start = (low + high - need) / 2
    elif high + GAP + need <= width:
        start = high + GAP
    else:
        start = max(low - GAP - need, 0.0)
    return _Lane(size, low, high, start, (min(low, start) - GAP, max(high, start + need) + GAP))


def _upright(size: Taken, at: At) -> _Lane:
    """A size that runs upward, in points from the top: its numbers on it, else above it, else below it."""
    low, high = sorted(at.y(end) for end in _ends(size))
    if high - low >= TALL + 2 * GAP:
        start = (low + high - TALL) / 2
    else:
        start = low - GAP - TALL if low - GAP - TALL >= 0.0 else high + GAP
    return _Lane(size, low, high, start, (min(low, start) - GAP / 2, max(high, start + TALL) + GAP / 2))


def _lanes(sizes: Sequence[_Lane]) -> list[list[_Lane]]:
    """Short ones nearest to the view; on one lane no two meet."""
    lanes: list[list[_Lane]] = []
    for one in sorted(sizes, key=lambda one: (one.high - one.low, one.low)):
        for lane in lanes:
            if all(one.room[1] <= other.room[0] or other.room[1] <= one.room[0] for other in lane):
                lane.append(one)
                break
        else:
            lanes.append([one])
    return lanes


def _lane_wide(lane: Sequence[_Lane]) -> float:
    return max(_wide(one.size.balloons) for one in lane) + GAP


def _chunks(lanes: Sequence[list[_Lane]], sizes: Sequence[float], most: float) -> list[list[list[_Lane]]]:
    """As many lanes to a sheet as have room, at least one."""
    chunks: list[list[list[_Lane]]] = []
    left = 0.0
    for lane, size in zip(lanes, sizes, strict=True):
        if not chunks or size > left:
            chunks.append([])
            left = most
        chunks[-1].append(lane)
        left -= size
    return chunks


def _strokes(one: _Lane, at: At, lane: float) -> list[str]:
    """A size on its lane, whose middle lies at `lane`: its line, the strokes at its ends, and what leads there."""
    size = one.size

    def along(start: float, end: float) -> str:
        return f"M{lane:.2f} {start:.2f}V{end:.2f}" if size.upright else f"M{start:.2f} {lane:.2f}H{end:.2f}"

    def across(place: float, start: float, end: float) -> str:
        return f"M{start:.2f} {place:.2f}H{end:.2f}" if size.upright else f"M{place:.2f} {start:.2f}V{end:.2f}"

    edge, to = (at.left + at.wide, at.x) if size.upright else (at.top + at.tall, at.y)
    lead = edge if size.spot is None else to(size.spot)
    strokes = [_path(along(one.low, one.high))]
    strokes += [_path(along(*ends)) for ends in _to_number(one, TALL if size.upright else _wide(size.balloons))]
    for place in sorted({one.low, one.high}):
        strokes += [_path(across(place, lead, lane + 3), THIN), _path(across(place, lane - 3, lane + 3), STROKE)]
        if size.spot is not None:
            strokes.append(_dot(*((lead, place) if size.upright else (place, lead))))
    return strokes


def _to_number(one: _Lane, long: float) -> list[tuple[float, float]]:
    """The line from a size to numbers that stand behind it or before it."""
    if one.start >= one.high:
        return [(one.high, one.start)]
    return [(one.start + long, one.low)] if one.start + long <= one.low else []


def _path(way: str, stroke: str = PLAIN) -> str:
    return f'<path d="{way}" {stroke}/>'


def _dot(x: float, y: float) -> str:
    return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="1.5" fill="{INK}"/>'


# ------------------------------------------------------------------------------ a photograph
Marks = Sequence[tuple[str, float, float]]  # a number, percent from the left edge, percent from the top


def picture_sheets(
    title: str, content: bytes, size: tuple[int, int], marks: Marks, width: float = WIDTH
) -> list[Sheet]:
    """A photograph (JPEG, so many dots wide and tall) with its numbers in two columns, on as many sheets as needed."""
    column = max((wide(balloon) for balloon, _, _ in marks), default=0.0) + 5 * GAP
    across = width - 2 * column
    tall = min(across * size[1] / size[0], MOST_TALL - 2 * LANE)
    across = tall * size[0] / size[1]
    left, top = (width - across) / 2, TITLE * 1.25 + 4.0
    most = 2 * int(max(tall, LEAST_TALL) / LANE)
    count = ceil(len(marks) / most)
    each = ceil(len(marks) / count) if count else 0
    data = b64encode(content).decode("ascii")
    sheets = []
    for number in range(count):
        shown = marks[number * each : (number + 1) * each]
        called = title if count == 1 else f"{title} ({number + 1} of {count})"
        room = max(tall, ceil(len(shown) / 2) * LANE)
        places = {balloon: (left + across * x / 100.0, top + tall * y / 100.0) for balloon, x, y in shown}
        rings = _columns(places, (left - GAP, left + across + GAP), (top, top + room))
        parts = [
            text(2.0, TITLE * 1.25, called, size=TITLE),
            f'<image x="{left:.2f}" y="{top:.2f}" width="{across:.2f}" height="{tall:.2f}" '
            f'preserveAspectRatio="none" href="data:image/jpeg;base64,{data}"/>',
        ]
        parts += [_leader(ring, *places[ring.balloon], left) for ring in rings]
        sheets.append(Sheet(title=called, width=width, height=top + room + GAP, parts=tuple(parts), rings=tuple(rings)))
    return sheets


def _columns(
    places: Mapping[str, tuple[float, float]], sides: tuple[float, float], room: tuple[float, float]
) -> list[Ring]:
    """The numbers of the left half left of the picture, those of the right half right of it, by their heights."""
    order = sorted(places, key=lambda balloon: places[balloon])
    half = (len(order) + 1) // 2
    rings = []
    for balloons, right in ((order[:half], False), (order[half:], True)):
        down = sorted(balloons, key=lambda balloon: places[balloon][::-1])
        for balloon, y in zip(down, _spread([places[one][1] - TALL / 2 for one in down], *room), strict=True):
            x = sides[1] + 3 * GAP if right else sides[0] - 3 * GAP - wide(balloon)
            rings.append(Ring(balloon, x, y, wide(balloon)))
    return rings


def _spread(wanted: Iterable[float], low: float, high: float) -> list[float]:
    """Tops in their order, each as near to where it is wanted as those before it leave room, between low and high."""
    tops: list[float] = []
    for top in wanted:
        tops.append(max(top, tops[-1] + LANE if tops else low))
    limit = high - TALL
    for at in range(len(tops) - 1, -1, -1):
        tops[at] = min(tops[at], limit)
        limit = tops[at] - LANE
    return tops


def _leader(ring: Ring, x: float, y: float, left: float) -> str:
    """The line from a number to its place, in black with a white edge, so that it shows on any photograph."""
    start = ring.x + ring.wide if ring.x < left else ring.x
    way = f"M{start:.2f} {ring.y + TALL / 2:.2f}L{x:.2f} {y:.2f}"
    return (
        _path(way, 'stroke="#fff" stroke-width="2.2"')
        + _path(way, f'stroke="{INK}" stroke-width=".7"')
        + f'<circle cx="{x:.2f}" cy="{y:.2f}" r="2.6" fill="{INK}" stroke="#fff" stroke-width="1"/>'
    )
