"""The keys of the Gauges place and what each one does; the screen itself only draws and works things out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList

from inspect_tui.errors import InspectError
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges import trace as gauge_trace
from inspect_tui.shop.gauges.instruments import Fitness, GaugeLine
from inspect_tui.tui import choosers, todo
from inspect_tui.tui.choosers import NEW, Chooser
from inspect_tui.tui.gauges import forms as gauges_forms
from inspect_tui.tui.gauges.work import ABOUT, BIAS, GOOD

if TYPE_CHECKING:
    from inspect_tui.shop.gauges.findings import Finding
    from inspect_tui.shop.gauges.routine import Routine
    from inspect_tui.shop.gauges.trace import Trace
    from inspect_tui.tui.program import Program

WORDS = """
Gauges
  U             expanded uncertainty of the certificate (95 %), k its coverage factor
  bias          reading less truth: + reads high. It is recorded as a fact; readings stay as they are
  2 guard/band  what the doubt takes of the band on both sides; from 100 % on: never "conforms"
  repeatability one person, one piece, again and again; reproducibility: between people
  Shares of the band up to 10 % are usually called good, up to 30 % usable with care: widespread practice, no standard.
"""


class GaugesKeys(Screen[None]):
    """Every key of the place as a binding with an id, and its action; `GaugesScreen` says and shows."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Keys", id="gauges.help"),
        Binding("f2", "app.command_palette", "All commands", id="gauges.palette"),
        Binding("a", "look('about')", "About the instrument", id="gauges.about"),
        Binding("g", "good", "What it is good enough for; again: castings or the open tool", id="gauges.good"),
        Binding("h", "look('checks')", "Its checks over time", id="gauges.checks"),
        Binding("b", "bias", "A bias traced back over earlier readings; again: the next one", id="gauges.bias"),
        Binding("t", "type_bias", "Type a bias that came to light otherwise", id="gauges.type"),
        Binding("y", "confirm", "Record the bias that is shown", id="gauges.confirm"),
        Binding("d", "look('daily')", "What everyday readings say", id="gauges.daily"),
        Binding("k", "check", "Quick check with a reference piece", id="gauges.check"),
        Binding("c", "certificate", "Add a certificate", id="gauges.certificate"),
        Binding("s", "studies", "Gauge studies: take up, look at", id="gauges.studies"),
        Binding("n", "new_study", "Plan a gauge study", id="gauges.study"),
        Binding("i", "new_instrument", "A new instrument", id="gauges.new"),
        Binding("pageup", "page(-1)", "A page up", id="gauges.up", priority=True),
        Binding("pagedown", "page(1)", "A page down", id="gauges.down", priority=True),
        Binding("f10,escape", "app.places", "Places", id="gauges.places"),
    ]

    app: Program

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[GaugeLine] = []
        self.view = ABOUT
        self.on_tool = True  # good for: the open tool, or the castings
        self.fitness: list[Fitness] = []
        self.found: Sequence[Finding] = ()
        self.typed: Finding | None = None  # a bias that somebody typed, in place of what is found
        self.at = 0
        self.traced: Trace | None = None
        self.routine: Routine | None = None
        self.checks_say = ""
        self.wrong = ""
        self._chosen: bytes | None = None
        self._asked = 0  # number of the newest question; answers to older ones are dropped
        self._ready = -1  # number of the question that was answered last

    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    @property
    def job(self) -> Job | None:
        """The job that is open at the Bench, else the only one."""
        return self.app.bench.job if self.app.bench else gauges.open_job(self.record, None)

    @property
    def person(self) -> Person | None:
        """Who sits at the Bench."""
        return self.app.bench.person if self.app.bench else None

    @property
    def line(self) -> GaugeLine | None:
        """The instrument that is chosen."""
        at = self.query_one("#gauges", OptionList).highlighted
        return self.lines[at] if at is not None and at < len(self.lines) else None

    # ---------------------------------------------------------------- what the screen does for the keys
    def reload(self, wanted: bytes | None = None) -> None:
        """Read the instruments again; `wanted` (of_id) stays chosen."""
        raise NotImplementedError

    def choose(self) -> None:
        """Another instrument, or another side of it: what was worked out before is left."""
        raise NotImplementedError

    def ask_again(self) -> None:
        """Ask the record anew; answers to older questions are dropped."""
        raise NotImplementedError

    def ask_next(self) -> None:
        """Work out the finding at `at`, with the findings as they are."""
        raise NotImplementedError

    def say(self, text: str, style: str = "") -> None:
        """One sentence at the foot."""
        raise NotImplementedError

    def progress(self, one: GaugeLine) -> list[tuple[str, str, str]]:
        """Title, design and how far it is of every study of an instrument."""
        raise NotImplementedError

    # ---------------------------------------------------------------- looking
    def action_look(self, view: str) -> None:
        """Show another side of the instrument."""
        self.view = view
        self.say("")
        self.choose()

    def action_good(self) -> None:
        """What it is good enough for, features ranked; again: the castings instead of the open tool, or back."""
        if self.view == GOOD:
            self.on_tool = not self.on_tool
        self.action_look(GOOD)

    def action_bias(self) -> None:
        """What checks and certificates show, traced back over the readings; again: the next finding."""
        if self.view == BIAS and len(self.found) > 1:
            self.at = (self.at + 1) % len(self.found)
            self.ask_next()
            return
        self.action_look(BIAS)

    def action_page(self, by: int) -> None:
        """Up or down in what is shown on the right."""
        scroll = self.query_one("#scroll", VerticalScroll)
        scroll.scroll_relative(y=by * max(scroll.size.height - 2, 1), animate=False)

    def action_help(self) -> None:
        """All keys, and the words of gauges."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Gauges", self.BINDINGS, WORDS))

    # ---------------------------------------------------------------- doing
    def _wrote(self, what: str, well: bool) -> None:
        """Something was written, or could not be; the Bench must not go on with what it knew before."""
        if self.app.bench is not None:
            self.app.bench.forget_gauges()
        self.reload(self.line.instrument.of_id if self.line else None)
        self.say(what, "bold green" if well else "bold red")

    def _with_person(self, use: Callable[[Person], None]) -> None:
        if self.record.read_only:
            self.say(f"Nothing can be written: {self.record.read_only_why}", "bold red")
        elif self.person is not None:
            use(self.person)
        else:
            choosers.person(self.app, self.record, use)

    def action_certificate(self) -> None:
        """Add a certificate to this instrument."""
        if (one := self.line) is not None:
            self._with_person(lambda by: gauges_forms.certificate(self.app, self.record, one, by, self._wrote))

    def action_check(self) -> None:
        """Read a reference piece before work, and hear whether the instrument is within its certificate."""
        if (one := self.line) is not None:
            self._with_person(lambda by: gauges_forms.check(self.app, self.record, one, by, self._wrote))

    def action_type_bias(self) -> None:
        """Type a bias that came to light otherwise, and trace it back."""
        if (one := self.line) is not None:
            gauges_forms.bias(self.app, self.record, one, self._typed_bias)

    def _typed_bias(self, made: Finding) -> None:
        self.view = BIAS
        self.choose()
        self.typed = made
        self.ask_again()

    def action_confirm(self) -> None:
        """Record the bias that is shown as a fact; the readings stay as they are."""
        one = self.line
        if one is None or self.view != BIAS or not self.found or self.traced is None:
            self.say("b shows a bias first; y then records it.")
            return
        finding = self.found[self.at]

        def write(person: Person) -> None:
            try:
                gauge_trace.confirm(self.record, person, one.instrument, finding)
            except InspectError as problem:
                self._wrote(f"Not recorded: {todo.said(problem)}", False)
                return
            self.view = ABOUT
            until = finding.to_on or "now"
            self._wrote(
                f"Recorded: {one.instrument.label} {finding.bias:+.3f} mm, {finding.from_on} to {until}. "
                "The readings stay as they are.",
                True,
            )

        self._with_person(write)

    def action_studies(self) -> None:
        """Take up a study of this instrument, look at one that is complete, or plan another."""
        if (one := self.line) is None:
            return
        rows: list[tuple[Any, str]] = [
            (study, f"{title:<24} {design:<10} {far}")
            for study, (title, design, far) in zip(one.studies, self.progress(one), strict=True)
        ]
        rows.append((NEW, "+ plan a study"))

        def chosen(what: Any) -> None:
            if what == NEW:
                self.action_new_study()
            elif what is not None:
                self._open_study(what)

        self.app.push_screen(Chooser(f"Gauge studies of {one.instrument.label}", rows), chosen)

    def _open_study(self, study: GaugeStudy) -> None:
        from inspect_tui.tui.gauges.study_screen import StudyScreen

        self.app.push_screen(StudyScreen(self.record, study), lambda said: self._wrote(said or "", True))

    def action_new_study(self) -> None:
        """Plan a study: who reads which pieces how often, in blind random order."""
        if (one := self.line) is not None:
            self._with_person(
                lambda by: gauges_forms.study(self.app, self.record, one, by, self.job, self._open_study, self._wrote)
            )

    def action_new_instrument(self) -> None:
        """Add an instrument to the list."""
        choosers.instrument(self.app, self.record, lambda made: self.reload(made.of_id), self.person)

    def commands(self) -> Iterable[SystemCommand]:
        """Every key of this place as a command of the palette."""
        for binding in self.BINDINGS:
            if isinstance(binding, Binding) and "." not in binding.action and binding.show:
                name, _, argument = binding.action.partition("(")
                method = getattr(self, f"action_{name}")
                given = argument.rstrip(")").strip("'")
                run = (lambda m=method, g=given: m(g)) if given else method
                yield SystemCommand(binding.description, (method.__doc__ or "").strip(), run)
