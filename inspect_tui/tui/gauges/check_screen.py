"""A quick check at the bench: one reference piece, an entry that owns the keyboard, a sentence after each line."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.widgets import Static

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.record.store import Record
from inspect_tui.shop.common.sizes import gauge_unit, quantity_of
from inspect_tui.shop.common.trusted import Piece
from inspect_tui.shop.gauges.checks import CheckAsked, CheckRefused, CheckResult, QuickCheck
from inspect_tui.tui import todo
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.question import OnTop

FOOT = "Enter logs  F9 read the last again  F1 keys  Esc done"


class CheckScreen(OnTop[CheckResult]):
    """Read one reference piece with one instrument; gives the last check back when it is left."""

    DEFAULT_CSS = """
    CheckScreen { layout: vertical; }
    CheckScreen #head { height: 1; }
    CheckScreen #piece { height: auto; padding: 1 1 1 1; }
    CheckScreen #line { height: 1; padding: 0 1; }
    CheckScreen #prompt { width: auto; text-style: bold; }
    CheckScreen #say { height: auto; min-height: 2; max-height: 4; padding: 0 1; }
    CheckScreen #past { height: 1fr; padding: 0 1; border-top: dashed $primary; }
    CheckScreen #foot { height: 1; background: $panel; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1", "help", "Keys", id="check.help"),
        Binding("f9", "again", "Read the last one again: the next reading takes its place", id="check.again"),
        Binding("escape", "done", "Done", id="check.done"),
    ]

    def __init__(self, record: Record, person: Person, instrument: Instrument, piece: Piece) -> None:
        super().__init__()
        self.desk = QuickCheck(record, person, instrument, piece)
        self.last: CheckResult | None = None

    def compose(self) -> ComposeResult:
        """The piece, the entry, the sentence, earlier lines."""
        yield Static(id="head")
        yield Static(id="piece")
        with Horizontal(id="line"):
            lengths = "mm" if self.app.written.unit == "mm" else "in"
            yield Static(f"{gauge_unit(self.desk.instrument, lengths)} ▏", id="prompt")
            yield Entry(self.take, on_empty_key=self._empty_key, id="entry")
        yield Static(id="say")
        yield Static(id="past")
        yield Static(FOOT, id="foot")

    def on_mount(self) -> None:
        """The entry owns the keyboard."""
        self.desk.style = self.app.written
        self.query_one(Entry).focus()
        self._show()

    def on_resize(self) -> None:
        """Drawn to the width at hand."""
        self._show()

    def _show(self) -> None:
        desk, width = self.desk, self.size.width
        head = f" Quick check · {desk.instrument.label} · {desk.person.initials}"
        self.query_one("#head", Static).update(Text(head.ljust(width)[:width], style="reverse", no_wrap=True))
        own = self.app.written if quantity_of(desk.instrument) == "length" else MM
        out = Text(f"{desk.piece.name}: {own.given(desk.piece.size_mm)}", style="bold")
        out.append(f" (U {own.given_u(desk.piece.u95_mm, unit=False)})\n" if desk.piece.u95_mm else "\n", style="")
        out.append("Wipe it, close the jaws once, read it as you would read a piece.\n")
        out.append(desk.line.sentence, style="bold yellow" if desk.line.means.remark() else "")
        self.query_one("#piece", Static).update(out)
        past = Text()
        for result in reversed(desk.results):
            past.append(("✓ " if result.within else "✗ ") + result.sentence + "\n", "" if result.within else "bold red")
        self.query_one("#past", Static).update(past)

    def _say(self, text: str, style: str = "") -> None:
        self.query_one("#say", Static).update(Text(text, style=style))

    # ---------------------------------------------------------------- one line
    def take(self, text: str, gap_s: float) -> str | None:
        """Log one line; what could not be used goes back into the field."""
        try:
            outcome = self.desk.take(text, gap_s)
        except InspectError as problem:
            self._say(todo.not_logged(problem), "bold red")
            self.app.bell_if_on()
            return text
        if isinstance(outcome, CheckRefused):
            self._say(f"Not logged: {todo.said(outcome)}", "bold red" if outcome.text else "dim")
            return outcome.text
        if isinstance(outcome, CheckAsked):
            other = f"; = takes {outcome.suggestion}" if outcome.suggestion else ""
            self._say(f"Not logged yet: {todo.said(outcome)} Or type it again{other}.", "bold yellow")
            self.app.bell_if_on()
            return None
        self._logged(outcome)
        return None

    def _logged(self, result: CheckResult) -> None:
        self.last = result
        mark = "✓" if result.within else "✗"
        self._say(f"logged  {mark} {result.sentence}", "bold green" if result.within else "bold red")
        if not result.within:
            self.app.bell_if_on()
        self._show()

    def _empty_key(self, character: str) -> bool:
        if character == "?":
            self.action_help()
            return True
        if character == "=" and self.desk.pending is not None:
            self.take("=", 1.0)
            return True
        return False

    # ---------------------------------------------------------------- actions
    def action_again(self) -> None:
        """The next reading takes the place of the last one; until then that one stands."""
        there = self.desk.take_back()
        self._say("Read it again: what you type now takes its place." if there else "Nothing to read again yet.")
        self._show()

    def action_help(self) -> None:
        """The keys."""
        from inspect_tui.tui.help import HelpScreen

        self.app.push_screen(HelpScreen("Quick check", self.BINDINGS))

    def leave(self) -> None:
        """Nothing typed is dropped: a reading that is being asked about is kept as typed."""
        kept = self.desk.keep_pending()
        if kept is not None:
            self._logged(kept)

    def action_done(self) -> None:
        """Back to the gauges."""
        entry = self.query_one(Entry)
        if self.desk.pending is None and entry.value:
            entry.value = ""
            entry.drop_waiting()
            self._say("Cleared; Esc again leaves.")
            return
        self.leave()
        self.dismiss(self.last)
