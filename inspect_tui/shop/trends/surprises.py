"""What changed lately, over all sizes of all tools and castings, with the share of false alarms held at what is stated.

The search runs over the newest readings of every size, less the wear that is known. What is found is then looked at
closely: since when, with whom, with which instrument it goes, and whether the tooling or the foundry made it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style, day
from inspect_tui.metrology.wear.change_causes import NOTHING
from inspect_tui.model.words import Id
from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend
from inspect_tui.shop.gauges import pooled
from inspect_tui.shop.gauges.reads_off import ReadsOff, reads_off
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import trend as trends
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.tracks import CASTING
from inspect_tui.shop.trends.trend import Trend
from inspect_tui.shop.trends.verdict import WhatMoved, tell_apart

if TYPE_CHECKING:
    from inspect_tui.metrology.wear.change import Surprise
    from inspect_tui.record.read import Reader

RATE = 0.05  # false discovery rate
MOST = 40  # surprises that are looked at closely


@frozen_by_name
class ChangedSize:
    """One thing that changed: where, what and how much, since when, what it goes with, who moved."""

    kept: KeptTrend
    surprise: Surprise
    since: str  # lot or day
    day: str  # ISO date of the first reading after the change
    size: str  # `stepped -0.42 ± 0.03 mm`
    goes: str  # with a person or an instrument, or empty
    told: WhatMoved | None

    @property
    def sentence(self) -> str:
        """One line: `F09 port span 1-4 on castings: stepped -0.42 ± 0.03 mm since lot L310; foundry: ...`."""
        text = f"{self.kept.balloon} {self.kept.name} on {self.where}: {self.size} since {self.since}"
        if self.goes:
            text += f"; {self.goes}"
        elif self.told is not None and self.told.who.verdict != NOTHING:
            text += f"; {self.told.sentence}"
        return text

    @property
    def where(self) -> str:
        """box 3, sample cores of box 3, castings."""
        return f"sample cores of {self.kept.label}" if self.kept.source == "core" else self.kept.label


@frozen_by_name
class ChangeReport:
    """The list, most important first, with what was searched and how sure it is.

    The sizes are searched as if those in `off` had read like the others.
    """

    lines: tuple[ChangedSize, ...]
    tested: int
    too_short: int
    rate: float
    sentence: str
    off: tuple[ReadsOff, ...] = ()

    @property
    def sentences(self) -> list[str]:
        """What reads off first, then what changed: a sentence each."""
        return [line.sentence for line in self.off] + [line.sentence for line in self.lines]


def surprises(
    reader: Reader,
    kept: Sequence[KeptTrend] | None = None,
    recent: Sequence[KeptRecent] | None = None,
    rate: float = RATE,
    closely: bool = True,
    style: Style = MM,
    today: str | None = None,
) -> ChangeReport:
    """Search the newest readings of all sizes; from what the record keeps where nothing else is given.

    `rate` is the false discovery rate: of what is listed at most this share is false in the long run. `closely`
    reads who and with what for the ones that were found.
    """
    from inspect_tui.metrology.wear import change

    kept = reader.kept_trends() if kept is None else kept
    recent = reader.kept_recent() if recent is None else recent
    known = {(k.tool_of_id, k.feature_id, k.source): k for k in kept}
    rows = [r for r in recent if (r.tool_of_id, r.feature_id, r.source) in known]
    searched = change.surprises([r.value for r in rows], [], [r.width for r in rows], rate)
    lines: list[ChangedSize] = []
    views: dict[Id, JobView] = {}
    for surprise in searched.changes:
        row = rows[surprise.index]
        summary = known[row.tool_of_id, row.feature_id, row.source]
        lines.append(_line(reader, views, summary, row, surprise, closely and len(lines) < MOST, style, today))
    off = reads_off(pooled.in_force(reader), kept, style)
    said = _sentence(len(lines), searched.tested, rate, style, bool(off))
    return ChangeReport(
        lines=tuple(lines),
        tested=searched.tested,
        too_short=searched.too_short,
        rate=rate,
        sentence=said,
        off=off,
    )


def _sentence(changed: int, tested: int, rate: float, style: Style, off: bool = False) -> str:
    share = style.percent(rate)
    if not tested:
        return "nothing to search yet: it takes twelve readings of a size"
    if not changed:
        begin = "beside this nothing changed" if off else "nothing to say: nothing changed"
        return f"{begin} in {tested} sizes beyond chance (false alarms held at {share})"
    return f"{changed} of {tested} sizes changed; in the long run at most {share} of what is listed is false"


def _line(
    reader: Reader,
    views: dict[Id, JobView],
    summary: KeptTrend,
    row: KeptRecent,
    surprise: Surprise,
    closely: bool,
    style: Style,
    today: str | None,
) -> ChangedSize:
    size = _size(surprise, summary.unit, style)
    plain = ChangedSize(
        kept=summary,
        surprise=surprise,
        since=f"reading {row.place + surprise.at + 1}",
        day="",
        size=size,
        goes="",
        told=None,
    )
    if not closely:
        return plain
    try:
        if summary.job_of_id not in views:
            views[summary.job_of_id] = JobView(reader, reader.job(summary.job_of_id), style, today)
        view = views[summary.job_of_id]
        feature, tool = trend_kept.feature_of(view, summary)
        if feature is None:
            return plain
        trend = trends.trend(view, feature, None if summary.source == CASTING else tool)
    except InspectError:
        return plain  # it is said without the details
    at = row.place + surprise.at
    if at >= len(trend.main):
        return plain
    since = float(trend.main.day[at])
    iso = day(since)
    return ChangedSize(
        kept=summary,
        surprise=surprise,
        since=trend.main.words(at) or iso,
        day=iso,
        size=size,
        goes=_goes_with(reader, trend, row, surprise),
        told=tell_apart(view, trend, since),
    )


def _size(surprise: Surprise, unit: str, style: Style) -> str:
    change = style.with_unit(surprise.change.value, unit, 2 * surprise.change.u, signed=True)
    if surprise.kind == "step":
        return f"stepped {change}"
    if surprise.kind == "drift":
        return f"drifting, {change} so far"
    word, own = "more" if surprise.after > surprise.before else "less", style.of(unit)
    spreads = own.pair(surprise.before, surprise.after, 3, unit=False)
    return f"scatters {word} (sd {spreads} {style.readings_in(unit)[1]})"


def _goes_with(reader: Reader, trend: Trend, row: KeptRecent, surprise: Surprise) -> str:
    """A person or an instrument that explains it as well as the date does; of a scatter, whose readings scatter."""
    from inspect_tui.metrology.wear.change_causes import goes_with, spread_by

    ids = list(trend.main.ids[row.place : row.place + len(row.value)])
    if len(ids) != len(row.value):
        return ""
    who = reader.who_of(ids)
    factors = {
        "person": [who[i].person for i in ids],
        "instrument": [who[i].instrument for i in ids],
    }
    values, own = list(row.value), trend.view.style.of(trend.unit)
    try:
        explained = goes_with(values, factors, surprise.at, style=own)
    except InspectError:
        explained = []
    if explained:
        # of two people each is the other's mirror: the one who came in later is meant
        first = explained[0]
        far = abs(first.difference.value)
        alike = [g for g in explained if g.factor == first.factor and abs(abs(g.difference.value) - far) < 1e-9]
        return min(alike, key=lambda g: factors[g.factor][: surprise.at].count(g.level)).sentence
    if surprise.kind != "scatter":
        return ""
    for factor, labels in factors.items():
        spreads = spread_by(values[surprise.at :], factor, labels[surprise.at :])
        if spreads and spreads[0].p < 0.01 and spreads[0].sd > 1.5 * spreads[0].others:
            widest = spreads[0]
            sd, others = (own.length(spread, 3, unit=False) for spread in (widest.sd, widest.others))
            return f"widest with {factor} {widest.level} (sd {sd}, the others {others})"
    return ""
