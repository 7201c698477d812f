"""One feature as text: summary, control chart, histogram, who measured it, and what it tells.

Both the screen and the command line draw from here. Everything is `width` columns wide and says its unit; marks and
words carry the meaning, colour only repeats it.
"""

from __future__ import annotations

from itertools import groupby
from math import floor, inf, log10
from textwrap import wrap

from rich.text import Text

from inspect_tui.frozen import replace
from inspect_tui.metrology.spread.charts import ControlChart
from inspect_tui.metrology.spread.statistics import Summary
from inspect_tui.metrology.typed.show import INCH, MM, Style, count
from inspect_tui.metrology.typed.words import capital
from inspect_tui.model.words import Band
from inspect_tui.report.draw.cells import chart_cells, histogram_cells
from inspect_tui.report.draw.chart import BAND, CENTRE, CONTROL, DOWN, NAME, Break, Chart, Level, Series, frame, tame
from inspect_tui.report.words import clipped
from inspect_tui.shop.feature.findings import Breakdown, Findings, Histogram
from inspect_tui.shop.feature.material import Material
from inspect_tui.shop.feature.view import FeatureView

FREE = "same, any shape"
ORDER = "the readings are not independent (see order)"
SQUASH = 1.0  # limits further out than so many ranges of the readings would press the chart flat: they are left away


def places_of(summary: Summary) -> int:
    """Decimals that show two digits of the spread; three when there is none."""
    if not summary.s:
        return 3
    return min(max(1 - floor(log10(summary.s)), 2), 9)


def figure(value: float | None, places: int, style: Style = MM) -> str:
    """A figure with so many decimals (of mm); – where it is not known or has no bound."""
    return style.length(value, places, unit=False) or "–"


# ------------------------------------------------------------------------------ summary
def summary_text(view: FeatureView, width: int, style: Style = MM) -> Text:
    """n, mean, s and extremes in one line; the kept summary, the band and the remarks in lines of their own."""
    material, summary = view.material, view.summary
    p = places_of(summary)
    own, unit = style.readings_in(material.unit)
    out = Text()
    counted = f"n {summary.n}"
    notes = [f"{material.n_out} void"] if material.n_out else []
    notes += [f"{material.n_missing} missing"] if material.n_missing else []
    if notes:
        counted += f" ({', '.join(notes)})"
    if summary.n == 0:
        out.append(f"{counted}: no readings, nothing can be said\n", style="bold")
    else:
        parts = [
            counted,
            f"mean {figure(summary.mean, p, own)}",
            f"s {figure(summary.s, p + 1, own)}",
            f"min {figure(summary.min, p, own)}",
            f"max {figure(summary.max, p, own)}",
        ]
        if view.lag1 is not None:
            parts.append(f"lag-1 {style.figure(view.lag1, 2, signed=True)}")
        parts += [unit] if unit else []
        gap = "   " if sum(map(len, parts)) + 3 * len(parts) <= width else "  "
        out.append(clipped(gap.join(parts), width) + "\n", style="bold")
        if summary.sentence:
            for line in wrap(capital(summary.sentence), width, subsequent_indent="  "):
                out.append(line + "\n", style="yellow")
    if material.kept is not None and summary.n:
        kept = material.kept
        same = "the same" if view.kept_agrees else "NOT the same"
        say = (
            f"kept in the record: n {kept.n}, mean {figure(kept.mean, p, own)}, s {figure(kept.s, p + 1, own)}: {same}"
        )
        out.append(clipped(say, width) + "\n", style="dim" if view.kept_agrees else "bold yellow")
    if material.band is not None:
        out.append(clipped(band_words(material.band, material.target, p, own), width) + "\n")
    for remark in view.remarks:
        for line in wrap(capital(remark), width, subsequent_indent="  "):
            out.append(line + "\n", style="yellow")
    return out


def band_words(band: Band, target: float | None, places: int, style: Style = MM) -> str:
    """`target 50.00, band 49.40 to 50.60 (drawing)`."""
    if band.lower is None:
        words = f"band up to {figure(band.upper, places, style)}"
    elif band.upper is None:
        words = f"band from {figure(band.lower, places, style)}"
    else:
        words = f"band {figure(band.lower, places, style)} to {figure(band.upper, places, style)}"
    aim = f"target {figure(target, places, style)}, " if target is not None else ""
    return aim + words + (f" ({band.source})" if band.source else "")


