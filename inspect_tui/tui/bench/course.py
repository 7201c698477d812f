"""The readings of the size at hand one after another, as a chart under the last line where there is room."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text

from inspect_tui.metrology.typed.show import INCH, Style
from inspect_tui.report.draw import chart as kinds
from inspect_tui.report.draw.cells import chart_cells
from inspect_tui.report.draw.chart import Chart, Level, Series, tame
from inspect_tui.shop.bench.outcomes import Task
from inspect_tui.shop.common.judging import shown
from inspect_tui.shop.common.sizes import unit_of

READINGS = 60  # the newest
LEAST, MOST = 8, 16  # lines of the chart; with less room there is none
ALONE = 2  # readings, fewer than which are no course


def rows(free: int, readings: int) -> int:
    """Lines for the chart where `free` are left over; 0 where that is too few, or where there is nothing to see."""
    return min(free, MOST) if free >= LEAST and readings >= ALONE else 0


def picture(task: Task, values: Sequence[float], width: int, height: int, style: Style) -> Text:
    """The values (mm or degrees, the oldest first) as they came, with target and limits where somebody knows them."""
    size = task.sizes
    low, high = tame(values)
    own, unit = style.readings_in(unit_of(size.feature))
    known = [(size.target, "target", kinds.TARGET)] if size.feature.nominal_known else []
    limits = [(y, "limit", kinds.BAND) for y in (size.band.lower, size.band.upper) if y is not None]
    drawn = Chart(
        readings=Series(range(1, len(values) + 1), values),
        title=f"{size.feature.balloon}: the last {len(values)} readings, the newest on the right",
        unit=unit,
        levels=tuple(Level(y, f"{name} {shown(size, y, own)}", kind) for y, name, kind in (*known, *limits)),
        low=low,
        high=high,
        per=INCH if unit != unit_of(size.feature) else 1.0,
    )
    return chart_cells(drawn, width, height)
