"""Putting things right from the Jobs place: rename, withdraw, take back, and the list of all that was changed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar

from rich.text import Text
from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed import fields
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job
from inspect_tui.shop.bench import memory
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.changes import by_day, changed, metal, rename, things, withdraw
from inspect_tui.shop.changes.by_day import PersonDay
from inspect_tui.shop.changes.changed import Changed
from inspect_tui.shop.changes.things import Sort, Thing
from inspect_tui.shop.common import find
from inspect_tui.tui import forms
from inspect_tui.tui.forms import Doubt, Field, Texts, ask
from inspect_tui.tui.place import Answer, Place
from inspect_tui.tui.question import Listed, Question, choose

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.tui.program import Program

ABOUT = {
    "job": "a whole job",
    "person": "who is here no more, or was entered twice",
    "gauge": "an instrument",
    "certificate": "of a gauge",
    "study": "of a gauge",
    "feature": "of the drawing: its balloon",
    "core": "that nothing names any more",
    "tool": "a pattern, stick or box",
    "sampling": "with all its castings",
    "casting": "by its serial",
    "sand": "a sand core by its serial",
    "fit": "a print, key or joint",
    "loop": "that somebody wrote",
    "passage": "or another derived characteristic",
    "picture": "shown for something",
    "count": "of a tool",
    "repair": "of a tool",
    "limit": "how far a size may wear",
    "shipment": "that never left",
    "answer": "of the foundry about one core as it was set",
    "import": "a file that was taken in, with all it brought",
}


# ------------------------------------------------------------------------------ withdrawing, taking back
def take_out(place: Place, job: Job) -> None:
    """Choose what is withdrawn: its sort, then the thing itself."""

    def of_sort(sort: Sort) -> None:
        listed = things.standing(place.record, sort, job if sort.of_job else None)
        if not listed:
            place.say(f"There is no {sort.word} to withdraw.")
            return
        choose(place, f"Which {sort.word}?", [(thing, thing.name) for thing in listed], partial(_why, place))

    rows = [(sort, f"{sort.word:<12} {ABOUT.get(sort.word, '')}") for sort in things.SORTS]
    choose(place, "Withdraw what?", rows, of_sort)


# ------------------------------------------------------------------------------ another name
def rename_thing(place: Place, job: Job) -> None:
    """Choose what is called otherwise from now on: its sort, then the thing; of a sampling all that it says."""

    def of_sort(sort: Sort) -> None:
        listed = things.standing(place.record, sort, job if sort.of_job else None)
        if not listed:
            place.say(f"There is no {sort.word} yet.")
            return
        choose(place, f"Which {sort.word}?", [(thing, thing.name) for thing in listed], partial(_another_name, place))

    sorts = [sort for sort in things.SORTS if rename.can(sort)]
    choose(
        place,
        "What is called wrongly?",
        [(sort, f"{sort.word:<12} {ABOUT.get(sort.word, '')}") for sort in sorts],
        of_sort,
    )


def _another_name(place: Place, thing: Thing) -> None:
    def go_on(by: Person) -> None:
        why = Field(
            "why", "why: a few words; they stand beside it from now on", "", partial(fields.words, ask="say why")
        )
        if thing.sort.word == "sampling":
            lot = next(lot for lot in place.record.lots(job_of(thing)) if lot.id == thing.of_id)
            lines = [*forms.first(rename.SAMPLING_FIELDS, rename.shown(lot)), why]
        else:
            lines = [Field("name", rename.label(thing), "" if thing.sort.word == "picture" else thing.name), why]

        def write(values: dict[str, Any]) -> str:
            said = values.pop("why")
            if thing.sort.word == "sampling":
                rename.change_sampling(place.record, thing, values, said, by, date.today().isoformat())
            else:
                rename.rename(place.record, thing, values["name"], said, by)
            _names_again(place.app, thing)
            return f"The {thing.said} is put right."

        ask(place, f"{thing.said}: called wrongly", lines, None, write, then=place.changed)

    place.with_person(go_on)


def job_of(thing: Thing) -> bytes:
    """The job that a thing of a job belongs to."""
    assert thing.job is not None
    return thing.job.of_id


def _names_again(app: Program, thing: Thing) -> None:
    """The Bench shows the new names."""
    bench = app.bench
    if bench is None or (thing.job is not None and thing.job.of_id != bench.job.of_id):
        return
    if thing.of_id == bench.subject.key:
        bench.keep_pending()
        listed = find.subjects(app.record, bench.job)
        bench.subject = next((s for s in listed if s.key == bench.subject.key), bench.subject)
    app.job_changed(bench.job.of_id)


def _why(place: Place, thing: Thing) -> None:
    told = withdraw.depends(place.record, thing)

    def go_on(by: Person) -> None:
        def done(why: str) -> str:
            withdraw.withdraw(place.record, thing, why, by)
            _bench_leaves(place.app, thing)
            return f"The {thing.said} is withdrawn; b takes it back."

        _form(place, f"Withdraw {thing.name}", done, "; ".join(told))

    place.with_person(go_on)


def take_back(place: Place) -> None:
    """Choose what comes back among all that is withdrawn."""
    gone = withdraw.gone(place.record)
    if not gone:
        place.say("Nothing is withdrawn.")
        return

    def chosen(thing: Thing) -> None:
        def go_on(by: Person) -> None:
            def done(why: str) -> str:
                withdraw.back(place.record, thing, why, by)
                if thing.job is not None:
                    place.app.job_changed(thing.job.of_id)
                return f"The {thing.said} is back."

            _form(place, f"Take {thing.name} back", done)

        place.with_person(go_on)

    rows = [(taken.thing, f"{taken.thing.said}  {taken.at[:10]} {taken.by or '—'}: {taken.why}") for taken in gone]
    choose(place, "What comes back?", rows, chosen)


def _form(place: Place, title: str, done: Any, told: str = "") -> None:
    why = Field("why", "why: a few words; they stand beside it from now on", "", partial(fields.words, ask="say why"))
    ask(place, title, [why], lambda values: values["why"], done, then=place.changed, wrong=told)


def _bench_leaves(app: Program, thing: Thing) -> None:
    """Nothing is measured on what is withdrawn: the Bench goes to another tool."""
    bench = app.bench
    if bench is None:
        return
    item = bench.subject.item
    at_hand = {bench.job.of_id, bench.subject.key, item.lot_id if item and item.lot_id else bench.subject.key}
    if not at_hand.isdisjoint(app.record.withdrawn()):  # a file may have taken its castings along
        other = memory.last_bench(app.record)
        app.bench = None
        if other is not None:
            gauge = bench.means.instrument if bench.means else None
            app.bench = Bench(app.record, other.job, other.subject, bench.person, gauge)
            app.bench.style = app.written
    elif thing.job is not None:
        app.job_changed(thing.job.of_id)


def put_metal_right(place: Place, job: Job) -> None:
    """Alloy and contraction of a job; what follows for its tools shows while typing."""

    def go_on(by: Person) -> None:
        record, style = place.record, place.app.written
        why = Field(
            "why", "why: what was said wrongly; it stands beside the job", "", partial(fields.words, ask="say why")
        )
        lines = [*forms.first(metal.FIELDS, metal.shown(job, style)), why]

        def follows(texts: Texts) -> str:
            try:
                return metal.read(record, job, {key: texts[key] for key, _ in metal.FIELDS}, style).sentence
            except InspectError as problem:
                return str(problem)

        def read(values: dict[str, Any]) -> Doubt:
            said = metal.read(record, job, {key: values[key] for key, _ in metal.FIELDS}, style)
            return Doubt((said, values["why"]), [f"{said.asks[:1].upper()}{said.asks[1:]}?"] if said.asks else [])

        def write(both: tuple[metal.Metal, str]) -> str:
            said, reason = both
            metal.write(record, job, said, reason, by)
            place.app.job_changed(job.of_id)
            return f"Job {job.number} is put right: {said.sentence}."

        ask(place, f"Alloy and contraction of job {job.number}", lines, read, write, then=place.changed, watch=follows)

    place.with_person(go_on)


# ------------------------------------------------------------------------------ what was changed
def show(place: Place) -> None:
    """Have the list made beside the screen, then look at it."""

    def use(listed: Sequence[Changed], days: Sequence[PersonDay]) -> None:
        if listed or days:
            place.app.push_screen(ChangesScreen(listed, days))
        else:
            place.say("Nothing was changed yet.")

    style = place.app.written

    def look(reader: Reader, answer: Answer) -> None:
        answer(listed=changed.changes(reader, style=style), days=by_day.by_day(reader))

    place.ask("changes", look, use)


class ChangesScreen(Question[None]):
    """Who changed what, when and why: type to search, arrows to look at one."""

    DEFAULT_CSS = """
    ChangesScreen { align: center middle; }
    ChangesScreen Vertical { width: 100%; height: 100%; background: $surface; border: round $primary; padding: 0 1; }
    ChangesScreen Input, ChangesScreen Input:focus { border: none; height: 1; padding: 0; background: $boost; }
    ChangesScreen OptionList, ChangesScreen OptionList:focus { height: 1fr; border: none; padding: 0; }
    ChangesScreen #whole { height: auto; max-height: 6; border-top: dashed $primary; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        ("tab", "by_day", "By person and day, and back"),
        ("up", "move('up')", ""),
        ("down", "move('down')", ""),
        ("pageup", "move('page_up')", ""),
        ("pagedown", "move('page_down')", ""),
    ]

    def __init__(self, listed: Sequence[Changed], days: Sequence[PersonDay] = ()) -> None:
        super().__init__()
        self.listed, self.shown = list(listed), list(listed)
        self.days, self.shown_days = list(days), list(days)
        self.of_days = False  # a line a person and day is shown
        self.only: PersonDay | None = None  # what that person did on that day

    def compose(self) -> ComposeResult:
        """What it is, what is searched for, the list, the chosen line whole."""
        with Vertical():
            yield Static(id="title")
            yield Input(id="search")
            yield Listed(id="changes")
            yield Static(id="whole")

    def on_mount(self) -> None:
        """Show all, the newest first; the search has the keyboard."""
        self._fill()
        self.query_one("#search", Input).focus()

    @on(Input.Changed, "#search")
    def _search(self, event: Input.Changed) -> None:
        self._find(event.value)

    def _find(self, words: str) -> None:
        of_one = by_day.of(self.listed, self.only.by or "", self.only.day) if self.only else self.listed
        self.shown = changed.search(of_one, words)
        wanted = words.casefold().split()
        said = {id(line): f"{line.day} {line.by or ''} {line.words}".casefold() for line in self.days}
        self.shown_days = [line for line in self.days if all(word in said[id(line)] for word in wanted)]
        self._fill()

    def action_by_day(self) -> None:
        """A line a person and day; from there, or from one of these, back to all that was changed."""
        self.of_days, self.only = not self.of_days and self.only is None, None
        self._anew()

    def _anew(self) -> None:
        self.query_one("#search", Input).value = ""
        self._find("")

    @on(OptionList.OptionSelected, "#changes")
    def _of_one(self, event: OptionList.OptionSelected) -> None:
        self._take(event.option_index)

    @on(Input.Submitted, "#search")
    def _take_it(self, event: Input.Submitted) -> None:
        event.stop()
        at = self.query_one("#changes", OptionList).highlighted
        if at is not None:
            self._take(at)

    def _take(self, at: int) -> None:
        """Of a person and day: what was changed then."""
        if self.of_days and at < len(self.shown_days):
            self.only, self.of_days = self.shown_days[at], False
            self._anew()

    def _title(self) -> Text:
        what = "Who did what on which day" if self.of_days else "What was changed"
        if self.only is not None:
            what = f"What {self.only.by or 'nobody named'} changed on {self.only.day}"
        enter = "Enter looks at one, " if self.of_days else ""
        way = "all" if self.of_days or self.only else "by person and day"
        return Text(f"{what}  (type to search, {enter}Tab {way}, Esc leaves)", style="bold")

    def _fill(self) -> None:
        self.query_one("#title", Static).update(self._title())
        options = self.query_one("#changes", OptionList)
        options.clear_options()
        if self.of_days:
            options.add_options([Option(_day_row(line, self.app.size.width - 8)) for line in self.shown_days])
            self.query_one("#whole", Static).update("" if self.shown_days else "No day holds these words.")
            if self.shown_days:
                options.highlighted = 0
            return
        options.add_options([Option(_row(change, self.app.size.width - 8)) for change in self.shown])
        if self.shown:
            options.highlighted = 0
        else:
            self.query_one("#whole", Static).update("Nothing that was changed holds these words.")

    def action_move(self, way: str) -> None:
        """Go through the list while the search keeps the keyboard."""
        options = self.query_one("#changes", OptionList)
        getattr(options, f"action_{'cursor_' if way in ('up', 'down') else ''}{way}")()

    @on(OptionList.OptionHighlighted, "#changes")
    def _look(self, event: OptionList.OptionHighlighted) -> None:
        if self.of_days:
            line = self.shown_days[event.option_index]
            whole = Text(f"{line.day}  {line.by or 'nobody named'}", style="bold")
            self.query_one("#whole", Static).update(whole.append(f"\n{line.words}", style="not bold"))
            return
        change = self.shown[event.option_index]
        whole = Text(f"{change.at[:16].replace('T', ' ')}  {change.by or 'nobody named'}", style="bold")
        if change.job:
            whole.append(f"  job {change.job}")
        whole.append(f"\n{change.what}: {change.how}", style="not bold")
        if change.why:
            whole.append(f"\nbecause: {change.why}", style="not bold")
        self.query_one("#whole", Static).update(whole)


def _day_row(line: PersonDay, width: int) -> Text:
    row = Text(f"{line.day} {line.by or '—':<8} {line.words}", no_wrap=True)
    row.truncate(width, overflow="ellipsis")
    return row


def _row(change: Changed, width: int) -> Text:
    row = Text(f"{change.at[:10]} {change.by or '':<4} {change.what}: {change.how}", no_wrap=True)
    row.truncate(width, overflow="ellipsis")
    return row
