"""The band: a tolerance drawn to scale with its target, earlier readings, this reading and its uncertainty.

It is the sign of the program: the same picture stands on the bench, in the feature view and in the reports.
Marks are characters, so it reads without colour: `┼` limit, `┬` target, `·` earlier reading, `◆` this reading,
`━` its expanded uncertainty, `◀` `▶` a reading beyond the drawn range.
"""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

MARGIN = 0.35  # drawn beyond each limit, as a share of the band


def _range(lower: float | None, upper: float | None, target: float, value: float | None) -> tuple[float, float]:
    """Low and high end of the picture, mm; open sides get room around target and value."""
    if lower is not None and upper is not None:
        room = MARGIN * max(upper - lower, 1e-6)
        return lower - room, upper + room
    known = [x for x in (lower, upper, target, value) if x is not None]
    span = max(max(known) - min(known), 0.02 * max(abs(target), 1.0))
    return min(known) - MARGIN * span, max(known) + MARGIN * span


def band_text(
    *,
    lower: float | None,
    upper: float | None,
    target: float | None,
    value: float | None = None,
    u95: float = 0.0,
    earlier: Sequence[float] = (),
    width: int = 50,
    label: str = "{:.2f}",
    value_style: str = "bold",
) -> Text:
    """Two lines, `width` columns: the figures of limits and target, and the band under them.

    Sizes in mm (or degrees). `target` None hides the target and its figure (inspection without anchoring).
    """
    middle = target if target is not None else _centre(lower, upper, value)
    low, high = _range(lower, upper, middle, value)
    last = width - 1

    def column(x: float) -> int:
        return round((x - low) / (high - low) * last)

    cells = ["─"] * width
    styles: dict[int, str] = {}
    for x in earlier:
        if low <= x <= high:
            cells[column(x)] = "·"
    for limit in (lower, upper):
        if limit is not None:
            cells[column(limit)] = "┼"
    if target is not None:
        cells[column(target)] = "┬"
    if value is not None:
        _draw_value(cells, styles, value, u95, low, high, column, value_style)
    figures = [" "] * width
    marks = [(target, 1)] if target is not None else []
    marks += [(x, 0) for x in (lower, upper) if x is not None]
    taken: list[tuple[int, int]] = []
    for x, _ in sorted(marks, key=lambda mark: mark[1]):  # limits first: they win where figures would collide
        text = label.format(x)
        start = min(max(column(x) - len(text) // 2, 0), width - len(text))
        if start < 0 or any(start <= b and a <= start + len(text) for a, b in taken):
            continue
        taken.append((start, start + len(text)))
        figures[start : start + len(text)] = text
    out = Text("".join(figures).rstrip() + "\n", no_wrap=True)
    for index, cell in enumerate(cells):
        out.append(cell, styles.get(index, "dim" if cell == "─" else ""))
    return out


def _centre(lower: float | None, upper: float | None, value: float | None) -> float:
    known = [x for x in (lower, upper) if x is not None] or [value if value is not None else 0.0]
    return sum(known) / len(known)


def _draw_value(cells, styles, value, u95, low, high, column, style) -> None:  # type: ignore[no-untyped-def]
    if value < low:
        cells[0], styles[0] = "◀", style
    elif value > high:
        cells[-1], styles[len(cells) - 1] = "▶", style
    else:
        at = column(value)
        for index in range(max(column(value - u95), 0), min(column(value + u95), len(cells) - 1) + 1):
            if cells[index] in "─·":
                cells[index], styles[index] = "━", style
        cells[at], styles[at] = "◆", style