# ------------------------------------------------------------------------------ chart
def chart_picture(
    view: FeatureView,
    width: int,
    height: int,
    *,
    cursor: int | None = None,
    show_band: bool = True,
    companion: bool = False,
    style: Style = MM,
) -> Text:
    """The chart with its limits; `companion` draws the chart of the spread under it. `cursor` is a point from 0."""
    other = view.chart.companion
    at = None if cursor is None else cursor + 1.0
    if companion and other is not None and view.chart_kind != "cusum" and height >= 18:
        below = height // 3
        out = chart_cells(_picture(view, view.chart, show_band, style), width, height - below, cursor=at)
        out.append("\n")
        out.append_text(chart_cells(_picture(view, other, False, style), width, below, cursor=at))
        return out
    return chart_cells(_picture(view, view.chart, show_band, style), width, height, cursor=at)


def _picture(view: FeatureView, chart: ControlChart, show_band: bool, style: Style) -> Chart:
    """The picture of one control chart: its points with limits and centre, signals, segments, and the band."""
    places = places_of(view.summary)
    own, unit = style.readings_in(view.material.unit)
    xs: list[float] = [i for i, y in enumerate(chart.points, 1) if y is not None]
    ys: list[float] = [y for y in chart.points if y is not None]
    low, high = tame(ys)
    levels: list[Level] = []
    beside: list[Series] = []
    straight = len(chart.segments) == 1 and len(set(chart.upper)) == 1
    if straight and chart.upper and chart.upper[0] is not None:
        for y, name, kind in (
            (chart.upper[0], "limit", CONTROL),
            (chart.centre[0], "centre", CENTRE),
            (chart.lower[0], "limit", CONTROL),
        ):
            if y is not None and (y or name == "centre"):
                levels.append(Level(y, f"{name} {figure(y, places, own)}", kind))
    else:
        beside += _curves(chart)
        levels += _last_levels(chart, places, own)
    if chart.kind.startswith("CUSUM") and chart.companion is not None:
        down = [(float(i), y) for i, y in enumerate(chart.companion.points, 1) if y is not None]
        beside.append(Series([x for x, _ in down], [y for _, y in down], DOWN))
        beside += _curves(chart.companion)
    if show_band and ys and view.chart_kind not in ("cusum", "ewma"):
        levels += _band_levels(view.material.band, low, high, places, own)
    signals = sorted({i for s in chart.signals for i in range(s.index, s.last + 1)})
    picture = Chart(
        readings=Series(xs, ys),
        unit=unit or "value",
        across="subgroup" if view.names else "reading",
        title=chart.kind,
        beside=tuple(beside),
        levels=tuple(levels),
        breaks=tuple(Break(part.start + 1.0, words=part.reason) for part in chart.segments[1:]),
        signals=tuple((i + 1.0, y) for i in signals if (y := chart.points[i]) is not None),
        low=low,
        high=high,
        per=INCH if unit != view.material.unit else 1.0,
    )
    if not ys:
        return picture
    drawn = frame(picture)
    wild = [y for y in ys if not drawn.shows(y)]
    if not wild:
        return picture
    told = ", ".join(own.given(y, unit=False) for y in wild[:4])
    return replace(picture, title=f"{chart.kind}; {len(wild)} far out, drawn at the edge: {told}")


def _curves(chart: ControlChart) -> list[Series]:
    """Limits that are not one straight line, as steps: the value of a point holds half way to its neighbours."""
    curves = []
    for column, kind in ((chart.centre, CENTRE), (chart.lower, CONTROL), (chart.upper, CONTROL)):
        numbered = enumerate(column, 1)
        for known, run in groupby(numbered, lambda point: point[1] is not None):
            points = [(i, y) for i, y in run if y is not None]
            if known:
                curves.append(Series([i for i, _ in points], [y for _, y in points], kind))
    return curves


def _last_levels(chart: ControlChart, places: int, style: Style) -> list[Level]:
    """The figures of the last segment's limits and centre, written where their lines end."""
    ends = [
        (column[-1], name)
        for column, name in ((chart.upper, "limit"), (chart.centre, "centre"), (chart.lower, "limit"))
        if column
    ]
    return [
        Level(y, f"{name} {figure(y, places, style)}", NAME)
        for y, name in ends
        if y is not None and (y or name == "centre")
    ]


