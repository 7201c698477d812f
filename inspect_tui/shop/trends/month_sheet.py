"""The month's sheet for the bench and the lead: what wears, what was repaired, what is to be done, what changed."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.trends import ToolRepair
from inspect_tui.shop.trends import fleet, surprises, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends.counts import makings, repairs
from inspect_tui.shop.trends.fleet import Fleet
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.surprises import ChangeReport
from inspect_tui.shop.trends.trend import Trend
from inspect_tui.shop.trends.work_orders import WorkOrder

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

CHARTS = 6  # sizes that get a drawing: those that come next


@frozen
class Repaired:
    """A repair of the month: which tool of which job, when, and what it did to the size, where both were measured."""

    job: str
    tool: str
    done_on: str
    words: str
    effect: str


@frozen_by_name
class MonthSheet:
    """Everything the sheet shows; `month` is such as 2025-11."""

    month: str
    until: str  # the last day that was counted or measured
    jobs: tuple[tuple[str, str], ...]  # number and name
    fleet: Fleet
    orders: tuple[WorkOrder, ...]
    repaired: tuple[Repaired, ...]
    report: ChangeReport
    charts: tuple[Trend, ...]
    heads: tuple[str, ...]


def month_of(text: str | None, fallback: str) -> tuple[str, str, str]:
    """`2025-11` as its name, first and last day; without one the month of the day `fallback`."""
    wanted = fields.month(text or fallback, date.today().isoformat())
    if isinstance(wanted, fields.Wrong):
        raise DataError(f"{wanted}.")
    first = date.fromisoformat(f"{wanted}-01")
    following = (first + timedelta(days=32)).replace(day=1)
    return wanted, first.isoformat(), (following - timedelta(days=1)).isoformat()


def sheet(
    reader: Reader,
    month: str | None = None,
    job: str | None = None,
    style: Style = MM,
    today: str | None = None,
) -> MonthSheet:
    """The sheet of a month (the newest with a count or a reading where none is named), of all jobs or of one.

    Wear and orders are as of today (ISO date; of this machine where none is given); repairs are those of the month.
    """
    kept, recent = trend_kept.compute(reader, style=style)
    jobs = [known for known in reader.jobs() if job in (None, known.number)]
    ids = {known.of_id for known in jobs}
    kept = [k for k in kept if k.job_of_id in ids]
    days = [day for k in kept for day in (k.last_day, k.count_day) if day]
    newest = show.day(max(days) if days else date.today())
    name, first, last = month_of(month, newest)
    from inspect_tui.shop.trends.counts.tools_in_use import retired_tools

    listed = fleet.fleet(kept, retired_tools(reader), style=style, today=today, makings=makings.makings(reader, kept))
    orders = work_orders.orders(reader, listed.lines, style=style, today=today)
    views = [JobView(reader, known, style, today) for known in jobs]
    report = surprises.surprises(reader, kept, recent, style=style, today=today)
    charts = [order.trend for order in orders][:CHARTS]
    for line in listed.lines:
        if len(charts) >= CHARTS:
            break
        view = next(v for v in views if v.job.of_id == line.kept.job_of_id)
        own = _feature_id(view, line)
        if line.retired is None and all(c.feature.id != own or c.where != line.kept.label for c in charts):
            ordered = work_orders.order(view, line)
            charts += [ordered.trend] if ordered is not None else []
    return MonthSheet(
        month=name,
        until=newest,
        jobs=tuple((known.number, known.name) for known in jobs),
        fleet=listed,
        orders=tuple(orders),
        repaired=tuple(repaired for view in views for repaired in _repaired(view, first, last)),
        report=report,
        charts=tuple(charts),
        heads=tuple(reader.heads()),
    )


def _feature_id(view: JobView, line: fleet.FleetLine) -> bytes:
    feature, _ = trend_kept.feature_of(view, line.kept)
    return feature.id if feature else b""


def _repaired(view: JobView, first: str, last: str) -> list[Repaired]:
    repaired = []
    for tool, repair in view.repairs:
        if first <= repair.done_on <= last:
            balloon = None
            if repair.feature_id:
                about = view.kit.feature.get(view.kit.drawn.get(repair.feature_id, b""))
                balloon = about.balloon if about else None
            repaired.append(
                Repaired(
                    view.job.number,
                    tool.label,
                    repair.done_on,
                    repairs.repair_words(repair, balloon, view.style),
                    "; ".join(effects(view, repair)),
                )
            )
    return repaired


def effects(view: JobView, repair: ToolRepair) -> list[str]:
    """What a repair did to each size that was measured before and after it: `F29 83.09 to 82.84`."""
    tool = view.kit.tool[repair.tool_of_id]
    said = []
    for trend in trend_kept.of_tool(view, tool):
        if trend.fit is None:
            continue
        for number, group in enumerate(trend.segments.marks, start=1):
            if all(mark.entered != repair.of_id for mark in group):
                continue
            after, before = trend.fit.afters[number], trend.fit.afters[number - 1]
            rate = trend.fit.rates[number - 1]
            if after is None or before is None or rate is None:
                continue
            end = before.value + rate * (trend.segments.starts[number] - trend.segments.starts[number - 1])
            sizes = view.style.of(trend.unit).pair(end, after.value, unit=False)
            said.append(f"{trend.feature.balloon} {sizes}")
    return said
