"""Paints a sketch of a mould in the cells of a terminal; it reads without colour.

The core at hand is a solid block, cores that are set are shaded, a core beside the cut is an outline with its number in
brackets; dashed lines are about. `═` is the parting, `━` the outline of the casting, `◀━▶` where a size is taken, `▼`
the way in, `◆` a print or key of the core at hand.
"""

from __future__ import annotations

from itertools import pairwise
from textwrap import wrap

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.sketch import Area, Line, Raster, Sketch, Span, View, Way
from inspect_tui.report.words import visible

UP, RIGHT, DOWN, LEFT = 1, 2, 4, 8
BOX = " ╵╶└╷│┌├╴┘─┴┐┤┬┼"  # by the sides that a line leaves a cell to
HEAVY = " ╹╺┗╻┃┏┣╸┛━┻┓┫┳╋"
DOUBLE = " ║═╚║║╔╠═╝═╩╗╣╦╬"
DASHED = {"─": "┄", "│": "┆", "━": "┅", "┃": "┇"}
SIGN = {
    s.HAND: "█",
    s.SET: "░",
    s.BESIDE: "( )",
    s.ABOUT: "┄",
    s.PARTING: "═",
    s.OUTLINE: "━",
    s.SIZE: "◀━▶",
    s.WAY: "▼",
    s.KEY: "◆",
}
# arrows by the way they go, and their shafts
HEADS = {
    (0, -1): "▼",
    (0, 1): "▲",
    (1, 0): "▶",
    (-1, 0): "◀",
    (1, 1): "↗",
    (-1, -1): "↙",
    (1, -1): "↘",
    (-1, 1): "↖",
}
TAILS = {(0, 1): "│", (1, 0): "─", (1, 1): "╱", (1, -1): "╲"}
SHADE = "░"
LEAST_ROWS, LEAST_COLUMNS = 9, 24  # a picture is drawn higher or longer than it is, before it gets smaller than this
STRETCH = 1.2  # drawn more out of scale than this, it is said
NAMES = 1  # cells left free round a name


def sketch_cells(
    sketch: Sketch, width: int, height: int | None = None, *, words: bool = True, style: Style = MM
) -> Text:
    """Every view under its title, then the legend and what the sketch cannot show; no line over `width` columns.

    `height`: lines that a view may have, its title among them. `words`: False leaves out all that is said below it.
    """
    out = Text(no_wrap=True)
    if sketch.title:
        out.append_text(_wrapped(sketch.title, width, "bold"))
    for view in sketch.views:
        out.append_text(view_cells(view, width, height, words=words, style=style))
    if words:
        out.append_text(legend_cells(sketch, width))
        for said in sketch.said:
            out.append_text(_wrapped(said, width))
    return out


def legend_cells(sketch: Sketch, width: int) -> Text:
    """What the signs of a sketch stand for, as many in a line as have room."""
    out, line = Text(no_wrap=True), ""
    for sign, said in sketch.legend:
        words = f"{SIGN[sign]} {said}"
        if line and len(line) + 3 + len(words) > width:
            out.append_text(_wrapped(line, width, hang=2))
            line = ""
        line = f"{line}   {words}" if line else words
    out.append_text(_wrapped(line, width, hang=2))
    return out


