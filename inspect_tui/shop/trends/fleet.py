"""All tools by urgency: risk first, then the earliest date at the cores made in a week; and which one to measure next.

Made from kept summaries alone, so that it is there at once; nothing here reads a reading.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from math import inf

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.typed.show import MM, Style, about, count
from inspect_tui.metrology.wear.cores_left import CoresLeft, left_words
from inspect_tui.metrology.wear.fleet import MeasureNext, Ranked, measure_next
from inspect_tui.model.words import Id
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.record.read import Reader
from inspect_tui.shop.trends.trend import HORIZON_WEEKS, weeks_words

TIMED = ("left", "at least", "past", "backward")  # kinds that say something about wear
SIGNS = {"past": "✗", "left": "·", "at least": "·", "backward": "?", "unknown": "?", "none": "–"}
SOON = 0.5  # risk from which a size counts as due


@frozen_by_name
class Line:
    """One size in the list. `due`: the day on which its limit comes as it stands, `worst` at worst (ISO dates)."""

    kept: KeptTrend
    weeks: float | None
    weeks_low: float | None
    weeks_high: float | None
    due: str | None
    worst: str | None
    retired: str | None = None
    others: int = 0  # further sizes of the same tool, less urgent

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
        one = self.kept
        word = "left"
        if one.kind == "left" and one.cores_left is not None:
            return f"{about(one.cores_left)} {word}, {about(one.low or 0)} at worst"
        if one.kind == "at least":
            return f"no wear seen, at least {about(one.low or 0)}"
        if one.kind == "past":
            return "at its limit or past it"
        if one.kind == "backward":
            return "moves against wear"
        return one.sentence

    def said(self, style: Style = MM) -> str:
        """The sentence of the trend, from the figures that are kept: the kept sentence is written in mm."""
        one = self.kept
        if one.kind not in TIMED or one.limit_mm is None or one.value_mm is None or one.rate is None:
            return one.sentence
        high = inf if one.high is None else one.high
        text = left_words(
            one.kind,
            left=one.cores_left,
            low=one.low or 0.0,
            high=high,
            limit=one.limit_mm,
            now=one.now or 0.0,
            here=one.value_mm,
            rate=one.rate,
            unit=one.unit,
            style=style,
        )
        weeks = (self.weeks, self.weeks_low, self.weeks_high)
        return text + weeks_words(one.kind, one.limit_mm, one.per_week, weeks, style)


@frozen
class Fleet:
    """The list, most urgent first; what to measure next; and how many are not in it."""

    lines: tuple[Line, ...]
    next: MeasureNext
    without: int  # sizes without a forecast
    retired: int
    sentence: str


def fleet(
    kept: Iterable[KeptTrend],
    retired: dict[Id, str],
    *,
    every: bool = False,
    one_a_tool: bool = False,
    horizon: float = HORIZON_WEEKS,
    style: Style = MM,
) -> Fleet:
    """The list from kept summaries. `every` lists what has no forecast too; `one_a_tool` the most urgent size of each
    tool only. Castings are never in it: they do not wear."""
    wanted = [k for k in kept if k.source != "casting"]
    timed = [k for k in wanted if k.kind in TIMED]
    rows = wanted if every else timed
    lines = [_line(k, retired.get(k.tool_of_id)) for k in rows]
    lines.sort(key=_urgency)
    in_use = [line for line in lines if line.retired is None]
    ranked = [_ranked(line) for line in in_use]
    following = measure_next([r for r in ranked if r.left.kind != "none"], horizon, style)
    if one_a_tool:
        lines = _first_of_each(lines)
    out = len({k.tool_of_id for k in wanted if k.tool_of_id in retired})
    text = _summary(in_use, len(wanted) - len(timed), out, horizon, style)
    return Fleet(tuple(lines), following, len(wanted) - len(timed), out, text)


def read(reader: Reader, **wishes: object) -> Fleet:
    """The list as the record keeps it."""
    from inspect_tui.shop.trends.counts.tools_in_use import retired_tools

    return fleet(reader.kept_trends(), retired_tools(reader), **wishes)  # type: ignore[arg-type]


def _line(one: KeptTrend, retired: str | None) -> Line:
    rate = one.per_week
    if rate is None or one.kind not in ("left", "at least", "past") or one.limit_mm is None:
        return Line(kept=one, weeks=None, weeks_low=None, weeks_high=None, due=None, worst=None, retired=retired)
    weeks = None if one.cores_left is None else one.cores_left / rate
    low = None if one.low is None else one.low / rate
    high = None if one.high is None else one.high / rate
    return Line(
        kept=one,
        weeks=weeks,
        weeks_low=low,
        weeks_high=high,
        due=_after(one.count_day, weeks),
        worst=_after(one.count_day, low),
        retired=retired,
    )


def casting_line(one: KeptTrend) -> Line:
    """A size of the castings, for a list of everything: it has no wear line."""
    return Line(kept=one, weeks=None, weeks_low=None, weeks_high=None, due=None, worst=None)


def _after(day: int | None, weeks: float | None) -> str | None:
    if day is None or weeks is None or weeks > 2000:
        return None
    return (date.fromordinal(day) + timedelta(weeks=weeks)).isoformat()


def _urgency(line: Line) -> tuple[bool, bool, float, float, float, str]:
    one = line.kept
    return (
        line.retired is not None,
        one.kind not in TIMED,
        -round(one.risk or 0.0, 4),
        line.weeks_low if line.weeks_low is not None else inf,
        one.low if one.low is not None else inf,
        line.label,
    )


def _ranked(line: Line) -> Ranked:
    one = line.kept
    high = inf if one.high is None else one.high
    left = CoresLeft(
        left=one.cores_left,
        low=one.low or 0.0,
        high=high,
        limit=one.limit_mm,
        now=one.now or 0.0,
        kind=one.kind,
        sentence=one.sentence,
    )
    high_weeks = None if line.weeks_low is None else (inf if line.weeks_high is None else line.weeks_high)
    return Ranked(
        label=line.label,
        left=left,
        weeks=line.weeks,
        weeks_low=line.weeks_low,
        weeks_high=high_weeks,
        risk=one.risk,
        sentence=one.sentence,
    )


def _first_of_each(lines: Sequence[Line]) -> list[Line]:

    first: dict[Id, Line] = {}
    sizes: dict[Id, int] = {}
    for line in lines:
        first.setdefault(line.kept.tool_of_id, line)
        sizes[line.kept.tool_of_id] = sizes.get(line.kept.tool_of_id, 0) + 1
    return [replace(line, others=sizes[tool] - 1) for tool, line in first.items()]


def _summary(lines: Sequence[Line], without: int, retired: int, horizon: float, style: Style) -> str:
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


def due_by(lines: Iterable[Line], day: str) -> list[Line]:
    """Tools in use whose limit may come by a day, at worst."""
    return [line for line in lines if line.retired is None and (line.urgent or (line.worst or "9999") <= day)]
