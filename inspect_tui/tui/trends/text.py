"""What the Trends place says, as text: the list, the chart with its words, repairs and counts, what is due."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap
from typing import TYPE_CHECKING

from rich.text import Text

from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.show import MM, Style, number
from inspect_tui.metrology.typed.words import capital
from inspect_tui.model.trends import ToolRepair, ToolState
from inspect_tui.model.work import Tool
from inspect_tui.report.draw.trend import place_of, trend_chart
from inspect_tui.report.term import fleet as term_fleet
from inspect_tui.report.term import trend as paint
from inspect_tui.report.words import clipped
from inspect_tui.shop.together.marks import SIGN
from inspect_tui.shop.trends.counts.counter import Counter
from inspect_tui.shop.trends.counts.repairs import repair_words
from inspect_tui.shop.trends.fleet import Fleet, FleetLine
from inspect_tui.shop.trends.forecast import headline
from inspect_tui.shop.trends.trend import Trend
from inspect_tui.shop.trends.verdict import WhatMoved

if TYPE_CHECKING:
    from inspect_tui.shop.measuring.due_list import DueList

PAGES = ("list", "chart", "what changed", "work orders", "repairs, counts", "due")
LIST, CHART, CHANGED, ORDERS, LOG, DUE = range(6)
WORDS = """
Trends
  wear is fitted to cores made since the last repair, never to dates; each repair starts the line again
  at worst: 95 of 100 such forecasts last at least as long (the lower end of the interval is 97.5 %)
  risk: the chance that the limit comes within four weeks at the cores made lately
  ✗ at its limit or past it   ! due   · watched   ? to be looked at   – no forecast
  what changed: of what is listed at most one in twenty is false in the long run
  due: over the whole shop, ✗ past its day; gauges are checked again at the pace they were checked at so far
  tooling or foundry: box and core grow: wear. Castings step and cores don't: foundry. Only a position: seat or print.
