"""Charts made of text: a braille canvas behind a min/max reduction, with axes, units, limits and marked points.

A terminal column shows two points across; reducing a long series to the smallest and the largest of each half column
keeps every extreme, so nothing that stands out is hidden (100,000 readings draw as fast as 300).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import floor, isfinite, log10

from rich.text import Text

# Bit of each dot of a braille cell, by (column 0..1, row 0..3 from the top): Unicode chart U+2800.
DOTS = ((0x01, 0x02, 0x04, 0x40), (0x08, 0x10, 0x20, 0x80))


DOT = chr(0x2800)  # from here on a cell holds points
LINES = "┄─"  # marks of further series that are lines of the chart, not readings


class Level:
    """A horizontal line across the chart: a limit, a centre line, a target; with the mark "" its label alone."""

    __slots__ = ("label", "mark", "style", "y")

    def __init__(self, y: float, label: str, mark: str = "┄", style: str = "dim") -> None:
        self.y, self.label, self.mark, self.style = y, label, mark, style


def nice_step(span: float, most: int) -> float:
    """A step of 1, 2 or 5 times a power of ten that cuts `span` into at most `most` pieces."""
    if not (span > 0 and isfinite(span)):
        return 1.0
    raw = span / max(most, 1)
    power = 10.0 ** floor(log10(raw))
    return next((m * power for m in (1, 2, 5, 10) if m * power >= raw * (1 - 1e-9)), 10 * power)


def ticks(low: float, high: float, most: int) -> list[float]:
    """Round values between low and high."""
    step = nice_step(high - low, most)
    first = -(-low // step) * step
    return [first + i * step for i in range(int((high - first) / step + 1e-9) + 1)] if step else [low]


def axis_ticks(low: float, high: float, rows: int) -> dict[int, float]:
    """Round values by the row they stand in: about one in three rows, but at least two where they have room."""
    found: dict[int, float] = {}
    for most in range(max(rows // 3, 2), max(rows, 3)):
        found = {_row(y, low, high, rows): y for y in ticks(low, high, most)}
        if len(found) > 1:
            break
    return found


def reduced(
    xs: Sequence[float], ys: Sequence[float], columns: int, low: float, high: float
) -> list[tuple[float, float]]:
    """At most two points for each of `columns` slots across low..high: the smallest and the largest y."""
    if len(xs) <= 2 * columns:
        return list(zip(xs, ys, strict=True))
    scale = (columns - 1) / (high - low) if high > low else 0.0
    lows: dict[int, tuple[float, float]] = {}
    highs: dict[int, tuple[float, float]] = {}
    for x, y in zip(xs, ys, strict=True):
        slot = int((x - low) * scale)
        if slot not in lows or y < lows[slot][1]:
            lows[slot] = (x, y)
        if slot not in highs or y > highs[slot][1]:
            highs[slot] = (x, y)
    return [point for slot in sorted(lows) for point in {lows[slot], highs[slot]}]


def chart_text(
    xs: Sequence[float],
    ys: Sequence[float],
    *,
    width: int = 78,
    height: int = 14,
    levels: Sequence[Level] = (),
    signals: Sequence[int] = (),
    breaks: Sequence[tuple[float, str]] = (),
    unit: str = "mm",
    x_name: str = "reading",
    title: str = "",
    more: Sequence[tuple[Sequence[float], Sequence[float], str]] = (),
    cursor: float | None = None,
) -> Text:
    """A chart of ys over xs in `width` x `height` characters, axes and units included.

    `levels` are lines across; `signals` are indexes of points marked ◆; `breaks` are (x, reason) where a segment
    starts; `more` are further series (xs, ys, mark) drawn with their own mark; `cursor` is an x marked on the axis.
    """
    out = Text(no_wrap=True)
    if title:
        out.append(title[:width] + "\n", style="bold")
    if not xs:
        out.append("nothing to draw yet\n", style="dim")
        return out
    everything = [*ys, *(level.y for level in levels), *(y for _, more_ys, _ in more for y in more_ys)]
    low, high = min(everything), max(everything)
    flat = high - low <= 1e-9 * max(abs(high), abs(low), 1.0)
    room = 0.01 * max(abs(high), 1.0) if flat else 0.06 * (high - low)
    low, high = low - room, high + room
    left, right = min(xs), max(xs)
    for more_xs, _, _ in more:
        left, right = min(left, *more_xs), max(right, *more_xs)
    if right == left:
        left, right = left - 0.5, right + 0.5
    rows = max(height - 2 - (1 if title else 0), 3)
    marked = axis_ticks(low, high, rows)
    labels = dict(zip(marked, _figures(list(marked.values())), strict=True))
    margin = max((len(text) for text in labels.values()), default=0) + 1
    side: dict[int, tuple[str, str]] = {}
    for level in sorted(levels, key=lambda one: -one.y):  # two in one row share it
        at = _row(level.y, low, high, rows)
        before, first_style = side.get(at, ("", level.style))
        side[at] = (f"{before}, {level.label}" if before and level.label else before or level.label, first_style)
    names = max((len(name) for name, _ in side.values()), default=0)
    plot = max(width - margin - 1 - (names + 1 if names else 0), 8)

    def column(x: float) -> int:
        return min(max(int((x - left) / (right - left) * (plot - 1) + 0.5), 0), plot - 1)

    grid = [[" "] * plot for _ in range(rows)]
    style = [[""] * plot for _ in range(rows)]
    for level in levels:
        if level.mark:
            at = _row(level.y, low, high, rows)
            grid[at] = [level.mark] * plot
            style[at] = [level.style] * plot
    for x, _ in breaks:
        for row in range(rows):
            grid[row][column(x)], style[row][column(x)] = "┊", "dim"
    dots: dict[tuple[int, int], int] = {}
    for x, y in reduced(xs, ys, 2 * plot, left, right):
        fine_x = min(int((x - left) / (right - left) * (2 * plot - 1) + 0.5), 2 * plot - 1)
        fine_y = min(int((high - y) / (high - low) * (4 * rows - 1) + 0.5), 4 * rows - 1)
        cell = (fine_y // 4, fine_x // 2)
        dots[cell] = dots.get(cell, 0) | DOTS[fine_x % 2][fine_y % 4]
    for (line, col), bits in dots.items():
        grid[line][col], style[line][col] = chr(0x2800 + bits), "bold"
    for more_xs, more_ys, mark in more:
        for x, y in reduced(more_xs, more_ys, plot, left, right):
            at, place = _row(y, low, high, rows), column(x)
            if mark not in LINES or grid[at][place] < DOT:  # a limit hides no reading
                grid[at][place] = mark
    for index in signals:
        row, col = _row(ys[index], low, high, rows), column(xs[index])
        grid[row][col], style[row][col] = "◆", "bold red"
    for line in range(rows):
        out.append(labels.get(line, "").rjust(margin - 1) + " ")
        out.append("┤" if line in labels else "│", style="dim")
        for character, character_style in zip(grid[line], style[line], strict=True):
            out.append(character, style=character_style)
        name, name_style = side.get(line, ("", ""))
        out.append((" " + name if name else "") + "\n", style=name_style)
    axis = ["─"] * plot
    if cursor is not None:
        axis[column(cursor)] = "▲"
    out.append(" " * margin + "└" + "".join(axis) + "\n", style="dim")
    start, end = f"{left:g}", f"{right:g}"
    axis_name = f"{x_name} → · {unit} ↑"
    gap = max(plot - len(start) - len(end) - len(axis_name), 2)
    out.append(" " * (margin + 1) + start + " " * (gap // 2) + axis_name + " " * (gap - gap // 2) + end)
    return out


def _figures(values: Sequence[float]) -> list[str]:
    """Round values with as few decimals as tell them apart and show them whole."""
    alone = abs(values[0]) if values else 1.0
    step = min((abs(b - a) for a, b in pairwise(values)), default=alone)
    decimals = max(0, -floor(log10(step * 1.0000001))) if step > 0 else 0
    return [f"{y if abs(y) > 1e-9 * step else 0.0:.{decimals}f}" for y in values]


def _row(y: float, low: float, high: float, rows: int) -> int:
    return min(max(int((high - y) / (high - low) * (rows - 1) + 0.5), 0), rows - 1)


def histogram_text(
    counts: Sequence[int],
    edges: Sequence[float],
    *,
    lower: float | None,
    upper: float | None,
    target: float | None = None,
    width: int = 60,
    unit: str = "mm",
    title: str = "",
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
        out.append(f"{middle:>{7 + decimals}.{decimals}f} ")
        out.append(bar.ljust(bar_room), style="bold red" if out_of_band else "")
        out.append(f" {count:>5} {marks}\n", style="" if not marks else "bold")
    out.append(f"{unit}, middle of each bin; counts on the right", style="dim")
    return out
