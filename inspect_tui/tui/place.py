"""A place: one screen of the program, with head, tabs, say line, foot, F1, F2, F10 and questions put to the record.

A new place is one class. It says what it is called, draws itself and has actions; the rest it has for nothing::

    class WallsScreen(Place):
        NAME, FOOT = "Walls", "n new  F1 keys  F10 places"
        WORDS = "\\nWalls\\n  a wall is what is left between two faces\\n"   # stands in F1 under the keys
        TABS = ("list", "picture")                                       # left out: no line of tabs, no page keys
        BINDINGS = [*page_keys("walls", TABS), Binding("n", "new", "A new wall", id="walls.new")]

        def body(self): ...            # widgets between tabs and say line; {body: 1fr} is theirs
        def arrive(self): ...          # came in (also the first time): read what is shown, `ask` for what takes long
        def heading(self): ...         # (left, right) of the head; READ ONLY is added
        def draw(self, width, height): ...   # put what is known into the widgets; never reads for long
        def returned(self): ...        # a question over the place was answered or left; mostly nothing to do
        def elsewhere(self): ...       # somebody else wrote to the record: as a rule it is come to again
        def leave(self): super().leave(); ...    # before the place or the program is left: keep what is pending
        def action_new(self): ...      # the docstring is the help of the command in F2

What a place calls: `show()` draws again, `say()` puts one sentence over the foot, `ask()` has something worked out
beside the screen, `attempt()` does something and says what, `changed()` says what was entered and brings the place up
to date, `with_person()` goes on as somebody. `forms.ask(self, ...)` is a form, `choosers.choose(self, ...)` a list;
`scrolled(text, height)` is the part of a long text that stands at `scroll_row`. F1 shows the bindings of the class with
their descriptions, F2 runs those that are not hidden. Escape runs `action_back`: to the places, unless the place binds
it or overrides it.

**ask(name, work, use)**: `work(reader, answer)` runs in a thread with a connection of its own; each
`answer(wall=..., why=...)` hands findings over and is False when nobody wants them any more (then `work` returns). On
the screen's side `use(wall=..., why=...)` gets them; without `use` each is kept under its name on the place, which is
drawn again. A newer question of the same name, `forget(name)` and leaving the place make an answer stale, and stale
answers are dropped; `always=True` is for what is wanted wherever the person has gone meanwhile (a paper being written).
What cannot be worked out is said: by `wrong(sentence)`, without it on the say line. `waits_for(name)` tells whether
an answer is still to come.

A place that cannot draw or arrive says so in place of its body, offers Jobs, and tries again when it is come to; the
program goes on. An action that fails by a fault of ours ends the program, which keeps what was typed (`app.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import events
from textual.actions import parse
from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding, BindingType
from textual.geometry import Offset, Size
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static
from textual.worker import get_current_worker

from inspect_tui.errors import InspectError
from inspect_tui.report.words import roomy
from inspect_tui.shop.together.marks import SIGN, Marks
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.question import OnTop
from inspect_tui.tui.settings.mouse import foot_key, foot_with, foot_within, tab_at
from inspect_tui.tui.todo import only_read
from inspect_tui.tui.todo import said as said_with_keys

if TYPE_CHECKING:
    from inspect_tui.metrology.typed.show import Style
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.words import Id
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record
    from inspect_tui.shop.together.marks import Mark

Answer = Callable[..., bool]  # hands over what it is given by name; False: nobody wants it any more
Work = Callable[["Reader", Answer], object]
Use = Callable[..., None]


LOOK_S = 0.5  # between two looks whether another program, or the exchange, wrote to the record
MOST_LOOKS = 6  # while others write all the time, what they wrote is shown every so many looks


class Found(Message, bubble=False):
    """What a thread has worked out for the question of that name and number; `last` when it has ended."""

    def __init__(self, name: str, number: int, pieces: dict[str, Any], wrong: str = "", last: bool = False) -> None:
        super().__init__()
        self.name, self.number, self.found, self.wrong, self.last = name, number, pieces, wrong, last


class _Asked:
    """A question that was put: its number, and who hears of it."""

    def __init__(self, number: int, use: Use, wrong: Callable[[str], None], always: bool) -> None:
        self.number, self.use, self.wrong, self.always = number, use, wrong, always
        self.waits = True


def page_keys(place: str, tabs: Sequence[str]) -> list[BindingType]:
    """The keys of the pages of a place: 1, 2, 3 ... open one, Tab and Shift+Tab the one beside."""
    return [
        *(Binding(str(i + 1), f"page({i})", f"Page: {name}", id=f"{place}.page{i + 1}") for i, name in enumerate(tabs)),
        Binding("tab", "next_page(1)", "Next page", show=False, id=f"{place}.next_page"),
        Binding("shift+tab", "next_page(-1)", "Page before", show=False, id=f"{place}.page_before"),
    ]


class Place(OnTop[Any]):
    """What all places have; see the head of this file for what one of them adds."""

    DEFAULT_CSS = """
    Place { layout: vertical; }
    Place > #head, Place > #tabs, Place > #foot { height: 1; }
    Place > #foot { background: $panel; }
    Place > #say { height: 2; }
    Place > #trouble { display: none; height: 1fr; padding: 1 2; }
    Place.-broken > * { display: none; }
    Place.-broken > #head, Place.-broken > #trouble, Place.-broken > #foot { display: block; }
    """
    NAME: str = ""
    FOOT: ClassVar[str] = "F1 keys  F2 commands  F10 places"
    WORDS: ClassVar[str] = ""
    TABS: ClassVar[Sequence[str]] = ()
    SAYS_INSIDE: ClassVar[bool] = False  # the body brings the say line (id "say") along
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f1,question_mark", "help", "Keys", id="place.help"),
        Binding("f2", "app.command_palette", "All commands", id="place.commands"),
        Binding("f10", "app.places", "Places", id="place.places"),
        Binding("ctrl+k", "app.units", "Lengths in mm, in inches, in 1/64 in", id="place.units", priority=True),
        Binding(
            "ctrl+p",
            "app.together",
            "The other benches; decide what they said apart (≠)",
            id="place.together",
            priority=True,
        ),
        Binding("ctrl+c", "copy", "Copy what is marked, else the cut or size at hand", id="place.copy", priority=True),
        Binding("escape", "back", "Back", id="place.back"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self.page = 0
        self.scroll_row = 0
        self.away = False
        self.trouble: Exception | None = None  # why it cannot be shown
        self.panels: tuple[Panel, ...] = ()
        self._drawn_to: tuple[Size, ...] = ()  # what the last drawing was made for; () where it could not be made
        self._until_visit = False  # ... however often it is drawn, until it is come to again
        self._unbuilt: Exception | None = None  # why it has no body
        self._covered = False  # another screen stood over it
        self._questions: dict[str, _Asked] = {}
        self._number = 0
        self._had_keyboard: Widget | None = None
        self._marks = Marks()  # of what is to be decided, as they were shown
        self._written_since = 0  # looks since somebody else began to write; 0: what is shown is what there is
        self._style: Style | None = None  # how figures were written when it was come to

    # ---------------------------------------------------------------- what a place adds
    def body(self) -> Iterable[Widget]:
        """The widgets between tabs and say line."""
        yield Static(id="body")

    def arrive(self) -> None:
        """Come in: read what is shown, ask for what takes long, and show it."""
        self.show()

    def restyled(self) -> None:
        """Figures are written otherwise now: forget what was worked out in words before; `arrive` follows."""

    def returned(self) -> None:
        """A question that stood over the place has closed."""

    def elsewhere(self) -> None:
        """Somebody else wrote to the record: bring what is shown up to date."""
        self.visit()

    def heading(self) -> tuple[str, str]:
        """What stands left and right in the head."""
        return f"{self.NAME} · {self.record.path.name}", ""

    def apart(self) -> list[Mark]:
        """What is shown here and two benches said apart, the nearest at hand first."""
        return self.app.together.marks.of_job(None)

    def draw(self, width: int, height: int) -> None:
        """Put what is known into the widgets of the body, which is `width` wide and `height` high."""

    def leave(self) -> None:
        """Before the place or the program is left: answers that are on their way are not waited for."""
        self.away = True
        for name in [name for name, asked in self._questions.items() if not asked.always]:
            self.forget(name)

    # ---------------------------------------------------------------- the screen
    def compose(self) -> ComposeResult:
        """Head, tabs, the body, one sentence, foot."""
        yield Static(id="head")
        if self.TABS:
            yield Static(id="tabs")
        try:
            yield from self.body()
        except Exception as error:
            self._unbuilt = error
        if not self.SAYS_INSIDE:
            yield Static(id="say")
        yield Static(id="trouble")
        yield Static(self.foot(), id="foot")

    def on_mount(self) -> None:
        """Come in for the first time; what the place is composed of is there now, and no other panels come."""
        self.panels = tuple(self.query(Panel))
        self.visit()
        self.set_interval(LOOK_S, self.look_elsewhere)

    def look_elsewhere(self) -> None:
        """Where somebody else wrote to the record and has ended, or goes on and on, show it; asked twice a second."""
        ending = not self.app.screen_stack  # the program is being left: nothing is looked at any more
        if ending or not self.is_current or self.away or self.trouble is not None:
            return
        with suppress(InspectError):  # what is wrong with the record is said where it is read or written
            more = self.record.written_elsewhere()
            if more and self._written_since < MOST_LOOKS:
                self._written_since += 1
            elif more or self._written_since:
                self._written_since = 0
                self.elsewhere()
                self.app.together.look()

    def on_screen_resume(self) -> None:
        """Back from another place: come in again. Back from a question: go on."""
        if self.away:
            self.away = False
            self.visit()
        elif self._covered and self.trouble is None:
            self.guarded(self.returned)
            if self._marks != self.app.together.marks:
                self.visit()
        self._covered = False

    def on_screen_suspend(self) -> None:
        """Another place, or a question, is looked at now."""
        self._covered = True

    def on_resize(self) -> None:
        """Everything is drawn to the size at hand; the library says it more than once."""
        if self._drawn_to != self._sizes():
            self.put("#foot", self.foot())
            self.show()

    def _sizes(self) -> tuple[Size, ...]:
        """What is drawn to: the screen, and the panels as they lie in it."""
        return self.size, *(panel.size for panel in self.panels)

    def visit(self) -> None:
        """Come in, or say why that is not possible."""
        if self._unbuilt is None:
            self._until_visit, self._marks = False, self.app.together.marks
            if self._style not in (None, self.app.written):
                self.guarded(self.restyled)
            self._style = self.app.written
            self.guarded(self.arrive)
        else:
            self._broken(self._unbuilt, until_visit=True)

    def show(self) -> None:
        """Draw what is known to the size at hand; before there is a size, nothing."""
        if not self.size.width or not self.is_mounted or self.away or self._until_visit:
            return
        try:
            self._draw(*self.size)
        except Exception as error:
            self._broken(error)
        else:
            self._mended()
            self._drawn_to = self._sizes()

    def _draw(self, width: int, height: int) -> None:
        if self.TABS:
            self.put("#tabs", tabs_text(self.TABS, self.page, width))
        self.draw(width, max(height - 2 - bool(self.TABS) - 2 * (not self.SAYS_INSIDE), 4))
        self.draw_head()

    def draw_head(self) -> None:
        """The head anew: something else is at hand."""
        self.put("#head", self.head(self.size.width))

    def apart_words(self) -> list[str]:
        """`≠ EDITED TWICE: tool box 1 +2 Ctrl+P`: the nearest of what is to be decided, how many more, the key.

        The same with less and less words, for where there is no room; nothing where nothing is to be decided.
        """
        if not (apart := self.apart()):
            return []
        more = f" +{len(apart) - 1}" if len(apart) > 1 else ""
        key, whole = self._decide_key(), apart[0].words
        word, _, thing = whole.partition(": ")
        short = f"{word}: {thing[:16].rstrip()}…"
        return [
            f"{SIGN} {whole}{more} {key}",
            f"{SIGN} {short}{more} {key}",
            f"{SIGN} {word}{more} {key}",
            f"{SIGN} {key}",
        ]

    def _decide_key(self) -> str:
        from inspect_tui.tui.settings.keys import key_name

        return key_name(self.app.chosen_keys.get("place.together", "ctrl+p").partition(",")[0])

    def head(self, width: int) -> Text:
        """The head, reversed over the whole width."""
        left, right = self.heading()
        if self.record.read_only:
            left += "  READ ONLY"
        if apart := self.apart_words():
            room = width - len(left) - len(right) - 6
            right = f"{roomy(apart, room)}  {right}".rstrip()
        left, right = f" {left}", f"{right} " if right else ""
        if len(left) + len(right) > width:
            left = left[: max(width - len(right) - 2, 8)] + "… "
        return Text(left.ljust(width - len(right))[:width] + right, style="reverse", no_wrap=True)

    def put(self, widget: str, text: Text | str) -> None:
        """Show a text in one of the place's lines or panels."""
        shown = self.query_one(widget)
        if isinstance(shown, Panel):
            shown.put(text if isinstance(text, Text) else Text(text))
        elif isinstance(shown, Static):
            shown.update(Text(text) if isinstance(text, str) else text)

    def say(self, text: str, style: str = "") -> None:
        """One sentence over the foot."""
        self.put("#say", Text(text, style=style))

    def scrolled(self, text: Text, height: int) -> Text:
        """The part of a long text that `scroll_row` begins with."""
        shown, self.scroll_row = window(text, self.scroll_row, height)
        return shown

    # ---------------------------------------------------------------- when it cannot be drawn
    def guarded(self, act: Callable[[], None]) -> None:
        """Do what only reads or draws; where that fails, say why in place of the body until the place is come to."""
        try:
            act()
        except Exception as error:
            self._broken(error, until_visit=True)

    def _broken(self, error: Exception, until_visit: bool = False) -> None:
        self.trouble, self._until_visit, self._drawn_to = error, until_visit, ()
        if not isinstance(error, InspectError):
            self.app.note_trouble(error)
        if not self.has_class("-broken"):
            self._had_keyboard = self.focused
            self.add_class("-broken")
            self._stand_still(True)  # nothing that is out of sight keeps the keyboard
        why = f"{type(error).__name__}: {str(error)[:200]}"
        why = said_with_keys(error) if isinstance(error, InspectError) else why
        said = Text(f"{self.NAME} cannot be shown: {why}\n\n", style="bold red")
        said.append("Nothing that was logged is touched. ", style="not bold default")
        said.append("Enter goes to Jobs, F10 to any place; come back and it is tried again.", style="not bold default")
        self.put("#head", Text(f" {self.NAME}".ljust(self.size.width), style="reverse", no_wrap=True))
        self.put("#trouble", said)

    def _mended(self) -> None:
        self.trouble = None
        if self.has_class("-broken"):
            self.remove_class("-broken")
            self._stand_still(False)
            if self._had_keyboard is not None:
                self._had_keyboard.focus()

    def _stand_still(self, still: bool) -> None:
        for widget in self.children:
            widget.disabled = still and widget.id not in ("head", "trouble", "foot")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """While nothing can be drawn, only the keys that lead away."""
        mine = callable(getattr(type(self), f"action_{action}", None)) and not hasattr(Place, f"action_{action}")
        return not (self.trouble is not None and mine)

    def on_key(self, event: events.Key) -> None:
        """Enter leads to Jobs while nothing can be drawn."""
        if self.trouble is not None and event.key == "enter":
            event.stop()
            self.app.go("jobs")

    # ---------------------------------------------------------------- keys, the mouse, the clipboard
    def bindings(self) -> list[Binding]:
        """The bindings of the place, its own first, with the keys that were chosen for them."""
        chosen = self.app.chosen_keys
        return [b.with_key(chosen[b.id]) if b.id in chosen else b for b in self.own_bindings()]

    def own_bindings(self) -> list[Binding]:
        """The bindings of the place as it comes, its own first; of two for one key the place's own."""
        own: list[Binding] = []
        for cls in type(self).__mro__:
            if issubclass(cls, Place):
                taken = {key for binding in own for key in binding.key.split(",")}
                mine = (binding for binding in cls.__dict__.get("BINDINGS", ()) if isinstance(binding, Binding))
                own += [binding for binding in mine if not set(binding.key.split(",")) <= taken]
        return own

    def commands(self) -> Iterator[SystemCommand]:
        """Every key of the place that is shown, as a command."""
        for binding in self.bindings():
            space, name, given = parse(binding.action)
            if binding.show and not space:
                method = getattr(self, f"action_{name}")
                about = (method.__doc__ or "").strip().partition("\n")[0]
                yield SystemCommand(binding.description, about, partial(method, *given))

    def foot(self) -> str:
        """The keys that are shown, as somebody chose them, as far as there is room."""
        chosen = self.app.chosen_keys
        foot = foot_with(self.FOOT, [(b.key, chosen[b.id]) for b in self.own_bindings() if b.id in chosen])
        return foot_within(foot, self.size.width) if self.size.width else foot

    def on_click(self, event: events.Click) -> None:
        """A click on a key of the foot is that key, one on a tab opens the page."""
        if event.widget is None or event.widget.id is None:
            return
        at = event.screen_offset - event.widget.region.offset
        if event.widget.id == "foot" and (key := foot_key(self.foot(), at.x, self.bindings())):
            self.app.simulate_key(key)
        elif event.widget.id == "tabs" and (page := tab_at(self.TABS, at.x)) is not None:
            self.action_page(page)
        else:
            self.clicked(event.widget, at)

    def clicked(self, widget: Widget, at: Offset) -> None:
        """A click on a widget of the body that draws its rows itself, at a place inside it."""

    def to_copy(self) -> str:
        """What Ctrl+C copies where nothing is marked: a cut or a size; mostly nothing."""
        return ""

    def action_copy(self) -> None:
        """Copy what is marked with the mouse, else the cut or the size at hand."""
        field = self.focused.selected_text if isinstance(self.focused, Input) else ""
        text = field or self.get_selected_text() or self.to_copy()
        if text:
            self.app.copy_to_clipboard(text)
            self.say(f"Copied: {' '.join(text.split())[:60]}")
        else:
            self.say("Nothing is marked, and there is no cut or size here to copy.")

    def action_help(self) -> None:
        """All keys of this place, its words, and what two benches said apart of what is shown."""
        from inspect_tui.tui.help import WORDS, HelpScreen

        apart = "".join(f"\n  {SIGN} {mark.clash.words}" for mark in self.apart())
        apart = f"\nTo be decided ({self._decide_key()}){apart}\n" if apart else ""
        self.app.push_screen(HelpScreen(self.NAME, self.bindings(), apart + self.WORDS + WORDS))

    def action_back(self) -> None:
        """To the list of places."""
        self.app.to_places()

    def action_page(self, page: int) -> None:
        """Open a page."""
        self.page, self.scroll_row = page, 0
        self.show()

    def action_next_page(self, by: int) -> None:
        """The page beside this one."""
        self.action_page((self.page + by) % max(len(self.TABS), 1))

    # ---------------------------------------------------------------- the record and who is at it
    @property
    def record(self) -> Record:
        """The record that is open."""
        return self.app.record

    @property
    def person(self) -> Person | None:
        """Who sits at the Bench."""
        return self.app.bench.person if self.app.bench else None

    @property
    def by(self) -> Id | None:
        """The id of who sits at the Bench."""
        return self.person.id if self.person else None

    def with_person(self, then: Callable[[Person], Any]) -> None:
        """Go on as the person at the Bench, or the one who is chosen; a record that is only read says so."""
        if self.record.read_only:
            self.say(only_read(self.record), "bold red")
        elif self.person is not None:
            self._with_pin(self.person, then)
        else:
            from inspect_tui.tui import choosers

            choosers.person(self.app, self.record, lambda person: self._with_pin(person, then))

    def _with_pin(self, person: Person, then: Callable[[Person], Any]) -> None:
        """Go on as somebody; who has a PIN gives it once during a stay."""
        now = next((p for p in self.record.people() if p.of_id == person.of_id), person)
        if not self.record.locked(now):
            then(now)
            return
        from inspect_tui.tui import choosers

        choosers.pin(
            self.app, self.record, now, lambda: self.call_later(then, now), lambda wrong: self.say(wrong, "bold red")
        )

    def attempt(self, act: Callable[[], str], failed: str = "Nothing was changed") -> None:
        """Do something and say what was done; or say why it was not, after the words `failed`."""
        try:
            said = act()
        except InspectError as problem:
            self.say(f"{failed}: {said_with_keys(problem)}" if failed else said_with_keys(problem), "bold red")
        else:
            self.changed(said)

    def changed(self, said: str) -> None:
        """Something was entered: bring the place up to date and say so."""
        self.visit()
        if said:
            self.say(said, "bold green")

    # ---------------------------------------------------------------- worked out beside the screen
    def ask(
        self,
        name: str,
        work: Work,
        use: Use | None = None,
        wrong: Callable[[str], None] | None = None,
        always: bool = False,
    ) -> None:
        """Have something worked out in a thread; what comes of an older question of this name is dropped."""
        self._number += 1
        number = self._number
        self._questions[name] = _Asked(number, use or self.take_in, wrong or self._say_wrong, always)
        reader = self.record.reader

        def run() -> None:
            worker = get_current_worker()

            def hand_over(pieces: dict[str, Any], wrong: str = "", last: bool = False) -> bool:
                asked = self._questions.get(name)
                if worker.is_cancelled or asked is None or asked.number != number:
                    return False
                return self.post_message(Found(name, number, pieces, wrong, last))

            said = ""
            try:
                with reader() as opened:
                    work(opened, lambda **pieces: hand_over(pieces))
            except InspectError as problem:
                said = said_with_keys(problem)
            except Exception as error:
                self.app.note_trouble(error)
                said = f"That could not be worked out ({type(error).__name__}: {str(error)[:200]}). "
                said += "Nothing that was logged is touched."
            hand_over({}, said, last=True)

        self.run_worker(run, thread=True, exit_on_error=False, group=name, exclusive=True)

    def forget(self, name: str) -> None:
        """Answers to this question are not wanted any more."""
        self._questions.pop(name, None)

    def waits_for(self, name: str) -> bool:
        """Whether an answer to this question is still to come."""
        return name in self._questions and self._questions[name].waits

    def take_in(self, **pieces: Any) -> None:
        """Keep the pieces of an answer, each under its name, and draw them."""
        for name, value in pieces.items():
            setattr(self, name, value)
        self.show()

    def _say_wrong(self, sentence: str) -> None:
        self.say(sentence, "bold red")

    def on_found(self, message: Found) -> None:
        """Use what was found, unless something else was asked meanwhile."""
        asked = self._questions.get(message.name)
        if asked is None or asked.number != message.number:
            return
        asked.waits = not message.last
        if message.wrong:
            asked.wrong(message.wrong)
        elif message.found:
            self.guarded(partial(asked.use, **message.found))
        if message.last:
            self.show()


def window(text: Text, row: int, height: int) -> tuple[Text, int]:
    """As many lines as fit, from line `row`; what is left below is told. Also the row that is possible."""
    lines = list(text.split("\n", allow_blank=True))
    while lines and not lines[-1].plain:
        lines.pop()
    row = min(max(row, 0), max(len(lines) - height, 0))
    shown = lines[row : row + height]
    rest = len(lines) - row - len(shown)
    if rest > 0:
        shown[-1] = Text(f"↓ {rest + 1} more lines", style="dim")
    return Text("\n").join(shown), row


def tabs_text(tabs: Sequence[str], page: int, width: int) -> Text:
    """The pages with their keys, the open one reversed."""
    out = Text(no_wrap=True)
    for i, name in enumerate(tabs):
        out.append(f" {i + 1} {name} ", style="reverse bold" if i == page else "")
        out.append(" ")
    out.truncate(width)
    return out


class NoPlace(Place):
    """Stands for a place that could not be made."""

    def __init__(self, name: str, error: Exception) -> None:
        super().__init__()
        self.NAME, self.error = name, error

    def body(self) -> Iterable[Widget]:
        """Nothing but why."""
        raise self.error
