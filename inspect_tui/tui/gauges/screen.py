"""Gauges: the place where instruments are looked at: certificates, checks, what each is good for, biases, studies."""

from __future__ import annotations

from collections.abc import Callable

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.record.read import Reader
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges import results as gauge_results
from inspect_tui.shop.gauges.instruments import GaugeLine
from inspect_tui.tui import todo
from inspect_tui.tui.gauges import text as gauges_text
from inspect_tui.tui.gauges import work as gauges_work
from inspect_tui.tui.gauges.keys import GaugesKeys
from inspect_tui.tui.gauges.work import ABOUT, BIAS, CHECKS, DAILY, GOOD, Found, Question

FOOT = "k check  c certificate  g good for  b bias  s studies  F1 keys  F10 places"


class GaugesScreen(GaugesKeys):
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
            self.ask_again()

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
        self.ask_again()

    def ask_again(self) -> None:
        """Ask the record anew; answers to older questions are dropped."""
        self._asked += 1
        self.found = (self.typed,) if self.typed else ()
        self.traced, self.checks_say, self.wrong = None, "", ""
        self._work()
        self.show()

    def ask_next(self) -> None:
        """Work out the finding at `at`, with the findings as they are."""
        self._asked += 1
        self.traced = None
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
            body.update(gauges_text.about(one, self.progress(one), checks, room))

    def progress(self, one: GaugeLine) -> list[tuple[str, str, str]]:
        """Title, design and how far it is of every study of an instrument."""
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
                self.post_message(Found(asked, view, None, todo.said(problem)))

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
            self.say(todo.said(problem), "bold red")

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
