"""Paints a sketch of a mould as a drawing for papers: to scale, black on white, readable in print without colour.

The core at hand is black with its number in white, cores that are set are grey, a core beside the cut is white with its
number in brackets; dashed strokes are about. Two thin lines are the parting, a thick one goes round the casting, an
arrow with two heads is where a size is taken, a long one is the way in, a diamond is a print or key in its paint. Sizes
in points (1/72 in). Every text in a drawing is escaped.
"""

from __future__ import annotations

from textwrap import wrap

from inspect_tui.frozen import frozen_by_name
from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.sketch import Area, Key, Line, Raster, Sketch, Span, View, Way
from inspect_tui.report.draw.svg import INK, RED, svg, text
from inspect_tui.report.words import listed, visible

WIDTH = 520.0
TALLEST = 300.0  # of one view
TITLE, LEGEND, SMALL = 9.0, 7.0, 6.5  # sizes of letters
NAME = 8.0
LETTER = 0.56  # of its size: how wide a letter is on average in bold
ROW = 1.25  # of its size: from line to line
SET_FILL = "#cdcdcd"
DASH = ' stroke-dasharray="4 2.4"'
FINE, HIGH = 2, 3  # cells of a letter across and up
EDGE = 2.0  # left free round a drawing
PAINTS = {  # words for paint in the languages of the guide, and how the diamond is filled
    "#c8102e": "red rouge rojo roja rot",
    "#2257b0": "blue bleu bleue azul blau",
    "#f2c500": "yellow jaune amarillo amarilla gelb",
    "#1d8a3a": "green vert verte verde grün",
    "#ee7d00": "orange naranja",
    "#7a4a21": "brown brun marron marrón braun",
    "#7a3b9a": "violet purple violette morado violett lila",
    "#e68ab2": "pink rose rosa",
    "#8a8a8a": "grey gray gris grau",
    "#111111": "black noir noire negro negra schwarz",
    "#ffffff": "white blanc blanche blanco blanca weiß",
}


def sketch_svg(sketch: Sketch, width: float = WIDTH) -> str:
    """The views one under the other, then the legend and what the sketch cannot show, as one SVG element."""
    parts: list[str] = []
    y = TITLE * ROW
    parts.append(text(EDGE, y, sketch.title, size=TITLE + 1.5, bold=True))
    y += 5.0
    for view in sketch.views:
        made, tall = view_parts(view, width, y)
        parts += made
        y += tall + 6.0
    made, y = _legend_parts(sketch, width, y + LEGEND)
    parts += made
    for said in sketch.said:
        for line in wrap(said, int(width / (SMALL * 0.5))):
            y += SMALL * ROW
            parts.append(text(EDGE, y + 3.0, line, size=SMALL))
    return svg(parts, width, y + 8.0, _said(sketch))


def legend_svg(sketch: Sketch, width: float = WIDTH) -> str:
    """What the strokes of a sketch stand for, as an SVG element of its own."""
    parts, y = _legend_parts(sketch, width, LEGEND)
    return svg(parts, width, y + 4.0, "; ".join(said for _, said in sketch.legend))


def _legend_parts(sketch: Sketch, width: float, y: float) -> tuple[list[str], float]:
    """Signs and words from the line at `y` on, and the last line."""
    parts, x = [], EDGE
    for sign, said in sketch.legend:
        wide = 26.0 + len(said) * LEGEND * 0.5
        if x > EDGE and x + wide > width:
            x, y = EDGE, y + LEGEND * 1.7
        parts.append(_swatch(sign, x, y - LEGEND * 0.75))
        parts.append(text(x + 22.0, y, said, size=LEGEND))
        x += wide + 8.0
    return parts, y


def view_svg(view: View, width: float = WIDTH, *, title: float = TITLE, missing: bool = True) -> str:
    """One view as an SVG element of its own, its title in letters of that size.

    `missing`: with sentences for the bodies that it does not name.
    """
    parts, tall = view_parts(view, width, 0.0, title, missing=missing)
    return svg(parts, width, tall, view.title)


def paint(mark: str) -> str:
    """The colour that a mark names, as it is written in a drawing; nothing where it names none."""
    words = mark.casefold().replace("-", " ").replace(",", " ").split()
    return next((colour for word in words for colour, names in PAINTS.items() if word in names.split()), "")


def paint_svg(mark: str) -> str:
    """A spot of the paint that a mark names, to stand before its words; nothing where it names none."""
    colour = paint(mark)
    return svg([_diamond(7.0, 7.0, colour)], 14.0, 14.0, mark) if colour else ""


