"""Keeps a summary of every trend, so that the list is there at once: what is new in the record is worked in beside it.

The summaries know how far the record had been read (a number for each device). What was written since tells which tools
and jobs to look at again, and only those are. Beside them stands which gauges and people read off: that is taken out of
the summaries. Losing them costs time, never a reading.
"""

from __future__ import annotations

from array import array
from collections.abc import Callable, Iterable, Iterator
from math import isfinite
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError, RecordError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Tool
from inspect_tui.record import kinds
from inspect_tui.record.ask import trend_cache
from inspect_tui.record.ask import trends as rows
from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend
from inspect_tui.record.ask.trends import Entered
from inspect_tui.shop.gauges import pooled
from inspect_tui.shop.trends import tracks as tracks_
from inspect_tui.shop.trends import trend as trends
from inspect_tui.shop.trends.counts import makings
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    from pathlib import Path

    from inspect_tui.record.read import Reader

RULES = "9"  # another number here makes every summary again
RECENT = 120  # readings of each size in which surprises are looked for
MOST_NEW = 50_000  # rows written since: beyond, everything is made again
OF_JOB = {
    kinds.LOT.number: ("lot", "job_of_id"),
    kinds.DRAWING_REVISION.number: ("drawing_revision", "job_of_id"),
    kinds.JOB.number: ("job", "of_id"),
    kinds.FIT.number: ("fit", "job_of_id"),
    kinds.CORE.number: ("core", "job_of_id"),
    kinds.TOOL.number: ("tool", "job_of_id"),
}
# after these, what a gauge read anywhere may stand for something else, or whole tools and jobs are listed otherwise
MOVES_ALL = (
    kinds.INSTRUMENT_BIAS.number,
    kinds.CALIBRATION.number,
    kinds.WITHDRAWAL.number,
    kinds.SAME_THING.number,
)
OF_TOOL = {
    kinds.TOOL_COUNT.number: ("tool_count", "tool_of_id"),
    kinds.TOOL_STATE.number: ("tool_state", "tool_of_id"),
    kinds.WEAR_LIMIT.number: ("wear_limit", "tool_of_id"),
}


@frozen
class StaleTrends:
    """What has to be looked at again: whole jobs (every tool and the castings), single tools, castings of jobs."""

    jobs: frozenset[Id]
    tools: frozenset[Id]
    castings: frozenset[Id]

    @property
    def nothing(self) -> bool:
        """Whether the summaries know all there is."""
        return not (self.jobs or self.tools or self.castings)


# ------------------------------------------------------------------------------ what is new
def stale(reader: Reader) -> StaleTrends | None:
    """What the kept summaries do not know yet; None when everything is to be made."""
    mark = reader.trend_mark()
    if mark is None or mark[1].partition(" ")[0] != RULES or pooled.from_text(mark[1]) is None:
        return None
    new = reader.entered_since(mark[0], MOST_NEW)
    if new is None or any(entry.kind in MOVES_ALL for entry in new):
        return None
    return _touched(reader, new)


def _touched(reader: Reader, new: Iterable[Entered]) -> StaleTrends:
    by_kind: dict[int, list[bytes]] = {}
    for entered in new:
        by_kind.setdefault(entered.kind, []).append(entered.id)
    jobs: set[Id] = set()
    tools: set[Id] = set()
    castings: set[Id] = set()
    for number, (table, column) in OF_JOB.items():
        jobs |= reader.column_of(table, column, by_kind.get(number, ()))
    for number, (table, column) in OF_TOOL.items():
        tools |= reader.column_of(table, column, by_kind.get(number, ()))
    repaired = reader.column_of("tool_repair", "tool_of_id", by_kind.get(kinds.TOOL_REPAIR.number, ()))
    jobs |= {reader.tool(tool).job_of_id for tool in repaired}  # a repair also starts castings again
    on = reader.column_of("tool_feature", "tool_id", by_kind.get(kinds.TOOL_FEATURE.number, ()))
    tools |= reader.column_of("tool", "of_id", on)
    answered = by_kind.get(kinds.SUPERSEDE.number, [])
    readings = [*by_kind.get(kinds.READING.number, ()), *reader.column_of("supersede", "target_id", answered)]
    items: set[Id] = set()
    for tool, item in reader.touched(readings):
        tools |= {tool} if tool else set()
        items |= {item} if item else set()
    items |= reader.column_of("realigned", "item_id", by_kind.get(kinds.REALIGNED.number, ()))
    cores = reader.column_of("item", "core_id", items)
    if cores:
        core_of = reader.column_of("core", "of_id", cores)
        tools |= {
            t.of_id
            for job in reader.column_of("core", "job_of_id", cores)
            for t in reader.tools(job)
            if t.core_id and reader.column_of("core", "of_id", [t.core_id]) <= core_of
        }
    castings |= reader.column_of("item", "job_of_id", items)
    castings |= reader.column_of("disposition", "job_of_id", by_kind.get(kinds.DISPOSITION.number, ()))
    return StaleTrends(frozenset(jobs), frozenset(tools), frozenset(castings))


