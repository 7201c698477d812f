"""Forms: a few fields to fill in, read all at once, used; what is refused stays in the form as it was typed.

`ask(place, title, fields, read, use)` puts the form over a place::

    forms.ask(
        self,
        "A new casting",
        [Field("serial", "serial: as it is marked"), Field("n", "repeats: how many", "3", fields.count)],
        read=lambda values: casting_of(values),  # {key: value} -> a thing, or Wrong
        use=lambda casting: f"Added {record.add(casting).serial}",  # may refuse: Wrong, or an InspectError
        then=self.changed,  # once the form has closed, with what `use` gave back
    )

A field's own `read` makes a value of its text, or a `fields.Wrong`; without one its value is the text without blanks at
the ends. `read` of the form sees all values together. What is doubtful is a `Doubt`: its sentences are said once, and
the same texts taken again are meant. `watch(texts)` says, while somebody types, what follows. Enter goes to the next
field and from the last one is Done; Ctrl+S is Done from anywhere; Esc leaves. When the program ends under an open form,
what was typed is kept and stands in the form when it is opened the next time.

The whole hint of the field at hand stands under the fields, however long. A field with `choices` has a list (Ctrl+L).
With `like` the fields are filled in as those of something that is there (Ctrl+N); what names it gets the next name.
With `again` it is entered and the form stays for another like it (Ctrl+G).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message_pump import MessagePump
from textual.widgets import Input, Static

from inspect_tui.errors import InspectError
from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.typed import form_units
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.tui.question import Chooser, Question
from inspect_tui.tui.todo import said

AGAIN = " Ctrl+S again keeps it as it is."
KEPT = "This was typed here before and never entered. Ctrl+S enters it, Esc leaves it."
LONGEST = 400  # letters in a field
_NUMBERED = re.compile(r"(.*?)(\d{1,6})")


class Doubt(NamedTuple):
    """What was read, and why it is asked once whether it is meant."""

    thing: Any
    sentences: Sequence[str]


Choices = Sequence[str | tuple[str, str]] | Callable[[], Sequence[str | tuple[str, str]]]


class Field(NamedTuple):
    """A line of a form; `label` is `name: hint`, `read` makes a value of the text or a `Wrong`.

    `choices` are what can stand there, or gives it when it is asked for: words, or (word, about it).
    """

    key: str
    label: str
    first: str = ""
    read: Callable[[str], Any] | None = None
    choices: Choices = ()

    @property
    def name(self) -> str:
        """What stands before the field."""
        return self.label.partition(": ")[0]

    @property
    def hint(self) -> str:
        """What stands in it while it is empty."""
        return self.label.partition(": ")[2]


Like = Callable[[], Sequence[tuple[str, Mapping[str, str]]]]  # things that are there: what they are called, their texts
Fields = Sequence[Field] | Sequence[tuple[str, str, str]]
Texts = dict[str, str]


def ask(
    place: MessagePump,
    title: str,
    fields: Fields,
    read: Callable[[dict[str, Any]], Any] | None = None,
    use: Callable[[Any], Any] | None = None,
    *,
    then: Callable[[Any], Any] | None = None,
    watch: Callable[[Texts], str] | None = None,
    wrong: str = "",
    like: Like | None = None,
    again: bool = False,
    numbered: Sequence[str] = (),
) -> None:
    """Put a form over a place; `then` gets what `use` gave back (without `use`, what was read) once it has closed.

    `like` gives what the fields can be filled in from, the newest first; `again`: another one can follow at once. The
    fields of the keys in `numbered` carry the number of the name: the core of box 3.
    """

    def closed(answer: tuple[Any] | None) -> None:
        if answer is not None and then is not None:
            then(answer[0])

    form = Form(title, fields, read, use, watch=watch, wrong=wrong, like=like, again=again, numbered=numbered)
    place.app.push_screen(form, closed)


def first(
    fields: Sequence[tuple[str, str]], values: Mapping[str, str], choices: Mapping[str, Choices] | None = None
) -> list[Field]:
    """Fields from (key, label), with what stands in them first and, by key, what can stand there."""
    known = choices or {}
    return [Field(key, label, values.get(key, ""), None, known.get(key, ())) for key, label in fields]


class Lines(VerticalScroll, inherit_bindings=False):
    """The fields of a form; a scroll of its own would take the arrows, which go from field to field."""


class Form(Question[tuple[Any]]):
    """The form itself; closes with a tuple of what `use` gave back, None when it was left."""

    DEFAULT_CSS = """
    Form { align: center middle; }
    Form #box { width: 79; max-width: 100%; height: auto; max-height: 100%; background: $surface;
        border: round $primary; padding: 0 1; }
    Form VerticalScroll { height: auto; max-height: 12; }
    Form .row { height: 1; }
    Form .label { width: 16; height: 1; }
    Form Input, Form Input:focus { width: 1fr; border: none; height: 1; padding: 0 1; background: $boost; }
    Form Input:focus { background: $primary 30%; }
    Form #hint { height: auto; max-height: 3; color: $text-muted; }
    Form #follows, Form #wrong { height: auto; max-height: 6; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        ("ctrl+s", "done", "Done"),
        ("ctrl+l", "list", "What can stand in this field"),
        ("ctrl+n", "like", "As one that is there"),
        ("ctrl+g", "again", "Enter it, and another like it"),
        ("down", "app.focus_next", ""),
        ("up", "app.focus_previous", ""),
    ]

    def __init__(
        self,
        title: str,
        fields: Fields,
        read: Callable[[dict[str, Any]], Any] | None = None,
        use: Callable[[Any], Any] | None = None,
        *,
        watch: Callable[[Texts], str] | None = None,
        wrong: str = "",
        like: Like | None = None,
        again: bool = False,
        numbered: Sequence[str] = (),
    ) -> None:
        """`wrong` stands under the fields from the beginning: why the form is asked for again."""
        super().__init__()
        self.title_text, self.first_wrong = title, wrong
        self._as_shown: dict[str, tuple[str, str]] = {}  # what stands in fields of lengths, and what it is in mm
        self.fields = [Field(*given) for given in fields]
        self.read, self.use, self.watch_fields = read, use, watch
        self.like, self.again, self.numbered = like, again, tuple(numbered)
        self._meant: Texts | None = None  # texts whose doubts have been said
        self._entered: list[Any] = []  # what came of those before, with `again`
        self._names: set[str] = set()  # ... and what they are called

    # ---------------------------------------------------------------- the screen
    def compose(self) -> ComposeResult:
        """A field a line, its label before it and a hint in it while it is empty."""
        keys = ["Enter next", "Ctrl+S done"]
        keys += ["Ctrl+L list"] if any(field.choices for field in self.fields) else []
        keys += ["Ctrl+N like one"] if self.like else []
        keys += ["Ctrl+G one more"] if self.again else []
        with Vertical(id="box") as box:
            box.border_subtitle = "  ".join(keys)
            yield Static(Text(f"{self.title_text}  (Esc leaves)", style="bold"))
            with Lines(can_focus=False):
                for field in self.fields:
                    with Horizontal(classes="row"):
                        yield Static(Text(self._label(field), style="bold", no_wrap=True), classes="label")
                        yield Input(
                            self._shown(field.key, field.first),
                            id=f"field-{field.key}",
                            max_length=LONGEST,
                            placeholder=field.hint,
                        )
            yield Static(id="hint")
            yield Static(id="follows")
            yield Static(id="wrong")

    def on_mount(self) -> None:
        """Start in the first field, with what was typed here when the program ended."""
        self.query(Input).first().focus()
        self._say(self.first_wrong)
        kept = self.app.kept_form(self.title_text)
        if kept and kept != self.values():
            for key in kept.keys() & self.values().keys():
                self._put(key, kept[key])
            self._say(KEPT)
        self._follow()

    def _input(self, key: str) -> Input:
        return self.query_one(f"#field-{key}", Input)

    def values(self) -> Texts:
        """What stands in the fields, as it is read: a length that is typed in inches says so."""
        texts = {field.key: self._input(field.key).value.strip() for field in self.fields}
        if not self._inches:
            return texts
        return {field.key: self._meant_by(field, texts) for field in self.fields}

    # ---------------------------------------------------------------- lengths in inches
    @property
    def _inches(self) -> bool:
        return self.app.typed_in == "in"

    def _meant_by(self, field: Field, texts: Texts) -> str:
        text = texts[field.key]
        if not form_units.is_length(field.name, field.hint, texts):
            return text
        shown, first = self._as_shown.get(field.key, ("", ""))
        return first if text == shown.strip() else form_units.meant(text)

    def _label(self, field: Field) -> str:
        """What stands before a field, with the unit of lengths where that is not the usual one."""
        return f"{field.name}, in" if self._inches and form_units.is_length(field.name, field.hint, {}) else field.name

    def _shown(self, key: str, text: str) -> str:
        """A text of mm as it stands in a field here, and remembered as what it is."""
        field = next(field for field in self.fields if field.key == key)
        firsts = {each.key: each.first for each in self.fields}
        if not self._inches or not form_units.is_length(field.name, field.hint, firsts):
            return text
        self._as_shown[key] = form_units.shown(text), text
        return self._as_shown[key][0]

    def _put(self, key: str, text: str) -> None:
        self._input(key).value = self._shown(key, text)

    def on_input_changed(self) -> None:
        """Show what follows."""
        self._follow()

    def on_descendant_focus(self) -> None:
        """Say all of the hint of the field at hand, and what can stand there."""
        field = self._at_hand()
        if field is None:
            return
        said = f"{field.name}: {field.hint}" if field.hint else field.name
        self.query_one("#hint", Static).update(Text(said + (" (Ctrl+L: list)" if field.choices else "")))

    def _at_hand(self) -> Field | None:
        """The field with the keyboard."""
        at = self.focused.id if isinstance(self.focused, Input) else None
        return next((field for field in self.fields if f"field-{field.key}" == at), None)

    def _follow(self) -> None:
        self.query_one("#follows", Static).update(Text(self._following(), style="bold"))

    def _following(self) -> str:
        if self.watch_fields is None:
            return ""
        try:
            return self.watch_fields(self.values())
        except InspectError as problem:
            return said(problem)

    def _say(self, sentence: str) -> None:
        self.query_one("#wrong", Static).update(Text(sentence, style="bold red"))

    # ---------------------------------------------------------------- Enter, Done
    def on_key(self, event: events.Key) -> None:
        """Enter is met here, as a key: as a message it would come after the keys behind it."""
        if event.key == "enter" and isinstance(self.focused, Input):
            event.stop()
            event.prevent_default()
            if self.focused.id == f"field-{self.fields[-1].key}":
                self.action_done()
            else:
                self.focus_next(Input)

    def action_done(self) -> None:
        """Read the fields and use them; whatever is refused is said, and everything typed stays."""
        done, result = self._taken()
        if done:
            self.finish(result)

    def _taken(self) -> tuple[bool, Any]:
        """Whether the fields were used, and what came of it; what is wrong is said."""
        try:
            result = self._used()
        except InspectError as problem:
            result = Wrong(said(problem))
        if isinstance(result, Wrong):
            self.refuse(said(result))
            return False, None
        return True, result

    def action_list(self) -> None:
        """Choose what stands in the field at hand."""
        field = self._at_hand()
        if field is None or not field.choices:
            return
        listed = field.choices() if callable(field.choices) else field.choices
        rows = [(row, row) if isinstance(row, str) else (row[0], f"{row[0]:<14} {row[1]}") for row in listed]

        def take(word: str | None) -> None:
            if word is not None:
                self._input(field.key).value = word
                self.focus_next(Input)

        if rows:
            self.app.push_screen(Chooser(f"{field.name}?", rows), take)
        else:
            self._say("There is nothing to choose from yet.")

    def action_like(self) -> None:
        """Fill the fields in as those of something that is there."""
        listed = self.like() if self.like is not None else ()

        def take(at: int | None) -> None:
            if at is None:
                return
            for key, text in listed[at][1].items():
                if any(field.key == key for field in self.fields):
                    self._put(key, text)
            self._next_name({name for name, _ in listed})

        if listed:
            rows = [(at, name) for at, (name, _) in enumerate(listed)]
            self.app.push_screen(Chooser("As which one?", rows), take)
        elif self.like is not None:
            self._say("There is none yet.")

    def action_again(self) -> None:
        """Enter it, and keep the fields for another one like it."""
        if not self.again:
            return
        done, result = self._taken()
        if not done:
            return
        self._entered.append(result)
        self._meant = None
        self.app.drop_form(self.title_text)
        self._names.add(self._input(self.fields[0].key).value.strip())
        self._next_name({name for name, _ in self.like()} if self.like is not None else set())
        self._say("")
        what = result if isinstance(result, str) else "Entered"
        self.query_one("#wrong", Static).update(Text(f"{what.rstrip('.')}. Another like it:", style="bold green"))

    def _next_name(self, taken: set[str]) -> None:
        """The first field, which names it, gets the next name that is free."""
        name = self._input(self.fields[0].key)
        before = name.value.strip()
        name.value = next_name(before, {word.partition("  ")[0].strip() for word in taken} | self._names)
        old, new = (_NUMBERED.fullmatch(text) for text in (before, name.value))
        for key in self.numbered:
            if old and new and self._input(key).value.strip() == old[2]:
                self._input(key).value = new[2]
        name.focus()

    def _used(self) -> Any:
        values, texts = {}, self.values()
        for field in self.fields:
            text = texts[field.key]
            value = field.read(text) if field.read is not None else text
            if isinstance(value, Wrong):
                self._input(field.key).focus()
                return Wrong(f"{field.name}: {value.do if not text and value.do else said(value)}")
            values[field.key] = value
        made = self.read(values) if self.read is not None else values
        if isinstance(made, Doubt):
            texts = self.values()
            if made.sentences and self._meant != texts:
                self._meant = texts
                return Wrong(" ".join(made.sentences) + AGAIN)
            made = made.thing
        return made if isinstance(made, Wrong) or self.use is None else self.use(made)

    def refuse(self, sentence: str) -> None:
        """Say what is wrong; everything typed stays."""
        if sentence in self._following():
            self.query_one("#follows", Static).update("")  # said once is enough
        self._say(sentence if sentence[-1:] in ".!?" else f"{sentence}.")

    def _left_with(self) -> tuple[Any] | None:
        """What the place hears when the form is left: of those that were entered before, the last."""
        return (self._entered[-1],) if self._entered else None

    def finish(self, result: Any) -> None:
        """Close with what came of it."""
        self.app.drop_form(self.title_text)
        self.dismiss((result,))

    async def action_dismiss(self, result: tuple[Any] | None = None) -> None:
        """Leave it; nothing of it is kept."""
        self.app.drop_form(self.title_text)
        self.dismiss(self._left_with() if result is None else result)

    def leave(self) -> None:
        """The program ends, or the place is left, under the open form: keep what was typed."""
        typed = self.values()
        if typed != {field.key: field.first.strip() for field in self.fields}:
            self.app.keep_form(self.title_text, typed)


def next_name(name: str, taken: set[str]) -> str:
    """The next name that is free: F12 after F9 to F11 are there, box 4 after box 3, K7-2 after K7-1."""
    numbered = _NUMBERED.fullmatch(name)
    if numbered is None:
        return name
    head, digits = numbered.groups()
    there = {word.casefold() for word in taken}
    number = int(digits)
    while f"{head}{number:0{len(digits)}d}".casefold() in there:
        number += 1
    return f"{head}{number:0{len(digits)}d}"
