"""What the Trends place asks of the record, in a thread of its own with a connection of its own. No Textual here."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen, replace
from inspect_tui.model.words import Id
from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend
from inspect_tui.shop.together.marks import CASTINGS, on
from inspect_tui.shop.trends.tracks import EVERYTHING, ReadingFilter

if TYPE_CHECKING:
    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.trends.trend import Trend

MANY = 5000  # readings from which the chart is shown before the line is fitted
Answer = Callable[..., bool]  # hands findings over by name; False: nobody wants them any more


@frozen
class TrendWish:
    """Which size: a job, a tool (None: the castings), the first edition of the feature; and what is left out."""

    job_of_id: Id
    tool_of_id: Id | None
    root: Id
    only: ReadingFilter = EVERYTHING

    @classmethod
    def of(cls, row: KeptTrend) -> TrendWish:
        """The size of a row of the list."""
        return cls(row.job_of_id, None if row.source == "casting" else row.tool_of_id, row.feature_id)

    @property
    def keys(self) -> list[bytes]:
        """What it shows, as that is marked where two benches said something of it apart: the size, its tool."""
        if self.tool_of_id is None:
            return [on(CASTINGS, self.root)]
        return [on(self.tool_of_id, self.root), self.tool_of_id]


def look(reader: Reader, wish: TrendWish, style: Style, today: str | None, bare: bool = False) -> Trend:
    """The trend of a size; `bare` without its wear line."""
    from inspect_tui.shop.trends import trend as trends
    from inspect_tui.shop.trends.job_view import JobView

    view = JobView(reader, reader.job(wish.job_of_id), style, today)
    feature = view.kit.feature.get(wish.root)
    if feature is None:
        raise NotFound("That size is no longer on the newest drawing.")
    tool = view.kit.tool[wish.tool_of_id] if wish.tool_of_id else None
    return trends.trend(view, feature, tool, wish.only, bare=bare)


def gather_trend(
    reader: Reader, wish: TrendWish, answer: Answer, style: Style, today: str | None, name: str = "trend"
) -> None:
    """The chart of a size, of very many readings first without its wear line; who moved it follows."""
    first = look(reader, wish, style, today, bare=True)
    if len(first.main) > MANY and not answer(**{name: first}):
        return
    trend = look(reader, wish, style, today)
    if answer(**{name: trend}) and name == "trend":
        from inspect_tui.shop.trends.verdict import tell_of

        told = tell_of(trend.view, trend)
        people = sorted({who.person for who in reader.who_of(trend.main.ids[-400:]).values()})
        answer(told=told, people=people)


def bring_up(reader: Reader, path: Path | None, answer: Answer) -> None:
    """Work what is new into the kept summaries; where nothing can be kept, make them and hand them over."""
    from inspect_tui.shop.trends import kept as trend_kept

    if path is None:
        kept, recent = trend_kept.compute(reader)
        answer(kept=kept, recent=recent, working="")
        return

    def progress(job: str) -> bool:
        return answer(working=f"working through job {job} …")

    if trend_kept.refresh(reader, path, progress):
        answer(kept=reader.kept_trends(), recent=None, working="")
    else:
        answer(working="")


def gather_changed(
    reader: Reader,
    kept: list[KeptTrend] | None,
    recent: list[KeptRecent] | None,
    answer: Answer,
    style: Style,
    today: str | None,
) -> None:
    """What changed lately over everything: the list first, then each looked at closely."""
    from inspect_tui.shop.trends import surprises

    if recent is None:
        kept = None
    if answer(report=surprises.surprises(reader, kept, recent, closely=False, style=style, today=today), closely=False):
        answer(report=surprises.surprises(reader, kept, recent, style=style, today=today), closely=True)


def gather_orders(reader: Reader, kept: list[KeptTrend], answer: Answer, style: Style, today: str | None) -> None:
    """Work orders for what comes to its limit within a quarter."""
    from inspect_tui.shop.trends import fleet, work_orders
    from inspect_tui.shop.trends.counts import makings
    from inspect_tui.shop.trends.counts.tools_in_use import retired_tools

    made = makings.makings(reader, kept)
    lines = fleet.fleet(kept, retired_tools(reader), today=today, makings=made).lines
    answer(orders=work_orders.orders(reader, lines, style=style, today=today))


def gather_due(reader: Reader, kept: list[KeptTrend], answer: Answer, style: Style, today: str | None) -> None:
    """What is due over the whole shop within a quarter."""
    from inspect_tui.shop.measuring.due_list import due_list

    answer(listed_due=due_list(reader, today, style, summaries=kept))


def write_paper(
    reader: Reader,
    wish: TrendWish | None,
    path: str,
    axis: str,
    answer: Answer,
    style: Style,
    today: str | None,
) -> None:
    """The chart of a size, or without one the month's sheet."""
    from inspect_tui.report.trends.forms import write_chart, write_sheet
    from inspect_tui.shop.trends import month_sheet

    printed = replace(style, printed=True)
    if wish is None:
        paper = write_sheet(month_sheet.sheet(reader, style=style, today=today), path, style=printed)
    else:
        paper = write_chart(look(reader, wish, style, today), path, axis=axis, heads=reader.heads(), style=printed)
    answer(wrote=f"written: {paper}")