def view_cells(view: View, width: int, height: int | None = None, *, words: bool = True, style: Style = MM) -> Text:
    """One view with its title, at most `width` columns wide; with `words`, which bodies it hides or does not name."""
    raster = raster_of(view, width, max((height or max(LEAST_ROWS, width // 4) + 4) - 1, 3))
    field = _Field(raster)
    field.paint()
    title = view.title + _scale_words(raster, style)
    if view.extent and (height is None or len(title) + len(view.extent) + 2 <= width):
        title += f"; {view.extent}"
    out = _wrapped(title, width, "bold")
    out.append_text(field.text())
    if view.ends:
        out.append_text(
            _wrapped("   ".join(f"{s.TOWARD[side]} {visible(called)}" for side, called in view.ends), width)
        )
    for said in s.not_named(view, field.named, field.grid) if words else ():
        out.append_text(_wrapped(said, width))
    return out


def raster_of(view: View, width: int, height: int) -> Raster:
    """The cells of a view: to scale (a cell is twice as high as wide), higher or longer where it would be too small."""
    length, tall = view.x1 - view.x0, view.y1 - view.y0
    width = max(width, 2)  # a window may have no room at all
    if not view.true:
        return Raster(view=view, columns=width, rows=max(view.rows, min(height, LEAST_ROWS)))
    step = max(length / max(width - 1, 1), tall / (2 * max(height - 1, 1)))
    columns, rows = int(length / step + 0.5) + 1, int(tall / (2 * step) + 0.5) + 1
    rows = max(rows, min(height, max(view.rows, LEAST_ROWS)))
    return Raster(view=view, columns=min(max(columns, LEAST_COLUMNS), width), rows=rows)


def _scale_words(raster: Raster, style: Style) -> str:
    view = raster.view
    if not view.true:
        return ""
    ratio = (raster.rows - 1) * 2 / (view.y1 - view.y0) * (view.x1 - view.x0) / (raster.columns - 1)
    if ratio > STRETCH:
        return f" · {view.up} drawn {style.figure(ratio, 1)} times as large as {view.across}"
    return (
        f" · {view.across} drawn {style.figure(1 / ratio, 1)} times as large as {view.up}"
        if ratio < 1 / STRETCH
        else ""
    )


def _wrapped(words: str, width: int, style: str = "", hang: int = 0) -> Text:
    """Lines of at most `width` columns; a word that is longer is cut."""
    out = Text(no_wrap=True)
    for line in wrap(words, max(width, 8), subsequent_indent=" " * hang):
        out.append(line + "\n", style=style)
    return out


class _Field:
    """The cells of one view: what is drawn later stands over what was drawn before."""

    def __init__(self, raster: Raster) -> None:
        self.raster, self.view = raster, raster.view
        self.chars = [[" "] * raster.columns for _ in range(raster.rows)]
        self.styles = [[""] * raster.columns for _ in range(raster.rows)]
        self.sides = [[0] * raster.columns for _ in range(raster.rows)]  # where light lines leave each cell
        self.taken: set[tuple[int, int]] = set()  # cells that words and arrows stand in
        self.named: dict[str, s.Spot] = {}
        self.grid: s.Grid = []

    def put(self, row: int, column: int, char: str, style: str = "") -> None:
        """One character, where that lies in the picture."""
        if 0 <= row < self.raster.rows and 0 <= column < self.raster.columns:
            self.chars[row][column], self.styles[row][column] = char, style

    def paint(self) -> None:
        """Everything, from the back to the front."""
        for line in self.view.lines:
            self._line(line)
        for area in self.view.areas:
            self._area(area)
        for way in self.view.ways:
            self._way(way)
        for span in self.view.spans:
            self._span(span)
        for key in self.view.keys:
            self._mark(self.raster.row(key.y), self.raster.column(key.x), SIGN[s.KEY])
        self._names()

    def text(self) -> Text:
        """The rows from the first to the last in which something stands; blanks at their end are left out."""
        out = Text(no_wrap=True)
        filled = [row for row, chars in enumerate(self.chars) if "".join(chars).strip()]
        for row in range(filled[0], filled[-1] + 1) if filled else ():
            end = len("".join(self.chars[row]).rstrip())
            for char, style in zip(self.chars[row][:end], self.styles[row][:end], strict=True):
                out.append(char, style=style)
            out.append("\n")
        return out

    # -------------------------------------------------------------------------- lines and bodies
    def _line(self, line: Line) -> None:
        table = HEAVY if line.role == s.OUTLINE else DOUBLE if line.role == s.PARTING else BOX
        sides: dict[tuple[int, int], int] = {}
        cells = [(self.raster.row(y), self.raster.column(x)) for x, y in line.points]
        for (row, column), (row_to, column_to) in pairwise(cells):
            while (row, column) != (row_to, column_to):
                down, right = (row_to > row) - (row_to < row), (column_to > column) - (column_to < column)
                down = 0 if right else down
                out, back = {
                    (0, 1): (RIGHT, LEFT),
                    (0, -1): (LEFT, RIGHT),
                    (1, 0): (DOWN, UP),
                    (-1, 0): (UP, DOWN),
                }[down, right]
                sides[row, column] = sides.get((row, column), 0) | out
                row, column = row + down, column + right
                sides[row, column] = sides.get((row, column), 0) | back
        for (row, column), leaving in sides.items():
            char = table[leaving]
            self.put(row, column, DASHED.get(char, char) if line.about else char)

    def _area(self, area: Area) -> None:
        left, right, top, bottom = self.raster.cells(area)
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                self.put(row, column, " ")
        if area.role == s.HAND:
            self._solid(area, left, right, top, bottom)
        elif left == right or top == bottom:
            self._thin(area, left, right, top, bottom)
        else:
            self._box(area, left, right, top, bottom)

    def _solid(self, area: Area, left: int, right: int, top: int, bottom: int) -> None:
        """A block from the middle of its first cells to the middle of its last."""
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                self.sides[row][column] = 0
                up, down = row > top or top == bottom, row < bottom or top == bottom
                before, after = column > left or left == right, column < right or left == right
                self.put(row, column, _QUARTERS[up and before, up and after, down and before, down and after], "bold")
        if area.flat:
            self._thin(area, left, right, top, bottom)

    def _thin(self, area: Area, left: int, right: int, top: int, bottom: int) -> None:
        """A body of one row or one column, or one that is only known as a line or a point."""
        table = HEAVY if area.role == s.HAND else BOX
        style = "bold" if area.role == s.HAND else ""
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                self.sides[row][column] = 0
                char = table[LEFT | RIGHT] if left < right else table[UP | DOWN]
                if left == right and top == bottom:
                    char = "▪" if not area.flat else "•"
                elif not area.flat and left < right and column in (left, right):
                    char = table[UP | DOWN | (RIGHT if column == left else LEFT)]
                elif not area.flat and top < bottom and row in (top, bottom):
                    char = table[LEFT | RIGHT | (DOWN if row == top else UP)]
                self.put(row, column, DASHED.get(char, char) if area.about else char, style)

    def _box(self, area: Area, left: int, right: int, top: int, bottom: int) -> None:
        """An outline that hides what lies under it; lines that run into it from outside end there."""
        for row in range(top, bottom + 1):
            for column in range(left, right + 1):
                inward = (row < bottom) * DOWN | (row > top) * UP | (column < right) * RIGHT | (column > left) * LEFT
                on_side, on_level = column in (left, right), row in (top, bottom)
                if not on_side and not on_level:
                    self.sides[row][column] = 0
                    self.put(row, column, SHADE if area.role == s.SET else " ", "dim" if area.role == s.SET else "")
                    continue
                own = (inward & (UP | DOWN) if on_side else 0) | (inward & (LEFT | RIGHT) if on_level else 0)
                kept = self.sides[row][column] & ~inward
                self.sides[row][column] = kept | own
                char = BOX[kept | own]
                self.put(row, column, DASHED.get(char, char) if area.about else char)

    # -------------------------------------------------------------------------- arrows
    def _way(self, way: Way) -> None:
        if (way.dx, way.dy) == (0, 0):
            return  # into the picture: the legend says so
        head = HEADS[way.dx, way.dy]
        row, column = self.raster.row(way.y) + way.dy, self.raster.column(way.x) - way.dx
        row = min(max(row, 0), self.raster.rows - 1)
        column = min(max(column, 0), self.raster.columns - 1)
        self._mark(row, column, head)
        if self._free(row + way.dy, column - way.dx, 1):
            self._mark(row + way.dy, column - way.dx, TAILS[abs(way.dx), abs(way.dy) * (way.dx * way.dy or 1)])

    def _mark(self, row: int, column: int, char: str) -> None:
        self.put(row, column, char, "bold")
        self.taken.add((row, column))

    def _span(self, span: Span) -> None:
        """Arrow heads that point at the two faces: from inside where there is room, else from outside."""
        r = self.raster
        level = r.column(span.at) if span.upright else r.row(span.at)
        place = r.row if span.upright else r.column
        ends = [
            None if p is None else place(p)
            for p in (span.high if span.upright else span.low, span.low if span.upright else span.high)
        ]
        heads, line = ("▲▼", "┃") if span.upright else ("◀▶", "━")
        first, last = ends

        def mark(at: int, char: str) -> None:
            self._mark(at, level, char) if span.upright else self._mark(level, at, char)

        if first is not None and last is not None and last - first >= 3:
            for at in range(first + 1, last):
                mark(at, line)
            mark(first, heads[0])
            mark(last, heads[1])
            return
        if first is not None:
            mark(first - 1, heads[1])
            mark(first - 2, line)
        if last is not None:
            mark(last + 1, heads[0])
            mark(last + 2, line)

    # -------------------------------------------------------------------------- words
    def _names(self) -> None:
        self.grid = self.raster.shown()
        grid = [list(row) for row in self.grid]
        for row, column in self.taken:
            if 0 <= row < self.raster.rows and 0 <= column < self.raster.columns:
                grid[row][column] = -1
        role = {area.thing: area.role for area in self.view.areas}
        seen = s.seen(self.view, self.grid)
        for thing in [area.thing for area in self.view.areas if area.flat and area.thing in seen]:
            if not self.view.true or self._is_point(thing):
                self._beside(thing)
        placed = s.spots(self.raster, grid, edge=NAMES)
        for thing, spot in placed.items():
            if thing in self.named:
                continue
            self.named[thing] = spot
            before, end = spot.column - 1, spot.column + len(spot.words)
            if role[thing] == s.HAND:  # room round what stands in a block
                for column in (before, end):
                    if 0 <= column < self.raster.columns and self.chars[spot.row][column] == "█":
                        self.put(spot.row, column, " ")
            self._write(spot.row, spot.column, spot.words)
        for thing in self.view.things:
            if thing in seen and thing not in self.named:
                self._beside(thing)

    def _is_point(self, thing: str) -> bool:
        areas = [area for area in self.view.areas if area.thing == thing]
        return all(a.x0 == a.x1 and a.y0 == a.y1 for a in areas)

    def _beside(self, thing: str) -> None:
        """A name right or left of a body that is too small for it, where nothing else stands."""
        areas = [area for area in self.view.areas if area.thing == thing]
        names = areas[0].names if not self.view.true else areas[0].names[::-1]
        for words in names:
            for area in areas:
                left, right, top, bottom = self.raster.cells(area)
                for row in sorted(range(top, bottom + 1), key=lambda at: abs(2 * at - top - bottom)):
                    for column, text in ((right + 1, f"‹{words}"), (left - len(words) - 1, f"{words}›")):
                        if self._free(row, column, len(text)):
                            self._write(row, column, text)
                            self.named[thing] = s.Spot(row=row, column=column, words=words)
                            return

    def _free(self, row: int, column: int, wide: int) -> bool:
        if not (0 <= row < self.raster.rows and 0 <= column <= self.raster.columns - wide):
            return False
        return all(
            c == " " and (row, column + n) not in self.taken
            for n, c in enumerate(self.chars[row][column : column + wide])
        )

    def _write(self, row: int, column: int, words: str) -> None:
        for n, char in enumerate(words):
            self._mark(row, column + n, char)


_QUARTERS = {  # upper left, upper right, lower left, lower right
    (True, True, True, True): "█",
    (False, False, True, True): "▄",
    (True, True, False, False): "▀",
    (True, False, True, False): "▌",
    (False, True, False, True): "▐",
    (False, False, False, True): "▗",
    (False, False, True, False): "▖",
    (False, True, False, False): "▝",
    (True, False, False, False): "▘",
}
