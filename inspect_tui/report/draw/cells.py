"""Paints band and chart in the cells of a terminal: they read without colour, for marks are characters.

Band: `┼` limit, `┬` target, `·` earlier reading, `◆` this reading, `━` its expanded uncertainty; beyond the drawn
range `◀ ▶` this reading, `◁ ▷` the target, `◂ ▸` earlier ones. Chart: readings are braille dots behind a reduction
to the smallest and the largest of each half column, so that every extreme shows; `▲ ▼` lie beyond the picture.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import groupby, pairwise
from math import floor, log10

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.draw import chart as kinds
from inspect_tui.report.draw.band import Band, Lane
from inspect_tui.report.draw.chart import Chart, Frame, Series, frame, reduced, ticks

# Bit of each dot of a braille cell, by (column 0..1, row 0..3 from the top): Unicode chart U+2800.
DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))
DOT = chr(0x2800)  # from here on a cell holds points
MARKS = {
    kinds.READING: "⠿",
    kinds.CASTING: "o",
    kinds.CORE: "+",
    kinds.CHECK: "x",
    kinds.SECOND: "o",
    kinds.DOWN: "·",
    kinds.FIT: "∙",
    kinds.CENTRE: "─",
    kinds.CONTROL: "┄",
}
ACROSS = {  # the line of a level, and how it is drawn
    kinds.CONTROL: ("┄", "dim"),
    kinds.CENTRE: ("─", "dim"),
    kinds.TARGET: ("┈", "dim"),
    kinds.LIMIT: ("━", "bold"),
    kinds.BAND: ("┼", "cyan"),
    kinds.NAME: ("", "dim"),
}
LEAST_PLOT = 8  # columns


# ------------------------------------------------------------------------------ the band
def hundredths(size: float) -> str:
    """82.13."""
    return MM.length(size, unit=False)


def band_cells(
    band: Band, width: int, *, figure: Callable[[float], str] = hundredths, mark_style: str = "bold"
) -> Text:
    """The figures of limits and target, and under them a line `width` columns wide for each lane.

    `figure` writes a limit or target; `mark_style` is the colour of the reading that counts.
    """
    width = max(width, 1)  # a window may have no room at all
    last = width - 1

    def column(size: float) -> int:
        return round(band.range.share(band.range.inside(size)) * last)

    out = Text(_figures(band, column, width, figure).rstrip(), no_wrap=True)
    for lane in band.lanes or (Lane(),):
        out.append("\n")
        cells, styles = _lane(band, lane, column, width, mark_style)
        looks = [styles.get(index, "dim" if cell == "─" else "") for index, cell in enumerate(cells)]
        for look, run in groupby(range(width), looks.__getitem__):
            out.append("".join(cells[index] for index in run), look)
    return out


def _figures(band: Band, column: Callable[[float], int], width: int, figure: Callable[[float], str]) -> str:
    """The figures over their marks; limits first: they win where figures would collide."""
    figures = [" "] * width
    taken: list[tuple[int, int]] = []
    for size in (band.lower, band.upper, band.target):
        if size is None:
            continue
        text = figure(size)
        start = min(max(column(size) - len(text) // 2, 0), width - len(text))
        if start < 0 or any(start <= b and a <= start + len(text) for a, b in taken):
            continue
        taken.append((start, start + len(text)))
        figures[start : start + len(text)] = text
    return "".join(figures)


def _lane(
    band: Band, lane: Lane, column: Callable[[float], int], width: int, style: str
) -> tuple[list[str], dict[int, str]]:
    cells = ["─"] * width
    styles: dict[int, str] = {}
    drawn = band.range
    for x in lane.others:
        if drawn.shows(x):
            cells[column(x)] = "·"
    for limit in (band.lower, band.upper):
        if limit is not None:
            cells[column(limit)] = "┼"
    if band.target is not None and drawn.shows(band.target):
        cells[column(band.target)] = "┬"
    value = lane.value
    if value is not None and drawn.shows(value):
        for index in range(column(value - lane.u95), column(value + lane.u95) + 1):
            if cells[index] in "─·":
                cells[index], styles[index] = "━", style
        cells[column(value)], styles[column(value)] = "◆", style
    for side, marks in ((-1, "◀◁◂"), (1, "▶▷▸")):
        edge = 0 if side < 0 else width - 1
        here = value is not None and drawn.beyond(value) == side
        beyond = [
            (here, style),
            (band.target is not None and drawn.beyond(band.target) == side, ""),
            (not here and any(drawn.beyond(x) == side for x in lane.others), ""),
        ]
        for mark, (there, how) in zip(marks, beyond, strict=True):
            if there and 0 <= edge < width:
                cells[edge], styles[edge] = mark, how
                edge -= side
    return cells, styles


# ------------------------------------------------------------------------------ the chart
def chart_cells(chart: Chart, width: int, height: int, *, cursor: float | None = None) -> Text:
    """The chart in `width` x `height` characters, axes and units included; `cursor` is a place marked on the axis."""
    out = Text(no_wrap=True)
    if chart.title:
        out.append(heading(chart)[:width] + "\n", style="bold")
    if not len(chart.readings.xs):
        out.append("nothing to draw yet\n", style="dim")
        return out
    field = _Field(chart, width, max(height - 2 - (1 if chart.title else 0), 3))
    field.paint()
    for line in field.lines():
        line.truncate(width)
        out.append_text(line)
        out.append("\n")
    out.append_text(field.axis(cursor, width))
    return out


def heading(chart: Chart) -> str:
    """What the chart is of, and on what it was measured."""
    return f"{chart.title} on {chart.of}" if chart.of else chart.title


def chart_key(chart: Chart, width: int) -> Text:
    """What the marks of this chart stand for, and how many readings lie beyond the picture."""
    said = []
    if chart.above:
        said.append(f"▲ {chart.above} above the picture, up to {hundredths(max(chart.readings.ys))}")
    if chart.below:
        said.append(f"▼ {chart.below} below it, down to {hundredths(min(chart.readings.ys))}")
    for series in chart.beside:
        said.append(f"{MARKS[series.kind]} {series.label}" + (f" ({series.far} far off)" if series.far else ""))
    if chart.fan is not None:
        said.append(f"- {chart.fan.label} · 95 %")
    if chart.breaks:
        said.append(f"┊ {' or '.join(dict.fromkeys(mark.kind for mark in chart.breaks))}")
    if chart.signals:
        said.append(f"◆ {chart.signal}")
    return Text("  ".join(said)[:width], style="dim")


class _Field:
    """The cells of a chart between its axes: what is drawn later stands before what was drawn earlier."""

    def __init__(self, chart: Chart, width: int, rows: int) -> None:
        self.chart, self.rows = chart, rows
        self.frame: Frame = frame(chart)
        per = chart.per
        marked = axis_ticks(self.frame.y0 / per, self.frame.y1 / per, rows)
        self.labels = dict(zip(marked, round_figures(list(marked.values())), strict=True))
        self.margin = max((len(text) for text in self.labels.values()), default=0) + 1
        self.side = self._names()
        names = max((len(name) for name, _ in self.side.values()), default=0)
        if names and width - self.margin - names - 2 < LEAST_PLOT:
            self.side, names = {}, 0  # no room to name the levels
        self.plot = max(width - self.margin - 1 - (names + 1 if names else 0), LEAST_PLOT)
        self.grid = [[" "] * self.plot for _ in range(rows)]
        self.style = [[""] * self.plot for _ in range(rows)]

    # -------------------------------------------------------------------------- places
    def column(self, x: float) -> int:
        """The column of a place across."""
        f = self.frame
        return min(max(int((x - f.x0) / (f.x1 - f.x0) * (self.plot - 1) + 0.5), 0), self.plot - 1)

    def row(self, y: float) -> int:
        """The row of a value, from the top."""
        return row_of(y, self.frame.y0, self.frame.y1, self.rows)

    def put(self, row: int, column: int, mark: str, style: str = "") -> None:
        """One mark."""
        self.grid[row][column], self.style[row][column] = mark, style

    def _names(self) -> dict[int, tuple[str, str]]:
        """The names of levels by their row; two in one row share it."""
        side: dict[int, tuple[str, str]] = {}
        for level in sorted(self.chart.levels, key=lambda one: -one.y):
            if not self.frame.shows(level.y):
                continue
            at = self.row(level.y)
            before, first_style = side.get(at, ("", ACROSS[level.kind][1]))
            side[at] = (f"{before}, {level.label}" if before and level.label else before or level.label, first_style)
        return side

    # -------------------------------------------------------------------------- painting
    def paint(self) -> None:
        """Everything, from the back to the front."""
        for level in self.chart.levels:
            mark, style = ACROSS[level.kind]
            if mark and self.frame.shows(level.y):
                at = self.row(level.y)
                self.grid[at], self.style[at] = [mark] * self.plot, [style] * self.plot
        for mark_at in self.chart.breaks:
            if self.frame.x0 <= mark_at.x <= self.frame.x1:
                for row in range(self.rows):
                    self.put(row, self.column(mark_at.x), "┊", "dim")
        self._fan()
        for series in self.chart.beside:
            if series.kind in kinds.LINES:
                self._line(series)
        self._dots()
        for series in self.chart.beside:
            if series.kind not in kinds.LINES:
                self._points(series)
        for x, y in self.chart.signals:
            if self.frame.shows(y):
                self.put(self.row(y), self.column(x), "◆", "bold red")

    def _fan(self) -> None:
        fan = self.chart.fan
        if fan is None or len(fan.xs) < 2:
            return
        for column, x in self._across(fan.xs):
            for ys, mark, ahead in ((fan.low, "·", True), (fan.high, "·", True), (fan.middle, "-", False)):
                if (x >= fan.now or not ahead) and self.frame.shows(y := between(fan.xs, ys, x)):
                    self.put(self.row(y), column, mark)

    def _dots(self) -> None:
        f, xs, ys = self.frame, self.chart.readings.xs, self.chart.readings.ys
        far: dict[tuple[int, int], str] = {}
        if min(ys) < f.y0 or max(ys) > f.y1:
            far = {
                (self.row(y), self.column(x)): "▲" if y > f.y1 else "▼"
                for x, y in zip(xs, ys, strict=True)
                if not f.shows(y)
            }
            near = [(x, y) for x, y in zip(xs, ys, strict=True) if f.shows(y)]
            xs, ys = [x for x, _ in near], [y for _, y in near]
        dots: dict[tuple[int, int], int] = {}
        for x, y in zip(*reduced(xs, ys, 2 * self.plot, f.x0, f.x1), strict=True):
            fine_x = min(int((x - f.x0) / (f.x1 - f.x0) * (2 * self.plot - 1) + 0.5), 2 * self.plot - 1)
            fine_y = min(int((f.y1 - y) / (f.y1 - f.y0) * (4 * self.rows - 1) + 0.5), 4 * self.rows - 1)
            cell = (fine_y // 4, fine_x // 2)
            dots[cell] = dots.get(cell, 0) | DOTS[fine_x % 2][fine_y % 4]
        for (row, column), bits in dots.items():
            self.put(row, column, chr(0x2800 + bits), "bold")
        for (row, column), mark in far.items():
            self.put(row, column, mark)

    def _across(self, xs: Sequence[float]) -> Iterator[tuple[int, float]]:
        """The columns that a line runs through, and the place that each stands for."""
        f = self.frame
        for column in range(self.column(xs[0]), self.column(xs[-1]) + 1):
            yield column, f.x0 + (f.x1 - f.x0) * column / (self.plot - 1)

    def _line(self, series: Series) -> None:
        """A line through its points: straight between them, or in steps half way where it is a limit or a centre."""
        value = between if series.kind == kinds.FIT else nearest
        for column, x in self._across(series.xs):
            self.put(self.row(value(series.xs, series.ys, x)), column, MARKS[series.kind])

    def _points(self, series: Series) -> None:
        f = self.frame
        for x, y in zip(*reduced(series.xs, series.ys, self.plot, f.x0, f.x1), strict=True):
            self.put(self.row(y), self.column(x), MARKS[series.kind])

    # -------------------------------------------------------------------------- what is printed
    def lines(self) -> list[Text]:
        """A line a row: the figure, the axis, the cells, the name of a level."""
        out = []
        for row in range(self.rows):
            line = Text(self.labels.get(row, "").rjust(self.margin - 1) + " ", no_wrap=True)
            line.append("┤" if row in self.labels else "│", style="dim")
            for character, style in zip(self.grid[row], self.style[row], strict=True):
                line.append(character, style=style)
            name, style = self.side.get(row, ("", ""))
            line.append(" " + name if name else "", style=style)
            out.append(line)
        return out

    def axis(self, cursor: float | None, width: int) -> Text:
        """The line across, and under it where it begins and ends and what it counts."""
        f, chart = self.frame, self.chart
        axis = ["─"] * self.plot
        if cursor is not None:
            axis[self.column(cursor)] = "▲"
        out = Text(no_wrap=True)
        out.append((" " * self.margin + "└" + "".join(axis))[:width] + "\n", style="dim")
        start, end = chart.named(f.x0), chart.named(f.x1)
        name = f"{chart.across} → · {chart.unit} ↑"
        gap = max(self.plot - len(start) - len(end) - len(name), 2)
        out.append((" " * (self.margin + 1) + start + " " * (gap // 2) + name + " " * (gap - gap // 2) + end)[:width])
        return out


def row_of(y: float, low: float, high: float, rows: int) -> int:
    """The row of a value among `rows` from `high` at the top to `low`."""
    return min(max(int((high - y) / (high - low) * (rows - 1) + 0.5), 0), rows - 1)


def between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """The value at `x` of a line through points in order of x; beyond its ends, that of the end."""
    if x <= xs[0]:
        return ys[0]
    if x >= xs[-1]:
        return ys[-1]
    i = bisect_right(xs, x)
    return ys[i - 1] + (ys[i] - ys[i - 1]) * (x - xs[i - 1]) / (xs[i] - xs[i - 1])


def nearest(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """The value of the point that lies nearest to `x`, points in order of x."""
    i = bisect_right(xs, x)
    if i == len(xs) or (i and x - xs[i - 1] < xs[i] - x):
        i -= 1
    return ys[i]


def axis_ticks(low: float, high: float, rows: int) -> dict[int, float]:
    """Round values by the row they stand in: about one in three rows, but at least two where they have room."""
    placed: dict[int, float] = {}
    for most in range(max(rows // 3, 2), max(rows, 3)):
        placed = {row_of(y, low, high, rows): y for y in ticks(low, high, most)}
        if len(placed) > 1:
            break
    return placed


def round_figures(values: Sequence[float]) -> list[str]:
    """Round values with as few decimals as tell them apart and show them whole."""
    alone = abs(values[0]) if values else 1.0
    step = min((abs(b - a) for a, b in pairwise(values)), default=alone)
    decimals = max(0, -floor(log10(step * 1.0000001))) if step > 0 else 0
    return [f"{y if abs(y) > 1e-9 * step else 0.0:.{decimals}f}" for y in values]


# ------------------------------------------------------------------------------ bars
def histogram_cells(
    counts: Sequence[int],
    edges: Sequence[float],
    *,
    lower: float | None,
    upper: float | None,
    target: float | None = None,
    width: int = 60,
    unit: str = "mm",
    title: str = "",
    style: Style = MM,
) -> Text:
    """Bars across, one a bin, with the limits written where they fall; counts and bin edges as numpy gives them."""
    out = Text(no_wrap=True)
    if title:
        out.append(title[:width] + "\n", style="bold")
    most = max(counts, default=0)
    if not most:
        out.append("nothing to draw yet\n", style="dim")
        return out
    step = edges[1] - edges[0]
    decimals = max(0, -floor(log10(step)) + 1) if step > 0 else 2
    bar_room = max(width - 22 - decimals, 10)
    for index, count in enumerate(counts):
        low, high = edges[index], edges[index + 1]
        middle = (low + high) / 2
        out_of_band = (lower is not None and high <= lower) or (upper is not None and low >= upper)
        marks = "".join(
            mark
            for value, mark in ((lower, "┼ lower"), (upper, "┼ upper"), (target, "┬ target"))
            if value is not None and low <= value < high
        )
        eighths = round(count / most * bar_room * 8)
        bar = "█" * (eighths // 8) + ("" if eighths % 8 == 0 else "▏▎▍▌▋▊▉"[eighths % 8 - 1])
        if count and not bar:
            bar = "▏"
        out.append(f"{style.length(middle, decimals, unit=False):>{7 + decimals}} ")
        out.append(bar.ljust(bar_room), style="bold red" if out_of_band else "")
        out.append(f" {count:>5} {marks}\n", style="" if not marks else "bold")
    out.append(f"{unit}, middle of each bin; counts on the right", style="dim")
    return out
