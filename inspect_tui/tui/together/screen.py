"""The other benches: how it stands with them, an exchange now, and what two benches said apart, to be decided."""

from __future__ import annotations

from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed import fields
from inspect_tui.model.measuring import Person
from inspect_tui.record.care.backup_words import ago
from inspect_tui.record.merge.clashes import Clash
from inspect_tui.shop.together import decide, exchange
from inspect_tui.shop.together.beside import Beside
from inspect_tui.shop.together.decide import Way
from inspect_tui.shop.together.marks import WORD
from inspect_tui.tui.forms import Field, ask
from inspect_tui.tui.question import Listed, Question, choose
from inspect_tui.tui.todo import said as said_with_keys

if TYPE_CHECKING:
    from inspect_tui.tui.place import Place

SEEN_EVERY_S = 0.3
FOOT = "Enter decide  s exchange now  x stop  w with whom  Esc leave"


def show(place: Place, at: Clash | None = None) -> None:
    """Look at it over a place, first of all at one thing that is to be decided."""
    place.app.together.look()
    place.app.push_screen(TogetherScreen(place, at))


def line(beside: Beside) -> tuple[str, str]:
    """How it stands, in one line with its style; '' where this bench is alone and nothing is to be decided."""
    said, style = [], "dim"
    standing = beside.standing
    if standing is not None and standing.where:
        said.append(f"With {exchange.called(standing.where)}: {_unsent(standing)}.")
    if beside.clashes:
        n = len(beside.clashes)
        said.append(f"{n} {'thing is' if n == 1 else 'things are'} to be decided: Ctrl+P.")
        style = "yellow"
    return " ".join(said), style


def _unsent(standing: exchange.Standing) -> str:
    if standing.last is None:
        return f"{standing.unsent} not yet sent, never reached so far"
    when = ago(datetime.now() - datetime.fromtimestamp(standing.last))
    return f"{f'{standing.unsent} not yet sent' if standing.unsent else 'all sent'}, exchanged {when}"


