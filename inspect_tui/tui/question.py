"""A screen over a place that is answered once, such as a list to choose from; closing it again is nothing.

Left to the library a second Enter that is already on its way closes the screen below as well, and the program ends.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from rich.text import Text
from textual import events, on
from textual._widget_navigation import Direction
from textual.app import ComposeResult
from textual.await_complete import AwaitComplete
from textual.containers import Vertical
from textual.message_pump import MessagePump
from textual.screen import ModalScreen, Screen
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

if TYPE_CHECKING:
    from inspect_tui.tui.program import Program

Result = TypeVar("Result")
NEW = "\0new"  # the key of the row that adds one


class OnTop(Screen[Result], Generic[Result]):
    """A screen that closes only while it is the one that is looked at."""

    app: Program

    def dismiss(self, result: Result | None = None) -> AwaitComplete:
        """Close and hand `result` on; nothing where another screen is on top or this one has closed."""
        if self.app.screen is not self:
            closed: AwaitComplete = AwaitComplete.nothing()  # type: ignore[no-untyped-call]
            return closed
        return super().dismiss(result)


class Question(OnTop[Result], ModalScreen[Result], Generic[Result]):
    """A small screen over a place, answered once; Esc leaves it without an answer."""

    BINDINGS = [("escape", "dismiss", "Leave it")]  # noqa: RUF012


class Listed(OptionList):
    """A list as the library has it; a page up or down where none of its rows has room ends nothing."""

    def _move_page(self, direction: Direction) -> None:
        if self._lines:
            super()._move_page(direction)


class Secret(Question[str]):
    """One line that is not shown while it is typed, such as a PIN."""

    DEFAULT_CSS = """
    Secret { align: center middle; }
    Secret Vertical { width: 60; max-width: 96%; height: auto; background: $surface; border: round $primary;
        padding: 0 1; }
    Secret Input, Secret Input:focus { border: none; height: 1; padding: 0; background: $boost; }
    """

    def __init__(self, question: str) -> None:
        super().__init__()
        self.question = question

    def compose(self) -> ComposeResult:
        """The question and the line."""
        with Vertical():
            yield Static(Text(f"{self.question}  (Enter gives it, Esc leaves)", style="bold"))
            yield Input(id="secret", password=True)

    def on_mount(self) -> None:
        """The line has the keyboard."""
        self.query_one("#secret", Input).focus()

    @on(Input.Submitted, "#secret")
    def _given(self, event: Input.Submitted) -> None:
        event.stop()
        self.dismiss(event.value)


class Chooser(Question[Any]):
    """A list to choose from: type to narrow it, arrows and Enter to take one."""

    DEFAULT_CSS = """
    Chooser { align: center middle; }
    Chooser Vertical { width: 76; max-width: 96%; height: auto; max-height: 90%; background: $surface;
        border: round $primary; padding: 0 1; }
    Chooser Input, Chooser Input:focus { border: none; height: 1; padding: 0; background: $boost; }
    Chooser OptionList, Chooser OptionList:focus { height: auto; max-height: 16; border: none; padding: 0; }
    """

    def __init__(self, question: str, rows: Sequence[tuple[Any, str]]) -> None:
        super().__init__()
        self.question, self.rows = question, list(rows)
        self.shown: list[Any] = []
        self.narrowed = ""

    def compose(self) -> ComposeResult:
        """The question, what narrows the list, the list."""
        with Vertical():
            yield Static(Text(f"{self.question}  (type to narrow, Enter takes, Esc leaves)", style="bold"))
            yield Input(id="narrow")
            yield Listed(id="rows")

    def on_mount(self) -> None:
        """Show all; the narrowing field has the keyboard."""
        self._fill("")
        self.query_one("#narrow", Input).focus()

    def _fill(self, words: str) -> None:
        self.narrowed = words
        wanted = words.casefold().split()
        rows = [row for row in self.rows if row[0] == NEW or all(w in row[1].casefold() for w in wanted)]
        if wanted:  # what begins with the words comes before what only holds them; adding one stays last
            rows.sort(key=lambda row: (row[0] == NEW, not _begins(row[1].casefold().split(), wanted)))
        self.shown = [key for key, _ in rows]
        options = self.query_one("#rows", OptionList)
        options.clear_options()
        options.add_options([Option(Text(text, no_wrap=True)) for _, text in rows])
        if rows:
            options.highlighted = 0

    def on_input_changed(self, event: Input.Changed) -> None:
        """Narrow as typed."""
        if event.value != self.narrowed:
            self._fill(event.value)

    def on_key(self, event: events.Key) -> None:
        """Arrows move in the list while the field keeps the keyboard; Enter takes."""
        options = self.query_one("#rows", OptionList)
        moves: dict[str, Callable[[], None]] = {
            "up": options.action_cursor_up,
            "down": options.action_cursor_down,
            "pageup": options.action_page_up,
            "pagedown": options.action_page_down,
        }
        if event.key in moves:
            event.stop()
            moves[event.key]()
        elif event.key == "enter":
            event.stop()
            event.prevent_default()
            if self.narrowed != self.query_one("#narrow", Input).value:  # Enter came before the list was narrowed
                self._fill(self.query_one("#narrow", Input).value)
            if options.highlighted is not None and self.shown:
                self.dismiss(self.shown[options.highlighted])

    @on(OptionList.OptionSelected)
    def _selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self.shown[event.option_index])


def choose(place: MessagePump, question: str, rows: Sequence[tuple[Any, str]], use: Callable[[Any], Any]) -> None:
    """Put a list over a place; `use` gets the key of the row that is taken, and hears nothing when it is left."""
    place.app.push_screen(Chooser(question, rows), lambda key: use(key) if key is not None else None)


def _begins(words: Sequence[str], wanted: Sequence[str]) -> bool:
    """Whether the first words of a row begin with what is typed, word by word."""
    return len(words) >= len(wanted) and all(has.startswith(w) for has, w in zip(words, wanted, strict=False))
