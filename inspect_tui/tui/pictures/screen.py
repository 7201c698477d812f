"""Pictures of what is at hand, one at a time in half blocks; they are added and withdrawn here too."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType

from inspect_tui.errors import InspectError
from inspect_tui.report.term import photo
from inspect_tui.shop.pictures import listing
from inspect_tui.tui.choosers import ask_text
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.pictures import forms
from inspect_tui.tui.question import Question
from inspect_tui.tui.todo import said

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Job
    from inspect_tui.shop.pictures.listing import Seen
    from inspect_tui.shop.pictures.owners import Owner
    from inspect_tui.tui.place import Place

NONE = "There is no picture yet: a adds one, or several at once."
FOOT = "←→ other picture  a add  n numbers on it  x withdraw  Esc back"


def look(place: Place, job: Job, owners: Sequence[Owner], also: Sequence[Id] | None = ()) -> None:
    """Show the pictures of these things over a place, and of what has an id in `also` (None: of the whole job)."""
    about = None if also is None else [*(owner.of_id for owner in owners), *also]

    def show(seen: list[Seen]) -> None:
        screen = Pictures(place, job, owners, seen, read)
        place.app.push_screen(screen)

    def read(use: Callable[[list[Seen]], Any]) -> None:
        place.ask(
            "pictures", lambda reader, answer: answer(seen=listing.of_job(reader, job, about)), lambda seen: use(seen)
        )

    read(show)


class Pictures(Question[None]):
    """The pictures, over the place from which they were asked for."""

    DEFAULT_CSS = """
    Pictures { background: $background; }
    Pictures #title { height: 2; text-style: bold; }
    Pictures #painting { height: 1fr; }
    Pictures #told { height: 2; }
    Pictures #keys { height: 1; color: $text-muted; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left,up", "step(-1)", "The picture before"),
        Binding("right,down", "step(1)", "The next picture"),
        Binding("a", "add", "Add pictures"),
        Binding("n", "numbers", "Where numbers of sizes stand on this picture"),
        Binding("x", "withdraw", "Withdraw this picture"),
    ]

    def __init__(
        self,
        place: Place,
        job: Job,
        owners: Sequence[Owner],
        seen: list[Seen],
        read: Callable[[Callable[[list[Seen]], Any]], None],
    ) -> None:
        super().__init__()
        self.place, self.job, self.owners, self.seen, self._read = place, job, owners, seen, read
        self.at = 0

    def compose(self) -> ComposeResult:
        """Which it is, the picture, what was done, the keys."""
        yield Panel(id="title")
        yield Panel(id="painting")
        yield Panel(id="told")
        yield Panel(FOOT, id="keys")

    def on_resize(self, _: events.Resize) -> None:
        """Paint for the room there is, the first time too."""
        self.show()

    @property
    def one(self) -> Seen | None:
        """The picture that is looked at."""
        return self.seen[self.at] if self.seen else None

    def show(self) -> None:
        """Title at once; the painting is made beside the screen, for a photograph takes a while."""
        self.at = min(self.at, max(len(self.seen) - 1, 0))
        picture, painting = self.one, self.query_one("#painting", Panel)
        if picture is None:
            self.query_one("#title", Panel).put(Text(", ".join(owner.name for owner in self.owners)))
            painting.put(Text(NONE, style="dim"))
            return
        self.query_one("#title", Panel).put(Text(f"{self.at + 1} of {len(self.seen)} · {picture.title}"))
        if picture.path is None:
            painting.put(Text(photo.NOT_HERE, style="dim"))
            return
        painting.put(Text("..."))
        path, room = picture.path, (self.size.width, max(self.size.height - 5, 1))

        def paint() -> None:
            painted = photo.half_blocks(path, *room)
            self.app.call_from_thread(self._painted, picture, painted)

        self.run_worker(paint, thread=True, exclusive=True, exit_on_error=False)

    def _painted(self, one: Seen, painted: Text) -> None:
        if self.is_attached and one is self.one:
            self.query_one("#painting", Panel).put(painted)

    def tell(self, sentence: str, style: str = "bold green") -> None:
        """What was done, or why not."""
        self.query_one("#told", Panel).put(Text(sentence, style=style))

    def action_step(self, by: int) -> None:
        """Another picture; after the last comes the first."""
        if self.seen:
            self.at = (self.at + by) % len(self.seen)
            self.tell("")
            self.show()

    def _again(self, sentence: str) -> None:
        def use(seen: list[Seen]) -> None:
            self.seen = seen
            if self.is_attached:
                self.show()

        self.tell(sentence)
        self._read(use)

    def _with_person(self, then: Callable[[Person], Any]) -> None:
        if self.place.record.read_only:
            self.tell(f"Nothing was changed. {self.place.record.read_only_why}", "bold red")
        else:
            self.place.with_person(then)

    def action_add(self) -> None:
        """Add pictures of one of the things at hand."""
        self._with_person(lambda by: forms.add(self, self.place.record, self.owners, by.id, self._again))

    def action_numbers(self) -> None:
        """Say where numbers of sizes stand on the picture, for the first article."""
        picture = self.one
        if picture is not None:
            record, job = self.place.record, self.job
            self._with_person(lambda by: forms.numbers(self, record, job, picture, by.id, self._again))

    def action_withdraw(self) -> None:
        """Take the picture out; it stays in the record, with who and why."""
        picture = self.one
        if picture is not None:
            title = f"Why is {picture.name} withdrawn?"
            self._with_person(lambda by: ask_text(self.app, title, partial(self._withdraw, picture, by)))

    def _withdraw(self, one: Seen, by: Person, why: str | None) -> None:
        from inspect_tui.shop.changes import things, withdraw

        if why is None:
            return
        sort = things.sort_of("picture")
        thing = things.Thing(sort=sort, name=f"{one.name} of {one.of}", of_id=one.use.of_id, job=self.job)
        try:
            withdraw.withdraw(self.place.record, thing, why, by)
        except InspectError as problem:
            self.tell(said(problem), "bold red")
            return
        self._again(f"{one.name} is withdrawn.")