def view_parts(
    view: View, width: float, top: float, size: float = TITLE, *, missing: bool = True
) -> tuple[list[str], float]:
    """The strokes of one view from `top` down, and how tall they are; its extent is said where it has room."""
    title = f"{view.title}; {view.extent}" if view.extent else view.title
    if len(title) * size * 0.5 > width:
        title = view.title
    y = top + size * ROW
    parts = [text(EDGE, y, title, size=size)]
    at = placed(view, width, y + 4.0)
    field = _Field(at)
    parts += field.parts()
    bottom = at.top + at.tall
    if view.ends:
        bottom += NAME * ROW
        parts += [_end(at, bottom, side, called) for side, called in view.ends]
        bottom += 2.0
    for said in s.not_named(view, field.named, field.grid) if missing else ():
        bottom += SMALL * ROW
        parts.append(text(EDGE, bottom, said, size=SMALL))
    return parts, bottom - top


@frozen_by_name
class At:
    """Where a view lies on the drawing, points: its left edge and top, its width and height."""

    view: View
    left: float
    top: float
    wide: float
    tall: float

    def x(self, place: float) -> float:
        """Points from the left edge of the drawing."""
        v = self.view
        return self.left + (min(max(place, v.x0), v.x1) - v.x0) / (v.x1 - v.x0) * self.wide

    def y(self, place: float) -> float:
        """Points from its top."""
        v = self.view
        return self.top + (v.y1 - min(max(place, v.y0), v.y1)) / (v.y1 - v.y0) * self.tall


def placed(view: View, width: float, top: float) -> At:
    """Where a view is drawn that is so wide and begins at `top`."""
    wide, length, height = width - 2 * EDGE, view.x1 - view.x0, view.y1 - view.y0
    if not view.true:
        return At(view=view, left=EDGE, top=top, wide=wide, tall=max(view.rows * 8.0, 40.0))
    scale = min(wide / length, TALLEST / height)
    return At(view=view, left=EDGE, top=top, wide=length * scale, tall=height * scale)


