"""The open sampling on the screen: its grid, the entry that owns the keyboard, the pages that a search fills."""

from __future__ import annotations

import gc
from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.text import Text
from textual.app import ComposeResult
from textual.containers import Horizontal, VerticalScroll
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Person
from inspect_tui.shop.bench.outcomes import Asked, Logged, Refused
from inspect_tui.shop.common.sizes import bare_unit
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings import rounds as rounds_of
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.together.marks import Mark, nearest, on
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.first_article import pages
from inspect_tui.tui.first_article import text as texts
from inspect_tui.tui.first_article.grid import CastingGrid
from inspect_tui.tui.first_article.pages import Answer
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.place import Place, Work

if TYPE_CHECKING:
    from inspect_tui.model.work import Job

SEARCH = "search"


class OpenSampling(Place):
    """Fill a sampling and see what it says of the tools; `FirstArticleScreen` adds the keys."""

    DEFAULT_CSS = """
    OpenSampling #pages { height: 1; }
    OpenSampling #grid { height: 1fr; }
    OpenSampling #about { height: 6; border-top: solid $primary; }
    OpenSampling #line { height: 1; }
    OpenSampling #prompt { width: 22; height: 1; text-style: bold; }
    OpenSampling #page { height: 1fr; padding: 0 1; }
    OpenSampling #sheet { height: auto; }
    """
    NAME = "First article"
    FOOT = "F1 keys  F3 who  F4 with  Ctrl+U page  F8 pass  F9 back  Shift+F8 decide  F10"

    def __init__(self) -> None:
        super().__init__()
        self.sampling: Sampling | None = None
        self.filling: Filling | None = None
        self.job: Job | None = None
        self.show_expected = False
        self.loaded: dict[str, str] = {}  # the form of the last file that was taken in
        self.found: Answer | None = None  # what the last search said, None while it is out of date
        self._wish: tuple[int, Callable[[Answer], None]] | None = None  # what waits for the answer, and on which page
        self._frontier: dict[str, int] = {}  # the end of the record as of which the readings are here

    @property
    def grid(self) -> CastingGrid:
        """The grid."""
        return self.query_one("#grid", CastingGrid)

    @property
    def page_name(self) -> str:
        """The page that is turned to."""
        return texts.PAGES[self.page]

    @property
    def searching(self) -> bool:
        """Whether the search is at work."""
        return self.waits_for(SEARCH)

    @property
    def person(self) -> Person | None:
        """Who measures this sampling."""
        return self.filling.person if self.filling else None

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
        yield Static(id="trouble")
        yield Panel(self.foot(), id="foot")

    def arrive(self) -> None:
        """The newest sampling of the job at hand; come back to, what was written meanwhile."""
        if self.job is not None:
            self.returned()
            return
        self.turn_to(self.page)
        bench = self.app.bench
        jobs = self.record.jobs()
        job = bench.job if bench else (jobs[-1] if jobs else None)
        if job is None:
            self.say("No jobs yet. The Jobs place (F10) makes one.")
            return
        self.open(job, None)

    def restyled(self) -> None:
        """The sampling is read anew: its sentences hold figures. The cell that was at hand stays."""
        if self.job is not None and self.sampling is not None:
            at, before = (self.grid.row, self.grid.column), self.filling
            self.settle()
            self.open(self.job, self.sampling.round.label)
            self.grid.go(*at)
            if before is not None and self.filling is not None:  # what was said of this stay holds on
                for said in ("by_casting", "work_c", "instrument_c", "table_zero"):
                    setattr(self.filling, said, getattr(before, said))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A Tab that ends a reading of the gauge in hand is not the one that goes to the next casting."""
        entry = self.query(Entry).first() if action == "move" and parameters == (0, 1) else None
        if entry is not None and entry.value and "tab" in entry.end_keys:
            return False
        return super().check_action(action, parameters)

    def returned(self) -> None:
        """Back from another place or from a question: what was written meanwhile shows here."""
        if self.sampling is None:
            if self.job is not None and self.record.frontier() != self._frontier:
                self.open(self.job, None)
            return
        now = self.record.frontier()
        if now == self._frontier:
            self.search_if_needed()
            return
        try:
            self.sampling.reload()
        except InspectError as problem:
            self.say(todo.said(problem), "bold red")
            return
        self._read_as_of(now)
        self.out_of_date()
        self.grid.show(self.sampling)
        self.show()
        self.search_if_needed()

    def _read_as_of(self, frontier: dict[str, int]) -> None:
        """The readings are here as of that end of the record.

        They stay: looking through a thousand castings' readings for garbage costs 40 ms each time.
        """
        self._frontier = frontier
        gc.freeze()

    def open(self, job: Job, label: str | None) -> None:
        """Show a sampling of a job, the newest without a label."""
        record = self.record
        frontier = record.frontier()
        try:
            sampling = Sampling(record, job, rounds_of.pick_round(record, job, label), self.app.written)
        except InspectError as problem:
            self.say(f"{todo.said(problem)} Ctrl+V begins one, Ctrl+L takes a file in.")
            self.sampling, self.filling = None, None
            self.job, self._frontier = job, frontier
            self.show()
            return
        before = self.filling
        bench = self.app.bench
        person = before.person if before else (bench.person if bench else None)
        instrument = before.instrument if before else (bench.means.instrument if bench and bench.means else None)
        self.sampling, self.job = sampling, job
        self._read_as_of(frontier)
        self.out_of_date()
        self.filling = Filling(record, sampling, person, instrument)
        self.filling.style, self.filling.typed_in = self.app.written, self.app.typed_in
        self.grid.show(sampling)
        first = self.filling.next_open(len(sampling.requirements) - 1, len(sampling.castings) - 1)
        if first is not None:
            self.grid.go(*first)
        self.say(self._welcome())
        self.show()
        self.search_if_needed()

    def _welcome(self) -> str:
        assert self.sampling
        cells = ((row, item) for row in self.sampling.requirements for item in self.sampling.castings)
        left = sum(self.sampling.is_open(row.feature, item, row.state) for row, item in cells)
        whole = [line for item in self.sampling.castings[:60] for line in self.sampling.doubts(item).lines]
        asked = sum(len(line.balloons) for line in whole)
        doubt = f" {asked} readings are in question (units, rows): Ctrl+R puts them right." if asked else ""
        said = f"{left} to measure. Type a reading and press Enter." if left else "Everything here is measured."
        return said + doubt

    def head(self, width: int) -> Text:
        """Job and sampling, who fills it with what."""
        apart = self.apart_words()
        return texts.header(self.sampling, self.filling, self.record.read_only, width, self.app.written, apart)

    def apart(self) -> list[Mark]:
        """Of the current cell, its casting and its size, then of the whole job."""
        marks, feature, item = self.app.together.marks, self.grid.feature, self.grid.casting
        keys = [on(item.id, feature.id), item.id, feature.id] if item is not None and feature is not None else []
        lot = self.sampling.round.lot_id if self.sampling is not None else None
        return nearest(marks.at(*keys, lot or b""), marks.of_job(self.job.of_id if self.job is not None else None))

    def draw(self, width: int, height: int) -> None:
        """The pages and the current cell."""
        self.grid.marks = self.app.together.marks
        self.grid.refresh()
        self.put("#pages", texts.pages(self.page_name, width))
        if self.sampling is None:
            return
        self.put("#about", texts.cell_about(self.sampling, self.grid, self.show_expected, width, self.app.written))
        feature, item = self.grid.feature, self.grid.casting
        prompt = ""
        if feature and item and self.filling is not None:
            unit = bare_unit(feature, self.filling.instrument, self.filling.typed_in)
            prompt = f"{feature.balloon} {item.serial}"[-(18 - len(unit)) :] + f" {unit} ▏"
        self.put("#prompt", prompt.rjust(22))

    def on_casting_grid_moved(self) -> None:
        """Another cell is current."""
        self.show()

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """Log one line for the current cell; what could not be used goes back into the field."""
        row, item = self.grid.required, self.grid.casting
        if self.filling is None or row is None or item is None:
            self.say("There is no casting to measure yet: Ctrl+V adds some.")
            return text
        asked = self.filling.asked
        try:
            outcome = self.filling.take(row, item, text, gap_s)
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
        judged = outcome.judged.standing
        self.say(texts.logged_words(outcome, serial, self.app.written), texts.STYLE.get(judged, "bold"))
        if judged is Standing.DOES_NOT_CONFORM:
            self.app.bell_if_on()
        row = self.grid.row_of(outcome.task.feature.balloon, outcome.task.sizes.state)
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
        """Before the program or this place is left."""
        super().leave()
        self.settle()

    def changed(self, said: str) -> None:
        """Something about the readings was put right: read them again and say what was done."""
        if self.sampling is not None:
            frontier = self.record.frontier()
            self.sampling.reload()
            self._read_as_of(frontier)
            self.out_of_date()
            self.grid.show(self.sampling)
        self.show()
        self.say(said, "bold green")
        self.search_if_needed()

    # ---------------------------------------------------------------- pages, and the search that fills them
    def turn_to(self, page: int) -> None:
        """Show a page; on the readings the entry owns the keyboard."""
        self.page = page
        readings = page == 0
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
        if self.page:
            width = max(self.size.width - 5, 40)  # padding and the bar
            text = pages.page_text(self.page_name, self.found, self.searching, width, self.app.written)
            self.query_one("#sheet", Static).update(text)

    def search_if_needed(self) -> None:
        """Begin a search where a page wants one and what was found no longer counts."""
        if self.page and self.found is None and self.sampling is not None and not self.searching:
            self.ask(SEARCH, self._search(self.sampling.job, self.sampling.round.label), self._arrived)
            self.fill_page()

    def _search(self, job: Job, label: str) -> Work:
        written = self.app.written
        return lambda reader, answer: answer(found=pages.answer(reader, job, label, written))

    def out_of_date(self) -> None:
        """What was found no longer counts, nor what is still being searched for."""
        self.found = None
        self.forget(SEARCH)

    def _arrived(self, found: Answer) -> None:
        self.found = found
        self.fill_page()
        wish, self._wish = self._wish, None
        if wish is not None and self.is_current and self.page == wish[0]:
            self.say("")
            self.with_answer(wish[1])

    def with_answer(self, use: Callable[[Answer], None]) -> None:
        """Use the answer of the search; says so while there is none yet."""
        if self.found is not None and self.found.article is not None:
            use(self.found)
        elif self.found is not None and self.found.problem:
            self.say(self.found.problem)
        else:
            self.turn_to(self.page or 1)
            self._wish = (self.page, use)
            self.search_if_needed()
            self.say("The search for causes is at work …")
