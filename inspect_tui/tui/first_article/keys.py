"""The keys of the first-article place and what each asks; the screen itself draws, takes lines and turns pages."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.first_article import ask
from inspect_tui.tui.first_article.grid import CastingGrid
from inspect_tui.tui.panel import Panel

if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.model.work import Job
    from inspect_tui.shop.first_article.filling import Filling
    from inspect_tui.shop.first_article.sampling import Sampling
    from inspect_tui.tui.first_article.pages import Answer
    from inspect_tui.tui.program import Program


class FirstArticleKeys(Screen[None]):
    """Every key as a binding with an id, and its action; `FirstArticleScreen` does what is declared below them."""

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
        Binding("ctrl+f", "feature", "Look at this feature whole", id="first.feature", priority=True),
        Binding("ctrl+n", "next_open", "Next one to measure", id="first.next"),
        Binding("ctrl+o", "round", "Another sampling or job", id="first.round"),
        Binding("ctrl+s", "new_round", "A new sampling, or castings to this one", id="first.new"),
        Binding("ctrl+l", "load", "Take readings in from a CSV or XLSX file", id="first.load"),
        Binding("ctrl+r", "put_right", "Put a reading in question right", id="first.right_it"),
        Binding("ctrl+a", "accept", "Take cuts over as work", id="first.accept", priority=True),
        Binding("ctrl+t", "temperature", "Temperature of the castings", id="first.temperature"),
        Binding("ctrl+d", "datums", "Datum targets that hold the castings", id="first.datums", priority=True),
        Binding("ctrl+z", "zero", "Heights over the table: where the datum stands", id="first.zero"),
        Binding("f12", "report", "Give the report out (papers)", id="first.report"),
        Binding("escape", "clear", "Clear the entry", show=False),
    ]

    app: Program
    sampling: Sampling | None
    filling: Filling | None
    job: Job | None
    found: Answer | None  # what the last search said, None while it is out of date
    show_expected: bool
    loaded: dict[str, str]  # the form of the last file that was taken in

    @property
    def grid(self) -> CastingGrid:
        """The grid."""
        return self.query_one("#grid", CastingGrid)

    def say(self, text: str, style: str = "") -> None:
        """One sentence at the foot."""
        self.query_one("#say", Panel).put(Text(text, style=style))

    # ---------------------------------------------------------------- what the screen does
    def show(self) -> None:
        """Draw what stands around the grid."""
        raise NotImplementedError

    def settle(self) -> None:
        """Keep a reading that is being asked about."""
        raise NotImplementedError

    def open(self, job: Job, label: str | None) -> None:
        """Show a sampling."""
        raise NotImplementedError

    def changed(self, sentence: str) -> None:
        """Read everything again and say what was done."""
        raise NotImplementedError

    def out_of_date(self) -> None:
        """What the search found no longer counts."""
        raise NotImplementedError

    def with_answer(self, use: Callable[[Answer], None]) -> None:
        """Use what the search found."""
        raise NotImplementedError

    # ---------------------------------------------------------------- keys
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
            self.say(f"Not taken back: {todo.said(problem)}", "bold red")
            return
        if taken is None:
            self.say("Nothing logged here in this stay to take back.")
            return
        item, balloon = taken
        self.out_of_date()
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

    def action_load(self) -> None:
        """Take readings in from a CSV or XLSX file, all of it or nothing."""
        from inspect_tui.tui.first_article import load as first_article_load

        first_article_load.load(self)

    def action_datums(self) -> None:
        """List, add, change or take away the datum targets of the job."""
        from inspect_tui.tui.first_article import datums as first_article_datums

        first_article_datums.ask(self)

    def action_put_right(self) -> None:
        """Choose a reading in question and put it right."""
        self.with_answer(lambda found: ask.put_right(self, found))

    def action_accept(self) -> None:
        """Take cuts of the list over as work."""
        self.with_answer(lambda found: ask.accept(self, found))

    def action_report(self) -> None:
        """Fix the content in the record and write papers."""
        ask.report(self)
