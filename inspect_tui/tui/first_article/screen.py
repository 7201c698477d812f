"""First article: castings against the drawing, filled by hand, with causes, cuts, stock and rounds a page further."""

from __future__ import annotations

import gc
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from rich.text import Text
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.shop.bench.outcomes import Asked, Logged, Refused
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.first_article import rounds as rounds_of
from inspect_tui.shop.first_article.filling import Filling
from inspect_tui.shop.first_article.sampling import Sampling
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.first_article import text as texts
from inspect_tui.tui.first_article.grid import CastingGrid
from inspect_tui.tui.first_article.pages import page_text
from inspect_tui.tui.first_article.search import FirstArticleSearch
from inspect_tui.tui.panel import Panel

if TYPE_CHECKING:
    from inspect_tui.model.work import Job
    from inspect_tui.tui.program import Program

FOOT = "F1 keys  F3 who  F4 with  F5 size  F6 page  F7 order  F8 cannot  F10 places"


class FirstArticleScreen(FirstArticleSearch):
    """Fill a sampling and see what it says of the tools."""

    DEFAULT_CSS = """
    FirstArticleScreen { layout: vertical; }
    FirstArticleScreen #head, FirstArticleScreen #pages, FirstArticleScreen #foot { height: 1; }
    FirstArticleScreen #foot { background: $panel; }
    FirstArticleScreen #grid { height: 1fr; }
    FirstArticleScreen #about { height: 6; border-top: solid $primary; }
    FirstArticleScreen #line { height: 1; }
    FirstArticleScreen #prompt { width: 22; height: 1; text-style: bold; }
    FirstArticleScreen #say { height: 2; }
    FirstArticleScreen #page { height: 1fr; padding: 0 1; }
    FirstArticleScreen #sheet { height: auto; }
    """
    app: Program

    def __init__(self) -> None:
        super().__init__()
        self.sampling = None
        self.filling = None
        self.job = None
        self.show_expected = False
        self.loaded = {}
        self.page = "readings"
        self._frontier: dict[str, int] = {}  # the end of the record as of which the readings are here

    # ---------------------------------------------------------------- what is on the screen
    def compose(self) -> ComposeResult:
        """Head, pages, the grid with the current cell and the entry, or the page that is turned to."""
        yield Panel(id="head")
        yield Panel(id="pages")
        yield CastingGrid(id="grid")
        yield Panel(id="about")
        with Horizontal(id="line"):
            yield Panel(id="prompt")
            yield Entry(self.take, on_empty_key=self._empty_key, id="entry")
        with VerticalScroll(id="page"):
            yield Static(id="sheet")
        yield Panel(id="say")
        yield Panel(FOOT, id="foot")

    def on_mount(self) -> None:
        """Open the newest sampling of the job at hand."""
        self.turn_to("readings")
        bench = self.app.bench
        jobs = self.app.record.jobs()
        job = bench.job if bench else (jobs[-1] if jobs else None)
        if job is None:
            self.say("No jobs yet. The Jobs place (F10) makes one.")
            return
        self.open(job, None)

    def on_resize(self) -> None:
        """Everything is drawn to the width at hand."""
        self.show()

    def on_screen_resume(self) -> None:
        """Back from another place or from a question: what was written meanwhile shows here."""
        if self.is_mounted and self.sampling is not None:
            now = self.app.record.frontier()
            if now == self._frontier:
                return
            try:
                self.sampling.reload()
            except InspectError as problem:
                self.say(todo.said(problem), "bold red")
                return
            self._loaded(now)
            self.out_of_date()
            self.grid.show(self.sampling)
            self.show()
            self.search_if_needed()

    def _loaded(self, frontier: dict[str, int]) -> None:
        """The readings are here as of that end of the record.

        They stay: looking through a thousand castings' readings for garbage costs 40 ms each time.
        """
        self._frontier = frontier
        gc.freeze()

    def open(self, job: Job, label: str | None) -> None:
        """Show a sampling of a job, the newest without a label."""
        record = self.app.record
        frontier = record.frontier()
        try:
            sampling = Sampling(record, job, rounds_of.pick_round(record, job, label))
        except InspectError as problem:
            self.say(f"{todo.said(problem)} Ctrl+S begins one, Ctrl+L takes a file in.")
            self.sampling, self.filling = None, None
            self.job = job
            self.show()
            return
        before = self.filling
        bench = self.app.bench
        person = before.person if before else (bench.person if bench else None)
        instrument = before.instrument if before else (bench.means.instrument if bench and bench.means else None)
        self.sampling, self.job = sampling, job
        self._loaded(frontier)
        self.out_of_date()
        self.filling = Filling(record, sampling, person, instrument)
        self.grid.show(sampling)
        first = self.filling.next_open(len(sampling.features) - 1, len(sampling.castings) - 1)
        if first is not None:
            self.grid.go(*first)
        self.say(self._welcome())
        self.show()
        self.search_if_needed()

    def _welcome(self) -> str:
        assert self.sampling
        left = sum(self.sampling.is_open(f, i) for f in self.sampling.features for i in self.sampling.castings)
        whole = [line for item in self.sampling.castings[:60] for line in self.sampling.doubts(item).lines]
        asked = sum(len(line.balloons) for line in whole)
        doubt = f" {asked} readings are in question (units, rows): Ctrl+R puts them right." if asked else ""
        said = f"{left} to measure. Type a reading and press Enter." if left else "Everything here is measured."
        return said + doubt

    def show(self) -> None:
        """Draw head, pages and the current cell."""
        width = self.size.width
        if not width or not self.is_mounted:
            return
        read_only = self.app.record.read_only
        self.query_one("#head", Panel).put(texts.header(self.sampling, self.filling, read_only, width))
        self.query_one("#pages", Panel).put(texts.pages(self.page, width))
        if self.sampling is None:
            return
        self.query_one("#about", Panel).put(texts.cell_about(self.sampling, self.grid, self.show_expected, width))
        feature, item = self.grid.feature, self.grid.casting
        prompt = f"{feature.balloon} {item.serial}"[-19:] + " ▏" if feature and item else ""
        self.query_one("#prompt", Panel).put(Text(prompt.rjust(22)))

    def on_casting_grid_moved(self) -> None:
        """Another cell is current."""
        self.show()

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """Log one line for the current cell; what could not be used goes back into the field."""
        feature, item = self.grid.feature, self.grid.casting
        if self.filling is None or feature is None or item is None:
            self.say("There is no casting to measure yet: Ctrl+S adds some.")
            return text
        asked = self.filling.asked
        try:
            outcome = self.filling.take(feature, item, text, gap_s)
        except InspectError as problem:
            self.say(todo.not_logged(problem), "bold red")
            self.app.bell_if_on()
            return text
        if isinstance(outcome, Refused):
            self.say(f"Not logged: {todo.said(outcome)}", "bold red" if outcome.text else "dim")
            return outcome.text
        if isinstance(outcome, Asked):
            other = f"; = takes {outcome.suggestion}" if outcome.suggestion else ""
            self.say(f"Not logged yet: {todo.said(outcome)} Or type it again{other}.", "bold yellow")
            self.app.bell_if_on()
            return None
        self._logged(outcome, asked[1].serial if asked else item.serial)
        return None

    def _logged(self, outcome: Logged, serial: str) -> None:
        assert self.filling and self.sampling
        self.out_of_date()
        answer_ = outcome.judged.verdict.answer.value
        self.say(texts.logged_words(outcome, serial), texts.STYLE.get(answer_, "bold"))
        if answer_ == "does not conform":
            self.app.bell_if_on()
        row = next((n for n, f in enumerate(self.grid.features) if f.balloon == outcome.task.feature.balloon), 0)
        column = next((n for n, i in enumerate(self.grid.castings) if i.serial == serial), self.grid.column)
        self.grid.changed(row)
        following = self.filling.next_open(row, column)
        if following is not None:
            self.grid.go(*following)
        else:
            self.grid.go(row, column)
        self.show()

    def _empty_key(self, character: str) -> bool:
        if character == "?":
            self.action_help()
            return True
        if character == "=" and self.filling is not None and self.filling.asked is not None:
            self.take("=", 1.0)
            return True
        return False

    def settle(self) -> None:
        """Keep a reading that is being asked about; nothing typed is dropped by walking away."""
        if self.filling is None or self.filling.asked is None:
            return
        serial = self.filling.asked[1].serial
        try:
            kept = self.filling.settle()
        except InspectError as problem:
            self.say(todo.not_logged(problem), "bold red")
            return
        if isinstance(kept, Logged):
            self._logged(kept, serial)

    def leave(self) -> None:
        """Called before the program or this place is left."""
        self.settle()

    # ---------------------------------------------------------------- pages
    def turn_to(self, page: str) -> None:
        """Show a page; on the readings the entry owns the keyboard."""
        self.page = page
        readings = page == "readings"
        for name in ("#grid", "#about", "#line"):
            self.query_one(name).display = readings
        self.query_one("#page").display = not readings
        if readings:
            self.query_one("#entry", Entry).focus()
        else:
            self.query_one("#page").focus()
        self.fill_page()
        self.show()

    def fill_page(self) -> None:
        """Draw the page that is turned to from what was found."""
        if self.page != "readings":
            width = max(self.size.width - 5, 40)  # padding and the bar
            self.query_one("#sheet", Static).update(page_text(self.page, self.found, self.searching, width))

    def action_page(self, by: int) -> None:
        """Turn to the next page, or the one before."""
        self.settle()
        at = texts.PAGES.index(self.page)
        self.turn_to(texts.PAGES[(at + by) % len(texts.PAGES)])
        self.search_if_needed()

    def changed(self, sentence: str) -> None:
        """Something about the readings was put right: read them again and say what was done."""
        assert self.sampling
        frontier = self.app.record.frontier()
        self.sampling.reload()
        self._loaded(frontier)
        self.out_of_date()
        self.grid.show(self.sampling)
        self.show()
        self.say(sentence, "bold green")
        self.search_if_needed()

    # ---------------------------------------------------------------- moving
    def action_move(self, rows: int, columns: int) -> None:
        """To the cell beside; on a page, scroll."""
        if self.page != "readings":
            self.query_one("#page", VerticalScroll).scroll_relative(y=rows, animate=False)
            return
        self.settle()
        self.grid.move(rows, columns)

    def action_leap(self, rows: int, columns: int) -> None:
        """A page of features or castings further."""
        if self.page != "readings":
            self.query_one("#page", VerticalScroll).scroll_relative(y=rows * (self.size.height - 6), animate=False)
            return
        self.settle()
        self.grid.move(rows * self.grid.rows_seen, columns * self.grid.columns_seen)

    def action_next_open(self) -> None:
        """Go to the next cell to measure."""
        if self.filling is None:
            return
        self.settle()
        following = self.filling.next_open(self.grid.row, self.grid.column)
        if following is None:
            self.say("Everything here is measured.")
        else:
            self.grid.go(*following)

    def action_goto(self) -> None:
        """Go to a feature by its balloon or name."""
        from inspect_tui.tui import choosers

        def go(balloon: str | None) -> None:
            if balloon is not None and self.sampling is not None:
                self.turn_to("readings")
                row = next(n for n, f in enumerate(self.grid.features) if f.balloon == balloon)
                self.grid.go(row, self.grid.column)

        if self.sampling is not None:
            self.settle()
            choosers.feature(self.app, self.sampling.features, go)

    def action_feature(self) -> None:
        """Look at this feature whole: chart, histogram, who measured it, every reading."""
        from inspect_tui.shop.feature.material import of_bench

        feature, item = self.grid.feature, self.grid.casting
        if self.sampling is None or feature is None or item is None:
            return
        self.settle()
        self.app.look_at = of_bench(self.sampling.job, feature, Subject(f"casting {item.serial}", item=item))
        self.app.go("feature")

    def commands(self) -> Iterable[SystemCommand]:
        """Every key of this place as a command of the palette."""
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and not binding.action.startswith("app.") and "(" not in binding.action:
                method: Any = getattr(self, f"action_{binding.action}")
                yield SystemCommand(binding.description, (method.__doc__ or "").strip(), method)
        for page in texts.PAGES:
            yield SystemCommand(f"Page: {page}", f"turn to {page}", lambda page=page: self._go_page(page))

    def _go_page(self, page: str) -> None:
        self.turn_to(page)
        self.search_if_needed()
