"""Trends as text: the chart of one size or two over cores or dates, what is under the cursor, what was measured.

Readings are braille dots, castings o (as the size of the tool that gives them), other checks x, the forecast · above
and below; words and marks carry all, colour repeats it. What stands far off is drawn at the edge with ▲ ▼ and counted.
"""

from __future__ import annotations

from math import isfinite

from rich.text import Text

from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.report.draw.cells import MARKS, chart_cells, chart_key, heading
from inspect_tui.report.draw.chart import READING, Chart
from inspect_tui.shop.trends.tracks import CASTING, CORE
from inspect_tui.shop.trends.trend import Trend


# ------------------------------------------------------------------------------ charts
def chart(picture: Chart, width: int, height: int, *, cursor: float | None = None, over_dates: str = "") -> Text:
    """One size over cores or dates with the key of its marks, `width` x `height` characters.

    `over_dates` is how the face at hand shows it over dates, said where no reading has a count.
    """
    if not picture.readings.xs:
        more = f": {over_dates}" if over_dates and picture.uncounted else ""
        return Text(heading(picture)[:width] + "\n", style="bold") + Text(picture.said + more, style="yellow")
    return chart_cells(picture, width, height - 1, cursor=cursor) + Text("\n") + chart_key(picture, width)


def compare(picture: Chart, width: int, height: int) -> Text:
    """Two sizes on one axis: dots the first, o the second."""
    (second,) = picture.beside
    out = Text(f"{MARKS[READING]} {picture.readings.label}   {MARKS[second.kind]} {second.label}"[:width], style="bold")
    out.append("\n")
    out.append_text(chart_cells(picture, width, height - 2))
    return out.append(f"\ndifference from the target of each, {picture.unit}  ┊ repair"[: width + 1], style="dim")


# ------------------------------------------------------------------------------ words of a point
def point_words(trend: Trend, at: int, who: str = "", style: Style = MM) -> str:
    """The reading under the cursor: value, place, what it is of, who; and how far it lies from the line."""
    track = trend.main
    value = float(track.value[at])
    own, unit = style.readings_in(trend.unit)
    said = f"{own.length(value, unit=False)} {unit}"
    if track.read is not None and own.length(float(track.read[at]), unit=False) != own.length(value, unit=False):
        said += f" (read {own.length(float(track.read[at]), unit=False)})"
    count = float(track.count[at])
    if isfinite(count):
        said += f" at {show.number(count)} {trend.counter.word}"
    said += f", {show.day(float(track.day[at]))}"
    if track.words(at):
        said += f", {track.words(at)}"
    if trend.fit is not None and isfinite(count):
        said += f"; {own.signed(float(trend.residuals()[at]), unit=False)} from the wear line"
    beside = _casting_at(trend, count, at, own)
    return said + (f"; {beside}" if beside else "") + (f"  {who}" if who else "")


def _casting_at(trend: Trend, count: float, at: int, style: Style) -> str:
    """The casting of the same lot, or the one next to it in count."""
    import numpy as np

    track = trend.castings
    if track is None:
        return ""
    lot = trend.main.lot[at] if trend.main.lot is not None else None
    if lot is not None and track.lot is not None and lot in track.lot:
        i = list(track.lot).index(lot)
        return f"casting of the lot {style.length(float(track.value[i]), unit=False)}"
    if not isfinite(count) or np.isnan(track.count).all():
        return ""
    i = int(np.nanargmin(np.abs(track.count - count)))
    size, which = style.length(float(track.value[i]), unit=False), track.words(i) or show.day(float(track.day[i]))
    return f"nearest casting {size} ({which})"


def tracks_words(trend: Trend) -> str:
    """What was measured: 400 sample cores, 23 castings."""
    names = {CORE: "sample cores", CASTING: "castings"}
    said = [f"{len(t)} {names.get(t.of, 'checks of ' + trend.where)}" for t in (trend.main, *trend.others) if len(t)]
    return ", ".join(said) or "nothing measured yet"
