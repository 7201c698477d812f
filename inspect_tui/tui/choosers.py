"""Small questions over the screen: choose one of a list, type a line, fill in a few fields."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

from rich.text import Text
from textual import events, on
from textual.app import App, ComposeResult
from textual.containers import Vertical
from textual.message_pump import MessagePump
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.words import INSTRUMENT_KINDS, PERSON_ROLES
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.tui import forms
from inspect_tui.tui.forms import Field, Texts
from inspect_tui.tui.question import Question

NEW = "\0new"


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
            yield OptionList(id="rows")

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


def ask_text(app: App[Any], title: str, use: Callable[[str | None], Any], first: str = "") -> None:
    """Ask for one line of text; None when it is left."""
    line = Field("text", "text: a few words", first, partial(fields.words, most=forms.LONGEST))
    form = forms.Form(title, [line], lambda values: values["text"])
    app.push_screen(form, lambda answer: use(answer[0] if answer is not None else None))


# ------------------------------------------------------------------------------ who, with what
def person(app: App[Any], record: Record, use: Callable[[Person], Any]) -> None:
    """Choose a person or add one by initials."""
    rows: list[tuple[Any, str]] = [
        (p, f"{p.initials:<8} {p.name or ''}  ({p.role})") for p in record.people() if p.active
    ]
    rows.append((NEW, "+ someone new"))
    choose(app, "Who measures?", rows, lambda what: _new_person(app, record, use) if what == NEW else use(what))


def _new_person(app: App[Any], record: Record, use: Callable[[Person], Any]) -> None:
    lines = [
        Field("initials", "initials: up to 8 letters", "", partial(fields.words, most=8, ask="type 1 to 8 letters")),
        Field("name", "name: may be left out"),
        Field("role", f"role: {', '.join(PERSON_ROLES)}", "maker", partial(fields.choice, words=PERSON_ROLES)),
    ]

    def read(values: dict[str, Any]) -> Person | Wrong:
        initials = values["initials"]
        if any(p.initials.casefold() == initials.casefold() for p in record.people()):
            return Wrong(f"{initials} is there already: choose it from the list.")
        return Person(initials=initials, name=values["name"] or None, role=values["role"])

    forms.ask(app, "Someone new", lines, read, record.add, then=use)


def instrument(app: App[Any], record: Record, use: Callable[[Instrument], Any], by: Person | None) -> None:
    """Choose an instrument or add one."""
    rows: list[tuple[Any, str]] = [
        (
            i,
            f"{i.label:<14} {i.kind:<16} {MM.figures(i.range_lo)} to {MM.figures(i.range_hi)} {i.unit}, "
            f"reads {MM.figures(i.resolution)}" + (f", scale {MM.percent(i.rule_scale, 3)}" if i.rule_scale else ""),
        )
        for i in find.instruments_in_use(record)
    ]
    rows.append((NEW, "+ a new instrument"))

    def chosen(what: Any) -> None:
        if what == NEW:
            new_instrument(app, record, use, by)
        else:
            use(what)

    choose(app, "Measured with what?", rows, chosen)


def new_instrument(app: App[Any], record: Record, use: Callable[[Instrument], Any], by: Person | None) -> None:
    """The form of a new instrument; its step and range are in its own unit."""
    lines = [
        Field("label", "called: what people say, such as caliper 2"),
        Field("kind", "kind: " + ", ".join(INSTRUMENT_KINDS), "caliper"),
        Field("unit", "reads: mm, in, deg or C", "mm"),
        Field("resolution", "step: the smallest it shows, such as 0.01 or 1/64 in", "0.01"),
        Field("range", "range: such as 0 to 150", "0 to 150"),
        Field("scale", "scale: contraction rules only, such as 5/32 in/ft or 1.3 %"),
    ]

    def read(texts: Texts) -> Instrument | Wrong:
        made = instrument_from(texts)
        if isinstance(made, str):
            return Wrong(made)
        there = any(i.label.casefold() == made.label.casefold() for i in record.instruments())
        return Wrong(f"{made.label} is there already.") if there else made

    def add(made: Instrument) -> Instrument:
        added: Instrument = record.add(made, by=by.id if by else None)
        return added

    forms.ask(app, "A new instrument", lines, read, add, then=use)


def instrument_from(values: dict[str, str]) -> Instrument | str:
    """The instrument that the fields describe, its step and range in its own unit; or what is wrong with them."""
    from inspect_tui.shop.gauges.instruments import read_instrument

    return read_instrument(values)


# ------------------------------------------------------------------------------ measured on what, and which size
def subject(app: App[Any], record: Record, job: Job, use: Callable[[Subject], Any]) -> None:
    """Choose a tool or casting of a job."""
    choose(app, "Which tool or casting?", [(s, f"{s.label:<24} {s.kind}") for s in find.subjects(record, job)], use)


def feature(app: App[Any], features: Sequence[Feature], use: Callable[[str], Any]) -> None:
    """Choose a feature by balloon or name."""
    choose(app, "Which feature?", [(f.balloon, f"{f.balloon:<6} {f.name}") for f in features], use)