def _band_levels(limits: Band | None, low: float, high: float, places: int, style: Style) -> list[Level]:
    """The limits of the drawing where they lie near; further off they would press the chart flat."""
    if limits is None:
        return []
    span = high - low or inf  # one reading alone has room for the band
    near = [y for y in (limits.upper, limits.lower) if y is not None]
    near = [y for y in near if low - SQUASH * span <= y <= high + SQUASH * span]
    return [Level(y, f"band {figure(y, places, style)}", BAND) for y in near]


def chart_words(view: FeatureView, width: int, most: int = 4, style: Style = MM) -> Text:
    """What the chart says: signals, segments, how many false alarms there are, and what speaks against the limits."""
    chart = view.chart
    out = Text()
    lines: list[tuple[str, str]] = []
    signals = [s.sentence for s in chart.signals]
    if view.chart_kind == "cusum" and chart.companion is not None:
        signals = [f"up: {s}" for s in signals] + [f"down: {s.sentence}" for s in chart.companion.signals]
    if not chart.points:
        lines.append(("no points: nothing to chart", ""))
    elif signals:
        lines += [(f"◆ {say}", "bold red") for say in signals[:most]]
        if len(signals) > most:
            lines.append((f"◆ and {len(signals) - most} more", "bold red"))
    else:
        lines.append(("no signal", "bold green"))
    if chart.false_alarm > 0 and any(part.sigma is not None for part in chart.segments):
        lines.append(
            (f"without cause at most one point in {style.figure(1 / chart.false_alarm, 0)} gives a signal", "dim")
        )
    for part in chart.segments[1:]:
        lines.append((f"┊ from {part.start + 1}: {part.reason}", ""))
    lines += [(say, "yellow") for say in dict.fromkeys(part.sentence for part in chart.segments) if say]
    lines += [(say, "yellow") for say in chart.doubts]
    for say, colour in lines:
        for line in wrap(capital(say), width, subsequent_indent="  ") or [""]:
            out.append(line + "\n", style=colour)
    return out


# ------------------------------------------------------------------------------ histogram
def histogram_picture(material: Material, histogram: Histogram, width: int, style: Style = MM) -> Text:
    """Bars against the band; what lies beyond the drawn bins and the band is told in words."""
    band = material.band
    own, unit = style.readings_in(material.unit)
    out = Text()
    out.append(
        clipped(capital(histogram.sentence), width) + "\n",
        style="bold red" if histogram.out_low or histogram.out_high else "bold",
    )
    if not histogram.counts:
        return out
    if histogram.heaps:
        for line in wrap(capital(histogram.heaps), width, subsequent_indent="  "):
            out.append(line + "\n", style="yellow")
    if histogram.below:
        out.append(f"{histogram.below:>6} further down, not drawn\n", style="bold red")
    out.append_text(
        histogram_cells(
            histogram.counts,
            histogram.edges,
            lower=band.lower if band else None,
            upper=band.upper if band else None,
            target=material.target,
            width=width - 2,
            unit=unit or "value",
            style=own,
        )
    )
    if histogram.above:
        out.append(f"\n{histogram.above:>6} further up, not drawn", style="bold red")
    if band is not None:
        edges = [y for y in (band.lower, band.upper, material.target) if y is not None]
        away = [y for y in edges if not histogram.edges[0] <= y < histogram.edges[-1]]
        if away:
            out.append(
                "\n" + clipped(f"beyond the bins: {band_words(band, material.target, 3, own)}", width), style="dim"
            )
    return out


