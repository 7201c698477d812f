"""First article: castings against the drawing, filled by hand, with causes, cuts, stock and rounds a page further."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll

from inspect_tui.errors import InspectError
from inspect_tui.shop.common.find import Subject
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.first_article import questions
from inspect_tui.tui.first_article import text as texts
from inspect_tui.tui.first_article.open_sampling import OpenSampling


class FirstArticleScreen(OpenSampling):
    """The keys of the place, and what each does."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f3", "person", "Who measures", id="first.person"),
        Binding("f4", "instrument", "With what", id="first.instrument"),
        Binding("f5", "expected", "Show or hide the size wanted", id="first.expected"),
        Binding("ctrl+u", "page(1)", "What lies behind: causes, cuts, stock, rounds", id="first.page", priority=True),
        Binding("shift+f6", "page(-1)", "Page before", id="first.page_before"),
        Binding("shift+f7", "order", "Fill by casting or by feature", id="first.order"),
        Binding("f8", "cannot", "Pass over: it cannot be measured, and why (or take that back)", id="first.cannot"),
        Binding("f9,ctrl+z", "void_last", "Take back the last line", id="first.void"),
        Binding("f7,up", "move(-1, 0)", "Back: a feature up", id="first.up", priority=True),
        Binding("down", "move(1, 0)", "A feature down", id="first.down", priority=True),
        Binding("ctrl+left,shift+tab", "move(0, -1)", "A casting to the left", id="first.left", priority=True),
        Binding("ctrl+right,tab", "move(0, 1)", "A casting to the right", id="first.right", priority=True),
        Binding("pageup", "leap(-1, 0)", "A page up", show=False, priority=True),
        Binding("pagedown", "leap(1, 0)", "A page down", show=False, priority=True),
        Binding("ctrl+pageup", "leap(0, -1)", "Castings before", show=False, priority=True),
        Binding("ctrl+pagedown", "leap(0, 1)", "Castings after", show=False, priority=True),
        Binding("ctrl+g", "goto", "Go to a feature", id="first.goto"),
        Binding("ctrl+f", "feature", "Look at this feature whole", id="first.feature", priority=True),
        Binding("f11,ctrl+w", "next_open", "Next one to measure", id="first.next", priority=True),
        Binding("ctrl+o", "round", "Another sampling or job", id="first.round"),
        Binding("ctrl+v", "new_round", "A new sampling, or castings to this one", id="first.new", priority=True),
        Binding("ctrl+l", "load", "Take readings in from a file (CSV, XLSX, ODS, XLS)", id="first.load"),
        Binding("ctrl+r", "put_right", "Again: put a reading in question right", id="first.right_it"),
        Binding("ctrl+n", "accept", "Cuts: take them over as work", id="first.accept", priority=True),
        Binding("ctrl+t", "temperature", "Temperature of the castings", id="first.temperature"),
        Binding("ctrl+d", "datums", "Datum targets that hold the castings", id="first.datums", priority=True),
        Binding("shift+f8", "decide", "Decide what becomes of what does not conform", id="first.decide"),
        Binding("shift+f9", "geometries", "Geometrical tolerances: enter, change, look at", id="first.geometry"),
        Binding("shift+f11", "sign", "Checked, released: by name, or no longer", id="first.sign"),
        Binding("shift+f5", "zero", "Heights over the table: where the datum stands", id="first.zero"),
        Binding("ctrl+s,f12", "report", "Give the report out (papers)", id="first.report"),
        Binding("escape", "clear", "Clear the entry", show=False),
    ]

    def action_page(self, by: int) -> None:
        """Turn to the next page, or the one before."""
        self.settle()
        self._go_page((self.page + by) % len(texts.PAGES))

    def _go_page(self, page: int) -> None:
        self.turn_to(page)
        self.search_if_needed()

    def commands(self) -> Iterator[SystemCommand]:
        """Every key of this place as a command, and every page."""
        yield from super().commands()
        for n, page in enumerate(texts.PAGES):
            yield SystemCommand(f"Page: {page}", f"turn to {page}", lambda n=n: self._go_page(n))

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
        item, (feature, state) = taken
        balloon = feature.balloon
        self.out_of_date()
        row = self.grid.row_of(balloon, state)
        column = next((n for n, i in enumerate(self.grid.castings) if i.id == item.id), 0)
        self.grid.changed(row)
        self.grid.go(row, column)
        self.say(f"taken back  {balloon} on {item.serial}: struck out, not counted; measure it again", "bold")

    def action_person(self) -> None:
        """Choose who measures, or add a person."""
        questions.person(self)

    def action_instrument(self) -> None:
        """Choose what is measured with, or add an instrument."""
        questions.instrument(self)

    def action_temperature(self) -> None:
        """Say how warm the castings are; readings are corrected to 20 °C where the expansion is known."""
        questions.temperature(self)

    def action_zero(self) -> None:
        """Say how high the datum stands over the marking-off table; heights typed then count from it."""
        questions.zero(self)

    def action_cannot(self) -> None:
        """Say why the current cell cannot be measured, or take that back."""
        questions.cannot(self)

    def action_round(self) -> None:
        """Choose another sampling, of this job or another."""
        questions.another_round(self)

    def action_new_round(self) -> None:
        """Begin a new sampling with its castings."""
        questions.new_round(self)

    def action_load(self) -> None:
        """Take readings in from a file, all of it or nothing."""
        from inspect_tui.tui.first_article import load

        load.load(self)

    def action_datums(self) -> None:
        """List, add, change or take away the datum targets of the job."""
        from inspect_tui.tui.first_article import datums

        datums.which(self)

    def action_decide(self) -> None:
        """Say what becomes of a size or geometrical tolerance that does not conform."""
        from inspect_tui.tui.first_article import decisions

        self.settle()
        decisions.decide(self)

    def action_geometries(self) -> None:
        """List, add or change the geometrical tolerances; say how one was looked at."""
        from inspect_tui.tui.first_article import decisions

        self.settle()
        decisions.geometries(self)

    def action_sign(self) -> None:
        """Check or release the first article, or take that back."""
        from inspect_tui.tui.first_article import decisions

        self.settle()
        decisions.sign(self)

    def action_put_right(self) -> None:
        """Choose a reading in question and put it right."""
        self.with_answer(lambda answer: questions.put_right(self, answer))

    def action_accept(self) -> None:
        """Take cuts of the list over as work."""
        self.with_answer(lambda answer: questions.accept(self, answer))

    def action_report(self) -> None:
        """Fix the content in the record and write papers."""
        questions.report(self)

    # ---------------------------------------------------------------- moving
    def action_move(self, rows: int, columns: int) -> None:
        """To the cell beside; on a page, scroll."""
        if self.page:
            self.query_one("#page", VerticalScroll).scroll_relative(y=rows, animate=False)
            return
        self.settle()
        self.grid.move(rows, columns)

    def action_leap(self, rows: int, columns: int) -> None:
        """A page of features or castings further."""
        if self.page:
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
                self.turn_to(0)
                self.grid.go(self.grid.row_of(balloon), self.grid.column)

        if self.sampling is not None:
            self.settle()
            choosers.feature(self.app, self.sampling.features, go)

    def action_feature(self) -> None:
        """Look at this feature whole: chart, histogram, who measured it, every reading."""
        from inspect_tui.shop.feature.material import of_bench

        required, item = self.grid.required, self.grid.casting
        if self.sampling is None or required is None or item is None:
            return
        self.settle()
        subject = Subject(f"casting {item.serial}", item=item)
        self.app.look_at = of_bench(self.sampling.job, required.feature, subject, required.state)
        self.app.go("feature")
