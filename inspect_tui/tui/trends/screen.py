"""Trends: what the boxes are doing and what to mend; the list is there at once, the rest is worked out beside it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.geometry import Offset
from textual.widget import Widget

from inspect_tui.errors import InspectError
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend
from inspect_tui.report.draw.trend import CORES, DATE, comparison
from inspect_tui.report.term import fleet as term_fleet
from inspect_tui.report.term import trend as paint
from inspect_tui.shop.gauges import pooled, reads_off
from inspect_tui.shop.together.marks import Mark, nearest
from inspect_tui.shop.trends import fleet
from inspect_tui.shop.trends.counts import makings, tools_in_use
from inspect_tui.shop.trends.counts.counter import counter_of
from inspect_tui.shop.trends.fleet import Fleet, FleetLine
from inspect_tui.shop.trends.tracks import EVERYTHING
from inspect_tui.tui import todo
from inspect_tui.tui.place import Place, page_keys
from inspect_tui.tui.trends import forms
from inspect_tui.tui.trends import text as trends_text
from inspect_tui.tui.trends import work as trends_work
from inspect_tui.tui.trends.text import CHANGED, CHART, DUE, LIST, ORDERS
from inspect_tui.tui.trends.work import TrendWish

if TYPE_CHECKING:
    from inspect_tui.metrology.wear.weeks import Making
    from inspect_tui.shop.measuring.due_list import DueList
    from inspect_tui.shop.trends.surprises import ChangeReport
    from inspect_tui.shop.trends.tracks import ReadingFilter
    from inspect_tui.shop.trends.trend import Trend
    from inspect_tui.shop.trends.verdict import WhatMoved
    from inspect_tui.shop.trends.work_orders import WorkOrder

FAR = 1_000_000_000
SHOWS = ("the most urgent size of each tool", "every size with a forecast", "every size, castings too")


class TrendsScreen(Place):
    """The list by urgency, the chart of one size, what changed, work orders, repairs and counts, what is due."""

    DEFAULT_CSS = """
    TrendsScreen #body { height: 1fr; }
    """
    NAME = "Trends"
    FOOT = "1-6 pages  Enter chart  / narrow  r repair  n count  F1 keys  F10 places"
    WORDS = trends_text.WORDS
    TABS = trends_text.PAGES
    BINDINGS: ClassVar[list[BindingType]] = [
        *page_keys("trends", trends_text.PAGES),
        Binding("enter", "open", "Chart of the size under the cursor", id="trends.open"),
        Binding("left", "step(-1)", "Reading before", id="trends.left"),
        Binding("right", "step(1)", "Next reading", id="trends.right"),
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "move(-15)", "A page up", show=False),
        Binding("pagedown", "move(15)", "A page down", show=False),
        Binding("home", f"move(-{FAR})", "First", show=False),
        Binding("end", f"move({FAR})", "Last", show=False),
        Binding("a", "every", "One size a tool, every size, castings too", id="trends.every"),
        Binding("slash", "narrow", "Narrow the list: tool, core, size, job", id="trends.narrow"),
        Binding("o,f", "size", "Look at another tool or size", id="trends.size"),
        Binding("w", "only", "Only one person's readings, or one lot", id="trends.only"),
        Binding("x", "axis", "Chart over cores or over dates", id="trends.axis"),
        Binding("m", "castings", "Castings in the chart, or not", id="trends.castings"),
        Binding("c", "compare", "Compare with another size", id="trends.compare"),
        Binding("t", "told", "All that the chart says; tooling or foundry", id="trends.told"),
        Binding("n", "count", "Enter a count", id="trends.count"),
        Binding("i", "file", "Take in a file: readings of tools, or counts", id="trends.file"),
        Binding("r", "repair", "Enter a repair", id="trends.repair"),
        Binding("u", "state", "Take the tool out of use, or back", id="trends.state"),
        Binding("l", "limit", "Enter an agreed limit of wear", id="trends.limit"),
        Binding("p", "paper", "Write this chart; on other pages the month's sheet", id="trends.paper"),
        Binding("g", "feature", "Open this size in the Feature place", id="trends.feature"),
        Binding("escape", "back", "Back: to the chart, the list, the places", id="trends.back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.kept: list[KeptTrend] = []
        self.recent: list[KeptRecent] | None = None  # only where the record cannot keep them
        self.fleet: Fleet | None = None
        self._made: tuple[list[KeptTrend], dict[bytes, Making]] | None = None
        self.lines: list[FleetLine] = []
        self.row, self.top = 0, 0  # of the list: under the cursor, the first that is shown
        self.shows, self.narrowed = 0, ""
        self.working = ""
        self.wish: TrendWish | None = None
        self.trend: Trend | None = None
        self.second: Trend | None = None
        self.told: WhatMoved | None = None
        self.people: list[str] = []
        self.telling = False
        self.axis, self.with_castings = CORES, True
        self.at: int | None = None
        self.report: ChangeReport | None = None
        self.closely = True
        self.orders: list[WorkOrder] | None = None
        self.listed_due: DueList | None = None
        self.wrong = ""  # why the open chart, or page, cannot be shown

    # ---------------------------------------------------------------- arriving and drawing
    def arrive(self) -> None:
        """Read what is kept, show it, and have it brought up to date."""
        if self.recent is None:
            self.kept = self.record.kept_trends()
        if self.kept or self.record.trend_mark() is not None:
            self.list_again()
        self.working = "looking for what is new …"
        self.show()
        path = None if self.record.read_only else self.record.path
        self.ask(
            "keeping",
            lambda reader, answer: trends_work.bring_up(reader, path, answer),
            self._brought_up,
            self._not_brought_up,
        )
        self.wanted()

    def elsewhere(self) -> None:
        """Somebody else wrote to the record: the chart that stands here is read anew, beside the screen."""
        self.visit()
        if self.wish is not None and self.trend is not None and self.second is None:
            self._read_chart(self.wish)

    def _read_chart(self, wish: TrendWish) -> None:
        written, today = self.app.written, self.app.today
        self.ask(
            "trend",
            lambda reader, answer: trends_work.gather_trend(reader, wish, answer, written, today),
            wrong=self._cannot_show,
        )

    def _brought_up(self, **answers: Any) -> None:
        self.take_in(**answers)
        if "kept" in answers:
            self.report, self.orders, self.listed_due = None, None, None
        if "kept" in answers or (self.fleet is None and not self.working):
            self.list_again()
            self.wanted()
            self.show()

    def _not_brought_up(self, sentence: str) -> None:
        self.working = ""
        self.say(sentence, "bold red")

    def restyled(self) -> None:
        """What was told in figures is worked out anew, on the page that is open."""
        page, self.report, self.orders, self.listed_due = self.page, None, None, None
        if self.wish is not None:
            self.look(self.wish)
        self.action_page(page)

    def list_again(self) -> None:
        """Put the list together from the summaries."""
        retired = tools_in_use.retired_tools(self.record)
        self.fleet = fleet.fleet(
            self.kept,
            retired,
            every=self.shows == 2,
            one_a_tool=self.shows == 0,
            style=self.app.written,
            today=self.app.today,
            makings=self._makings(),
            off=reads_off.reads_off(pooled.in_sight(self.record), self.kept, self.app.written),
        )
        lines = list(self.fleet.lines)
        if self.shows == 2:
            lines += [fleet.casting_line(k) for k in self.kept if k.source == "casting"]
        words = self.narrowed.casefold().split()
        self.lines = [line for line in lines if all(w in self._words(line) for w in words)]
        self.row = min(self.row, max(len(self.lines) - 1, 0))

    def _makings(self) -> dict[bytes, Making]:
        """What each tool makes in a week, read once for the summaries that are shown."""
        if self._made is None or self._made[0] is not self.kept:
            self._made = self.kept, makings.makings(self.record, self.kept)
        return self._made[1]

    def _words(self, line: FleetLine) -> str:
        kept = line.kept
        return f"{kept.label} {kept.balloon} {kept.name} {self._cores().get(kept.tool_of_id, '')}".casefold()

    def _cores(self) -> dict[bytes, str]:
        """What else a line is found by: the core of its tool, and its job."""
        if not hasattr(self, "_core_words"):
            words = {}
            for job in self.record.jobs():
                cores = {core.of_id: core for core in self.record.cores(job.of_id)}
                of = self.record.core_versions(job.of_id)
                for tool in self.record.tools(job.of_id):
                    core = cores.get(of.get(tool.core_id, b"")) if tool.core_id else None
                    words[tool.of_id] = f"core {core.number} {core.name} {job.number}" if core else job.number
                words[job.of_id] = job.number
            self._core_words = words
        return self._core_words

    def heading(self) -> tuple[str, str]:
        """The record; what is going on, and what is looked at alone."""
        only = self.wish.only.words if self.page == CHART and self.wish else ""
        shown = only or self.narrowed
        said = [f"narrowed to: {shown}"] if shown else []
        return f"Trends · {self.record.path.name}", " ".join([*said, self.working]).rstrip()

    def apart(self) -> list[Mark]:
        """Of the size that is looked at or under the cursor, then of the whole shop."""
        marks, wish = self.app.together.marks, self.wish
        if self.page == LIST:
            wish = TrendWish.of(self.line.kept) if self.line is not None else None
        at_hand = marks.at(*wish.keys) if wish is not None else None
        return nearest(at_hand, marks.of_job(None))

    def clicked(self, widget: Widget, at: Offset) -> None:
        """A click on a line of the list goes to it, one on the line that is marked opens it."""
        if self.page != LIST or widget.id != "body":
            return
        row = self.top + at.y - 1  # under the head of the list
        if not (1 <= at.y <= trends_text.list_room(self.fleet, *widget.size) and row < len(self.lines)):
            return
        if row == self.row:
            self.action_open()
        else:
            self.row = row
            self.show()

    def draw(self, width: int, height: int) -> None:
        """The open page; nothing is computed here but the drawing."""
        self.put("#body", self._page(width, height))

    def _page(self, width: int, height: int) -> Text:
        written = self.app.written
        if self.page == LIST:
            room = trends_text.list_room(self.fleet, width, height)
            self.top = min(max(self.top, self.row - room + 1), self.row)
            marks = self.app.together.marks
            signs = [marks.sign(*TrendWish.of(line.kept).keys) for line in self.lines]
            return trends_text.list_page(self.fleet, self.lines, self.row, self.top, width, height, written, signs)
        if self.page == CHART:
            return self._chart(width, height)
        if self.page == CHANGED:
            if self.report is None:
                return Text(self.wrong or "searching all sizes …", style="dim")
            text = term_fleet.surprises_text(self.report, width)
        elif self.page == ORDERS:
            if self.orders is None:
                return Text(self.wrong or "putting the orders together …", style="dim")
            text = term_fleet.orders_text(self.orders, width)
        elif self.page == DUE:
            if self.listed_due is None:
                return Text(self.wrong or "looking for what is due …", style="dim")
            text = trends_text.due_page(self.listed_due, width)
        else:
            text = self._log(width)
        return self.scrolled(text, height)

    def _chart(self, width: int, height: int) -> Text:
        if self.wrong:
            return Text(self.wrong, style="bold red")
        if self.wish is None:
            return Text("Choose a size: the list and Enter, or o.", style="dim")
        if self.trend is None:
            return Text("reading the record …", style="dim")
        if self.telling:
            return self.scrolled(trends_text.told_page(self.trend, self.told, width), height)
        if self.second is not None:
            both = comparison(self.trend, self.second, self.axis, self.app.written)
            if both is None:
                return Text("one of the two has no readings on this axis: x changes the axis", style="yellow")
            return paint.compare(both, width, height)
        return trends_text.chart_page(self.trend, self.told, width, height, self.axis, self.with_castings, self.at)

    def _log(self, width: int) -> Text:
        job, tool = self.about()
        if tool is None or job is None:
            return trends_text.log_page(None, [], [], None, {}, width)
        repairs = self.record.tool_repairs(tool.of_id)
        balloons = {f.id: f.balloon for f in self.record.job_features(job.of_id)}
        counter = counter_of(self.record, job, tool)
        states = self.record.tool_states().get(tool.of_id, [])
        apart = self.app.together.marks.at(tool.of_id)
        said = [apart.clash.words] if apart is not None else []
        return trends_text.log_page(tool, repairs, states, counter, balloons, width, self.app.written, said)

    # ---------------------------------------------------------------- what it is about
    @property
    def line(self) -> FleetLine | None:
        """The line under the cursor of the list."""
        return self.lines[self.row] if self.row < len(self.lines) else None

    def about(self) -> tuple[Job | None, Tool | None]:
        """The job and tool at hand: of the list's cursor on its page, else of the chart."""
        wish = self.wish
        if self.page == LIST or wish is None:
            if self.line is None:
                return None, None
            wish = TrendWish.of(self.line.kept)
        job = self.record.job(wish.job_of_id)
        tools = {tool.of_id: tool for tool in self.record.tools(job.of_id)}
        return job, tools.get(wish.tool_of_id or b"")

    def look(self, wish: TrendWish) -> None:
        """Show the chart of a size; everything about it is read again."""
        if self.wish is None or (wish.tool_of_id, wish.root) != (self.wish.tool_of_id, self.wish.root):
            self.at = None
        self.wish, self.trend, self.second, self.told, self.wrong = wish, None, None, None, ""
        self.telling, self.page, self.scroll_row = False, CHART, 0
        self.forget("second")
        self.show()
        self._read_chart(wish)

    def wanted(self) -> None:
        """Ask for what the open page shows and is not there."""
        written, today = self.app.written, self.app.today
        if self.page == CHART and self.wish is not None and self.trend is None and not self.waits_for("trend"):
            self.look(self.wish)
        elif self.page == CHANGED and self.report is None:
            kept, recent = self.kept, self.recent
            self.ask(
                "changed",
                lambda reader, answer: trends_work.gather_changed(reader, kept, recent, answer, written, today),
                wrong=self._cannot_show,
            )
        elif self.page == ORDERS and self.orders is None:
            listed = self.kept
            self.ask(
                "orders",
                lambda reader, answer: trends_work.gather_orders(reader, listed, answer, written, today),
                wrong=self._cannot_show,
            )
        elif self.page == DUE and self.listed_due is None:
            known = self.kept
            self.ask(
                "due",
                lambda reader, answer: trends_work.gather_due(reader, known, answer, written, today),
                wrong=self._cannot_show,
            )

    def _cannot_show(self, sentence: str) -> None:
        self.wrong = sentence
        self.show()

    def changed(self, said: str) -> None:
        """Something was entered: bring everything up to date."""
        self.report, self.orders, self.listed_due, self.recent = None, None, None, None
        if self.page == CHART and self.wish is not None:
            self.look(self.wish)
        super().changed(said)

    # ---------------------------------------------------------------- moving
    def action_page(self, page: int) -> None:
        """Open a page."""
        if page == CHART and self.wish is None and self.line is not None:
            self.look(TrendWish.of(self.line.kept))
            return
        self.telling, self.wrong = False, ""
        super().action_page(page)
        self.wanted()
        self.say("")

    def action_open(self) -> None:
        """The chart of the size under the cursor."""
        if self.page == LIST and self.line is not None:
            self.look(TrendWish.of(self.line.kept))
        elif self.page == CHANGED and self.report is not None and self.report.lines:
            self.look(TrendWish.of(self.report.lines[0].kept))

    def action_move(self, by: int) -> None:
        """Move in the list or scroll; on the chart, along its readings."""
        if self.page == LIST:
            self.row = min(max(self.row + by, 0), max(len(self.lines) - 1, 0))
        elif self.page == CHART and not self.telling:
            many = len(self.trend.main) if self.trend is not None else 0
            self.action_step(by if abs(by) in (1, FAR) else (1 if by > 0 else -1) * max(many // 10, 1))
            return
        else:
            self.scroll_row += by
        self.show()
        if self.page == LIST and self.line is not None:
            self.say(f"{self.line.label}: {self.line.said(self.app.written)}")

    def action_step(self, by: int) -> None:
        """Move the cursor along the chart and read the value there."""
        if self.page != CHART or self.trend is None or not len(self.trend.main) or self.telling:
            return
        last = len(self.trend.main) - 1
        start = (last + 1 if by < 0 else -1) if self.at is None else self.at
        self.at = min(max(start + by, 0), last)
        self.show()
        who = self.record.who_of([self.trend.main.ids[self.at]]).get(self.trend.main.ids[self.at])
        named = f"{who.person} {who.instrument}" if who else ""
        self.say(paint.point_words(self.trend, self.at, named, self.app.written), "bold")

    # ---------------------------------------------------------------- how it is shown
    def action_every(self) -> None:
        """The most urgent size of each tool, every size with a forecast, or every size and the castings."""
        self.shows = (self.shows + 1) % len(SHOWS)
        self.page = LIST
        self.list_again()
        self.show()
        self.say(f"Listed: {SHOWS[self.shows]}.")

    def action_narrow(self) -> None:
        """Only lines with these words."""

        def use(words: str) -> None:
            self.narrowed, self.row, self.page = words.strip(), 0, LIST
            self.list_again()
            self.show()

        forms.narrow(self, self.narrowed, use)

    def action_size(self) -> None:
        """Look at another tool or size, or at the castings."""
        forms.size(self, self.kept, lambda row: self.look(TrendWish.of(row)), "Which size?")

    def action_only(self) -> None:
        """Only one person's readings, or one lot; or all again."""
        trend, wish = self.trend, self.wish
        if trend is None or wish is None:
            self.say("Open a chart first.")
            return
        tracks = (trend.main, *trend.others)
        lots = list(dict.fromkeys(lot for t in tracks for lot in reversed(list(t.lot or ())) if lot))

        def use(wanted: ReadingFilter) -> None:
            self.look(TrendWish(wish.job_of_id, wish.tool_of_id, wish.root, wanted))

        if wish.only is not EVERYTHING and wish.only.words:
            use(EVERYTHING)
            self.say("All readings again.")
        else:
            forms.only(self, self.people, lots, use)

    def action_axis(self) -> None:
        """Over cores made, or over dates."""
        self.axis = DATE if self.axis == CORES else CORES
        self.show()
        self.say("Over dates." if self.axis == DATE else "Over cores made.")

    def action_castings(self) -> None:
        """Castings made from it in the chart, or not."""
        self.with_castings = not self.with_castings
        self.show()

    def action_compare(self) -> None:
        """Another size beside this one, each as its difference from target; again: this one alone."""
        if self.second is not None:
            self.second = None
            self.show()
            return
        if self.trend is None:
            self.say("Open a chart first, then choose what to compare it with.")
            return

        def use(row: KeptTrend) -> None:
            wish, written, today = TrendWish.of(row), self.app.written, self.app.today
            self.ask(
                "second",
                lambda reader, answer: trends_work.gather_trend(reader, wish, answer, written, today, "second"),
            )

        forms.size(self, self.kept, use, "Compare with which size?")

    def action_told(self) -> None:
        """All that the chart says, and whether the tooling or the foundry made it; again: the chart."""
        if self.page == CHART and self.trend is not None:
            self.telling, self.scroll_row = not self.telling, 0
            self.show()

    # ---------------------------------------------------------------- entering
    def _with_tool(self, then: Callable[[Job, Tool], None]) -> None:
        try:
            job, tool = self.about()
        except InspectError as problem:
            self.say(todo.said(problem), "bold red")
            return
        if job is None or tool is None:
            self.say("Choose a tool first: a line of the list, or o. Castings are not counted or repaired.")
        else:
            then(job, tool)

    def _balloon(self) -> str:
        if self.page == LIST:
            return self.line.kept.balloon if self.line else ""
        return self.trend.feature.balloon if self.trend else ""

    def action_count(self) -> None:
        """Enter how many cores or moulds were made."""
        self._with_tool(lambda job, tool: forms.count(self, job, tool))

    def action_file(self) -> None:
        """Take in years of a sheet, or a table of counts."""
        forms.file(self)

    def action_repair(self) -> None:
        """Enter what was done to the tool; its wear line starts again there."""
        self._with_tool(lambda job, tool: forms.repair(self, job, tool, ""))

    def action_state(self) -> None:
        """Take the tool out of use, or back into it."""
        self._with_tool(lambda _, tool: forms.state(self, tool))

    def action_limit(self) -> None:
        """Enter an agreed limit; it takes the place of the one from the chain."""
        self._with_tool(lambda job, tool: forms.limit(self, job, tool, self._balloon()))

    def action_paper(self) -> None:
        """Write the chart, or on other pages the month's sheet."""
        wish, axis = (self.wish if self.page == CHART else None), self.axis
        written, today = self.app.written, self.app.today

        def use(path: str) -> None:
            self.say("writing …")
            self.ask(
                "paper",
                lambda reader, answer: trends_work.write_paper(reader, wish, path, axis, answer, written, today),
                lambda wrote: self.say(wrote, "bold"),
                always=True,
            )

        forms.paper(self, wish is not None, use)

    # ---------------------------------------------------------------- going elsewhere
    def action_feature(self) -> None:
        """This size in the Feature place, with its control chart."""
        if self.trend is None:
            self.say("Open a chart first.")
            return
        from inspect_tui.shop.common.find import Subject
        from inspect_tui.shop.feature import material as feature_data
        from inspect_tui.shop.feature.material import Pick

        trend = self.trend
        if trend.main.of == "tool" and trend.tool is not None:
            pick = Pick(trend.view.job, trend.feature, Subject(trend.tool.label, tool=trend.tool))
        elif trend.main.of == "core":
            pick = Pick(trend.view.job, trend.feature, Subject(feature_data.ALL_CORES), "core")
        else:
            pick = Pick(trend.view.job, trend.feature, Subject(feature_data.ALL_CASTINGS), "casting")
        self.app.look_at = pick
        self.app.call_later(self.app.go, "feature")

    def action_back(self) -> None:
        """From what it says to the chart, from there to the list, from there to the places."""
        if self.page == CHART and (self.telling or self.second is not None):
            self.telling, self.second = False, None
        elif self.page != LIST:
            self.page = LIST
        else:
            self.app.to_places()
            return
        self.show()
