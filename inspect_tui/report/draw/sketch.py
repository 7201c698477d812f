"""What a sketch of a mould shows, however it is drawn: flat views with bodies, lines, arrows and what is said of them.

A view lies in mm: `across` to the right, `up` upward. Its areas are drawn in order, each over those before it, as
bodies lie on each other. What stands in colour or grey stands in a shape and in words, too.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.report.words import listed

# what an area or a line stands for; each painter has its own stroke for it and says it in the legend
HAND = "hand"  # the core at hand: solid
SET = "set"  # cores that are set: grey
BESIDE = "beside"  # not cut by this section: an outline, its number in brackets
OUTLINE = "outline"  # round the casting in its mould
PARTING = "parting"
ABOUT = "about"  # in the legend: what is dashed
SIZE = "size"  # where a size is taken
WAY = "way"  # the way in
KEY = "key"  # a print or key of the core at hand
TOWARD = {"left": "\u2190", "right": "\u2192", "up": "\u2191", "down": "\u2193"}  # arrows beside the name of an end
SIGNS = (HAND, SET, BESIDE, ABOUT, PARTING, OUTLINE, SIZE, WAY, KEY)

MARGIN = 0.03  # of what is drawn, left free round it
LEAST_MM = 1e-6


@frozen_by_name
class Area:
    """A body seen flat, mm: from x0 to x1 across and y0 to y1 up; a line or a point where it is only known as that.

    `names` are the ways to write what it is, the longest first; the first that has room stands on it. Areas with the
    same `thing` are one body. `about`: not given, to be drawn dashed.
    """

    thing: str
    names: tuple[str, ...]
    x0: float
    x1: float
    y0: float
    y1: float
    role: str = SET
    about: bool = False

    @property
    def flat(self) -> bool:
        """Whether it is a line or a point."""
        return self.x1 - self.x0 <= LEAST_MM or self.y1 - self.y0 <= LEAST_MM


@frozen
class Line:
    """A line through points (across, up), mm, straight across or straight up from each to the next."""

    points: tuple[tuple[float, float], ...]
    role: str = PARTING
    about: bool = False


@frozen_by_name
class Span:
    """A size: between which two places it is taken, along `across` or (`upright`) along `up`, and where across that.

    An end of None is not known: only the other is marked.
    """

    low: float | None
    high: float | None
    at: float
    upright: bool = False


@frozen
class Way:
    """The way in: an arrow that comes to (x, y) mm, going by (dx, dy), both for one that is oblique.

    (0, 0) goes into the picture.
    """

    x: float
    y: float
    dx: int = 0
    dy: int = 0


@frozen
class Key:
    """A print or key of the core at hand: its name, its paint or number, and where it stands (across, up), mm."""

    name: str
    mark: str
    x: float
    y: float


@frozen_by_name
class View:
    """One flat view, mm: what is drawn lies between x0 and x1 across and between y0 and y1 up.

    `extent` says in figures what it shows, `cut` where it is cut: y 88. `true`: heights are to the same scale as
    lengths, where the picture has room for that. `rows`: how many lines of text its heights need at least. `ends`:
    what people call the ends of the core at hand that lie left, right, down or up in it.
    """

    title: str
    cut: str = ""
    extent: str = ""
    across: str
    up: str
    x0: float
    x1: float
    y0: float
    y1: float
    areas: tuple[Area, ...] = ()
    lines: tuple[Line, ...] = ()
    spans: tuple[Span, ...] = ()
    ways: tuple[Way, ...] = ()
    keys: tuple[Key, ...] = ()
    ends: tuple[tuple[str, str], ...] = ()
    true: bool = True
    rows: int = 0

    @property
    def things(self) -> tuple[str, ...]:
        """The bodies that are drawn, each once."""
        return tuple(dict.fromkeys(area.thing for area in self.areas))


@frozen_by_name
class Sketch:
    """Views of one mould, what their strokes stand for (a sign and words), and what they cannot show."""

    title: str
    views: tuple[View, ...]
    legend: tuple[tuple[str, str], ...] = ()
    said: tuple[str, ...] = ()


# ------------------------------------------------------------------------------ what shows, and where its name stands
Grid = list[list[int]]  # index of the area that shows in each cell; -1: none


@frozen_by_name
class Raster:
    """A view as cells: columns from x0 to x1, rows from y1 at the top down to y0; both ends on the middle of a cell."""

    view: View
    columns: int
    rows: int

    def column(self, x: float) -> int:
        """The column of a place across; the nearest edge for one outside."""
        return _cell((x - self.view.x0) / (self.view.x1 - self.view.x0), self.columns)

    def row(self, y: float) -> int:
        """The row of a place up, from the top; the nearest edge for one outside."""
        return _cell((self.view.y1 - y) / (self.view.y1 - self.view.y0), self.rows)

    def cells(self, area: Area) -> tuple[int, int, int, int]:
        """First and last column, first and last row of an area."""
        return self.column(area.x0), self.column(area.x1), self.row(area.y1), self.row(area.y0)

    def shown(self) -> Grid:
        """Which area shows in each cell: the last that covers it."""
        grid = [[-1] * self.columns for _ in range(self.rows)]
        for index, area in enumerate(self.view.areas):
            left, right, top, bottom = self.cells(area)
            for row in range(top, bottom + 1):
                grid[row][left : right + 1] = [index] * (right + 1 - left)
        return grid


def _cell(share: float, cells: int) -> int:
    return min(max(int(share * (cells - 1) + 0.5), 0), cells - 1)


@frozen_by_name
class Spot:
    """Where a name stands: its first cell, and which of the names has room."""

    row: int
    column: int
    words: str


def spots(raster: Raster, grid: Grid, *, edge: int = 1, high: int = 1, letter: int = 1) -> dict[str, Spot]:
    """A place for the name of every body that has room for one where it shows, nearest to its middle.

    `edge`: cells of its own round a name, left free where there is room; `high`: rows that a name takes; `letter`:
    columns of a letter. No two names touch.
    """
    free = [list(row) for row in grid]
    placed: dict[str, Spot] = {}
    for thing in sorted(raster.view.things, key=lambda thing: _cells_of(raster, thing)):  # the smallest choose first
        mine = {i for i, area in enumerate(raster.view.areas) if area.thing == thing}
        names = raster.view.areas[min(mine)].names
        tries = ((words, room) for words in names for room in ((edge, edge), (edge, 0), (0, 0)))
        spot = next(
            (s for words, room in tries if (s := _spot(raster, free, mine, words, (*room, high, letter)))), None
        )
        if spot is not None:
            placed[thing] = spot
            for row in free[spot.row : spot.row + high]:  # no other name touches it
                start, end = max(spot.column - 1, 0), min(spot.column + len(spot.words) * letter + 1, raster.columns)
                row[start:end] = [-1] * (end - start)
    return placed


def _cells_of(raster: Raster, thing: str) -> int:
    boxes = [raster.cells(area) for area in raster.view.areas if area.thing == thing]
    return sum((right - left + 1) * (bottom - top + 1) for left, right, top, bottom in boxes)


def _spot(raster: Raster, grid: Grid, mine: set[int], words: str, room: tuple[int, int, int, int]) -> Spot | None:
    """The place nearest to the middle of a body where `words` and the cells round it all show the body.

    `room`: cells before and behind the words, rows above and below them, rows that they take, columns of a letter.
    """
    edge, level, high, letter = room
    high += 2 * level
    best: tuple[int, Spot] | None = None
    wide = len(words) * letter + 2 * edge
    for index in mine:
        left, right, top, bottom = raster.cells(raster.view.areas[index])
        inset = min(edge, (bottom - top) // 2)
        if right - left >= 2 and bottom > top:  # its corners stay
            left, right = left + (edge == 0), right - (edge == 0)
        last = right - wide + 1
        for row in range(top + inset, bottom - inset - high + 2):
            if row + high > raster.rows:
                break
            run = [
                min(room)
                for room in zip(*(_room(grid[r], mine, left, right) for r in range(row, row + high)), strict=True)
            ]
            for column in range(left, last + 1):
                if run[column - left] >= wide:
                    off = abs(2 * row + high - 1 - top - bottom) * 2 + abs(2 * column + wide - 1 - left - right)
                    if best is None or off < best[0]:
                        best = off, Spot(row=row + level, column=column + edge, words=words)
    return best[1] if best else None


def _room(line: Sequence[int], mine: set[int], left: int, right: int) -> list[int]:
    """How many cells from each one between left and right on belong to a body."""
    room, run = [0] * (right - left + 1), 0
    for column in range(right, left - 1, -1):
        run = run + 1 if line[column] in mine else 0
        room[column - left] = run
    return room


def seen(view: View, grid: Grid) -> set[str]:
    """The bodies of which something shows."""
    return {view.areas[i].thing for row in grid for i in row if i >= 0}


def not_named(view: View, named: Iterable[str], grid: Grid) -> list[str]:
    """Sentences for the bodies that a picture does not name: hidden by others, or too small."""
    have, shown = set(named), seen(view, grid)
    left = [thing for thing in view.things if thing not in have]
    hidden, small = [t for t in left if t not in shown], [t for t in left if t in shown]
    said = [f"Hidden in this view: {listed(hidden)}."] if hidden else []
    return said + ([f"Too small to name in this view: {listed(small)}."] if small else [])


def drawn_range(ranges: Sequence[tuple[float, float]], margin: float = MARGIN) -> tuple[float, float]:
    """From the least to the most of some ranges, with a margin; a range of nothing gets room of its own."""
    low, high = min(a for a, _ in ranges), max(b for _, b in ranges)
    room = margin * (high - low) if high - low > LEAST_MM else 1.0
    return low - room, high + room