# ------------------------------------------------------------------------------ making them
def series(
    view: JobView, only: StaleTrends | None = None, per_week: float | None = None
) -> Iterator[tuple[Id, list[Trend]]]:
    """The trends of a job, tool by tool and then the castings: (tool or job, its trends)."""
    whole = only is None or view.job.of_id in only.jobs
    cast = None
    for tool in view.kit.tools:
        if whole or (only is not None and tool.of_id in only.tools):
            if cast is None:
                cast = tracks_._by_root(view, rows.all_on_items(view.reader, view.job.of_id, tracks_.CASTING))
            yield tool.of_id, list(of_tool(view, tool, cast, per_week))
    if whole or (only is not None and view.job.of_id in only.castings):
        of_castings = []
        for root, track in tracks_.of_castings_all(view).items():
            feature = view.kit.feature.get(root)
            if feature is not None and len(track):
                of_castings.append(trends.analyse(view, feature, None, [track]))
        yield view.job.of_id, of_castings


def of_tool(
    view: JobView, tool: Tool, cast: dict[Id, rows.Points] | None = None, per_week: float | None = None
) -> Iterator[Trend]:
    """The trends of one tool: every size that was measured on it or on its sample cores."""
    counter = view.counter(tool)
    for root, measured in trends.core_tracks(view, tool).items():
        feature = view.kit.feature.get(root)
        if feature is None or view.on_tool(tool, root) is None:
            continue  # no longer on the drawing, or measured on this tool before another one made it
        if cast is not None and root in cast and feature.scale == "cast":
            measured = [*measured, tracks_.on_castings(view, root, counter, cast[root])]
        try:
            yield trends.analyse(view, feature, tool, measured, per_week)
        except InspectError:
            continue


def kept(trend: Trend) -> tuple[KeptTrend, KeptRecent]:
    """The summary of a trend and its newest readings, as they are kept."""
    view, feature = trend.view, trend.feature
    root = view.root.get(feature.id, feature.id)
    subject = trend.tool.of_id if trend.tool else view.job.of_id
    left, fit = trend.left, trend.fit
    value = (
        fit.at(trend.now or 0.0).value
        if fit is not None
        else (float(trend.main.value[-1]) if len(trend.main) else None)
    )
    days = trend.main.day
    summary = KeptTrend(
        tool_of_id=subject,
        feature_id=root,
        source=trend.main.of,
        job_of_id=view.job.of_id,
        label=trend.where,
        balloon=feature.balloon,
        name=feature.name,
        unit=trend.unit,
        n=len(trend.main),
        last_day=int(days.max()) if len(days) else None,
        count_day=trend.counter.day[-1] if trend.counter.day else None,
        kind=left.kind if left else "none",
        value_mm=value,
        target_mm=trend.sizes.target,
        limit_mm=left.limit if left else None,
        rate=fit.rate_now if fit else None,
        u_rate=fit.rate.u if fit else None,
        now=trend.now,
        total=trend.counter.now,
        per_week=trend.per_week,
        cores_left=left.left if left else None,
        low=_finite(left.low) if left else None,
        high=_finite(left.high) if left else None,
        risk=_risk_then(trend),
        sentence=_sentence(trend),
        remarks="\n".join(trend.remarks),
    )
    place, recent = newest(trend)
    band = trend.limits.band if trend.tool and trend.limits.band.width else trend.sizes.band
    return summary, KeptRecent(
        tool_of_id=subject, feature_id=root, source=trend.main.of, place=place, width=band.width, value=recent
    )


def _sentence(trend: Trend) -> str:
    """What holds on any day: of today it is said from the figures where it is shown."""
    if trend.tool is not None:
        return trend.left.sentence if trend.left is not None else trend.why_not
    return trend.alarms[-1].words if trend.alarms else "no lasting alarm"


