"""Gauges: the place where instruments are looked at: certificates, checks, what each is good for, biases, studies."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widget import Widget
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.gauges import checks, findings, instruments, pooled, results, trace
from inspect_tui.shop.gauges.instruments import Fitness, InstrumentLine
from inspect_tui.shop.together.marks import Mark, nearest
from inspect_tui.tui import choosers, todo
from inspect_tui.tui.gauges import forms, text
from inspect_tui.tui.place import Answer, Place
from inspect_tui.tui.question import NEW, Listed, choose

if TYPE_CHECKING:
    from inspect_tui.shop.gauges.findings import BiasFinding
    from inspect_tui.shop.gauges.pooled import Pooled
    from inspect_tui.shop.gauges.routine import Routine
    from inspect_tui.shop.gauges.trace import Trace

ABOUT, GOOD, CHECKS, BIAS, DAILY = "about", "good", "checks", "bias", "daily"  # the sides of an instrument
WORDS = """
Gauges
  U             expanded uncertainty of the certificate (95 %), k its coverage factor
  bias          reading less truth: + reads high. It is recorded as a fact; readings stay as they are
  2 guard/band  what the doubt takes of the band on both sides; from 100 % on: never "conforms"
  repeatability one person, one piece, again and again; reproducibility: between people
  Shares of the band up to 10 % are usually called good, up to 30 % usable with care: widespread practice, no standard.
