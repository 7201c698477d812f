"""The keys of the Trends place: moving in the list and along the chart, how it is shown, what is entered."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.model.work import Job, Tool
from inspect_tui.record.ask.trend_rows import KeptRecent, KeptTrend
from inspect_tui.record.store import Record
from inspect_tui.report.term import trend as paint
from inspect_tui.shop.trends.fleet import Fleet, Line
from inspect_tui.shop.trends.tracks import EVERYTHING
from inspect_tui.tui import todo
from inspect_tui.tui.trends import forms as trends_forms
from inspect_tui.tui.trends import text as trends_text
from inspect_tui.tui.trends import work as trends_work
from inspect_tui.tui.trends.text import CHANGED, CHART, LIST
from inspect_tui.tui.trends.work import Wish

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.trends.surprises import Report
    from inspect_tui.shop.trends.tracks import Only
    from inspect_tui.shop.trends.trend import Trend
    from inspect_tui.shop.trends.verdict import Told
    from inspect_tui.shop.trends.work_orders import Order
    from inspect_tui.tui.app import InspectApp

FAR = 1_000_000_000
SHOWS = ("the most urgent size of each tool", "every size with a forecast", "every size, castings too")


class TrendsKeys(Screen[None]):
    """What is looked at and how the keys change it; `TrendsScreen` draws it and asks the record."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Keys", id="trends.help"),
        Binding("f2", "app.command_palette", "All commands", id="trends.palette"),
        *(
            Binding(str(i + 1), f"page({i})", f"Page: {name}", id=f"trends.page{i + 1}")
            for i, name in enumerate(trends_text.PAGES)
        ),
        Binding("tab", "next_page(1)", "Next page", show=False),
        Binding("shift+tab", "next_page(-1)", "Page before", show=False),
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
        Binding("slash,ctrl+f", "narrow", "Narrow the list: tool, core, size, job", id="trends.narrow"),
        Binding("o,f", "size", "Look at another tool or size", id="trends.size"),
        Binding("w", "only", "Only one person's readings, or one lot", id="trends.only"),
        Binding("x", "axis", "Chart over cores or over dates", id="trends.axis"),
        Binding("m", "castings", "Castings in the chart, or not", id="trends.castings"),
        Binding("c", "compare", "Compare with another size", id="trends.compare"),
        Binding("t", "told", "All that the chart says; tooling or foundry", id="trends.told"),
        Binding("n", "count", "Enter a count", id="trends.count"),
        Binding("r", "repair", "Enter a repair", id="trends.repair"),
        Binding("u", "state", "Take the tool out of use, or back", id="trends.state"),
        Binding("l", "limit", "Enter an agreed limit of wear", id="trends.limit"),
        Binding("p", "paper", "Write this chart; on other pages the month's sheet", id="trends.paper"),
        Binding("g", "feature", "Open this size in the Feature place", id="trends.feature"),
        Binding("escape", "back", "Back: to the chart, the list, the places", id="trends.back"),
        Binding("f10", "app.places", "Places", id="trends.places"),
    ]

    app: InspectApp

    def __init__(self) -> None:
        super().__init__()
        self.kept: list[KeptTrend] = []
        self.recent: list[KeptRecent] | None = None  # only where the record cannot keep them
        self.fleet: Fleet | None = None
        self.lines: list[Line] = []
        self.row, self.top, self.page, self.scroll = 0, 0, LIST, 0
        self.shows, self.narrowed = 0, ""
        self.working = ""
        self.wish: Wish | None = None
        self.trend: Trend | None = None
        self.second: Trend | None = None
        self.told: Told | None = None
        self.people: list[str] = []
        self.telling = False
        self.axis, self.with_castings = paint.CORES, True
        self.at: int | None = None
        self.report: Report | None = None
        self.closely = True
        self.orders: list[Order] | None = None
        self.wrong = ""
        self.asked = 0  # number of the newest question; older answers are dropped
        self.away = False

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    # ---------------------------------------------------------------- what the screen itself does
    def say(self, text: str, style: str = "") -> None:
        """A sentence above the foot."""
        raise NotImplementedError

    def show(self) -> None:
        """Draw what is known."""
        raise NotImplementedError

    def look(self, wish: Wish) -> None:
        """Show the chart of a size."""
        raise NotImplementedError

    def list_again(self) -> None:
        """Put the list together again."""
        raise NotImplementedError

    def changed(self, said: str) -> None:
        """Something was entered."""
        raise NotImplementedError

    def ask(self, work: Callable[[Reader, trends_work.Answer], None], asked: int, group: str) -> None:
        """Have something worked out beside the screen."""
        raise NotImplementedError

    def wanted(self) -> None:
        """Ask for what the open page shows and is not there."""
        raise NotImplementedError

    @property
    def line(self) -> Line | None:
        """The line under the cursor of the list."""
        return self.lines[self.row] if self.row < len(self.lines) else None

    def about(self) -> tuple[Job | None, Tool | None]:
        """The job and tool at hand: of the list's cursor on its page, else of the chart."""
        wish = self.wish
        if self.page == LIST or wish is None:
            if self.line is None:
                return None, None
            wish = Wish.of(self.line.kept)
        job = self.record.job(wish.job_of_id)
        tools = {tool.of_id: tool for tool in self.record.tools(job.of_id)}
        return job, tools.get(wish.tool_of_id or b"")

    # ---------------------------------------------------------------- moving
    def action_page(self, page: int) -> None:
        """Open a page."""
        if page == CHART and self.wish is None and self.line is not None:
            self.look(Wish.of(self.line.kept))
            return
        self.page, self.scroll, self.telling = page, 0, False
        self.wanted()
        self.show()
        self.say("")

    def action_next_page(self, by: int) -> None:
        """The page beside this one."""
        self.action_page((self.page + by) % len(trends_text.PAGES))

    def action_open(self) -> None:
        """The chart of the size under the cursor."""
        if self.page == LIST and self.line is not None:
            self.look(Wish.of(self.line.kept))
        elif self.page == CHANGED and self.report is not None and self.report.lines:
            self.look(Wish.of(self.report.lines[0].kept))

    def action_move(self, by: int) -> None:
        """Move in the list or scroll; on the chart, along its readings."""
        if self.page == LIST:
            self.row = min(max(self.row + by, 0), max(len(self.lines) - 1, 0))
        elif self.page == CHART and not self.telling:
            many = len(self.trend.main) if self.trend is not None else 0
            self.action_step(by if abs(by) in (1, FAR) else (1 if by > 0 else -1) * max(many // 10, 1))
            return
        else:
            self.scroll += by
        self.show()
        if self.page == LIST and self.line is not None:
            self.say(f"{self.line.label}: {self.line.kept.sentence}")

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
        self.say(paint.point_words(self.trend, self.at, named), "bold")

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

        trends_forms.narrow(self, self.narrowed, use)

    def action_size(self) -> None:
        """Look at another tool or size, or at the castings."""
        trends_forms.size(self, self.kept, lambda row: self.look(Wish.of(row)), "Which size?")

    def action_only(self) -> None:
        """Only one person's readings, or one lot; or all again."""
        one, wish = self.trend, self.wish
        if one is None or wish is None:
            self.say("Open a chart first.")
            return
        tracks = (one.main, *one.others)
        lots = list(dict.fromkeys(lot for t in tracks for lot in reversed(list(t.lot or ())) if lot))

        def use(what: Only) -> None:
            self.look(Wish(wish.job_of_id, wish.tool_of_id, wish.root, what))

        if wish.only is not EVERYTHING and wish.only.words:
            use(EVERYTHING)
            self.say("All readings again.")
        else:
            trends_forms.only(self, self.people, lots, use)

    def action_axis(self) -> None:
        """Over cores made, or over dates."""
        self.axis = paint.DATE if self.axis == paint.CORES else paint.CORES
        self.show()
        self.say("Over dates." if self.axis == paint.DATE else "Over cores made.")

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
            wish, asked = Wish.of(row), self.asked
            self.ask(lambda reader, answer: trends_work.gather_trend(reader, wish, answer, "second"), asked, "second")

        trends_forms.size(self, self.kept, use, "Compare with which size?")

    def action_told(self) -> None:
        """All that the chart says, and whether the tooling or the foundry made it; again: the chart."""
        if self.page == CHART and self.trend is not None:
            self.telling, self.scroll = not self.telling, 0
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
        self._with_tool(lambda job, tool: trends_forms.count(self, job, tool))

    def action_repair(self) -> None:
        """Enter what was done to the tool; its wear line starts again there."""
        self._with_tool(lambda job, tool: trends_forms.repair(self, job, tool, ""))

    def action_state(self) -> None:
        """Take the tool out of use, or back into it."""
        self._with_tool(lambda _, tool: trends_forms.state(self, tool))

    def action_limit(self) -> None:
        """Enter an agreed limit; it takes the place of the one from the chain."""
        self._with_tool(lambda job, tool: trends_forms.limit(self, job, tool, self._balloon()))

    def action_paper(self) -> None:
        """Write the chart, or on other pages the month's sheet."""
        wish, axis = (self.wish if self.page == CHART else None), self.axis

        def use(path: str) -> None:
            self.say("writing …")
            self.ask(lambda reader, answer: trends_work.write_paper(reader, wish, path, axis, answer), 0, "paper")

        trends_forms.paper(self, wish is not None, use)

    # ---------------------------------------------------------------- the palette
    def commands(self) -> Iterable[SystemCommand]:
        """The keys of this place as commands of the palette."""
        for binding in self.BINDINGS:
            if not isinstance(binding, Binding) or not binding.show or binding.action.startswith("app."):
                continue
            name, _, argument = binding.action.rstrip(")").partition("(")
            method = getattr(self, f"action_{name}")
            values = (int(argument),) if argument else ()
            about = (method.__doc__ or "").strip()
            yield SystemCommand(binding.description, about, lambda m=method, a=values: m(*a))