"""


def list_page(
    fleet: Fleet | None,
    lines: Sequence[FleetLine],
    row: int,
    top: int,
    width: int,
    height: int,
    style: Style = MM,
    signs: Sequence[str] = (),
) -> Text:
    """The list, most urgent first, with what to measure next under it; `signs`: of lines that are said apart."""
    if fleet is None:
        return Text("working through the record …", style="dim")
    out = Text(no_wrap=True)
    foot = _foot(fleet, width)
    room = max(height - len(foot) - 2, 3)
    out.append_text(term_fleet.list_head(width))
    out.append("\n")
    if not lines:
        out.append("nothing here: a shows sizes without a forecast too, / takes another filter\n", style="dim")
    for i, line in enumerate(lines[top : top + room]):
        sign = signs[top + i] if signs else ""
        out.append_text(term_fleet.list_row(line, width, chosen=top + i == row, style=style, apart=sign))
        out.append("\n")
    left = len(lines) - top - room
    out.append(f"↓ {left} more\n" if left > 0 else "\n", style="dim")
    for part in foot:
        out.append(part + "\n", style="dim")
    return out


def list_room(fleet: Fleet | None, width: int, height: int) -> int:
    """How many lines of the list fit."""
    if fleet is None:
        return 1
    return max(height - len(_foot(fleet, width)) - 2, 3)


def _foot(fleet: Fleet, width: int) -> list[str]:
    """Under the list: who reads off, how many are due, what to measure next; of each as much as there is room for."""
    said = [(off.sentence, 3) for off in fleet.off]
    said += [(fleet.sentence, 2), (capital(fleet.next.sentence), 2)]
    return [part for sentence, most in said for part in wrap(sentence, width)[:most]]


def chart_page(
    trend: Trend, told: WhatMoved | None, width: int, height: int, axis: str, castings: bool, cursor: int | None
) -> Text:
    """The chart as large as there is room for, and what it says, in the style that the trend was asked for in."""
    said = [part for line in headline(trend) for part in wrap(line, width)]
    if told is not None:
        said += wrap(f"tooling or foundry: {told.sentence}", width)
    below = min(len(said), 5 if height < 30 else 14)
    picture = trend_chart(trend, axis, castings=castings, style=trend.view.style)
    at = place_of(trend, cursor, axis)
    over_dates = "press x for the chart over dates"
    out = paint.chart(picture, width, max(height - below - 1, 8), cursor=at, over_dates=over_dates)
    for i, part in enumerate(said[:below]):
        last = i == below - 1 and len(said) > below
        out.append("\n" + (clipped(part, width - 12) + " … t: more" if last else part), style="bold" if i == 0 else "")
    return out


def told_page(trend: Trend, told: WhatMoved | None, width: int) -> Text:
    """Everything the chart says, and what moved how much, series by series."""
    out = Text(f"{trend.title} on {trend.where}: {paint.tracks_words(trend)}\n", style="bold")
    for line in headline(trend):
        for part in wrap(line, width):
            out.append(part + "\n")
    out.append("\nTooling or foundry\n", style="bold")
    if told is None:
        out.append("not enough readings on both sides to compare (four each)\n", style="dim")
        return out
    for part in wrap(told.sentence, width):
        out.append(part + "\n")
    spans = [f"{show.day(low)} to {show.day(high - 1)}" for low, high in (told.before, told.after)]
    out.append(f"\n{spans[0]} against {spans[1]}:\n", style="dim")
    for series in told.moved:
        change = series.change
        by = trend.view.style.plus_minus(change.value, 2 * change.u, 3, signed=True)
        line = f"  {series.name:<34} {by}   {series.of} {series.kind}"
        out.append(clipped(line, width) + "\n")
    return out


def log_page(
    tool: Tool | None,
    repairs: Sequence[ToolRepair],
    states: Sequence[ToolState],
    counter: Counter | None,
    balloons: dict[bytes, str],
    width: int,
    style: Style = MM,
    apart: Sequence[str] = (),
) -> Text:
    """Repairs, states and counts of one tool, the newest first; `apart`: what two benches said apart of it."""
    if tool is None or counter is None:
        return Text("Choose a tool first: the list and Enter, or o.", style="dim")
    out = Text(f"{tool.label}\n", style="bold")
    if counter.now is None:
        out.append(f"no {counter.word} counted yet: n enters a count\n")
    else:
        rate = f", {style.figure(counter.per_week, 0)} a week lately" if counter.per_week else ""
        out.append(f"{number(counter.now)} {counter.word} made by {show.day(counter.day[-1])} ({counter.how}){rate}\n")
    for remark in (*(f"{SIGN} {said}" for said in apart), *counter.remarks):
        out.append(clipped(remark, width) + "\n", style="yellow")
    out.append("\nrepairs\n", style="bold")
    for repair in reversed(repairs):
        balloon = balloons.get(repair.feature_id or b"")
        at = f" at {number(repair.at_count)}" if repair.at_count is not None else ""
        out.append(clipped(f"  {repair.done_on}{at}  {repair_words(repair, balloon, style)}", width) + "\n")
    if not repairs:
        out.append("  none entered: r enters one\n", style="dim")
    if states:
        out.append("\nin and out of use\n", style="bold")
        for state in reversed(states):
            why = f": {state.why}" if state.why else ""
            out.append(clipped(f"  {state.since_on}  {state.state.replace('_', ' ')}{why}", width) + "\n")
    if counter.day:
        out.append("\ncounts, the newest first\n", style="bold")
        for day, made in list(zip(counter.day, counter.cum, strict=True))[:-13:-1]:
            out.append(f"  {show.day(day)}  {number(made):>10}\n")
    return out


def due_page(listed: DueList, width: int) -> Text:
    """What is due over the whole shop, by its day, with where it is and why."""
    out = Text()
    out.append(f"{listed.sentence}\n", style="bold")
    for line in listed.lines:
        late = f", {show.count(line.late, 'day')} late" if line.late else ""
        head = f"{'✗' if line.late else ' '} {line.day or 'no day':<10} "
        for i, part in enumerate(wrap(f"{line.what}{late}", max(width - len(head), 20))):
            out.append((head if i == 0 else " " * len(head)) + part + "\n", style="bold red" if line.late else "")
        for part in wrap(f"{line.where}: {line.why}", max(width - len(head), 20)):
            out.append(" " * len(head) + part + "\n", style="dim")
    return out
