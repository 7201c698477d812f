"""A gauge study at the bench: one person at a time, blind, a reading a line; and its pictures when all are there."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.model.measuring import Person
from inspect_tui.record.store import Record
from inspect_tui.report.term import gauge as term_gauge
from inspect_tui.shop.common.sizes import gauge_unit
from inspect_tui.shop.gauges import results
from inspect_tui.shop.gauges.desk import StudyDesk, TrialLogged, TrialRefused
from inspect_tui.tui import todo
from inspect_tui.tui.bench.big_digits import big_digits
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.question import Chooser, OnTop

if TYPE_CHECKING:
    from inspect_tui.shop.gauges.results import Result
    from inspect_tui.tui.program import Program

FOOT_TAKE = "Enter logs  F3 who sits here  F9 read the last again  F1 keys  Esc leave"
FOOT_DONE = "↑↓ PgUp PgDn scroll  F1 keys  Esc back"
WORDS = """
Blind on purpose
  Neither earlier values nor the true size of a piece stand here, and the order is random, so that each reading
  is as honest as the first. A slip cannot be asked about for the same reason: look before you press Enter.
  Leave at any time: the study goes on where it stopped, in the same order.
"""


class Worked(Message):
    """The study has been worked out."""

    def __init__(self, result: Result | None, wrong: str = "") -> None:
        super().__init__()
        self.result, self.wrong = result, wrong


class StudyScreen(OnTop[str]):
    """Take the readings of one study, then show what it says; gives a sentence back when it is left."""

    DEFAULT_CSS = """
    StudyScreen { layout: vertical; }
    StudyScreen #head { height: 1; }
    StudyScreen #now { height: auto; padding: 1 1; }
    StudyScreen #line { height: 1; padding: 0 1; }
    StudyScreen #prompt { width: auto; text-style: bold; }
    StudyScreen #say { height: auto; min-height: 2; max-height: 4; padding: 0 1; }
    StudyScreen #scroll { height: 1fr; padding: 0 1; display: none; }
    StudyScreen #foot { height: 1; background: $panel; dock: bottom; }
    StudyScreen.-done #scroll { display: block; }
    StudyScreen.-done #now, StudyScreen.-done #line, StudyScreen.-done #say { display: none; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Keys", id="study.help"),
        Binding("f3", "sit", "Who sits here now", id="study.sit"),
        Binding("f9", "again", "Read the last piece again: the next reading takes its place", id="study.again"),
        Binding("escape", "done", "Leave; the study goes on later where it stopped", id="study.done"),
    ]

    app: Program

    def __init__(self, record: Record, study: GaugeStudy) -> None:
        super().__init__()
        self.record, self.study = record, study
        self.desk = StudyDesk(record, study)
        self.result: Result | None = None

    def compose(self) -> ComposeResult:
        """Head, the piece to read now, the entry, one sentence; the pictures take their place at the end."""
        yield Static(id="head")
        yield Static(id="now")
        with Horizontal(id="line"):
            yield Static("▏", id="prompt")
            yield Entry(self.take, on_empty_key=self._empty_key, id="entry")
        yield Static(id="say")
        with VerticalScroll(id="scroll"):
            yield Static(id="pictures")
        yield Static(FOOT_TAKE, id="foot")

    def on_mount(self) -> None:
        """The entry owns the keyboard; a complete study shows its pictures at once."""
        self.query_one(Entry).focus()
        self._show()

    def on_resize(self) -> None:
        """Drawn to the width at hand."""
        self._show()

    # ---------------------------------------------------------------- drawing
    def _show(self) -> None:
        desk, width = self.desk, self.size.width
        desk.typed_in = self.app.typed_in
        if not width:
            return
        there = f"{len(desk.done)} of {len(desk.slots)} readings"
        head = f" Gauge study {self.study.title} · {desk.instrument.label} · {there}"
        self.query_one("#head", Static).update(Text(head.ljust(width)[:width], style="reverse", no_wrap=True))
        if desk.complete and desk.slot is None:
            self._finish()
            return
        self.query_one("#now", Static).update(self._now(width))
        unit = {"angle": "deg", "temperature": "C"}.get(
            self.study.quantity or "", gauge_unit(desk.instrument, desk.typed_in)
        )
        self.query_one("#prompt", Static).update(f"{unit} ▏" if desk.slot else "Enter ▏")

    def _now(self, width: int) -> Text:
        desk, out = self.desk, Text()
        room = min(width - 2, 60)
        full = round(len(desk.done) / max(len(desk.slots), 1) * room)
        out.append("█" * full + "·" * (room - full) + "\n\n")
        slot = desk.slot
        if slot is None or desk.person is None:
            turn = desk.turn
            assert turn
            out.append("hand the instrument on\n", style="bold")
            out.append(_big(turn.initials), style="bold")
            out.append(f"{turn.initials} measures next. Empty field and Enter when {turn.initials} sits here; ")
            out.append("F3 when it is somebody else.\n")
            return out
        part = desk.parts[slot.part]
        again = "again " if slot in desk.done else ""
        out.append(f"{desk.person.initials} reads {again}piece\n", style="bold")
        out.append(_big(part.label), style="bold")
        out.append(f"round {slot.trial} of {self.study.trials}, {desk.left} left for {desk.person.initials} in it\n")
        return out

    def _say(self, text: str, style: str = "") -> None:
        self.query_one("#say", Static).update(Text(text, style=style))

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """One line: a reading, or an empty one when the next person has sat down."""
        desk = self.desk
        if desk.slot is None and not text.strip() and desk.turn is not None:
            if gap_s < 0.25:  # the tail of a gauge's line, not a person
                return None
            self._sit(desk.turn)
            return None
        try:
            outcome = desk.take(text, gap_s)
        except InspectError as problem:
            self._say(todo.not_logged(problem), "bold red")
            self.app.bell_if_on()
            return text
        if isinstance(outcome, TrialRefused):
            self._say(f"Not logged: {todo.said(outcome)}", "bold red" if outcome.text else "dim")
            if outcome.text:
                self.app.bell_if_on()
            return outcome.text
        assert isinstance(outcome, TrialLogged)
        label = desk.parts[outcome.slot.part].label
        over = "" if outcome.left else "  This round is done."
        self._say(f"logged  piece {label}, round {outcome.slot.trial}.{over}", "bold green")
        self._show()
        return None

    def _empty_key(self, character: str) -> bool:
        if character == "?":
            self.action_help()
            return True
        return False

    def _sit(self, person: Person) -> None:
        wrong = self.desk.sit(person)
        here = f"{person.initials} sits here. One reading a line; the order is random."
        self._say(wrong or here, "bold" if wrong else "")
        self._show()

    # ---------------------------------------------------------------- the end
    def _finish(self) -> None:
        self.add_class("-done")
        self.query_one("#foot", Static).update(FOOT_DONE)
        if self.result is not None:
            unit = "deg" if self.study.quantity == "angle" else "mm"
            width = min(self.size.width - 4, 100)
            self.query_one("#pictures", Static).update(pictures(self.result, width, unit, self.app.written))
            return
        self.query_one("#pictures", Static).update("Every reading is there. Working it out …")
        scroll = self.query_one("#scroll", VerticalScroll)
        self.call_after_refresh(scroll.focus)
        reader, study, style = self.record.reader, self.study, self.app.written

        def work() -> None:
            try:
                with reader() as opened:
                    self.post_message(Worked(results.evaluate(opened, study, style)))
            except InspectError as problem:
                self.post_message(Worked(None, todo.said(problem)))

        self.run_worker(work, thread=True, group="study")

    @on(Worked)
    def _worked(self, message: Worked) -> None:
        self.result = message.result
        if message.result is None:
            self.query_one("#pictures", Static).update(Text(message.wrong, style="bold red"))
        elif message.result.missing is None:
            self._show()

    # ---------------------------------------------------------------- actions
    def action_sit(self) -> None:
        """Say who sits here when it is not the one whose turn it is."""
        rows = [(person, f"{person.initials:<8} {person.name or ''}") for person in self.desk.people.values()]
        self.app.push_screen(Chooser("Who sits here?", rows), lambda who: self._sit(who) if who is not None else None)

    def action_again(self) -> None:
        """Read the piece of the last line again; until the next reading is in, the first one stands."""
        there = not self.has_class("-done") and self.desk.read_again()
        self._say("Read it again: what you type now takes its place." if there else "Nothing to read again here.")
        self._show()

    def action_help(self) -> None:
        """The keys, and why nothing is shown."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Gauge study", self.BINDINGS, WORDS))

    def action_done(self) -> None:
        """Leave; nothing is lost."""
        entry = self.query_one(Entry)
        if entry.value or entry.waiting:
            dropped = entry.drop_waiting()
            entry.value = ""
            self._say("Cleared; Esc again leaves." + (f" {dropped} waiting lines dropped." if dropped else ""))
            return
        there, planned = len(self.desk.done), len(self.desk.slots)
        what = "complete" if there >= planned else f"{there} of {planned} readings, it goes on later"
        self.dismiss(f"Gauge study {self.study.title}: {what}.")

    def commands(self) -> Iterable[SystemCommand]:
        """The keys as commands of the palette."""
        yield SystemCommand("Who sits here now", "when it is not the one whose turn it is", self.action_sit)
        yield SystemCommand("Read the last piece again", "the next reading takes its place", self.action_again)


def _big(label: str) -> str:
    """A label to be read from an arm's length away; a long one as it is."""
    return "\n".join(big_digits(label) if len(label) <= 16 else [label]) + "\n"


