"""First article: castings against the drawing, filled by hand, with causes, cuts, stock and rounds a page further."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.shop import sampling as rounds_of
from inspect_tui.shop.bench import Asked, Logged, Refused
from inspect_tui.shop.filling import Filling
from inspect_tui.shop.sampling import Sampling
from inspect_tui.tui import first_article_ask as ask
from inspect_tui.tui import first_article_text as texts
from inspect_tui.tui.casting_grid import CastingGrid
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.first_article_pages import Answer, answer, page_text
from inspect_tui.tui.panel import Panel

if TYPE_CHECKING:
    from inspect_tui.model import Job
    from inspect_tui.tui.app import InspectApp

FOOT = "F1 keys  F3 who  F4 with  F5 size  F6 page  F7 order  F8 cannot  F10 places"


class FirstArticleScreen(Screen[None]):
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
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Keys", id="first.help"),
        Binding("f2", "app.command_palette", "All commands", id="first.palette"),
        Binding("f3", "person", "Who measures", id="first.person"),
        Binding("f4", "instrument", "With what", id="first.instrument"),
        Binding("f5", "expected", "Show or hide the size wanted", id="first.expected"),
        Binding("f6", "page(1)", "Next page: causes, cuts, stock, rounds", id="first.page"),
        Binding("shift+f6", "page(-1)", "Page before", id="first.page_before"),
        Binding("f7", "order", "Fill by casting or by feature", id="first.order"),
        Binding("f8", "cannot", "Cannot be measured, and why (or take that back)", id="first.cannot"),
        Binding("f9", "void_last", "Take back the last line", id="first.void"),
        Binding("f10", "app.places", "Places", id="first.places"),
        Binding("up", "move(-1, 0)", "A feature up", id="first.up", priority=True),
        Binding("down", "move(1, 0)", "A feature down", id="first.down", priority=True),
        Binding("ctrl+left,shift+tab", "move(0, -1)", "A casting to the left", id="first.left", priority=True),
        Binding("ctrl+right,tab", "move(0, 1)", "A casting to the right", id="first.right", priority=True),
        Binding("pageup", "leap(-1, 0)", "A page up", show=False, priority=True),
        Binding("pagedown", "leap(1, 0)", "A page down", show=False, priority=True),
        Binding("ctrl+pageup", "leap(0, -1)", "Castings before", show=False, priority=True),
        Binding("ctrl+pagedown", "leap(0, 1)", "Castings after", show=False, priority=True),
        Binding("ctrl+g", "goto", "Go to a feature", id="first.goto"),
        Binding("ctrl+n", "next_open", "Next one to measure", id="first.next"),
        Binding("ctrl+o", "round", "Another sampling or job", id="first.round"),
        Binding("ctrl+s", "new_round", "A new sampling, or castings to this one", id="first.new"),
        Binding("ctrl+r", "put_right", "Put a reading that is asked about right", id="first.right_it"),
        Binding("ctrl+a", "accept", "Take cuts over as work", id="first.accept", priority=True),
        Binding("ctrl+t", "temperature", "Temperature of the castings", id="first.temperature"),
        Binding("ctrl+z", "zero", "Heights over the table: where the datum stands", id="first.zero"),
        Binding("f12", "report", "Give the report out (papers)", id="first.report"),
        Binding("escape", "clear", "Clear the entry", show=False),
    ]

    app: InspectApp

    def __init__(self) -> None:
        super().__init__()
        self.sampling: Sampling | None = None
        self.filling: Filling | None = None
        self.show_expected = False
        self.page = "readings"
        self.answer: Answer | None = None  # what the last search said, None while it is out of date
        self.searching = False

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
        self._turn_to("readings")
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
        """Back from another place: what was measured there shows here."""
        if self.is_mounted and self.sampling is not None:
            try:
                self.sampling.reload()
            except InspectError as problem:
                self.say(str(problem), "bold red")
                return
            self.answer = None
            self.grid.show(self.sampling)
            self.show()
            self._search_if_needed()

    @property
    def grid(self) -> CastingGrid:
        """The grid."""
        return self.query_one("#grid", CastingGrid)

    def open(self, job: Job, label: str | None) -> None:
        """Show a sampling of a job, the newest without a label."""
        record = self.app.record
        try:
            sampling = Sampling(record, job, rounds_of.pick_round(record, job, label))
        except InspectError as problem:
            self.say(f"{problem} Ctrl+S begins one.")
            self.sampling, self.filling = None, None
            self.job = job
            self.show()
            return
        before = self.filling
        bench = self.app.bench
        person = before.person if before else (bench.person if bench else None)
        instrument = before.instrument if before else (bench.means.instrument if bench and bench.means else None)
        self.sampling, self.job, self.answer = sampling, job, None
        self.filling = Filling(record, sampling, person, instrument)
        self.grid.show(sampling)
        first = self.filling.next_open(len(sampling.features) - 1, len(sampling.castings) - 1)
        if first is not None:
            self.grid.go(*first)
        self.say(self._welcome())
        self.show()
        self._search_if_needed()

    def _welcome(self) -> str:
        assert self.sampling
        left = sum(self.sampling.is_open(f, i) for f in self.sampling.features for i in self.sampling.castings)
        return f"{left} to measure. Type a reading and press Enter." if left else "Everything here is measured."

    def say(self, text: str, style: str = "") -> None:
        """One sentence at the foot."""
        self.query_one("#say", Panel).put(Text(text, style=style))

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
            self.say(f"Not logged: {problem}", "bold red")
            self.app.bell_if_on()
            return text
        if isinstance(outcome, Refused):
            self.say(f"Not logged: {outcome.sentence}", "bold red" if outcome.text else "dim")
            return outcome.text
        if isinstance(outcome, Asked):
            other = f"; = takes {outcome.suggestion}" if outcome.suggestion else ""
            self.say(f"Not logged yet: {outcome.sentence} Or type it again{other}.", "bold yellow")
            self.app.bell_if_on()
            return None
        self._logged(outcome, asked[1].serial if asked else item.serial)
        return None

    def _logged(self, outcome: Logged, serial: str) -> None:
        assert self.filling and self.sampling
        self.answer = None
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
            self.say(f"Not logged: {problem}", "bold red")
            return
        if isinstance(kept, Logged):
            self._logged(kept, serial)

    def leave(self) -> None:
        """Called before the program or this place is left."""
        self.settle()

    # ---------------------------------------------------------------- pages
    def _turn_to(self, page: str) -> None:
        self.page = page
        readings = page == "readings"
        for name in ("#grid", "#about", "#line"):
            self.query_one(name).display = readings
        self.query_one("#page").display = not readings
        if readings:
            self.query_one("#entry", Entry).focus()
        else:
            self.query_one("#page").focus()
        self._fill_page()
        self.show()

    def _fill_page(self) -> None:
        if self.page != "readings":
            width = max(self.size.width - 5, 40)  # padding and the bar
            self.query_one("#sheet", Static).update(page_text(self.page, self.answer, self.searching, width))

    def action_page(self, by: int) -> None:
        """Turn to the next page, or the one before."""
        self.settle()
        at = texts.PAGES.index(self.page)
        self._turn_to(texts.PAGES[(at + by) % len(texts.PAGES)])
        self._search_if_needed()

    def _search_if_needed(self) -> None:
        if self.page != "readings" and self.answer is None and self.sampling is not None and not self.searching:
            self.searching = True
            self._fill_page()
            self._search(self.sampling.job, self.sampling.round.label)

    @work(thread=True, exclusive=True, group="search")
    def _search(self, job: Job, label: str) -> None:
        found = answer(self.app.record, job, label)
        self.app.call_from_thread(self._found, found, label)

    def _found(self, found: Answer, label: str) -> None:
        self.searching = False
        if self.sampling is None or self.sampling.round.label != label:
            return
        self.answer = found
        self._fill_page()

    def with_answer(self, use: Callable[[Answer], None]) -> None:
        """Use the answer of the search; says so while there is none yet."""
        if self.answer is not None and self.answer.article is not None:
            use(self.answer)
        elif self.answer is not None and self.answer.problem:
            self.say(self.answer.problem)
        else:
            self._turn_to("causes" if self.page == "readings" else self.page)
            self._search_if_needed()
            self.say("The search for causes is at work; ask again when its page is there.")

    def changed(self, sentence: str) -> None:
        """Something about the readings was put right: read them again and say what was done."""
        assert self.sampling
        self.sampling.reload()
        self.answer = None
        self.grid.show(self.sampling)
        self.show()
        self.say(sentence, "bold green")
        self._search_if_needed()

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
                self._turn_to("readings")
                row = next(n for n, f in enumerate(self.grid.features) if f.balloon == balloon)
                self.grid.go(row, self.grid.column)

        if self.sampling is not None:
            self.settle()
            choosers.feature(self.app, self.sampling.features, go)

    # ---------------------------------------------------------------- the other keys
    def action_help(self) -> None:
        """All keys, and the words that are easily mixed up."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("First article", self.BINDINGS))

    def action_expected(self) -> None:
        """Show or hide the size wanted before the reading is in."""
        self.show_expected = not self.show_expected
        self.show()

    def action_order(self) -> None:
        """Fill by casting (down the features) or by feature (across the castings)."""
        if self.filling is not None:
            self.filling.by_casting = not self.filling.by_casting
            way = "by casting: down the features" if self.filling.by_casting else "by feature: across the castings"
            self.say(f"Filled {way}.")

    def action_clear(self) -> None:
        """Clear the entry and drop the waiting lines of a paste."""
        entry = self.query_one("#entry", Entry)
        dropped = entry.drop_waiting()
        if self.filling is not None and self.filling.asked is not None:
            self.settle()
        elif entry.value or dropped:
            entry.value = ""
            self.say(f"Cleared; {dropped} waiting lines dropped." if dropped else "Cleared.")

    def action_void_last(self) -> None:
        """Take back the last line: the readings stay in the record, struck out."""
        taken = None
        try:
            taken = self.filling.void_last() if self.filling else None
        except InspectError as problem:
            self.say(f"Not taken back: {problem}", "bold red")
            return
        if taken is None:
            self.say("Nothing logged here in this stay to take back.")
            return
        item, balloon = taken
        self.answer = None
        row = next((n for n, f in enumerate(self.grid.features) if f.balloon == balloon), 0)
        column = next((n for n, i in enumerate(self.grid.castings) if i.id == item.id), 0)
        self.grid.changed(row)
        self.grid.go(row, column)
        self.say(f"taken back  {balloon} on {item.serial}: struck out, not counted; measure it again", "bold")

    def action_person(self) -> None:
        """Choose who measures, or add a person."""
        ask.person(self)

    def action_instrument(self) -> None:
        """Choose what is measured with, or add an instrument."""
        ask.instrument(self)

    def action_temperature(self) -> None:
        """Say how warm the castings are; readings are corrected to 20 °C where the expansion is known."""
        ask.temperature(self)

    def action_zero(self) -> None:
        """Say how high the datum stands over the marking-off table; heights typed then count from it."""
        ask.zero(self)

    def action_cannot(self) -> None:
        """Say why the current cell cannot be measured, or take that back."""
        ask.cannot(self)

    def action_round(self) -> None:
        """Choose another sampling, of this job or another."""
        ask.another_round(self)

    def action_new_round(self) -> None:
        """Begin a new sampling with its castings."""
        ask.new_round(self)

    def action_put_right(self) -> None:
        """Choose something that is asked about and put it right."""
        self.with_answer(lambda found: ask.put_right(self, found))

    def action_accept(self) -> None:
        """Take cuts of the list over as work."""
        self.with_answer(lambda found: ask.accept(self, found))

    def action_report(self) -> None:
        """Fix the content in the record and write papers."""
        ask.report(self)

    def commands(self) -> Iterable[SystemCommand]:
        """Every key of this place as a command of the palette."""
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and not binding.action.startswith("app.") and "(" not in binding.action:
                method: Any = getattr(self, f"action_{binding.action}")
                yield SystemCommand(binding.description, (method.__doc__ or "").strip(), method)
        for page in texts.PAGES:
            yield SystemCommand(f"Page: {page}", f"turn to {page}", lambda page=page: self._go_page(page))

    def _go_page(self, page: str) -> None:
        self._turn_to(page)
        self._search_if_needed()
