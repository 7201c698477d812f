"""Feature: the place where one feature is looked at whole; figures are made beside the screen, which never waits."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult
from textual.message import Message
from textual.widgets import Static
from textual.worker import Worker, WorkerState, get_current_worker

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.record.ask import series
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.material import EVERYTHING, Pick
from inspect_tui.tui import todo
from inspect_tui.tui.feature import choose as feature_choose
from inspect_tui.tui.feature import figures as feature_figures
from inspect_tui.tui.feature import text as feature_text
from inspect_tui.tui.feature.figures import Figures, Wish
from inspect_tui.tui.feature.keys import FeatureKeys
from inspect_tui.tui.feature.text import BUDGET, CHART, READINGS

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.record.read import Reader

FOOT = "1-6 pages  ←→ reading  k chart  f feature  o tool  w only  F1 keys  F10 places"


class Found(Message):
    """Figures that a thread has made, for the question of that number."""

    def __init__(self, asked: int, found: dict[str, Any]) -> None:
        super().__init__()
        self.asked, self.found = asked, found


class FeatureScreen(FeatureKeys):
    """Summary, chart, histogram, who measured, raw readings and budget of one feature on a tool or on castings."""

    DEFAULT_CSS = """
    FeatureScreen { layout: vertical; }
    FeatureScreen #head { height: 1; }
    FeatureScreen #tabs { height: 1; }
    FeatureScreen #body { height: 1fr; }
    FeatureScreen #say { height: 2; }
    FeatureScreen #foot { height: 1; background: $panel; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._asked = 0  # number of the newest question put to the record; older answers are dropped
        self._away = False

    # ---------------------------------------------------------------- arriving and drawing
    def compose(self) -> ComposeResult:
        """Head, pages, the page itself, one sentence, foot."""
        yield Static(id="head")
        yield Static(id="tabs")
        yield Static(id="body")
        yield Static(id="say")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """The first frame shows what is asked for; the figures follow."""
        self.arrive()

    def on_screen_resume(self) -> None:
        """Back from another place, not from a question: readings may have come, another feature may be asked for."""
        if self._away:
            self._away = False
            self.arrive()

    def on_resize(self) -> None:
        """Everything is drawn to the size at hand."""
        self.show()

    def arrive(self) -> None:
        """Look at what the Bench asked for, or at its current feature; else at what was looked at before."""
        asked, self.app.look_at = self.app.look_at, None
        bench = self.app.bench
        if asked is not None:
            self.only, self.page = EVERYTHING, CHART
            self.look(asked)
        elif self.pick is not None:
            self.look(self.pick)
        elif bench is not None and bench.task is not None:
            self.look(feature_data.of_bench(bench.job, bench.task.feature, bench.subject))
        else:
            self.say("Choose what to look at: o a tool or all castings, f a feature.")
            self.show()

    def look(self, pick: Pick) -> None:
        """Show this feature; everything is read again."""
        if self.pick is None or (self.pick.feature.id, self.pick.subject.label) != (
            pick.feature.id,
            pick.subject.label,
        ):
            self.at, self.row, self.scroll = None, 0, 0
        self.pick, self.figures = pick, Figures()
        self._asked += 1
        self.show()
        wish = Wish(
            pick=pick, only=self.only, revisions=self.revisions, kind=self.kind, group=self.group, median=self.median
        )
        self._ask(lambda reader, answer: feature_figures.gather(reader, wish, answer), "wrong")

    def again(self) -> None:
        """Read everything again."""
        if self.pick is not None:
            self.look(self.pick)

    def show(self) -> None:
        """Draw what is known; nothing is computed here but the drawing."""
        width, height = self.size
        if not width or not self.is_mounted:
            return
        head = feature_text.head(self.pick, self.only, width, self.record.read_only)
        self.query_one("#head", Static).update(head)
        self.query_one("#tabs", Static).update(feature_text.tabs(self.page, width))
        self.query_one("#body", Static).update(self._body(width, max(height - 5, 4)))

    def _body(self, width: int, height: int) -> Text:
        figures = self.figures
        if self.pick is None:
            return Text("nothing chosen yet", style="dim")
        if figures.wrong:
            return Text(figures.wrong, style="bold red")
        if self.page == CHART and figures.view is not None:
            return feature_text.chart_page(figures.view, width, height, self.at, self.show_band)
        if self.page == READINGS and figures.material is not None:
            return self._readings(width, height)
        text = feature_text.page(self.page, figures, width)
        shown, self.scroll = feature_text.window(text, self.scroll, height)
        return shown

    def _readings(self, width: int, height: int) -> Text:
        figures, room = self.figures, max(height - 1, 1)
        assert figures.material is not None
        self.row = min(max(self.row, 0), max(len(figures.newest) - 1, 0))
        top = self.row // room * room
        if figures.rows_from != top:  # a screenful, by their ids
            figures.rows = series.page(self.record, figures.newest[top : top + room])[::-1]
            figures.rows_from = top
        text = feature_text.readings_head(figures.material, top, len(figures.rows), width)
        chosen = figures.newest[self.row] if figures.newest else None
        text.append_text(
            feature_text.reading_rows(
                figures.rows, chosen, figures.items, width, feature_text.today_of(), figures.marked
            )
        )
        return text

    # ---------------------------------------------------------------- figures, made beside the screen
    def _ask(self, work: Callable[[Reader, feature_figures.Answer], None], complaint: str) -> None:
        asked = self._asked

        def run() -> None:
            worker = get_current_worker()

            def answer(**found: Any) -> bool:
                if worker.is_cancelled or asked != self._asked:
                    return False
                return self.post_message(Found(asked, found))

            try:
                with self.record.reader() as reader:
                    work(reader, answer)
            except InspectError as problem:
                answer(**{complaint: todo.said(problem)})

        self.run_worker(run, thread=True, exit_on_error=False, group="figures")

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Say it when figures could not be made; the screen stays usable."""
        if event.state is WorkerState.ERROR:
            error = event.worker.error
            self.figures.wrong = f"These figures could not be made ({error}). The readings are not touched."
            self.show()

    def on_found(self, message: Found) -> None:
        """Figures came: keep and show them, unless something else was asked for meanwhile."""
        if message.asked != self._asked:
            return
        for name, value in message.found.items():
            setattr(self.figures, name, value)
        if "material" in message.found and self.page == BUDGET:
            self._ask_budget()
        self.show()
        if self.at is not None:
            self.say_point()

    def _ask_budget(self, instrument: Instrument | None = None) -> None:
        """The budget of the reading under the cursor, or of one to be taken with the instrument at hand."""
        pick, bench = self.pick, self.app.bench
        if pick is None or (instrument is None and self.figures.material is None):
            return
        with_what = instrument or (bench.means.instrument if bench and bench.means else None)
        person, reading = bench.person if bench else None, None if instrument else self.marked_id()
        self.figures.budget, self.figures.no_budget = None, ""
        self._ask(
            lambda reader, answer: feature_figures.gather_budget(
                reader, pick, reading, with_what, person, feature_text.today_of(), answer
            ),
            "no_budget",
        )

    def action_page(self, page: int) -> None:
        """Open a page."""
        if self.page == READINGS and page == BUDGET:
            self.at = None  # the cursor of the list counts
        self.page, self.scroll = page, 0
        if page == BUDGET:
            self._ask_budget()
        self.show()
        self.say_point()

    # ---------------------------------------------------------------- choosing
    def action_kind(self) -> None:
        """Choose the kind of chart."""
        feature_choose.kind(self)

    def action_group(self) -> None:
        """Choose what makes a subgroup of the means."""
        feature_choose.group(self)

    def chart_as(self, kind: str, group: int | str | None = None) -> None:
        """Draw another kind of chart, or other subgroups."""
        self.kind, self.page, self.at = kind, CHART, None
        self.group = self.group if group is None else group
        self.again()

    def action_median(self) -> None:
        """Take the limits from the median moving range, or from the mean again."""
        self.median = not self.median
        self.again()
        self.say(f"Limits from the {'median' if self.median else 'mean'} moving range.")

    def action_band(self) -> None:
        """Show or hide the limits of the band in the chart."""
        self.show_band = not self.show_band
        self.show()

    def action_revisions(self) -> None:
        """With the readings on older drawings, or without."""
        self.revisions = not self.revisions
        self.again()
        self.say("With readings on older drawings." if self.revisions else "Only readings on the newest drawing.")

    def action_feature(self) -> None:
        """Choose another feature of this tool or of the castings."""
        feature_choose.feature(self)

    def action_subject(self) -> None:
        """Choose another tool or casting, or all castings of the job."""
        feature_choose.subject(self)

    def action_only(self) -> None:
        """Look only at one person, instrument, lot or casting; or at all again."""
        feature_choose.only(self)

    def action_instrument(self) -> None:
        """The budget of a reading to be taken with another instrument."""
        feature_choose.instrument(self)

    def plan_with(self, instrument: Instrument) -> None:
        """Show the budget of a reading to be taken with this instrument."""
        self.page = BUDGET
        self._ask_budget(instrument)
        self.show()

    # ---------------------------------------------------------------- taking a reading out of count
    def action_void(self) -> None:
        """Take the reading under the cursor out of count; it stays, struck, with who, when and why."""
        marked = self.marked_id() if self.page == READINGS or self.at is not None else None
        if self.page == READINGS and self.figures.newest:
            marked = self.figures.newest[self.row]
        logged = self.record.reading(marked) if marked else None
        if logged is None:
            self.say("Mark a reading first: page 4 with the arrows, or the cursor on the chart of single readings.")
        elif logged.out:
            self.say("That reading is out of count already.", "bold yellow")
        elif self.record.read_only:
            self.say(self.record.read_only_why, "bold red")
        else:
            feature_choose.void(self, logged)

    def void(self, logged: LoggedReading, person: Person, reason: str, why: str | None) -> None:
        """Write that the reading does not count; `why` None leaves it as it is."""
        if not why:
            self.say("Nothing was taken out.")
            return
        try:
            self.record.void(logged.reading.id, reason, why, by=person.id)
        except InspectError as problem:
            self.say(f"Not taken out: {todo.said(problem)}", "bold red")
            return
        if self.app.bench is not None:
            self.app.bench.refresh()
        self.at = None
        self.again()
        self.say(f"taken out  {logged.reading.value:g}: struck, not counted ({person.initials}: {why})", "bold")

    # ---------------------------------------------------------------- leaving, help
    def action_back(self) -> None:
        """Back to the Bench, or to the list of places where none is open."""
        if self.app.bench is not None:
            self.app.go("bench")
        else:
            self.app.to_places()

    def action_help(self) -> None:
        """All keys of this place."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Feature", self.BINDINGS))

    def leave(self) -> None:
        """Answers that are still on their way are not waited for."""
        self._asked += 1
        self._away = True
