"""Gauges: the place where instruments are looked at: certificates, checks, what each is good for, biases, studies."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.model import GaugeStudy, Job, Person
from inspect_tui.record import Reader, Record
from inspect_tui.shop import gauge_results, gauge_trace, gauges
from inspect_tui.shop.gauges import Fitness, GaugeLine
from inspect_tui.tui import choosers, gauges_forms, gauges_text, gauges_work
from inspect_tui.tui.choosers import NEW, Chooser
from inspect_tui.tui.gauges_work import ABOUT, BIAS, CHECKS, DAILY, GOOD, Found, Question

if TYPE_CHECKING:
    from inspect_tui.shop.gauge_findings import Finding
    from inspect_tui.shop.gauge_routine import Routine
    from inspect_tui.shop.gauge_trace import Trace
    from inspect_tui.tui.app import InspectApp

FOOT = "k check  c certificate  g good for  b bias  s studies  F1 keys  F10 places"
WORDS = """
Gauges
  U             expanded uncertainty of the certificate (95 %), k its coverage factor
  bias          reading less truth: + reads high. It is recorded as a fact; readings stay as they are
  2 guard/band  what the doubt takes of the band on both sides; from 100 % on: never "conforms"
  repeatability one person, one piece, again and again; reproducibility: between people
  Shares of the band up to 10 % are usually called good, up to 30 % usable with care: widespread practice, no standard.
