"""What the Feature place says, as text: its pages, the reading under the cursor, and the raw readings."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from rich.text import Text

from inspect_tui.metrology.typed.show import MM, Style, when
from inspect_tui.record.ask.readings import LoggedReading
from inspect_tui.report.term import feature as paint
from inspect_tui.report.term.budget import budget_table
from inspect_tui.report.words import clipped
from inspect_tui.shop.common.corrections import NOTHING, Correction
from inspect_tui.shop.feature.findings import Breakdown
from inspect_tui.shop.feature.material import Material
from inspect_tui.shop.feature.view import FeatureView
from inspect_tui.tui import where
from inspect_tui.tui.feature.figures import Figures

PAGES = ("chart", "histogram", "by whom", "readings", "budget", "what it tells")
CHART, HISTOGRAM, WHO, READINGS, BUDGET, TELLS = range(6)


def chart_page(
    view: FeatureView, width: int, height: int, cursor: int | None, show_band: bool, style: Style = MM
) -> Text:
    """Summary above, the chart as large as there is room for, and what it says below."""
    summary = list(paint.summary_text(view, width, style).split("\n"))
    words = list(paint.chart_words(view, width, most=3 if height < 30 else 8, style=style).split("\n"))
    above = min(len(summary), max(height - 12, 1))
    below = min(len(words), 4 if height < 30 else 14)
    lines = summary[:above]
    if view.chart.points:
        room = max(height - above - below, 7)
        picture = paint.chart_picture(
            view, width, room, cursor=cursor, show_band=show_band, companion=True, style=style
        )
        lines += list(picture.split("\n"))
    told = words[: max(height - len(lines), 0)]
    if len(told) < len(words) and told:
        told[-1] = Text("… more on page 6", style="dim")
    return Text("\n").join([*lines, *told][:height])


def page(which: int, figures: Figures, width: int, style: Style = MM) -> Text:
    """A page that is plain text from top to bottom; while it is being read it says so."""
    view = figures.view
    if view is None:
        return Text("reading the record …", style="dim")
    places = paint.places_of(view.summary)
    if which == HISTOGRAM and figures.histogram is not None:
        return paint.histogram_picture(view.material, figures.histogram, width, style)
    if which == WHO and figures.splits is not None:
        return who_page(figures.splits, places, width, style.readings_in(view.material.unit)[0])
    if which == BUDGET and figures.no_budget:
        return Text(figures.no_budget, style="yellow")
    if which == BUDGET and figures.budget is not None:
        return budget_table(figures.budget, width, style)
    if which == TELLS and figures.findings is not None:
        text = paint.findings_text(figures.findings, places, view.material.unit, width, style)
        text.append("\n")
        text.append_text(paint.chart_words(view, width, most=60, style=style))
        return text.append_text(where_page(figures, width, style))
    return Text("reading the record …", style="dim")


def where_page(figures: Figures, width: int, style: Style = MM) -> Text:
    """Where the size is taken: in words, and drawn where the mould is known."""
    out = Text(f"\n{figures.where}\n" if figures.where else "", style="bold")
    if figures.mould is not None and figures.taken is not None:
        out.append_text(where.picture(figures.mould, figures.taken, "", width, where.MOST, style))
    return out


def point_words(
    view: FeatureView,
    at: int,
    logged: LoggedReading | None,
    today: str,
    style: Style = MM,
    made: Mapping[bytes, Correction] | None = None,
) -> str:
    """The point under the cursor: its value, who, with what, when, on which casting, and the signal it is part of."""
    value = view.chart.points[at]
    p = paint.places_of(view.summary)
    name = f"subgroup {view.names[at]}" if view.names else f"reading {at + 1}"
    own, unit = style.readings_in(view.material.unit)
    said = f"{name}: {paint.figure(value, p, own)} {unit}".rstrip()
    right = (made or {}).get(logged.id, NOTHING) if logged is not None else NOTHING
    if logged is not None and (view.chart_kind in ("ewma", "cusum") or not right.nothing):
        said += f" (read {own.given(logged.reading.value, unit=False)})"
    if logged is not None:
        said += f"  {logged.by}  {logged.instrument}  {when(logged.at_us, logged.tz_min, today)}"
    signal = next((s for s in view.chart.signals if s.index <= at <= s.last), None)
    return said + (f"  ◆ {signal.found}" if signal else "")


def who_page(splits: Sequence[Breakdown], places: int, width: int, style: Style = MM) -> Text:
    """People, instruments, lots and castings, one under the other; `style` fits the unit of the readings."""
    out = Text()
    for split in splits:
        if split.groups:
            out.append_text(paint.breakdown_table(split, places, width, most=500, style=style))
            out.append("\n")
    return out if out else Text("no readings: nobody to compare")


def reading_rows(
    rows: Sequence[LoggedReading],
    chosen: bytes | None,
    items: dict[bytes, str],
    width: int,
    today: str,
    marked: frozenset[bytes] = frozenset(),
    style: Style = MM,
    made: Mapping[bytes, Correction] | None = None,
    bad: Collection[bytes] = (),
) -> Text:
    """Readings as they are computed with, the newest first; those that do not count are struck, with the reason.

    ◆ is part of a signal. `made`: how readings are put right; what was read and why it moved stands behind the value.
    `bad`: ids of those made with a gauge that had failed by then, or was out of use: ✗ stands before it.
    """
    out = Text(no_wrap=True)
    for logged in rows:
        reading = logged.reading
        right = (made or {}).get(reading.id, NOTHING)
        value = plain_size(right.of(reading.value), style)
        on = f"  {items[reading.item_id]}" if reading.item_id in items else ""
        gauge = f"{'✗' if logged.id in bad else ' '}{clipped(logged.instrument, 18):<18}"
        line = f"{value:>10}  {logged.by:<3}{gauge} "
        line += f"{when(logged.at_us, logged.tz_min, today):<12}{on}"
        here = "▶" if reading.id == chosen else " "
        mark = "◆" if reading.id in marked else " "
        bar = "reverse" if reading.id == chosen else ""
        if logged.out:
            why = logged.supersede.why if logged.supersede else "two answers, none settled"
            what = "contested" if logged.contested else "corrected" if _replaced(logged) else "void"
            out.append(f"{here}✕ ", style=bar)
            out.append(clipped(line, width - 4), style=f"strike dim {bar}")
            out.append(clipped(f"  {what}: {why}", max(width - 4 - len(line), 0)) + "\n", style="dim")
        else:
            moved = right.said(reading.value, style)
            extra = f"  read {plain_size(reading.value, style)}; {'; '.join(moved)}" if moved else ""
            extra += "  asked, kept as typed" if reading.slip == "asked_kept" else ""
            extra += f"  {logged.notes[-1].text}" if logged.notes else ""
            out.append(clipped(f"{here}{mark} {line}{extra}", width) + "\n", style=bar)
    return out


def plain_size(value: float, style: Style = MM) -> str:
    """A size with the decimals it has in mm, two at least and four at most."""
    digits = next((n for n in (2, 3) if abs(round(value, n) - round(value, 4)) < 1e-9), 4)
    return style.length(value, digits, unit=False)


def _replaced(logged: LoggedReading) -> bool:
    return logged.supersede is not None and logged.supersede.replacement_id is not None


def readings_head(material: Material, top: int, shown: int, width: int) -> Text:
    """How many there are and which of them are on the screen."""
    total = len(material.ids)
    if not total:
        return Text("not measured on this yet\n", style="dim")
    say = f"{total} readings, {material.n_out} not counted (✕, struck); newest first, {top + 1} to {top + shown}"
    return Text(clipped(say, width) + "\n", style="bold")