def pictures(result: Result, width: int, unit: str = "mm", style: Style = MM) -> Text:
    """What a study says, as text: figures, pieces, people, shares; readable without colour."""
    out = Text()
    if result.crossed is not None:
        study = result.crossed
        out.append(study.verdict + "\n", style="bold")
        for sentence in study.sentences:
            out.append("• " + sentence + "\n", style="bold yellow")
        out.append("the repeatability goes into the budget of this instrument on this kind of size\n\n", style="dim")
        out.append_text(term_gauge.people_text(study, width=width, unit=unit, style=style))
        out.append("\n")
        out.append_text(term_gauge.pieces_text(result.rows, study.people, width=width, unit=unit, style=style))
        out.append("\n")
        out.append_text(term_gauge.shares_text(study, width=width, unit=unit, style=style))
        out.append("\n")
        out.append_text(term_gauge.table_text(study, unit=unit, style=style))
        out.append("holds for: " + "; ".join(study.assumptions) + "\n", style="dim")
    if result.bias is not None:
        out.append(result.bias.sentence + "\n", style="bold")
    if result.linearity is not None:
        out.append(result.linearity.sentence + "\n\n", style="bold")
        out.append_text(term_gauge.linearity_text(result.linearity, width=width, unit=unit, style=style))
    if result.stability is not None:
        out.append(result.stability.sentence + "\n\n", style="bold")
        out.append_text(term_gauge.course_text([row.value for row in result.rows], width=width, unit=unit, style=style))
    return out