class _Field:
    """The strokes of one view, from the back to the front."""

    def __init__(self, at: At) -> None:
        self.at, self.view = at, at.view
        self.raster = Raster(
            view=at.view,
            columns=max(int(at.wide / (NAME * LETTER) * FINE), 2),
            rows=max(int(at.tall / (NAME * ROW) * HIGH), 2),
        )
        self.grid = self.raster.shown()
        self.open = [list(row) for row in self.grid]  # the same, -2 where an arrow or a name stands
        self.named: dict[str, s.Spot] = {}

    def parts(self) -> list[str]:
        """Every stroke as SVG."""
        out = [self._line(line) for line in self.view.lines]
        out += [self._area(area) for area in self.view.areas]
        out += [self._way(way) for way in self.view.ways]
        out += [self._span(span) for span in self.view.spans]
        out += [self._key(key) for key in self.view.keys]
        out += self._names()
        out += [self._key_name(key) for key in self.view.keys]
        return out

    def _line(self, line: Line) -> str:
        points = " L".join(f"{self.at.x(x):.2f} {self.at.y(y):.2f}" for x, y in line.points)
        dash = DASH if line.about else ""
        if line.role == s.PARTING:
            return (
                f'<path d="M{points}" fill="none" stroke="{INK}" stroke-width="2.6"/>'
                f'<path d="M{points}" fill="none" stroke="#fff" stroke-width="1.2"/>'
            )
        return f'<path d="M{points}" fill="none" stroke="{INK}" stroke-width="1.6"{dash}/>'

    def _area(self, area: Area) -> str:
        x0, x1, y0, y1 = self.at.x(area.x0), self.at.x(area.x1), self.at.y(area.y1), self.at.y(area.y0)
        dash = DASH if area.about else ""
        if area.x1 - area.x0 <= s.LEAST_MM and area.y1 - area.y0 <= s.LEAST_MM:
            fill = INK if area.role == s.HAND else "#fff"
            return f'<circle cx="{x0:.2f}" cy="{y0:.2f}" r="2.4" fill="{fill}" stroke="{INK}"/>'
        if area.flat:
            thick = 2.2 if area.role == s.HAND else 1.2
            return f'<path d="M{x0:.2f} {y0:.2f}L{x1:.2f} {y1:.2f}" stroke="{INK}" stroke-width="{thick}"{dash}/>'
        box = f'x="{x0:.2f}" y="{y0:.2f}" width="{x1 - x0:.2f}" height="{y1 - y0:.2f}"'
        if area.role == s.HAND:
            under = f'<rect {box} fill="{INK}"/>'
            if not area.about:
                return under
            over = f'<rect {box} fill="none" stroke-width="1.6" stroke='
            return f'{under}{over}"#fff"/>{over}"{INK}"{dash}/>'
        fill = SET_FILL if area.role == s.SET else "#fff"
        return f'<rect {box} fill="{fill}" stroke="{INK}" stroke-width=".8"{dash}/>'

    def _way(self, way: Way) -> str:
        x, y = self.at.x(way.x), self.at.y(way.y)
        if (way.dx, way.dy) == (0, 0):  # away from who looks: the flight of an arrow
            self._taken(x - 5, y - 5, x + 5, y + 5)
            return (
                f'<circle cx="{x:.2f}" cy="{y:.2f}" r="5" fill="#fff" stroke="{INK}"/>'
                f'<path d="M{x - 3.5:.2f} {y - 3.5:.2f}l7 7m0 -7l-7 7" stroke="{INK}"/>'
            )
        dx, dy = way.dx, -way.dy  # down on the drawing
        tail = 15 if self.view.true else 9
        if dx and dy:
            return self._oblique(x, y, dx, dy, tail)
        x, y = x - 1.5 * dx, y - 1.5 * dy
        self._taken(x, y, x - tail * dx, y - tail * dy)
        return (
            f'<path d="M{x:.2f} {y:.2f}l{-tail * dx} {-tail * dy}" stroke="#fff" stroke-width="4"/>'
            f'<path d="M{x - 4 * dx:.2f} {y - 4 * dy:.2f}l{(4 - tail) * dx} {(4 - tail) * dy}" stroke="{INK}" '
            'stroke-width="1.6"/>'
            f"{_head(x, y, dx, dy, INK)}"
        )

    def _oblique(self, x: float, y: float, dx: int, dy: int, tail: float) -> str:
        """An arrow that goes both ways at once, as long as a straight one."""
        a, b = dx / 2**0.5, dy / 2**0.5
        x, y = x - 1.5 * a, y - 1.5 * b
        self._taken(*(min(x, x - tail * a), min(y, y - tail * b)), *(max(x, x - tail * a), max(y, y - tail * b)))
        sides = ((x - 7 * a - 3.2 * b, y - 7 * b + 3.2 * a), (x - 7 * a + 3.2 * b, y - 7 * b - 3.2 * a))
        head = f"{x:.2f} {y:.2f}" + "".join(f"L{p:.2f} {q:.2f}" for p, q in sides)
        shaft = f"{x - 4 * a:.2f} {y - 4 * b:.2f}l{(4 - tail) * a:.2f} {(4 - tail) * b:.2f}"
        return (
            f'<path d="M{x:.2f} {y:.2f}l{-tail * a:.2f} {-tail * b:.2f}" stroke="#fff" stroke-width="4"/>'
            f'<path d="M{shaft}" stroke="{INK}" stroke-width="1.6"/>'
            f'<path d="M{head}z" fill="{INK}" stroke="#fff" stroke-width=".6"/>'
        )

    def _key(self, key: Key) -> str:
        x, y = self.at.x(key.x), self.at.y(key.y)
        self._taken(x - 4, y - 4, x + 4, y + 4)
        return _diamond(x, y, paint(key.mark) or "#ffffff")

    def _key_name(self, key: Key) -> str:
        """The name of a print or key beside its diamond, where nothing else is said; else its mark alone tells it."""
        r, wide = self.raster, (len(key.name) + 1) * FINE
        row = round((self.at.y(key.y) - self.at.top) / self.at.tall * (r.rows - 1))
        middle = round((self.at.x(key.x) - self.at.left) / self.at.wide * (r.columns - 1))
        off = round(6.0 / self.at.wide * (r.columns - 1)) + 1
        for start, anchor, shift in ((middle + off, "start", 6.0), (middle - off - wide, "end", -6.0)):
            cells = [line[start : start + wide] for line in self.open[max(row - 1, 0) : row + 2]]
            if start >= 0 and all(len(run) == wide and -2 not in run for run in cells):
                for line in self.open[max(row - 1, 0) : row + 2]:
                    line[start : start + wide] = [-2] * wide
                return _name(self.at.x(key.x) + shift, self.at.y(key.y) + NAME * 0.36, key.name, anchor, white=False)
        return ""

    def _span(self, span: Span) -> str:
        at = self.at
        ends = [None if p is None else at.y(p) if span.upright else at.x(p) for p in (span.low, span.high)]
        level = at.x(span.at) if span.upright else at.y(span.at)
        known = sorted(end for end in ends if end is not None)
        out = ""
        apart = len(known) == 2 and known[1] - known[0] >= 14.0
        if apart:
            out += self._stroke(known[0] + 3, known[1] - 3, level, span.upright)
        for end, side in zip(known, (-1, 1) if len(known) == 2 else (-1,), strict=True):
            way = side if apart else -side
            if not apart:
                out += self._stroke(end + 4 * side, end + 12 * side, level, span.upright)
            out += _head(level, end, 0, way, RED) if span.upright else _head(end, level, way, 0, RED)
        return out

    def _stroke(self, start: float, end: float, level: float, upright: bool) -> str:
        a, b = (level, start), (level, end)
        self._taken(*(a if upright else a[::-1]), *(b if upright else b[::-1]))
        path = f"M{level:.2f} {start:.2f}V{end:.2f}" if upright else f"M{start:.2f} {level:.2f}H{end:.2f}"
        return f'<path d="{path}" stroke="#fff" stroke-width="4"/><path d="{path}" stroke="{RED}" stroke-width="1.6"/>'

    def _taken(self, x0: float, y0: float, x1: float, y1: float) -> None:
        """An arrow stands here, points: no name does."""
        columns = [round((x - self.at.left) / self.at.wide * (self.raster.columns - 1)) for x in sorted((x0, x1))]
        rows = [round((y - self.at.top) / self.at.tall * (self.raster.rows - 1)) for y in sorted((y0, y1))]
        for row in self.open[max(rows[0] - 1, 0) : rows[1] + 2]:
            for column in range(max(columns[0] - 1, 0), min(columns[1] + 2, len(row))):
                row[column] = -2

    # -------------------------------------------------------------------------- names
    def _names(self) -> list[str]:
        """Lines and points first, beside them; then bodies, inside; then those that are too small for that."""
        out: list[str] = []
        role = {area.thing: area.role for area in self.view.areas}
        seen = s.seen(self.view, self.grid)
        for thing in self.view.things:
            if thing in seen and all(area.flat for area in self.view.areas if area.thing == thing):
                out += self._beside(thing, over=True)
        for thing, spot in s.spots(self.raster, self.open, high=HIGH, letter=FINE).items():
            if thing not in self.named:
                out.append(self._inside(thing, spot, white=role[thing] == s.HAND))
        for thing in self.view.things:
            if thing in seen and thing not in self.named:
                out += self._beside(thing)
        return out

    def _inside(self, thing: str, spot: s.Spot, *, white: bool) -> str:
        self.named[thing] = spot
        r, wide = self.raster, len(spot.words) * FINE
        for row in self.open[spot.row : spot.row + HIGH]:
            row[spot.column : spot.column + wide] = [-2] * wide
        x = self.at.left + (spot.column + (wide - 1) / 2) / max(r.columns - 1, 1) * self.at.wide
        y = self.at.top + (spot.row + (HIGH - 1) / 2) / max(r.rows - 1, 1) * self.at.tall + NAME * 0.36
        return _name(x, y, spot.words, "middle", white=white)

    def _beside(self, thing: str, *, over: bool = False) -> list[str]:
        """A name right or left of a body that has no room for it, where no other is; `over` bodies, for a line."""
        areas = [area for area in self.view.areas if area.thing == thing]
        names = areas[0].names if not self.view.true else areas[0].names[::-1]
        for words in names:
            wide = (len(words) + 1) * FINE
            for area in areas:
                left, right, top, bottom = self.raster.cells(area)
                for row in sorted(range(top, bottom + 1), key=lambda at: abs(2 * at - top - bottom)):
                    for start, anchor in ((right + 1, "start"), (left - wide, "end")):
                        rows = self.open[max(row - 1, 0) : row + 2]
                        cells = [i for line in rows for i in line[max(start, 0) : start + wide]]
                        if (
                            start >= 0
                            and len(cells) == wide * len(rows)
                            and all(i == -1 or (over and i != -2) for i in cells)
                        ):
                            for line in rows:
                                line[start : start + wide] = [-2] * wide
                            self.named[thing] = s.Spot(row=row, column=start, words=words)
                            edge = self.at.x(area.x1 if anchor == "start" else area.x0)
                            x = edge + (4.0 if anchor == "start" else -4.0)
                            y = self.at.top + row / max(self.raster.rows - 1, 1) * self.at.tall + NAME * 0.36
                            return [_name(x, y, words, anchor, white=False)]
        return []


