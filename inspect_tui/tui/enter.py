"""Something entered about a tool in a form: who enters it, what is doubtful asked once, written, and said."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Protocol

from inspect_tui.errors import InspectError
from inspect_tui.model.measuring import Person
from inspect_tui.shop.trends.repairs import Entry
from inspect_tui.tui import choosers, todo
from inspect_tui.tui.choosers import Form

if TYPE_CHECKING:
    from inspect_tui.record.store import Record
    from inspect_tui.tui.app import InspectApp


class Enters(Protocol):
    """A place where things are entered."""

    app: InspectApp

    @property
    def record(self) -> Record:
        """What is written to."""

    def say(self, text: str, style: str = "") -> None:
        """One sentence to the person."""

    def changed(self, said: str) -> None:
        """Something was entered: say so, and bring the place up to date."""


AGAIN = " Ctrl+S again keeps it as it is."


class Asks:
    """Says what is wrong each time, and what is doubtful once: the same values again are meant."""

    def __init__(self, read: Callable[[dict[str, str]], tuple[str, Sequence[str]]]) -> None:
        self._read = read
        self._meant: dict[str, str] | None = None

    def __call__(self, values: dict[str, str]) -> str | None:
        """A sentence, or None when the values may be taken."""
        wrong, asks = self._read(values)
        if wrong:
            return wrong
        if asks and self._meant != values:
            self._meant = dict(values)
            return " ".join(asks) + AGAIN
        return None


def with_person(screen: Enters, then: Callable[[Person], Any]) -> None:
    """Go on as the person at the bench, or the one who is chosen; a record that is only read says so."""
    bench = screen.app.bench
    if screen.record.read_only:
        screen.say(screen.record.read_only_why, "bold red")
    elif bench is not None and bench.person is not None:
        then(bench.person)
    else:
        choosers.person(screen.app, screen.record, then)


def write(screen: Enters, thing: Any, by: Person, said: str) -> None:
    """Write it and say so, or say why it was not entered."""
    try:
        screen.record.add(thing, by=by.id)
    except InspectError as problem:
        screen.say(f"Not entered: {todo.said(problem)}", "bold red")
        return
    screen.changed(said)


def fill_in(
    screen: Enters,
    by: Person,
    title: str,
    fields: Sequence[tuple[str, str]],
    first: dict[str, str],
    read: Callable[[dict[str, str]], Entry],
    said: Callable[[dict[str, str]], str],
) -> None:
    """The form of a thing that `by` enters, with what stands in it first; `said` tells what was entered."""

    def check(values: dict[str, str]) -> tuple[str, Sequence[str]]:
        made = read(values)
        return made.wrong, made.asks

    def done(values: dict[str, str] | None) -> None:
        made = read(values) if values else None
        if made is not None and made.thing is not None:
            write(screen, made.thing, by, said(values or {}))

    shown = [(key, label, first.get(key, "")) for key, label in fields]
    screen.app.push_screen(Form(title, shown, Asks(check)), done)
