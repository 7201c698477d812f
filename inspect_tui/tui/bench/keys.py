"""The keys of the Bench and what each one does; the screen itself only draws and takes lines."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.record.text import clean
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common.judging import shown
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry

if TYPE_CHECKING:
    from inspect_tui.record.store import Record
    from inspect_tui.shop.first_article.taken_over import Work
    from inspect_tui.tui.app import InspectApp


class BenchKeys(Screen[None]):
    """Every key of the Bench as a binding with an id, and its action; `BenchScreen` says and shows."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Keys", id="bench.help"),
        Binding("f2", "app.command_palette", "All commands", id="bench.palette"),
        Binding("f3", "person", "Who measures", id="bench.person"),
        Binding("f4", "instrument", "With what", id="bench.instrument"),
        Binding("f5", "target", "Show or hide the target", id="bench.target"),
        Binding("f6", "note", "Note to the last reading", id="bench.note"),
        Binding("f7,up", "move(-1)", "Back", id="bench.back", priority=True),
        Binding("down", "move(1)", "Next in the list", id="bench.next", priority=True),
        Binding("pageup", "move(-10)", "Ten up", show=False, priority=True),
        Binding("pagedown", "move(10)", "Ten down", show=False, priority=True),
        Binding("f8", "skip", "Skip", id="bench.skip"),
        Binding("f9", "void_last", "Take back the last line", id="bench.void"),
        Binding("f10", "app.places", "Places", id="bench.places"),
        Binding("ctrl+r", "again", "Measure this one again later", id="bench.again"),
        Binding("ctrl+g", "goto", "Go to a feature", id="bench.goto"),
        Binding("ctrl+o", "subject", "Other tool or casting", id="bench.subject"),
        Binding("ctrl+f", "feature", "Look at this feature whole", id="bench.feature", priority=True),
        Binding("ctrl+n", "cuts", "Cuts to make on this tool; say one is done", id="bench.cuts"),
        Binding("ctrl+t", "conditions", "Temperature and moisture", id="bench.conditions"),
        Binding("ctrl+b", "bell", "Bell on or off", id="bench.bell"),
        Binding("ctrl+u", "budget", "Where the uncertainty comes from", id="bench.budget"),
        Binding("escape", "clear", "Clear the entry", show=False),
    ]

    app: InspectApp
    show_target: bool
    show_budget: bool
    voided: bool

    @property
    def bench(self) -> Bench:
        """The stay at the bench that the program has open."""
        assert self.app.bench
        return self.app.bench

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.bench.record

    def say(self, text: str, style: str = "") -> None:
        """One sentence under the entry."""
        raise NotImplementedError

    def show(self) -> None:
        """Draw what the bench knows."""
        raise NotImplementedError

    def look_for_cuts(self) -> None:
        """Something was done that may close a cut: look again which are still to be made."""
        raise NotImplementedError

    def changed(self, said: str) -> None:
        """Something was entered about the tool at hand."""
        self.say(said, "bold")
        self.look_for_cuts()

    def logged(self, outcome: Logged) -> None:
        """Show a line that is on the disk."""
        raise NotImplementedError

    # ---------------------------------------------------------------- actions
    def action_move(self, by: int) -> None:
        """Up or down the list; a reading that is being asked about is kept as typed first."""
        self._settle()
        self.bench.move(by)
        self._left_in_the_field()
        self.show()

    def action_skip(self) -> None:
        """Pass over this feature; it stays to be measured."""
        self._settle()
        self.bench.skip()
        self.say("Skipped; it stays on the list.")
        self._left_in_the_field()
        self.show()

    def _left_in_the_field(self) -> None:
        text, task = self.query_one("#entry", Entry).value, self.bench.task
        if text.strip() and task is not None:
            self.say(f"{text[:24]} still stands in the field: Enter logs it on {task.feature.balloon}, Esc clears it.")

    def action_again(self) -> None:
        """Mark or unmark this feature to be measured again."""
        on = self.bench.mark_again()
        self.say("On the list to measure again." if on else "Off the list to measure again.")
        self.show()

    def action_void_last(self) -> None:
        """Take back the last line: the readings stay in the record, struck out."""
        try:
            taken = self.bench.void_last()
        except InspectError as problem:
            self.say(f"Not taken back: {todo.said(problem)}", "bold red")
            return
        if taken is None:
            self.say("Nothing logged in this stay to take back. Older readings: Ctrl+F, page 4.")
            return
        task, readings = taken
        self.voided = True
        values = " ".join(shown(task.sizes, r.value) for r in readings)
        self.say(f"taken back  {task.feature.balloon} {values}: struck out, not counted; measure it again", "bold")
        self.show()

    def action_target(self) -> None:
        """Show or hide the size wanted."""
        self.show_target = not self.show_target
        self.show()

    def action_budget(self) -> None:
        """Show or hide where the uncertainty of the last line comes from."""
        self.show_budget = not self.show_budget
        self.show()

    def action_bell(self) -> None:
        """Bell on or off."""
        self.app.bell_on = not self.app.bell_on
        self.say(f"The bell is {'on' if self.app.bell_on else 'off'}.")

    def action_clear(self) -> None:
        """Clear the entry and drop the waiting lines of a paste."""
        entry = self.query_one("#entry", Entry)
        dropped = entry.drop_waiting()
        if self.bench.pending is not None:
            self._settle()
        elif entry.value or dropped:
            entry.value = ""
            self.say(f"Cleared; {dropped} waiting lines dropped." if dropped else "Cleared.")

    def action_help(self) -> None:
        """All keys, and the two words that are easily mixed up."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Bench", self.BINDINGS))

    def action_person(self) -> None:
        """Choose who measures, or add a person."""
        from inspect_tui.tui import choosers

        choosers.person(self.app, self.bench.record, self._with(self.bench.set_person))

    def action_instrument(self) -> None:
        """Choose what is measured with, or add an instrument."""
        from inspect_tui.tui import choosers

        choosers.instrument(self.app, self.bench.record, self._with(self.bench.set_instrument), self.bench.person)

    def action_subject(self) -> None:
        """Choose another tool or casting of this job."""
        from inspect_tui.tui import choosers

        self._settle()
        choosers.subject(self.app, self.bench.record, self.bench.job, self.app.open_subject)

    def action_goto(self) -> None:
        """Go to a feature by its balloon."""
        from inspect_tui.tui import choosers

        choosers.feature(self.app, [t.feature for t in self.bench.tasks], self._with(self.bench.goto))

    def action_feature(self) -> None:
        """Look at this feature whole: chart, histogram, who measured it, every reading."""
        from inspect_tui.shop.feature.material import of_bench

        self._settle()
        if self.bench.task is not None:
            self.app.look_at = of_bench(self.bench.job, self.bench.task.feature, self.bench.subject)
            self.app.go("feature")

    def action_cuts(self) -> None:
        """The cuts that were taken over and are still to be made on this tool."""
        from inspect_tui.tui.bench import cuts as bench_cuts

        self._settle()
        works = self.to_make()
        if works:
            bench_cuts.ask(self, works)
        else:
            self.say(f"No cut is waiting to be made on {self.bench.subject.label}.")

    def to_make(self) -> tuple[Work, ...]:
        """The cuts that are still to be made on the tool at hand; none on a casting."""
        from inspect_tui.shop.first_article.taken_over import to_make

        tool = self.bench.subject.tool
        return to_make(self.bench.record, self.bench.job, tool) if tool is not None else ()

    def action_note(self) -> None:
        """Write a note to the last reading."""
        from inspect_tui.tui.choosers import ask_text

        def keep(text: str | None) -> None:
            if text and self.bench.note(text):
                cleaned = " Control characters were taken out of it." if clean(text) != text else ""
                self.say(f"Note kept.{cleaned}")
                self.show()

        self._settle()
        if not self.bench.can_note:
            self.say("No reading in this stay to put a note to.")
            return
        ask_text(self.app, "Note to the last reading", keep)

    def action_conditions(self) -> None:
        """Say how warm (and a wooden tool: how moist) the work is."""
        from inspect_tui.tui.conditions import ask_conditions

        ask_conditions(self.app, self.bench, self._conditions_noted)

    def _conditions_noted(self) -> None:
        self.say("Conditions noted: the next readings are corrected to 20 °C where the material is known.")
        self.show()

    def _with(self, use: Callable[[Any], None]) -> Callable[[Any], None]:
        def chosen(thing: Any) -> None:
            if thing is None:
                return
            self._settle()
            try:
                use(thing)
            except InspectError as problem:
                self.say(todo.said(problem), "bold red")
            self.app.remember(self.bench)
            self.show()

        return chosen

    def _settle(self) -> None:
        """Keep a reading that is being asked about; nothing typed is dropped by walking away."""
        if self.bench.pending is None:
            return
        try:
            kept = self.bench.keep_pending()
        except InspectError as problem:
            self.say(todo.not_logged(problem), "bold red")
            return
        if kept:
            self.logged(kept)

    def leave(self) -> None:
        """Called before the program or this place is left: what is asked about is kept, what is untyped remembered."""
        self._settle()
        entry = self.query_one("#entry", Entry)
        self.app.remember_unlogged([entry.value, *entry.waiting])

    def commands(self) -> Iterable[SystemCommand]:
        """Every key of this place as a command of the palette."""
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and binding.action.startswith("app.") is False:
                name = binding.action.split("(")[0]
                arguments = (-1,) if binding.action == "move(-1)" else (1,) if binding.action == "move(1)" else ()
                method = getattr(self, f"action_{name}")
                if name == "move" and not arguments:
                    continue
                yield SystemCommand(
                    binding.description, (method.__doc__ or "").strip(), lambda m=method, a=arguments: m(*a)
                )