"""


class GaugesScreen(Place):
    """Instruments on the left and whether they can be trusted; on the right one side of the chosen one."""

    DEFAULT_CSS = """
    GaugesScreen #gauges { width: 28; border: none; height: 1fr; padding: 0; }
    GaugesScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    GaugesScreen #scroll { height: 1fr; }
    GaugesScreen #body { height: auto; }
    GaugesScreen #say { height: auto; max-height: 4; }
    GaugesScreen.-wide #gauges { width: 44; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
    NAME = "Gauges"
    FOOT = "k check  c certificate  g good for  b bias  s studies  F1 keys  F10 places"
    WORDS = WORDS
    SAYS_INSIDE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "look('about')", "About the instrument", id="gauges.about"),
        Binding("g", "good", "What it is good enough for; again: castings or the open tool", id="gauges.good"),
        Binding("h", "look('checks')", "Its checks over time", id="gauges.checks"),
        Binding("b", "bias", "A bias traced back over earlier readings; again: the next one", id="gauges.bias"),
        Binding("t", "type_bias", "Type a bias that came to light otherwise", id="gauges.type"),
        Binding("y", "confirm", "Record the bias that is shown", id="gauges.confirm"),
        Binding("x", "take_back", "Take a recorded bias back", id="gauges.take_back"),
        Binding("d", "look('daily')", "What everyday readings say", id="gauges.daily"),
        Binding("k", "check", "Quick check with a reference piece", id="gauges.check"),
        Binding("c", "certificate", "Add a certificate", id="gauges.certificate"),
        Binding("p", "profile", "How it speaks: prefix, letters, end key, port", id="gauges.profile"),
        Binding("o", "in_use", "Take it out of use, or back into use", id="gauges.in_use"),
        Binding("s", "studies", "Gauge studies: take up, look at", id="gauges.studies"),
        Binding("n", "new_study", "Plan a gauge study", id="gauges.study"),
        Binding("i", "new_instrument", "A new instrument", id="gauges.new"),
        Binding("pageup", "leaf(-1)", "A page up", id="gauges.up", priority=True),
        Binding("pagedown", "leaf(1)", "A page down", id="gauges.down", priority=True),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[InstrumentLine] = []
        self.view = ABOUT
        self.on_tool = True  # good for: the open tool, or the castings
        self.fitness: list[Fitness] = []
        self.found: Sequence[BiasFinding] = ()
        self.typed: BiasFinding | None = None  # a bias that somebody typed, in place of what is found
        self.at = 0
        self.traced: Trace | None = None
        self.routine: Routine | None = None
        self.pooled: Pooled | None = None
        self.checks_say = ""
        self.wrong = ""
        self._chosen: bytes | None = None

    # ---------------------------------------------------------------- what is known
    @property
    def job(self) -> Job | None:
        """The job that is open at the Bench, else the only one."""
        return self.app.bench.job if self.app.bench else instruments.open_job(self.record, None)

    @property
    def line(self) -> InstrumentLine | None:
        """The instrument that is chosen."""
        at = self.query_one("#gauges", OptionList).highlighted
        return self.lines[at] if at is not None and at < len(self.lines) else None

    def progress(self, line: InstrumentLine) -> list[tuple[str, str, str]]:
        """Title, design and how far it is of every study of an instrument."""
        studies = []
        for study in line.studies:
            there, planned = results.progress(self.record, study)
            studies.append(
                (study.title, study.design, "complete" if there >= planned else f"{there} of {planned} read")
            )
        return studies

    # ---------------------------------------------------------------- arriving and drawing
    def body(self) -> Iterable[Widget]:
        """The list on the left, the chosen instrument on the right."""
        with Horizontal():
            yield Listed(id="gauges")
            with Vertical(id="right"):
                with VerticalScroll(id="scroll", can_focus=False):
                    yield Static(id="body")
                yield Static(id="say")

    def arrive(self) -> None:
        """Read the instruments again; the chosen one stays chosen, at first that of the Bench."""
        means = self.app.bench.means if self.app.bench else None
        first_time = not self.lines
        wanted = (means.instrument.of_id if means else None) if first_time else None
        self.reload(wanted)
        if first_time:
            self.query_one("#gauges").focus()

    def reload(self, wanted: bytes | None = None) -> None:
        """Read the instruments again; `wanted` (of_id) is chosen, else the one that was."""
        wanted = wanted or (self.line.instrument.of_id if self.line else None)
        self.lines = instruments.lines(self.record, style=self.app.written)
        self._fill_list(wanted)
        if not self.lines:
            self.say("There is no instrument yet: i adds one.")
        line = self.line
        if line is None or line.instrument.of_id != self._chosen:
            self.choose()
        else:
            self.ask_again()

    def _fill_list(self, wanted: bytes | None) -> None:
        listed = self.query_one("#gauges", OptionList)
        width = 43 if self.size.width >= 120 else 27
        with self.prevent(OptionList.OptionHighlighted):
            listed.clear_options()
            marks, style = self.app.together.marks, self.app.written
            said = marks.said if width > 30 else marks.sign
            listed.add_options(
                [Option(text.list_row(line, width, style, said(line.instrument.of_id))) for line in self.lines]
            )
            if self.lines:
                listed.highlighted = next(
                    (i for i, line in enumerate(self.lines) if line.instrument.of_id == wanted), 0
                )

    def on_resize(self) -> None:
        """Everything is drawn to the size at hand, the list too."""
        if self.lines:
            self.call_after_refresh(self.guarded, lambda: self._fill_list(self._chosen))
        super().on_resize()

    @on(OptionList.OptionHighlighted, "#gauges")
    def _highlighted(self) -> None:
        if self.line is not None and self.line.instrument.of_id != self._chosen:
            self.guarded(self.choose)

    def choose(self) -> None:
        """Another instrument, or another side of it: what was worked out before is left."""
        self._chosen = self.line.instrument.of_id if self.line else None
        self.typed = None
        self.at = 0
        self.query_one("#scroll", VerticalScroll).scroll_home(animate=False)
        self.ask_again()

    def ask_again(self) -> None:
        """Ask the record anew; answers to older questions are dropped."""
        self.found = (self.typed,) if self.typed else ()
        self.traced, self.checks_say, self.wrong = None, "", ""
        self._work()
        self.show()

    def heading(self) -> tuple[str, str]:
        """How many instruments need a certificate."""
        bad = sum(line.state in text.BAD for line in self.lines)
        need = f" · {bad} {'needs' if bad == 1 else 'need'} a certificate" if bad else ""
        return f"{self.NAME} · {self.record.path.name}{need}", ""

    def apart(self) -> list[Mark]:
        """Of the instrument that is looked at, then of others and of people."""
        marks = self.app.together.marks
        here = marks.at(self.line.instrument.of_id) if self.line is not None else None
        return nearest(here, [mark for mark in marks.marks if mark.job is None])

    def draw(self, width: int, height: int) -> None:
        """The side of the instrument that is looked at."""
        line = self.line
        self.put("#body", self._side(line, max(width - (48 if width >= 120 else 33), 20), height) if line else "")

    def _side(self, line: InstrumentLine, room: int, height: int) -> Text:
        written = self.app.written
        if self.view == GOOD:
            return text.good(self.fitness, self._good_title(), room, written)
        if self.view == CHECKS:
            read = self.record.gauge_checks(line.instrument.of_id)
            return text.checks_text(line, read, self.checks_say, room, max(height - 4, 5), written)
        if self.view == BIAS:
            if self.wrong or (not self.found and self.waits_for("side")):
                return Text(self.wrong or "looking through the checks …")
            return text.bias(line, self.found, self.at, self.traced, room, written)
        if self.view == DAILY:
            return text.daily(self.routine, self.pooled, self.wrong, room, written, line.instrument.of_id)
        read = self.record.gauge_checks(line.instrument.of_id)
        off = pooled.in_sight(self.record).of(line.instrument)
        return text.about(line, self.progress(line), read, room, written, off)

    def _good_title(self) -> str:
        job = self.job
        if job is None:
            return "no job is open: open one at the Jobs place"
        subject = self.app.bench.subject.label if self.app.bench and self.on_tool else "as-cast sizes and fits"
        hands = f", in {self.person.initials}'s hands" if self.person else ""
        return f"{job.number}, {subject}{hands} · g changes"

    # ---------------------------------------------------------------- working it out beside the screen
    def _work(self) -> None:
        """Begin what the side needs; answers to older questions are dropped."""
        line = self.line
        self.forget("side")
        if line is None or self.view == ABOUT:
            return
        if self.view == GOOD:
            self._work_good(line)
            return
        instrument, written, job = line.instrument, self.app.written, self.job
        if self.view == CHECKS:
            self.ask(
                "side",
                lambda reader, answer: answer(checks_say=checks.course(reader, instrument, written)),
                wrong=lambda said: self.take_in(checks_say=said),
            )
        elif self.view == DAILY:
            self.ask("side", partial(_daily, job=job, style=written), wrong=lambda said: self.take_in(wrong=said))
        else:
            given, at = tuple(self.found), self.at

            def traced(reader: Reader, answer: Answer) -> None:
                listed = given or tuple(findings.findings(reader, instrument))
                back = trace.trace(reader, instrument, listed[at], style=written) if listed else None
                answer(found=listed, traced=back)

            self.ask("side", traced, wrong=lambda said: self.take_in(wrong=said))

    def _work_good(self, line: InstrumentLine) -> None:
        job = self.job
        self.fitness = []
        if job is None:
            return
        subject = self.app.bench.subject if self.app.bench and self.on_tool else None
        try:
            self.fitness = instruments.good_for(
                self.record, job, line.instrument, subject, self.person, style=self.app.written
            )
        except InspectError as problem:
            self.say(todo.said(problem), "bold red")

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
        """What checks, certificates and everyday readings show, traced back; again: the next finding."""
        if self.view == BIAS and len(self.found) > 1:
            self.at, self.traced = (self.at + 1) % len(self.found), None
            self._work()
            self.show()
        else:
            self.action_look(BIAS)

    def action_leaf(self, by: int) -> None:
        """Up or down in what is shown on the right."""
        scroll = self.query_one("#scroll", VerticalScroll)
        scroll.scroll_relative(y=by * max(scroll.size.height - 2, 1), animate=False)

    # ---------------------------------------------------------------- doing
    def wrote(self, said: str, well: bool = True) -> None:
        """Something was written, or could not be; the Bench must not go on with what it knew before."""
        if self.app.bench is not None:
            self.app.bench.forget_gauges()
        self.changed("")
        self.say(said, "bold green" if well else "bold red")

    def action_certificate(self) -> None:
        """Add a certificate to this instrument."""
        if (line := self.line) is not None:
            self.with_person(lambda by: forms.certificate(self, line, by, self.wrote))

    def action_profile(self) -> None:
        """Say how this instrument speaks: prefix, unit letters, end key, its own line; learnt from one reading."""
        if (line := self.line) is not None:
            self.with_person(lambda by: forms.profile(self, line, by, self.wrote))

    def action_in_use(self) -> None:
        """Take this instrument out of use, or back."""
        if (line := self.line) is not None:
            self.with_person(lambda by: forms.in_use(self, line, by, self.wrote))

    def action_check(self) -> None:
        """Read a reference piece before work, and hear whether the instrument is within its certificate."""
        if (line := self.line) is not None:
            self.with_person(lambda by: forms.check(self, line, by, self._checked))

    def _checked(self, last: checks.CheckResult | None) -> None:
        if last is not None:
            self.wrote(last.sentence, last.within)

    def action_type_bias(self) -> None:
        """Type a bias that came to light otherwise, and trace it back."""
        if (line := self.line) is not None:
            forms.bias(self, line, self._typed_bias)

    def _typed_bias(self, made: BiasFinding) -> None:
        self.view = BIAS
        self.choose()
        self.typed = made
        self.ask_again()

    def action_confirm(self) -> None:
        """Record the bias that is shown as a fact; the readings stay as they are."""
        line = self.line
        if line is None or self.view != BIAS or not self.found or self.traced is None:
            self.say("b shows a bias first; y then records it.")
            return
        finding = self.found[self.at]

        def write(person: Person) -> None:
            try:
                trace.confirm(self.record, person, line.instrument, finding, self.app.written)
            except InspectError as problem:
                self.wrote(f"Not recorded: {todo.said(problem)}", well=False)
                return
            self.view = ABOUT
            amount = text.off(line.instrument, finding.bias, self.app.written)
            self.wrote(
                f"Recorded: {line.instrument.label} {amount}, {finding.from_on} to {finding.to_on or 'now'}. "
                "The readings stay as they are."
            )

        self.with_person(write)

    def action_take_back(self) -> None:
        """Say that a recorded bias does not hold; it stays in the record, with why."""
        if (line := self.line) is not None:
            self.with_person(lambda by: forms.take_back(self, line, by, self.wrote))

    def action_studies(self) -> None:
        """Take up a study of this instrument, look at one that is complete, or plan another."""
        if (line := self.line) is None:
            return
        rows: list[tuple[Any, str]] = [
            (study, f"{title:<24} {design:<10} {far}")
            for study, (title, design, far) in zip(line.studies, self.progress(line), strict=True)
        ]
        rows.append((NEW, "+ plan a study"))

        def chosen(what: Any) -> None:
            if what == NEW:
                self.action_new_study()
            else:
                self._open_study(what)

        choose(self, f"Gauge studies of {line.instrument.label}", rows, chosen)

    def _open_study(self, study: GaugeStudy) -> None:
        from inspect_tui.tui.gauges.study_screen import StudyScreen

        self.app.push_screen(StudyScreen(self.record, study), lambda said: self.wrote(said or ""))

    def action_new_study(self) -> None:
        """Plan a study: who reads which pieces how often, in blind random order."""
        if (line := self.line) is not None:
            self.with_person(lambda by: forms.study(self, line, by, self.job, self._open_study))

    def action_new_instrument(self) -> None:
        """Add an instrument to the list."""
        choosers.new_instrument(self.app, self.record, lambda made: self.reload(made.of_id), self.person)


def _daily(reader: Reader, answer: Answer, *, job: Job | None, style: Style) -> None:
    """What everyday readings say: over all sizes, then of the job that is open."""
    from inspect_tui.shop.gauges.routine import routine

    if answer(pooled=pooled.current(reader)):
        answer(routine=routine(reader, job, style=style) if job else None)