# ------------------------------------------------------------------------------ by whom
def breakdown_table(
    breakdown: Breakdown, places: int, width: int, most: int = 12, top: int = 0, style: Style = MM
) -> Text:
    """One line a group with its difference from the others; `top` is the first group shown, `style` fits the unit."""
    out = Text(no_wrap=True)
    name = max([len(breakdown.by), *(len(g.name) for g in breakdown.groups[top : top + most])], default=8)
    name = min(name, max(width - 58, 10))
    head = f"{breakdown.by:<{name}} {'n':>6} {'mean':>9} {'s':>8} {'short s':>8}  {'less the others':<17}"
    out.append(clipped(head, width) + "\n", style="bold")
    starred = False
    for group in breakdown.groups[top : top + most]:
        summary = group.summary
        difference = ""
        if group.difference is not None:
            difference = style.plus_minus(group.difference, group.u95 or None, places, unit=False, signed=True)
        strong = group.u95 is not None and abs(group.difference or 0.0) > group.u95
        line = (
            f"{clipped(group.name, name):<{name}} {summary.n:>6} {figure(summary.mean, places, style):>9} "
            f"{figure(summary.s, places + 1, style):>8} {figure(group.s_short, places + 1, style):>8}  {difference:<17}"
        )
        starred = starred or strong
        out.append(clipped(line, width) + (" *" if strong and len(line) + 2 <= width else "") + "\n")
    if starred:
        out.append("* further from the others than the uncertainty (95 %) of that difference\n", style="dim")
    rest = len(breakdown.groups) - top - most
    if rest > 0 or breakdown.left_out:
        out.append(f"… and {max(rest, 0) + breakdown.left_out} more\n", style="dim")
    if breakdown.unnamed:
        out.append(f"{count(breakdown.unnamed, 'reading')} without a {breakdown.by}\n", style="dim")
    for say in breakdown.sentences:
        for line in wrap(capital(say), width, subsequent_indent="  "):
            out.append(line + "\n")
    return out


# ------------------------------------------------------------------------------ what they tell
def findings_text(findings: Findings, places: int, unit: str, width: int, style: Style = MM) -> Text:
    """Intervals with what they rest on, capability with its bound, normality, outliers and order."""
    out = Text()
    own, unit = style.readings_in(unit)

    def say(name: str, text: str, colour: str = "") -> None:
        lines = wrap(text, max(width - 20, 20)) or [""]
        for i, line in enumerate(lines):
            out.append(f"{name if i == 0 else '':<19} ", style="bold")
            out.append(line + "\n", style=colour)

    for name, interval in (
        ("mean", findings.mean),
        ("standard deviation", findings.sd),
        ("the next reading", findings.following),
        ("95 % of all", findings.tolerance),
        (FREE, findings.distribution_free),
    ):
        if interval is not None:
            ends = f"{figure(interval.lower, places, own)} to {figure(interval.upper, places, own)} {unit}".rstrip()
            sure = f"{ends} ({style.figures(100 * interval.level, 3)} % confidence)"
            if interval.holds is False:
                why = interval.sentence if name == FREE else "the readings are not normal"
                sure += f": does not hold, {ORDER if findings.spoiled else why}"
            elif interval.holds is None:
                sure += ": if they are normal, which so few cannot show"
            say(name, sure, "yellow" if interval.holds is False else "")
    if findings.mean is not None:
        say("they rest on", "; ".join(findings.mean.assumptions), "dim")
    if findings.capability is not None:
        say("capability", findings.capability.sentence, "yellow" if findings.capability.holds is False else "")
        if findings.capability.c_pk.value is not None:
            say("", _indices(findings, style, own), "")
    if findings.risks is not None:
        say("judged wrongly", findings.risks.sentence, "yellow" if findings.spoiled else "")
    spoiled = bool(findings.spoiled)
    say("normality", findings.normality.sentence, "yellow" if spoiled or findings.normality.normal is False else "")
    say("outliers", findings.outliers.sentence, "yellow" if spoiled or findings.outliers.index else "")
    say("heaps", findings.heaps.sentence, "yellow" if spoiled or findings.heaps.two else "")
    say("order", findings.order, "yellow" if spoiled else "")
    for why in findings.why:
        say("not said", why, "dim")
    return out


def _indices(findings: Findings, style: Style, own: Style) -> str:
    assert findings.capability
    said = []
    capable = findings.capability
    for name in ("c_p", "c_pk", "p_p", "p_pk"):
        index = getattr(findings.capability, name)
        if index.value is not None:
            said.append(
                f"{name[0].upper()}_{name[2:]} {style.figure(index.value)} (at least {style.figure(index.lower)})"
            )
    if capable.p_m is not None and capable.target is not None:
        said.append(f"P_pm {style.figure(capable.p_m)} about {own.length(capable.target, 3, unit=False)}")
    out = findings.capability.fraction_out
    if out is not None:
        most = findings.capability.fraction_out_at_most or 0.0
        outside, at_most = (style.figures(100 * share, 2 if share < 0.995 else 3) for share in (out, most))
        said.append(f"expected outside {outside} %, at most {at_most} %")
    return ", ".join(said)
