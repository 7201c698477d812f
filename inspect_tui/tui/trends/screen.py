"""Trends: what the boxes are doing and what to mend; the list is there at once, the rest is worked out beside it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from inspect_tui.errors import InspectError
from inspect_tui.report.term import fleet as term_fleet
from inspect_tui.report.term import trend as paint
from inspect_tui.shop.trends import counts_entry, fleet
from inspect_tui.shop.trends.fleet import Line
from inspect_tui.tui import todo
from inspect_tui.tui.trends import text as trends_text
from inspect_tui.tui.trends import work as trends_work
from inspect_tui.tui.trends.keys import TrendsKeys
from inspect_tui.tui.trends.text import CHANGED, CHART, LIST, ORDERS
from inspect_tui.tui.trends.work import Wish

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

FOOT = "1-5 pages  Enter chart  / narrow  r repair  n count  F1 keys  F10 places"


class Found(Message):
    """What a thread has worked out, for the question of that number (0: wanted whatever was asked since)."""

    def __init__(self, asked: int, found: dict[str, Any]) -> None:
        super().__init__()
        self.asked, self.found = asked, found


class TrendsScreen(TrendsKeys):
    """The list by urgency, the chart of one size, what changed, work orders, repairs and counts."""

    DEFAULT_CSS = """
    TrendsScreen { layout: vertical; }
    TrendsScreen #head { height: 1; }
    TrendsScreen #tabs { height: 1; }
    TrendsScreen #body { height: 1fr; }
    TrendsScreen #say { height: 2; }
    TrendsScreen #foot { height: 1; background: $panel; }
    """

    # ---------------------------------------------------------------- arriving and drawing
    def compose(self) -> ComposeResult:
        """Head, pages, the page itself, a sentence, foot."""
        yield Static(id="head")
        yield Static(id="tabs")
        yield Static(id="body")
        yield Static(id="say")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """The list as it was kept; what is new is worked in beside it."""
        self.arrive()

    def on_screen_resume(self) -> None:
        """Back from another place, not from a form: readings may have come."""
        if self.away:
            self.away = False
            self.arrive()

    def on_resize(self) -> None:
        """Everything is drawn to the size at hand."""
        self.show()

    def arrive(self) -> None:
        """Read what is kept, show it, and have it brought up to date."""
        if self.recent is None:
            self.kept = self.record.kept_trends()
        if self.kept or self.record.trend_mark() is not None:
            self.list_again()
        self.working = "looking for what is new …"
        self.show()
        path = None if self.record.read_only else self.record.path
        self.ask(lambda reader, answer: trends_work.bring_up(reader, path, answer), 0, "keeping")

    def list_again(self) -> None:
        """Put the list together from the summaries."""
        retired = counts_entry.retired_tools(self.record)
        self.fleet = fleet.fleet(self.kept, retired, every=self.shows == 2, one_a_tool=self.shows == 0)
        lines = list(self.fleet.lines)
        if self.shows == 2:
            lines += [fleet.casting_line(k) for k in self.kept if k.source == "casting"]
        words = self.narrowed.casefold().split()
        self.lines = [line for line in lines if all(w in self._words(line) for w in words)]
        self.row = min(self.row, max(len(self.lines) - 1, 0))

    def _words(self, line: Line) -> str:
        one = line.kept
        return f"{one.label} {one.balloon} {one.name} {self._cores().get(one.tool_of_id, '')}".casefold()

    def _cores(self) -> dict[bytes, str]:
        """What else a line is found by: the core of its tool, and its job."""
        if not hasattr(self, "_core_words"):
            found = {}
            for job in self.record.jobs():
                cores = {core.of_id: core for core in self.record.cores(job.of_id)}
                of = self.record.core_versions(job.of_id)
                for tool in self.record.tools(job.of_id):
                    core = cores.get(of.get(tool.core_id, b"")) if tool.core_id else None
                    found[tool.of_id] = f"core {core.number} {core.name} {job.number}" if core else job.number
                found[job.of_id] = job.number
            self._core_words = found
        return self._core_words

    def say(self, text: str, style: str = "") -> None:
        """A sentence above the foot."""
        self.query_one("#say", Static).update(Text(text, style=style))

    def show(self) -> None:
        """Draw what is known; nothing is computed here but the drawing."""
        width, height = self.size
        if not width or not self.is_mounted:
            return
        only = self.wish.only.words if self.page == CHART and self.wish else ""
        head = trends_text.head(
            self.record.path.name, self.working, only or self.narrowed, width, self.record.read_only
        )
        self.query_one("#head", Static).update(head)
        self.query_one("#tabs", Static).update(trends_text.tabs(self.page, width))
        self.query_one("#body", Static).update(self._body(width, max(height - 5, 6)))

    def _body(self, width: int, height: int) -> Text:
        if self.page == LIST:
            room = trends_text.list_room(self.fleet, width, height)
            self.top = min(max(self.top, self.row - room + 1), self.row)
            return trends_text.list_page(self.fleet, self.lines, self.row, self.top, width, height)
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
        else:
            text = self._log(width)
        return self._window(text, height)

    def _window(self, text: Text, height: int) -> Text:
        from inspect_tui.tui.feature.text import window

        shown, self.scroll = window(text, self.scroll, height)
        return shown

    def _chart(self, width: int, height: int) -> Text:
        if self.wrong:
            return Text(self.wrong, style="bold red")
        if self.wish is None:
            return Text("Choose a size: the list and Enter, or o.", style="dim")
        if self.trend is None:
            return Text("reading the record …", style="dim")
        if self.telling:
            return self._window(trends_text.told_page(self.trend, self.told, width), height)
        if self.second is not None:
            return paint.compare(self.trend, self.second, width, height, axis=self.axis)
        return trends_text.chart_page(self.trend, self.told, width, height, self.axis, self.with_castings, self.at)

    def _log(self, width: int) -> Text:
        job, tool = self.about()
        if tool is None or job is None:
            return trends_text.log_page(None, [], [], None, {}, width)
        balloons = {f.id: f.balloon for f in self.record.job_features(job.of_id)}
        counter = counts_entry.counter_of(self.record, job, tool)
        states = self.record.tool_states().get(tool.of_id, [])
        return trends_text.log_page(tool, self.record.tool_repairs(tool.of_id), states, counter, balloons, width)

    # ---------------------------------------------------------------- what it is about
    def look(self, wish: Wish) -> None:
        """Show the chart of a size; everything about it is read again."""
        if self.wish is None or (wish.tool_of_id, wish.root) != (self.wish.tool_of_id, self.wish.root):
            self.at = None
        self.wish, self.trend, self.second, self.told, self.wrong = wish, None, None, None, ""
        self.telling, self.page, self.scroll = False, CHART, 0
        self.asked += 1
        self.show()
        self.ask(lambda reader, answer: trends_work.gather_trend(reader, wish, answer), self.asked, "trend")

    def changed(self, said: str) -> None:
        """Something was entered: bring everything up to date."""
        self.say(said, "bold")
        self.report, self.orders = None, None
        if self.recent is not None:
            self.recent = None
        self.arrive()
        if self.page == CHART and self.wish is not None:
            self.look(self.wish)

    # ---------------------------------------------------------------- threads
    def ask(self, work: Callable[[Reader, trends_work.Answer], None], asked: int, group: str) -> None:
        """Have something worked out beside the screen; `asked` 0 is wanted whatever is asked for meanwhile."""

        def run() -> None:
            worker = get_current_worker()

            def answer(**found: Any) -> bool:
                if worker.is_cancelled or asked not in (0, self.asked):
                    return False
                return self.post_message(Found(asked, found))

            try:
                with self.record.reader() as reader:
                    work(reader, answer)
            except InspectError as problem:
                answer(wrong=todo.said(problem), working="")

        self.run_worker(run, thread=True, exit_on_error=False, group=group, exclusive=True)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say it when something could not be worked out; the screen stays usable."""
        if event.state is WorkerState.ERROR:
            self.working = ""
            self.wrong = f"That could not be worked out ({event.worker.error}). The readings are not touched."
            self.say(self.wrong, "bold red")
            self.show()

    def on_found(self, message: Found) -> None:
        """Figures came: keep and show them, unless something else was asked for meanwhile."""
        if message.asked not in (0, self.asked):
            return
        found = dict(message.found)
        if wrote := found.pop("wrote", ""):
            self.say(wrote, "bold")
        for name, value in found.items():
            setattr(self, name, value)
        if "kept" in found:
            self.list_again()
            self.report, self.orders = None, None
            self.wanted()
        elif self.fleet is None and found.get("working") == "":
            self.list_again()
        if message.asked == 0 and found.get("wrong"):
            self.say(self.wrong, "bold red")
        self.show()

    def wanted(self) -> None:
        """Ask for what the open page shows and is not there."""
        if self.page == CHANGED and self.report is None:
            kept, recent = self.kept, self.recent
            self.ask(lambda reader, answer: trends_work.gather_changed(reader, kept, recent, answer), 0, "changed")
        elif self.page == ORDERS and self.orders is None:
            listed = self.kept
            self.ask(lambda reader, answer: trends_work.gather_orders(reader, listed, answer), 0, "orders")

    # ---------------------------------------------------------------- leaving, help
    def action_feature(self) -> None:
        """This size in the Feature place, with its control chart."""
        if self.trend is None:
            self.say("Open a chart first.")
            return
        from inspect_tui.shop.common.find import Subject
        from inspect_tui.shop.feature import material as feature_data
        from inspect_tui.shop.feature.material import Pick

        one = self.trend
        if one.main.of == "tool" and one.tool is not None:
            pick = Pick(one.view.job, one.feature, Subject(one.tool.label, tool=one.tool))
        elif one.main.of == "core":
            pick = Pick(one.view.job, one.feature, Subject(feature_data.ALL_CORES), "core")
        else:
            pick = Pick(one.view.job, one.feature, Subject(feature_data.ALL_CASTINGS), "casting")
        self.app.look_at = pick
        self.app.call_later(self.app.go, "feature")

    def action_back(self) -> None:
        """From what it says to the chart, from there to the list, from there to the places."""
        if self.page == CHART and (self.telling or self.second is not None):
            self.telling, self.second = False, None
        elif self.page != LIST:
            self.page = LIST
        else:
            self.app.action_places()
            return
        self.show()

    def action_help(self) -> None:
        """All keys of this place."""
        from inspect_tui.tui.help import WORDS, HelpScreen

        self.app.push_screen(HelpScreen("Trends", self.BINDINGS, trends_text.WORDS + WORDS))

    def leave(self) -> None:
        """Answers that are still on their way are not waited for."""
        self.asked += 1
        self.away = True
