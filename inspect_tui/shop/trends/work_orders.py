"""Work orders for the bench: which tool and size, how much to cut or add, on which face, how long it can wait."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import TYPE_CHECKING

from inspect_tui.errors import InspectError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge.cut import Cut, cut
from inspect_tui.metrology.typed.show import MM, Style, about
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import End
from inspect_tui.shop.common.sizes import KIND_WORDS
from inspect_tui.shop.trends import fleet, residuals
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import tracks as tracks_
from inspect_tui.shop.trends import trend as trends
from inspect_tui.shop.trends.fleet import FleetLine
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

WITHIN_WEEKS = 13.0  # a quarter: what may reach its limit by then, at worst, is ordered
LEAST_WALLS = 4  # castings with a wall beside a face, before it says which face has worn


@frozen_by_name
class WorkOrder:
    """One order. `change` is at the tool; `faces` says where, as far as the castings tell; dates are ISO."""

    line: FleetLine
    trend: Trend
    change: Cut
    faces: str
    wait: str
    limit: str

    @property
    def sentence(self) -> str:
        """`box 3: add 0.21 mm on both faces alike (F29 gas passage width); 3 300 cores left, 2 200 at worst`."""
        return f"{self.task}; {self.wait}"

    @property
    def task(self) -> str:
        """What is to be done, without how long it can wait."""
        by = self.trend.view.style.with_unit(abs(self.change.change_mm), self.trend.unit)
        amount = "" if self.change.word == "leave" else f" {by}"
        where = f" on {self.faces}" if self.faces and amount else ""
        return f"{self.line.kept.label}: {self.change.word}{amount}{where} ({self.trend.title})"


def orders(
    reader: Reader,
    lines: Sequence[FleetLine] | None = None,
    within_weeks: float = WITHIN_WEEKS,
    tool: str | None = None,
    feature: str | None = None,
    style: Style = MM,
    today: str | None = None,
) -> list[WorkOrder]:
    """Orders for everything in use whose limit may come within so many weeks, at worst; most urgent first.

    With `tool` (and `feature`) the order for that one, however long it can wait.
    """
    known = fleet.read(reader, today=today).lines if lines is None else lines
    wanted = [line for line in known if line.retired is None and line.kept.kind in ("left", "at least", "past")]
    if tool is not None:
        wanted = [
            line
            for line in wanted
            if line.kept.label.casefold() == tool.casefold() and feature in (None, line.kept.balloon)
        ]
    else:
        wanted = [line for line in wanted if _due(line, within_weeks)]
    views: dict[Id, JobView] = {}
    ordered = []
    for line in wanted:
        view = views.get(line.kept.job_of_id)
        if view is None:
            view = views[line.kept.job_of_id] = JobView(reader, reader.job(line.kept.job_of_id), style, today)
        work_order = order(view, line)
        if work_order is not None:
            ordered.append(work_order)
    return ordered


def _due(line: FleetLine, within_weeks: float) -> bool:
    if line.urgent:
        return True
    worst = line.weeks if line.kept.kind == "left" and line.weeks_low is None else line.weeks_low
    return line.kept.kind == "left" and worst is not None and worst <= within_weeks


def order(view: JobView, line: FleetLine) -> WorkOrder | None:
    """The order for one size of one tool; None where it is gone from the drawing or has no wear line."""
    feature, tool = trend_kept.feature_of(view, line.kept)
    if feature is None or tool is None:
        return None
    try:
        trend = trends.trend(view, feature, tool)
    except InspectError:
        return None
    if trend.fit is None or trend.left is None:
        return None
    here, own = trend.fit.at(trend.now or 0.0), view.style.of(trend.unit)
    faces = _faces(view, trend)
    change = cut(
        tool.kind,
        trend.sizes.sense or "metal",
        here.value,
        trend.sizes.target,
        a=trend.sizes.contraction,
        band=trend.limits.band,
        u_mm=here.u,
        label=KIND_WORDS.get(tool.kind),
        axis=feature.axis,
        facing=feature.ends[-1].facing if feature.ends else None,
        fit=trend.sizes.fit,
        style=own,
    )
    limit = own.length(trend.left.limit, unit=False)
    return WorkOrder(line=line, trend=trend, change=change, faces=faces, wait=_wait(line, trend), limit=limit)


def _wait(line: FleetLine, trend: Trend) -> str:
    kept = line.kept
    if kept.kind == "past" and line.passed:
        return "limit passed since the last count: measure it, and do not blow more before that"
    if kept.kind == "past":
        return "at its limit or past it: do not blow more before it is done"
    word = trend.counter.word
    low = about(kept.low or 0.0)
    if kept.kind == "left" and kept.cores_left is not None:
        return f"{about(kept.cores_left)} {word} left, {low} at worst"
    return f"at least {low} {word} left"


# ------------------------------------------------------------------------------ which face
def _faces(view: JobView, trend: Trend) -> str:
    """Which face has worn, from the walls of the castings beside each; "both faces alike", or what to measure."""
    ends = trend.feature.ends
    if len(ends) != 2 or ends[0].facing == ends[1].facing:
        return ""
    worn = [_wall_lost(view, trend, end) for end in ends]
    if worn[0] is None or worn[1] is None:
        return "the face that has worn (measure from the joint which it is)"
    difference = worn[0].value - worn[1].value
    if abs(difference) <= 2 * hypot(worn[0].u, worn[1].u):
        return "both faces alike"
    return f"face {'A' if difference > 0 else 'B'}"


def _wall_lost(view: JobView, trend: Trend, end: End) -> Estimate | None:
    """How much the wall beside one face has lost since the last repair, mm; None where too few were measured."""
    import numpy as np

    core = view.core_of(end.core_id)
    if core is None or end.coord_mm is None or trend.now is None:
        return None
    for feature in view.kit.features:
        if feature.quantity != "wall" or feature.axis != trend.feature.axis or len(feature.ends) != 2:
            continue
        beside = [
            e
            for e in feature.ends
            if view.core_of(e.core_id) == core and e.coord_mm is not None and abs(e.coord_mm - end.coord_mm) < 1e-6
        ]
        if len(beside) != 1:
            continue
        root = view.root.get(feature.id, feature.id)
        track = tracks_.on_castings(view, root, trend.counter)
        since = track.count - trend.segments.starts[-1]
        here = (since > 0) & ~np.isnan(since) & residuals.believable(track.even)
        if here.sum() < LEAST_WALLS or np.ptp(since[here]) <= 0:
            continue
        x, y = since[here], track.even[here]
        slope, level = np.polyfit(x - x.mean(), y, 1)
        rest = y - level - slope * (x - x.mean())
        u = float(np.sqrt(rest @ rest / max(len(x) - 2, 1) / ((x - x.mean()) @ (x - x.mean()))))
        return Estimate(float(-slope) * trend.now, u * trend.now)
    return None