"""


class GaugesScreen(Screen[None]):
    """Instruments and whether they can be trusted."""

    DEFAULT_CSS = """
    GaugesScreen { layout: vertical; }
    GaugesScreen #head { height: 1; }
    GaugesScreen #gauges { width: 28; border: none; height: 1fr; padding: 0; }
    GaugesScreen #right { width: 1fr; padding: 0 1; border-left: solid $primary; }
    GaugesScreen #scroll { height: 1fr; }
    GaugesScreen #body { height: auto; }
    GaugesScreen #say { height: auto; max-height: 4; }
    GaugesScreen #foot { height: 1; background: $panel; }
    GaugesScreen.-wide #gauges { width: 44; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (120, "-wide")]  # noqa: RUF012
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

    app: InspectApp

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

    # ---------------------------------------------------------------- drawing
    def compose(self) -> ComposeResult:
        """The list on the left, the chosen instrument on the right."""
        yield Static(id="head")
        with Horizontal():
            yield OptionList(id="gauges")
            with Vertical(id="right"):
                with VerticalScroll(id="scroll", can_focus=False):
                    yield Static(id="body")
                yield Static(id="say")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """Load; the instrument of the Bench is chosen first."""
        means = self.app.bench.means if self.app.bench else None
        self.reload(means.instrument.of_id if means else None)
        self.query_one("#gauges").focus()

    def on_screen_resume(self) -> None:
        """Back from a check, a study or another place."""
        if self.is_mounted and self.lines:
            self.reload(self.line.instrument.of_id if self.line else None)

    def on_resize(self) -> None:
        """Everything is drawn to the size at hand."""
        if self.lines:
            self.call_after_refresh(self._fill_list)
            self.call_after_refresh(self.show)

    def reload(self, wanted: bytes | None = None) -> None:
        """Read the instruments again; `wanted` (of_id) stays chosen."""
        self.lines = gauges.lines(self.record)
        self._fill_list(wanted)
        if not self.lines:
            self.say("There is no instrument yet: i adds one.")
        one = self.line
        if one is None or one.instrument.of_id != self._chosen:
            self.choose()
        else:
            self._ask_again()

    def _fill_list(self, wanted: bytes | None = None) -> None:
        listed = self.query_one("#gauges", OptionList)
        wanted = wanted or (self.line.instrument.of_id if self.line else None)
        width = 43 if self.size.width >= 120 else 27
        listed.clear_options()
        listed.add_options([Option(gauges_text.list_row(one, width)) for one in self.lines])
        if self.lines:
            places = [i for i, one in enumerate(self.lines) if one.instrument.of_id == wanted]
            listed.highlighted = places[0] if places else 0

    @on(OptionList.OptionHighlighted, "#gauges")
    def _highlighted(self) -> None:
        if self.line is not None and self.line.instrument.of_id != self._chosen:
            self.choose()

    def choose(self) -> None:
        """Another instrument, or another side of it: what was worked out before is left."""
        self._chosen = self.line.instrument.of_id if self.line else None
        self.typed = None
        self.at = 0
        self.query_one("#scroll", VerticalScroll).scroll_home(animate=False)
        self._ask_again()

    def _ask_again(self) -> None:
        """Ask the record anew; answers to older questions are dropped."""
        self._asked += 1
        self.found = (self.typed,) if self.typed else ()
        self.traced, self.checks_say, self.wrong = None, "", ""
        self._work()
        self.show()

    def show(self) -> None:
        """Draw what is known; nothing is computed here."""
        width, height = self.size
        if not width:
            return
        bad = sum(one.state in gauges_text.BAD for one in self.lines)
        head = f" Gauges · {self.record.path.name}"
        head += f" · {bad} {'needs' if bad == 1 else 'need'} a certificate" if bad else ""
        head += "  READ ONLY" if self.record.read_only else ""
        self.query_one("#head", Static).update(Text(head.ljust(width)[:width], style="reverse", no_wrap=True))
        one, body = self.line, self.query_one("#body", Static)
        if one is None:
            body.update("")
            return
        room = max(width - (48 if width >= 120 else 33), 20)
        rows = max(height - 6, 5)
        if self.view == GOOD:
            body.update(gauges_text.good(self.fitness, self._good_title(), room))
        elif self.view == CHECKS:
            checks = self.record.gauge_checks(one.instrument.of_id)
            body.update(gauges_text.checks_text(one, checks, self.checks_say, room, rows))
        elif self.view == BIAS:
            if self.wrong or not self.found:
                quiet = self.wrong or ("" if self._ready == self._asked else "looking through the checks …")
                body.update(Text(quiet) if quiet else gauges_text.bias([], 0, None, room))
            else:
                body.update(gauges_text.bias(self.found, self.at, self.traced, room))
        elif self.view == DAILY:
            body.update(gauges_text.daily(self.routine, self.wrong, room))
        else:
            checks = self.record.gauge_checks(one.instrument.of_id)
            body.update(gauges_text.about(one, self._progress(one), checks, room))

    def _progress(self, one: GaugeLine) -> list[tuple[str, str, str]]:
        found = []
        for study in one.studies:
            there, planned = gauge_results.progress(self.record, study)
            found.append((study.title, study.design, "complete" if there >= planned else f"{there} of {planned} read"))
        return found

    def _good_title(self) -> str:
        job = self.job
        if job is None:
            return "no job is open: open one on the Jobs screen"
        subject = self.app.bench.subject.label if self.app.bench and self.on_tool else "as-cast sizes and fits"
        hands = f", in {self.person.initials}'s hands" if self.person else ""
        return f"{job.number}, {subject}{hands} · g changes"

    def say(self, text: str, style: str = "") -> None:
        """One sentence at the foot."""
        self.query_one("#say", Static).update(Text(text, style=style))

    # ---------------------------------------------------------------- working it out beside the screen
    def _work(self) -> None:
        """Begin what the view needs; answers of older questions are dropped."""
        one = self.line
        if one is None or self.view == ABOUT:
            return
        if self.view == GOOD:
            self._work_good()
            return
        asked, view = self._asked, self.view
        ask = Question(view, one.instrument, self.job, tuple(self.found), self.at)
        reader: Callable[[], Reader] = self.record.reader

        def work() -> None:
            try:
                with reader() as opened:
                    found = gauges_work.answer(opened, ask)
                self.post_message(Found(asked, view, found))
            except InspectError as problem:
                self.post_message(Found(asked, view, None, str(problem)))

        self.run_worker(work, thread=True, exclusive=False, group="gauges")

    def _work_good(self) -> None:
        one, job = self.line, self.job
        self.fitness = []
        if one is None or job is None:
            return
        subject = self.app.bench.subject if self.app.bench and self.on_tool else None
        try:
            self.fitness = gauges.good_for(self.record, job, one.instrument, subject, self.person)
        except InspectError as problem:
            self.say(str(problem), "bold red")

    @on(Found)
    def _take_found(self, message: Found) -> None:
        if message.asked != self._asked:
            return
        self._ready = message.asked
        self.wrong = message.wrong
        if message.what == CHECKS:
            self.checks_say = message.wrong or message.found
        elif message.what == DAILY:
            self.routine = message.found
        elif message.found is not None:
            self.found, self.traced = message.found
        self.show()

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
            self._asked += 1
            self.traced = None
            self._work()
            self.show()
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
        self._ask_again()

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
                self._wrote(f"Not recorded: {problem}", False)
                return
            self.view = ABOUT
            until = finding.to_on or "now"
            self._wrote(
                f"Recorded: {one.instrument.label} {finding.bias:+.3f} mm, {finding.from_on} to {until}. "
                "The readings stay as they are.", True,
            )  # fmt: skip

        self._with_person(write)

    def action_studies(self) -> None:
        """Take up a study of this instrument, look at one that is complete, or plan another."""
        if (one := self.line) is None:
            return
        rows: list[tuple[Any, str]] = [
            (study, f"{title:<24} {design:<10} {far}")
            for study, (title, design, far) in zip(one.studies, self._progress(one), strict=True)
        ]
        rows.append((NEW, "+ plan a study"))

        def chosen(what: Any) -> None:
            if what == NEW:
                self.action_new_study()
            elif what is not None:
                self._open_study(what)

        self.app.push_screen(Chooser(f"Gauge studies of {one.instrument.label}", rows), chosen)

    def _open_study(self, study: GaugeStudy) -> None:
        from inspect_tui.tui.study_screen import StudyScreen

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