class TogetherScreen(Question[None]):
    """How it stands, and the list of what is to be decided."""

    DEFAULT_CSS = """
    TogetherScreen { align: center middle; }
    TogetherScreen Vertical { width: 100%; height: 100%; background: $surface; border: round $primary; padding: 0 1; }
    TogetherScreen #how { height: auto; max-height: 7; }
    TogetherScreen OptionList, TogetherScreen OptionList:focus { height: 1fr; border: none; padding: 0;
        border-top: dashed $primary; }
    TogetherScreen #whole { height: auto; max-height: 6; border-top: dashed $primary; }
    TogetherScreen #keys { height: 1; background: $panel; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        ("s", "exchange", "Exchange now"),
        ("x", "stop", "Stop the exchange"),
        ("w", "where", "With which folder or hub"),
    ]

    def __init__(self, place: Place, at: Clash | None = None) -> None:
        super().__init__()
        self.place, self.beside, self.first = place, place.app.together, at
        self.shown: list[Clash] | None = None
        self.told = ""

    def compose(self) -> ComposeResult:
        """What it is, how it stands, what is to be decided, the chosen one whole, the keys."""
        with Vertical():
            yield Static(Text("The other benches of the shop", style="bold"))
            yield Static(id="how")
            yield Listed(id="open")
            yield Static(id="whole")
            yield Static(Text(FOOT), id="keys")

    def on_mount(self) -> None:
        """Show it, and go on showing it: an exchange may run."""
        self.query_one("#open").focus()
        self._see()
        self.set_interval(SEEN_EVERY_S, self._see)

    def _see(self) -> None:
        self.query_one("#how", Static).update(self.how())
        if self.shown == self.beside.clashes:
            return
        self.shown = list(self.beside.clashes)
        listed = self.query_one("#open", OptionList)
        at = listed.highlighted or 0
        if self.first in self.shown:
            at, self.first = self.shown.index(self.first), None
        listed.clear_options()
        width = self.size.width - 8
        listed.add_options([Option(_row(clash, width)) for clash in self.shown])
        if self.shown:
            listed.highlighted = min(at, len(self.shown) - 1)
        else:
            self.query_one("#whole", Static).update(Text("Nothing is to be decided.", style="dim"))

    def how(self) -> Text:
        """With whom, how much is not yet sent, what runs or was done last."""
        beside, out = self.beside, Text()
        standing = beside.standing
        if not beside.where:
            out.append("Exchanged with nobody by itself yet: w says with which folder (a share, a stick) or hub.\n")
        else:
            out.append(f"With {exchange.called(beside.where)}\n")
            if standing is not None:
                out.append(f"{_unsent(standing)}. Every bench holds everything afterwards.\n")
        if beside.running:
            out.append(f"Exchanging: {beside.done or 0:,} entries so far; x stops it.\n", style="bold")
        elif beside.wrong is not None:
            out.append(f"{said_with_keys(beside.wrong)}\n", style="bold red")
        elif beside.last is not None:
            out.append(f"{beside.last.words}\n", style="" if not beside.last.wrong else "bold yellow")
            for sentence in beside.last.wrong[:2]:
                out.append(f"{sentence}\n", style="yellow")
        if self.told:
            out.append(self.told, style="bold green")
        out.rstrip()
        return out

    # ---------------------------------------------------------------- exchanging
    def action_exchange(self) -> None:
        """Exchange now."""
        if not self.beside.where:
            self.action_where()
        elif self.place.record.read_only:
            self.told = "This record is only read here: nothing is exchanged."
        else:
            self.told = ""
            self.beside.exchange()
        self._see()

    def action_stop(self) -> None:
        """Stop the one that runs."""
        if self.beside.running:
            self.beside.stop()

    def action_where(self) -> None:
        """With which folder or hub."""

        def write(values: dict[str, Any]) -> str:
            where = values["where"].strip()
            if where and not exchange.is_hub(where):
                exchange.known_folder(where)
            self.app.keep_setting("share.with", where)
            self.beside.where = self.app.settings.share_with
            return f"Exchanged with {exchange.called(where)} from now on." if where else "Exchanged with nobody."

        hint = "folder (share, stick, synced) or hub postgresql://…; empty: nobody"
        at = Field("where", hint, self.app.settings.share_with, fields.optional(partial(fields.words, most=400)))
        ask(self.place, "Exchange with", [at], lambda v: {"where": v["where"] or ""}, write, then=self._done)

    # ---------------------------------------------------------------- deciding
    @on(OptionList.OptionHighlighted, "#open")
    def _look(self, event: OptionList.OptionHighlighted) -> None:
        if self.shown and event.option_index < len(self.shown):
            self.query_one("#whole", Static).update(Text(self.shown[event.option_index].words))

    @on(OptionList.OptionSelected, "#open")
    def _ways(self, event: OptionList.OptionSelected) -> None:
        if not self.shown:
            return
        clash = self.shown[event.option_index]
        try:
            ways = decide.ways(self.place.record, clash, self.app.written)
        except InspectError as problem:
            self.told = said_with_keys(problem)
            return
        rows = [(way, f"{way.word:<11} {way.says}") for way in ways]
        choose(self, clash.called, rows, partial(self._why, clash))

    def _why(self, clash: Clash, way: Way) -> None:
        record = self.place.record

        def go_on(by: Person) -> None:
            why = Field("why", "why: a few words; they stand beside it", "", partial(fields.words, ask="say why"))
            name = Field("name", "called from now on", clash.name, fields.words)
            lines = [name, why] if way.asks_name else [why]

            def write(values: dict[str, Any]) -> str:
                return decide.decide(record, clash, way.word, values["why"], by, values.get("name", ""))

            ask(self.place, way.says, lines, None, write, then=self._done)

        self.place.with_person(go_on)

    def _done(self, said: str) -> None:
        self.told = said
        self.beside.look()
        if self.app.bench is not None:
            self.app.bench.forget_gauges()
            self.app.bench.refresh()
        self.place.visit()
        self._see()


def _row(clash: Clash, width: int) -> Text:
    sort = "one name" if clash.sort == "name" else WORD[clash.sort]
    where = ", ".join(dict.fromkeys(clash.benches))
    row = Text(f"{sort:<13} {clash.called}  ({where})", no_wrap=True)
    row.truncate(max(width, 20), overflow="ellipsis")
    return row