def _diamond(x: float, y: float, colour: str) -> str:
    """A print or key in its paint, with a black edge in a white one, so that it shows on black, grey and white."""
    shape = f'd="M{x:.2f} {y - 5:.2f}l5 5l-5 5l-5 -5z"'
    return f'<path {shape} fill="#fff" stroke="#fff" stroke-width="3"/><path {shape} fill="{colour}" stroke="{INK}"/>'


def _end(at: At, y: float, side: str, called: str) -> str:
    """What an end of the core at hand is called, below the view on the side toward which it lies."""
    x, anchor = {
        "left": (at.left, "start"),
        "right": (at.left + at.wide, "end"),
    }.get(side, (at.left + at.wide * (1 / 3 if side == "down" else 2 / 3), "middle"))
    words = visible(called)
    words = words if len(words) <= 24 else words[:23].rstrip() + "\u2026"
    said = f"{words} {s.TOWARD[side]}" if side == "right" else f"{s.TOWARD[side]} {words}"
    return text(x, y, said, anchor, NAME, bold=True)


def _name(x: float, y: float, words: str, anchor: str, *, white: bool) -> str:
    """The name of a body: white on black, else black with a white edge, so that no line runs through it."""
    made = text(x, y, words, anchor, NAME, bold=True)
    if white:
        return made.replace(f'fill="{INK}"', 'fill="#fff"')
    return made.replace(f'fill="{INK}"', f'fill="{INK}" stroke="#fff" stroke-width="2" paint-order="stroke"')


