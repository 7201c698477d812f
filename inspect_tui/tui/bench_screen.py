"""Bench: the place where readings are logged; a one-line entry owns the keyboard, function keys do the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen

from inspect_tui.errors import InspectError
from inspect_tui.shop.bench import Asked, Bench, Logged, Refused
from inspect_tui.tui import bench_text
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.panel import Panel

if TYPE_CHECKING:
    from inspect_tui.tui.app import InspectApp

PROMPT = 14
FOOT = "F1 keys  F3 who  F4 with  F7 back  F8 skip  F9 take back  F10 places"


class BenchScreen(Screen[None]):
    """Log readings on one tool or casting."""

    DEFAULT_CSS = """
    BenchScreen { layout: vertical; }
    BenchScreen #head { height: 1; }
    BenchScreen #middle { height: 1fr; }
    BenchScreen #list { width: 28; padding: 0 1 0 0; }
    BenchScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    BenchScreen #now { height: 5; }
    BenchScreen #line { height: 1; }
    BenchScreen #prompt { width: 14; height: 1; text-style: bold; }
    BenchScreen #say { height: 2; }
    BenchScreen #below { height: 1fr; }
    BenchScreen #foot { height: 1; background: $panel; }
    BenchScreen.-wide #list { width: 46; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
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
        Binding("ctrl+t", "conditions", "Temperature and moisture", id="bench.conditions"),
        Binding("ctrl+b", "bell", "Bell on or off", id="bench.bell"),
        Binding("ctrl+u", "budget", "Where the uncertainty comes from", id="bench.budget"),
        Binding("escape", "clear", "Clear the entry", show=False),
    ]

    app: InspectApp

    def __init__(self) -> None:
        super().__init__()
        self.show_target = True
        self.show_budget = False
        self.outcome: Logged | None = None
        self.voided = False
        self._shown: Bench | None = None
        self._below = Text()
        self._looking_back = False

    @property
    def bench(self) -> Bench:
        """The stay at the bench that the program has open."""
        assert self.app.bench
        return self.app.bench

    # ---------------------------------------------------------------- what is on the screen
    def compose(self) -> ComposeResult:
        """Head, list, the feature to measure, the entry, the last line, earlier readings, foot."""
        yield Panel(id="head")
        with Horizontal(id="middle"):
            yield Panel(id="list")
            with Vertical(id="right"):
                yield Panel(id="now")
                with Horizontal(id="line"):
                    yield Panel(id="prompt")
                    yield Entry(self.take, on_empty_key=self._empty_key, id="entry")
                yield Panel(id="say")
                yield Panel(id="below")
        yield Panel(FOOT, id="foot")

    def on_mount(self) -> None:
        """The entry owns the keyboard; the first frame shows everything."""
        self.query_one("#entry", Entry).focus()

    def arrive(self) -> None:
        """Show the stay that is open now; on another tool nothing is left of the one before."""
        if not self.size.width:
            return  # not laid out yet; the resize that follows brings us here again
        if self._shown is not self.bench:
            self._shown = self.bench
            self.outcome = None
            self.show_target = self.bench.subject.tool is not None
            self.say(self._welcome())
        self.show()

    def on_resize(self) -> None:
        """Everything is drawn to the width at hand."""
        self.arrive()

    def on_screen_resume(self) -> None:
        """Back from another place: another tool may be open, the list may have changed."""
        if self._shown is not None:
            self.arrive()

    def _welcome(self) -> str:
        left = self.bench.to_do
        return f"{left} to measure. Type a reading and press Enter." if left else "Everything here is measured."

    def say(self, text: str, style: str = "") -> None:
        """One sentence under the entry."""
        self._put("#say", Text(text, style=style))

    def _put(self, panel: str, text: Text) -> None:
        self.query_one(panel, Panel).put(text)

    def show(self) -> None:
        """Draw what the bench knows; nothing is computed here but the drawing."""
        bench = self.bench
        width, height = self.size
        if not width:
            return
        wide = width >= 120
        list_width = 45 if wide else 27
        room = max(width - list_width - 4, 20)
        self._put("#head", bench_text.header(bench, width))
        self._put("#list", bench_text.worklist(bench, list_width, height - 2))
        self._put("#now", bench_text.now(bench, room, self.show_target, ()))
        self._put("#prompt", Text(self._prompt()))
        below = Text()
        if self.outcome is not None:
            below.append("╌" * room + "\n", style="dim")
            below.append_text(bench_text.last(self.outcome, room, self.voided))
            if wide or self.show_budget:
                below.append_text(bench_text.budget_table(self.outcome, room))
        self._below = below
        self._put("#below", below)
        if not self._looking_back:
            self._looking_back = True
            self.call_after_refresh(self._look_back, room)

    def _look_back(self, room: int) -> None:
        """Earlier readings of the feature at hand, once the verdict is on the screen."""
        self._looking_back = False
        bench, task = self.bench, self.bench.task
        if task is None or not self.is_current:
            return
        readings = bench.readings_of(task)
        if self.show_target:
            earlier = [r.reading.value for r in readings if not r.out]
            self._put("#now", bench_text.now(bench, room, True, earlier))
        if self.show_target or self.outcome:
            text = self._below.copy()
            text.append("╌" * room + "\n", style="dim")
            text.append_text(bench_text.recent(readings, task, room, 8, bench.today))
            self._put("#below", text)

    def _prompt(self) -> str:
        task = self.bench.task
        unit = "mm"
        if task is not None:
            instrument = self.bench.means.instrument if self.bench.means else None
            unit = bench_text.unit_of(task.feature, instrument.unit if instrument else "mm")
        balloon = task.feature.balloon if task else ""
        return f"{balloon} {unit} ▏"[-20:].ljust(PROMPT)

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """Log one line; what could not be used goes back into the field."""
        try:
            outcome = self.bench.take(text, gap_s)
        except InspectError as problem:
            self.say(f"Not logged: {problem}", "bold red")
            self.app.bell_if_on()
            return text
        if isinstance(outcome, Refused):
            waiting = len(self.query_one("#entry", Entry).waiting)
            behind = f" {waiting} lines wait behind it (Escape drops them)." if waiting else ""
            self.say(f"Not logged: {outcome.sentence}{behind}", "bold red" if outcome.text else "dim")
            return outcome.text
        if isinstance(outcome, Asked):
            other = f"; = logs it on {outcome.balloon}" if outcome.balloon else ""
            take_over = f"; = takes {outcome.suggestion}" if outcome.suggestion else other
            self.say(f"Not logged yet: {outcome.sentence} Or type it again{take_over}.", "bold yellow")
            self.app.bell_if_on()
            return None
        self._logged(outcome)
        return None

    def _logged(self, outcome: Logged) -> None:
        self.outcome, self.voided = outcome, False
        answer = outcome.judged.verdict.answer.value
        values = " ".join(bench_text.shown(outcome.judged.sizes, r.value) for r in outcome.readings)
        kept = "  (kept as typed)" if outcome.readings[0].slip == "asked_kept" else ""
        count = f"  ({outcome.task.n} on this {outcome.task.sizes.kind_word} so far)" if outcome.task.n > 1 else ""
        self.say(f"logged  {outcome.task.feature.balloon} {values}{kept}{count}", "bold green")
        if answer == "does not conform":
            self.app.bell_if_on()
        self.show()

    def _empty_key(self, character: str) -> bool:
        if character == "?":
            self.action_help()
            return True
        if character == "=" and self.bench.pending is not None:
            self.take("=", 1.0)
            return True
        return False

    # ---------------------------------------------------------------- actions
    def action_move(self, by: int) -> None:
        """Up or down the list; a reading that is being asked about is kept as typed first."""
        self._settle()
        self.bench.move(by)
        self.show()

    def action_skip(self) -> None:
        """Pass over this feature; it stays to be measured."""
        self._settle()
        self.bench.skip()
        self.say("Skipped; it stays on the list.")
        self.show()

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
            self.say(f"Not taken back: {problem}", "bold red")
            return
        if taken is None:
            self.say("Nothing logged in this stay to take back. Older readings: Ctrl+F, page 4.")
            return
        task, readings = taken
        self.voided = True
        values = " ".join(bench_text.shown(task.sizes, r.value) for r in readings)
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
        from inspect_tui.shop.feature_data import of_bench

        self._settle()
        if self.bench.task is not None:
            self.app.look_at = of_bench(self.bench.job, self.bench.task.feature, self.bench.subject)
            self.app.go("feature")

    def action_note(self) -> None:
        """Write a note to the last reading."""
        from inspect_tui.tui.choosers import ask_text

        def keep(text: str | None) -> None:
            if text:
                kept = self.bench.note(text)
                self.say("Note kept." if kept else "No reading in this stay to put a note to.")
                self.show()

        ask_text(self.app, "Note to the last reading", keep)

    def action_conditions(self) -> None:
        """Say how warm (and a wooden tool: how moist) the work is."""
        from inspect_tui.tui.choosers import ask_conditions

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
                self.say(str(problem), "bold red")
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
            self.say(f"Not logged: {problem}", "bold red")
            return
        if kept:
            self._logged(kept)

    def leave(self) -> None:
        """Called before the program or this place is left."""
        self._settle()

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
