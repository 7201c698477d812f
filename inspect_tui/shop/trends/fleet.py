"""All tools by urgency: risk first, then the earliest date at the cores made in a week; and which one to measure next.

Made from kept summaries alone, so that it is there at once; nothing here reads a reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import inf, isfinite

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed.show import MM, Style, about, count
from inspect_tui.metrology.wear.cores_left import CoresLeft
from inspect_tui.metrology.wear.fleet import MeasureNext, Ranked, measure_next
from inspect_tui.metrology.wear.weeks import Ahead, Making, ahead
from inspect_tui.model.words import Id
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.record.read import Reader
from inspect_tui.shop.gauges.reads_off import ReadsOff
from inspect_tui.shop.trends.counts import makings as makings_
from inspect_tui.shop.trends.counts import today as clock
from inspect_tui.shop.trends.trend import (
    HORIZON_WEEKS,
    day_after,
    due_day,
    forecast_words,
    making_at,
    weeks_of,
    weeks_since,
)

TIMED = ("left", "at least", "past", "backward")  # kinds that say something about wear
SIGNS = {"past": "✗", "left": "·", "at least": "·", "backward": "?", "unknown": "?", "none": "–"}
SOON = 0.5  # risk from which a size counts as due


@frozen_by_name
class FleetLine:
    """One size in the list, as of today. `due`: the day on which its limit comes as it stands or was passed, `worst` at
    worst (ISO dates). `kept` holds what is left from today; `ahead` also what was carried forward since the last count.
    """

    kept: KeptTrend
    weeks: float | None
    weeks_low: float | None
    weeks_high: float | None
    due: str | None
    worst: str | None
    retired: str | None = None
    others: int = 0  # further sizes of the same tool, less urgent
    ahead: Ahead | None = None

    @property
    def label(self) -> str:
        """`box 3 F29`."""
        return f"{self.kept.label} {self.kept.balloon}"

    @property
    def urgent(self) -> bool:
        """Past its limit, or likely to be so within the horizon."""
        return self.kept.kind == "past" or (self.kept.risk or 0.0) >= SOON

    @property
    def sign(self) -> str:
        """What stands before it: ✗ past, ! due, · watched, ? to be looked at, – nothing known."""
        return "!" if self.urgent and self.kept.kind != "past" else SIGNS.get(self.kept.kind, "–")

    @property
    def timing(self) -> str:
        """`3 300 left, 2 200 at worst`, or what is known instead."""
        kept = self.kept
        word = "left"
        if kept.kind == "left" and kept.cores_left is not None:
            return f"{about(kept.cores_left)} {word}, {about(kept.low or 0)} at worst"
        if kept.kind == "at least":
            return f"no wear seen, at least {about(kept.low or 0)}"
        if kept.kind == "past":
            return "passed since the last count" if self.passed else "at its limit or past it"
        if kept.kind == "backward":
            return "moves against wear"
        return kept.sentence

    @property
    def passed(self) -> bool:
        """Whether the count carried forward says that the limit was passed."""
        return self.ahead is not None and self.ahead.carried

    def said(self, style: Style = MM) -> str:
        """The sentence of the trend as of today, from the figures that are kept."""
        kept = self.kept
        if self.ahead is None or kept.limit_mm is None or kept.value_mm is None or kept.rate is None:
            return kept.sentence
        return forecast_words(
            self.ahead,
            limit=kept.limit_mm,
            now=kept.now or 0.0,
            here=kept.value_mm,
            rate=kept.rate,
            unit=kept.unit,
            style=style,
            per_week=kept.per_week,
            due=self.due,
            counted=kept.count_day,
        )


@frozen_by_name
class Fleet:
    """The list, most urgent first; what to measure next; how many are not in it; and who reads off, which is taken out
    of all of it: a sentence each."""

    lines: tuple[FleetLine, ...]
    next: MeasureNext
    without: int  # sizes without a forecast
    retired: int
    sentence: str
    off: tuple[ReadsOff, ...] = ()


def fleet(
    kept: Iterable[KeptTrend],
    retired: dict[Id, str],
    *,
    every: bool = False,
    one_a_tool: bool = False,
    horizon: float = HORIZON_WEEKS,
    style: Style = MM,
    today: str | None = None,
    makings: Mapping[Id, Making] | None = None,
    off: Sequence[ReadsOff] = (),
) -> Fleet:
    """The list from kept summaries, as of today (ISO date; of this machine where none is given).

    `every` lists what has no forecast too; `one_a_tool` the most urgent size of each tool only. Castings are never in
    it: they do not wear. `makings`: what each tool makes in a week and how that scatters. `off`: who reads off.
    """
    today, makings = today or clock.machine_day(), makings or {}
    wanted = [k for k in kept if k.source != "casting"]
    timed = [k for k in wanted if k.kind in TIMED]
    rows = wanted if every else timed
    lines = [_line(k, retired.get(k.tool_of_id), today, makings.get(k.tool_of_id), horizon) for k in rows]
    lines.sort(key=_urgency)
    in_use = [line for line in lines if line.retired is None]
    ranked = [_ranked(line) for line in in_use]
    following = measure_next([r for r in ranked if r.left.kind != "none"], horizon, style)
    if one_a_tool:
        lines = _first_of_each(lines)
    out_of_use = len({k.tool_of_id for k in wanted if k.tool_of_id in retired})
    text = _summary(in_use, len(wanted) - len(timed), out_of_use, horizon, style)
    return Fleet(
        lines=tuple(lines),
        next=following,
        without=len(wanted) - len(timed),
        retired=out_of_use,
        sentence=text,
        off=tuple(off),
    )


def read(reader: Reader, **wishes: object) -> Fleet:
    """The list as the record keeps it."""
    from inspect_tui.shop.trends.counts.tools_in_use import retired_tools

    kept = reader.kept_trends()
    return fleet(kept, retired_tools(reader), makings=makings_.makings(reader, kept), **wishes)  # type: ignore[arg-type]


def _line(kept: KeptTrend, retired: str | None, today: str, making: Making | None, horizon: float) -> FleetLine:
    """A kept summary, which stands at the last count, carried forward to today."""
    if kept.kind not in TIMED or kept.limit_mm is None:
        return FleetLine(kept=kept, weeks=None, weeks_low=None, weeks_high=None, due=None, worst=None, retired=retired)
    rate, today = kept.per_week, clock.later(today, kept.count_day)
    known = (horizon * rate, kept.risk) if rate and kept.risk is not None and kept.kind != "past" else None
    left = ahead(
        kept.kind,
        kept.cores_left,
        inf if kept.low is None else kept.low,
        inf if kept.high is None else kept.high,
        making_at(making, rate) if rate else None,
        weeks_since(kept.count_day, today),
        horizon,
        known,
    )
    over = None if kept.value_mm is None else kept.value_mm - kept.limit_mm
    weeks, low, high = weeks_of(left)
    due, worst = due_day(left, today, over, kept.rate), day_after(today, low)
    as_of_today = kept._replace(
        kind=left.kind,
        cores_left=left.left,
        low=left.low if isfinite(left.low) else None,
        high=left.high if isfinite(left.high) else None,
        risk=left.risk,
        value_mm=None if kept.value_mm is None else kept.value_mm + (kept.rate or 0.0) * left.made,
    )
    made = FleetLine(
        kept=as_of_today,
        weeks=weeks,
        weeks_low=low,
        weeks_high=high,
        due=due,
        worst=min(due, worst) if due and worst else worst,  # what has passed did so at worst, too
        retired=retired,
        ahead=left,
    )
    return replace(made, kept=as_of_today._replace(sentence=made.said()))


def casting_line(kept: KeptTrend) -> FleetLine:
    """A size of the castings, for a list of everything: it has no wear line."""
    return FleetLine(kept=kept, weeks=None, weeks_low=None, weeks_high=None, due=None, worst=None)


def _urgency(line: FleetLine) -> tuple[bool, bool, bool, float, float, float, str]:
    kept = line.kept
    return (
        line.retired is not None,
        kept.kind not in TIMED,
        kept.kind != "past",
        -round(kept.risk or 0.0, 4),
        line.weeks_low if line.weeks_low is not None else inf,
        kept.low if kept.low is not None else inf,
        line.label,
    )


def _ranked(line: FleetLine) -> Ranked:
    kept = line.kept
    high = inf if kept.high is None else kept.high
    left = CoresLeft(
        left=kept.cores_left,
        low=kept.low or 0.0,
        high=high,
        limit=kept.limit_mm,
        now=kept.now or 0.0,
        kind=kept.kind,
        sentence=kept.sentence,
    )
    high_weeks = None if line.weeks_low is None else (inf if line.weeks_high is None else line.weeks_high)
    return Ranked(
        label=line.label,
        left=left,
        weeks=line.weeks,
        weeks_low=line.weeks_low,
        weeks_high=high_weeks,
        risk=kept.risk,
        sentence=kept.sentence,
    )


def _first_of_each(lines: Sequence[FleetLine]) -> list[FleetLine]:

    first: dict[Id, FleetLine] = {}
    sizes: dict[Id, int] = {}
    for line in lines:
        first.setdefault(line.kept.tool_of_id, line)
        sizes[line.kept.tool_of_id] = sizes.get(line.kept.tool_of_id, 0) + 1
    return [replace(line, others=sizes[tool] - 1) for tool, line in first.items()]


def _summary(lines: Sequence[FleetLine], without: int, retired: int, horizon: float, style: Style) -> str:
    within = f"within {style.figures(horizon)} weeks"
    past = sum(line.kept.kind == "past" for line in lines)
    due = sum(line.urgent for line in lines) - past
    watched = sum(line.kept.kind in TIMED for line in lines)
    if not watched:
        text = "no wear line yet: it takes three readings of a size at different counts"
    elif past or due:
        parts = [f"{past} at the limit or past it"] if past else []
        parts += [f"{due} likely to reach it {within}"] if due else []
        text = " and ".join(parts) + f", of {watched} sizes that are watched"
    else:
        text = f"none of {watched} sizes is likely to reach its limit {within}"
    text += f"; {without} have no forecast" if without else ""
    return text + (f"; {count(retired, 'tool')} out of use" if retired else "")


def due_by(lines: Iterable[FleetLine], day: str) -> list[FleetLine]:
    """Tools in use whose limit may come by a day, at worst."""
    return [line for line in lines if line.retired is None and (line.urgent or (line.worst or "9999") <= day)]