def _head(x: float, y: float, dx: int, dy: int, colour: str) -> str:
    """The head of an arrow whose tip is at (x, y) and that goes by (dx, dy), down being +1."""
    a, b = 7.0, 3.2
    left = (x - a * dx - b * dy, y - a * dy - b * dx)
    right = (x - a * dx + b * dy, y - a * dy + b * dx)
    points = f"{x:.2f} {y:.2f}L{left[0]:.2f} {left[1]:.2f}L{right[0]:.2f} {right[1]:.2f}z"
    return f'<path d="M{points}" fill="{colour}" stroke="#fff" stroke-width=".6"/>'


def _swatch(sign: str, x: float, y: float) -> str:
    """What a legend shows before its words."""
    middle = y + 3.0
    box = f'x="{x:.2f}" y="{y:.2f}" width="18" height="6"'
    return {
        s.HAND: f'<rect {box} fill="{INK}"/>',
        s.SET: f'<rect {box} fill="{SET_FILL}" stroke="{INK}" stroke-width=".6"/>',
        s.BESIDE: f'<rect {box} fill="#fff" stroke="{INK}" stroke-width=".6"/>',
        s.ABOUT: f'<path d="M{x:.2f} {middle:.2f}h18" stroke="{INK}"{DASH}/>',
        s.PARTING: f'<path d="M{x:.2f} {middle:.2f}h18" stroke="{INK}" stroke-width="2.6"/>'
        f'<path d="M{x:.2f} {middle:.2f}h18" stroke="#fff" stroke-width="1.2"/>',
        s.OUTLINE: f'<path d="M{x:.2f} {middle:.2f}h18" stroke="{INK}" stroke-width="1.6"/>',
        s.SIZE: f'<path d="M{x + 5:.2f} {middle:.2f}h8" stroke="{RED}" stroke-width="1.6"/>'
        + _head(x, middle, -1, 0, RED)
        + _head(x + 18, middle, 1, 0, RED),
        s.KEY: _diamond(x + 9, middle, "#ffffff"),
        s.WAY: f'<path d="M{x:.2f} {middle:.2f}h11" stroke="{INK}" stroke-width="1.6"/>'
        + _head(x + 18, middle, 1, 0, INK),
    }[sign]


def _said(sketch: Sketch) -> str:
    """What the drawing says to those who cannot see it."""
    views = "; ".join(f"{view.title}: {listed(list(view.things)) or 'no core'}" for view in sketch.views)
    return visible(f"{sketch.title}. {views}" if views else f"{sketch.title}. {' '.join(sketch.said)}")
