"""What can be done on the Kit place beyond looking: measure next, set the order, write fits, cores, shipments down."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.text import Text
from textual.screen import Screen
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.model.work import Job
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.kit import edit as kit_edit
from inspect_tui.shop.kit.facts import KitData
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.tui import todo
from inspect_tui.tui.choosers import Chooser
from inspect_tui.tui.kit import forms as kit_forms
from inspect_tui.tui.kit import forms_more as kit_forms_more
from inspect_tui.tui.kit import pages as kit_pages
from inspect_tui.tui.kit.work import Loaded

if TYPE_CHECKING:
    from inspect_tui.record.store import Record
    from inspect_tui.tui.app import InspectApp


class KitActions(Screen[None]):
    """The writing half of the Kit place."""

    app: InspectApp
    job: Job | None
    loaded: Loaded | None
    page_name: str
    _core: str
    _key: str

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    def reload(self) -> None:
        """Check the kit again, beside the screen."""
        raise NotImplementedError

    def say(self, text: str, style: str = "") -> None:
        """One sentence at the foot."""
        self.query_one("#say", Static).update(Text(text, style=style))

    @property
    def fit_line(self) -> FitLine | None:
        """The fit that is chosen on the page of fits."""
        if self.loaded is None or self.page_name != "fits":
            return None
        return kit_pages.fit_of(self.loaded, self._key)

    def action_measure(self) -> None:
        """Go to the Bench with the tool and size that would take away most doubt."""
        if self.loaded is None or self.job is None:
            return
        following = self.loaded.check.next
        line = self.fit_line
        if line is not None:
            names = {s.feature.balloon for s in (line.print, line.seat) if s.feature}
            following = tuple(n for n in following if n.balloon in names) or following
        if not following:
            self.say("Nothing that was written down is in doubt: read what the boxes still lack.")
            return
        one = following[0]
        tool = next((t for t in self.loaded.check.data.tools if t.label == one.tool), None)
        if tool is None:
            return
        self.app.open_bench(self.job.of_id, Subject(tool.label, tool=tool))
        bench = self.app.bench
        if bench is not None and bench.subject.tool is not None and bench.subject.tool.of_id == tool.of_id:
            try:
                bench.goto(one.balloon)
            except InspectError as problem:
                self.say(todo.said(problem))

    def attempt(self, act: Callable[[], str]) -> None:
        """Write something, check the kit again and say what was done; or say why nothing was written."""
        try:
            done = act()
        except InspectError as problem:
            self.say(todo.said(problem), "bold red")
            return
        self.reload()
        self.say(done, "bold green")

    @property
    def by(self) -> bytes | None:
        """The id of who sits at the Bench."""
        person = self.app.bench.person if self.app.bench else None
        return person.id if person else None

    def _data(self, loaded: Loaded) -> KitData:
        """The facts as they were read; what a form still asks of the record goes by this thread's connection."""
        loaded.check.data.record = self.record
        return loaded.check.data

    def action_move(self, by: int) -> None:
        """Set the chosen core earlier or later; a seat that forbids it is named."""
        if self.job is None or not self._core.isdigit():
            self.say("Choose a core first.")
            return
        job, number = self.job, int(self._core)

        def act() -> str:
            order = kit_edit.move_core(self.record, job, number, by, self.by)
            return f"set in the order {', '.join(order)}"

        self.attempt(act)

    def action_new(self) -> None:
        """Write down a fit; on other pages a loop, a passage, what leaves the shop, or a drawing made of a sample."""
        if self.loaded is None or self.job is None:
            return
        data = self._data(self.loaded)
        if self.page_name == "shipping":
            kit_forms.ship(self, data)
        elif self.page_name == "passages":
            kit_forms_more.new_passage(self, data)
        elif self.page_name == "walls":
            kit_forms_more.new_loop(self, data)
        elif self.page_name != "sample":
            kit_forms.new_fit(self, data)
        elif self.loaded.sample is not None and self.loaded.sample.sizes:
            kit_forms.adopt_sample(self, data, self.loaded.sample)

    def action_change(self) -> None:
        """Change the chosen fit, mark a size of a sample, or say more about the chosen core."""
        if self.loaded is None or self.job is None:
            return
        line, taken = self.fit_line, self.loaded.sample
        size = next((s for s in taken.sizes if s.feature.balloon == self._key), None) if taken else None
        if self.page_name == "sample":
            if size is not None:
                kit_forms.mark_sample(self, size)
        elif self.page_name == "shipping":
            kit_forms_more.came_back(self, self._data(self.loaded))
        elif line is not None:
            kit_forms.change_fit(self, self._data(self.loaded), line.fit)
        elif self._core.isdigit():
            core = next(c for c in self.loaded.check.data.cores if str(c.number) == self._core)
            kit_forms.core_detail(self, self._data(self.loaded), core)
        else:
            self.say("Choose a core or, on the page of fits, a fit.")

    def action_drop(self) -> None:
        """Take the chosen fit out of the kit, once asked."""
        line = self.fit_line
        if line is None:
            self.say("Choose a fit on the page of fits (f) first.")
            return
        rows = [(False, f"keep {line.name}"), (True, f"take {line.name} out of the kit; it stays in the record")]

        def chosen(yes: bool | None) -> None:
            if yes:
                self.attempt(lambda: f"{kit_edit.drop_fit(self.record, line.fit, self.by).name} is out of the kit")

        self.app.push_screen(Chooser(f"{line.name}: {line.inner} in {line.outer}", rows), chosen)

    def action_parting(self) -> None:
        """Say at which heights the parting lies: which ends are the cope's and which the drag's."""
        if self.loaded is not None:
            kit_forms.parting(self, self._data(self.loaded))

    def action_picture(self) -> None:
        """Attach a picture file to the chosen core."""
        if self.loaded is not None and self._core.isdigit():
            core = next(c for c in self.loaded.check.data.cores if str(c.number) == self._core)
            kit_forms.picture(self, core)
        else:
            self.say("Choose a core first.")