def _risk_then(trend: Trend) -> float | None:
    """The risk within the horizon as it stood at the last count."""
    if trend.left is None or trend.fit is None:
        return None
    known = trends.risk_then(trend.fit, trend.left, trend.per_week)
    return known[1] if known else (1.0 if trend.left.kind == "past" else None)


def _finite(value: float) -> float | None:
    return value if isfinite(value) else None


def newest(trend: Trend) -> tuple[int, array[float]]:
    """The newest readings less the wear that is known; of castings only those since the last repair. Place, values."""
    import numpy as np

    if not len(trend.main):
        return 0, array("d")
    place = max(len(trend.main) - RECENT, 0)
    values = trend.unexplained()
    if trend.tool is None:
        here = np.flatnonzero(trend.segments.segment == trend.segments.segment[-1])
        place, values = max(place, int(here[0])), trend.main.even
    return place, array("d", np.asarray(values[place:], dtype=float).tolist())


# ------------------------------------------------------------------------------ bringing them up to date
def refresh(
    reader: Reader, path: Path | None, progress: Callable[[str], bool] | None = None, everything: bool = False
) -> bool:
    """Bring the kept summaries up to date; False when nothing was new. From any thread, with a reader of its own.

    `path` None only computes (nobody keeps it). `progress` is told what is worked on and may say stop (False).
    """
    touched = None if everything else stale(reader)
    if touched is not None and touched.nothing:
        return False
    frontier = reader.frontier()
    known = None if touched is None else pooled.in_sight(reader)
    gauges = pooled.again(reader, known)
    if known is not None and gauges.named != known.named:
        touched = None  # a gauge that reads off moves every size it was used on
    summaries: list[KeptTrend] = []
    recent: list[KeptRecent] = []
    again: list[Id] = []
    jobs = [
        job
        for job in reader.jobs()
        if touched is None or job.of_id in touched.jobs | touched.castings or _has(reader, job.of_id, touched.tools)
    ]
    for at, job in enumerate(jobs, start=1):
        word = f"{job.number} ({at} of {len(jobs)})"
        if progress is not None and not progress(word):
            return False
        view = JobView(reader, job, pooled=gauges)
        for done, (subject, made) in enumerate(series(view, touched), start=1):
            far = f"{done} of {len(view.kit.tools)} tools" if subject in view.kit.tool else "castings"
            if progress is not None and not progress(f"{word}, {far}"):
                return False
            again.append(subject)
            if subject in view.kit.tool and (lately := view.counter(view.kit.tool[subject]).making) is not None:
                recent.append(makings.to_keep(subject, lately))
            for trend in made:
                summary, newest_ = kept(trend)
                summaries.append(summary)
                recent.append(newest_)
    if path is not None:
        rules = f"{RULES} {pooled.to_text(gauges)}"
        trend_cache.keep(path, summaries, recent, frontier, rules, made_again=None if touched is None else again)
    return True


def _has(reader: Reader, job_of_id: Id, tools: frozenset[Id]) -> bool:
    return bool(tools) and any(tool.of_id in tools for tool in reader.tools(job_of_id))


def compute(
    reader: Reader, per_week: float | None = None, style: Style = MM
) -> tuple[list[KeptTrend], list[KeptRecent]]:
    """All summaries made new and kept nowhere: for a record that may only be read, or at another rate of making.

    What is kept says its lengths in mm; these may say them in another `style`.
    """
    summaries, recent, gauges = [], [], pooled.current(reader)
    for job in reader.jobs():
        for _, made in series(JobView(reader, job, style, pooled=gauges), None, per_week):
            for trend in made:
                summary, newest_ = kept(trend)
                summaries.append(summary)
                recent.append(newest_)
    return summaries, recent


def feature_of(view: JobView, row: KeptTrend) -> tuple[Feature | None, Tool | None]:
    """The feature and the tool of a kept summary, None where they are gone from the newest drawing."""
    return view.kit.feature.get(row.feature_id), view.kit.tool.get(row.tool_of_id)


def current(reader: Reader, progress: Callable[[str], bool] | None = None) -> tuple[list[KeptTrend], list[KeptRecent]]:
    """The summaries as the record stands now: brought up to date and kept, or computed where nothing can be kept.

    `progress` as in `refresh`.
    """
    try:
        refresh(reader, reader.path, progress)
        return reader.kept_trends(), reader.kept_recent()
    except RecordError:  # a record that may only be read
        return compute(reader)
