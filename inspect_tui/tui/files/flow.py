"""A file on its way into the record, whatever it holds: which one, read beside the work, asked about, seen, written.

Nothing is written before Enter on the summary, and then all of it or nothing. What the command line refuses is refused
here with the same sentences; what a person can answer (sheet, columns, unit, names, the order of days) is asked. What
comes in is said by a class over `Flow`: its fields, what reads it, what is shown of it, what writes it.
"""

from __future__ import annotations

from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.errors import DataError, InspectError
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.common.tables.columns import split_heading
from inspect_tui.todo import Todo
from inspect_tui.tui import todo
from inspect_tui.tui.files.forms import COLUMNS, AtWork, Columns, FileForm, Look
from inspect_tui.tui.forms import Field
from inspect_tui.tui.place import Place
from inspect_tui.tui.question import Chooser

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from inspect_tui.model.work import Feature
    from inspect_tui.record.read import Reader
    from inspect_tui.shop.common.tables.workbook_apart import Watch
    from inspect_tui.shop.intake.columns import ColumnsUnclear, HeadShown

ORDERS = (
    ("d/m/y", "d/m/y: the day first, 31/3/2025"),
    ("m/d/y", "m/d/y: the month first, 3/31/2025"),
    ("y/m/d", "y/m/d: the year first, 25/3/31"),
)
ODD = "\nTo be answered: Enter takes it in as it stands; Esc, and put it right in the file\n"


class Left(Exception):
    """Nobody waits for this any more."""


class Flow:
    """One file on its way: what was typed, what was answered, and what it turned out to hold."""

    TITLE = "A file"
    WHAT: tuple[tuple[str, str], ...] = ()  # what a column may hold besides features, and what that means
    AGAIN = "The same key asks again."
    together: Callable[[dict[str, Any]], Any] | None = None  # a reader of the whole form

    def __init__(self, place: Place, job: Job) -> None:
        self.place, self.app, self.record, self.job = place, place.app, place.record, job
        self.values: dict[str, str] = {"file": memory.last_file(self.record), **self.first()}  # as typed
        self.filled: dict[str, Any] = {}  # ... and as read
        self.sheet: str | None = None
        self.unit: str | None = None
        self.days: str | None = None
        self.mapping: dict[str, str] = {}  # head -> what it is
        self.names: dict[str, str] = {}  # what the file calls somebody or something -> its name here
        self.grid: Any = None  # what was read, while nothing about how it is read has changed

    # ---------------------------------------------------------------- what a class over this says
    def first(self) -> dict[str, str]:
        """What stands in the fields at first, but for the file."""
        return {}

    def at_the_bench(self) -> dict[str, str]:
        """Who sits at the Bench, and with what."""
        bench = self.app.bench
        gauge = bench.means.instrument.label if bench and bench.means else ""
        return {"by": bench.person.initials if bench and bench.person else "", "with": gauge}

    def fields(self) -> list[Field]:
        """The fields of the form; the file is first."""
        raise NotImplementedError

    def look(self, reader: Reader, watch: Watch) -> Any:
        """In a thread: what the file holds and would write."""
        raise NotImplementedError

    def shown(self, found: Any) -> Text:
        """What is to be seen of it before it is written."""
        raise NotImplementedError

    def heads(self, found: Any) -> Sequence[HeadShown]:
        """Its columns, where a person may say otherwise what they hold."""
        return ()

    def features(self) -> Sequence[Feature]:
        """The features that a column may hold."""
        return ()

    def nothing_new(self, found: Any) -> str:
        """A sentence where nothing of it would be written."""
        return ""

    def write(self, record: Record, found: Any) -> str:
        """In a thread, on a connection of its own: write it; what is said then."""
        raise NotImplementedError

    def written(self, said: str) -> None:
        """Back at the place."""
        self.place.changed(said)

    # ---------------------------------------------------------------- which file
    @property
    def name(self) -> str:
        """The file as it is called in sentences."""
        return Path(self.values["file"]).name

    @property
    def given(self) -> tuple[tuple[str, str], ...]:
        """The columns as they were said: (what, head)."""
        return tuple((what, head) for head, what in self.mapping.items())

    def forget(self, all_of_it: bool) -> None:
        """Read the file anew: its units may have been put right; what its columns are stays as it was said."""
        self.grid, self.unit = None, None
        if all_of_it:
            self.sheet, self.days, self.mapping, self.names = None, None, {}, {}
        self.mapping = {head: split_heading(what)[0] for head, what in self.mapping.items()}

    def ask(self, wrong: str = "") -> None:
        """The form, with what was typed before and why it is asked for again."""
        asked = [field._replace(first=self.values.get(field.key, "")) for field in self.fields()]
        form = FileForm(self.TITLE.format(job=self.job.number), asked, self.together or (lambda values: values), wrong)

        def closed(answer: tuple[dict[str, Any]] | None) -> None:
            if answer is not None:
                self._asked(form.taken, answer[0])

        self.app.push_screen(form, closed)

    def _asked(self, texts: dict[str, str], read: dict[str, Any]) -> None:
        before, self.values = self.values["file"], texts
        self.filled = read
        self.forget(all_of_it=texts["file"] != before)
        self.typed(texts)
        memory.remember_file(self.record, texts["file"])
        self.check()

    def typed(self, texts: dict[str, str]) -> None:
        """What was typed may be wanted the next time."""

    # ---------------------------------------------------------------- beside the work
    def work(self, words: str, work: Callable[[AtWork], Any], then: Callable[[Any], None], may_leave: bool) -> None:
        """Run `work` in a thread while a sheet says so; `then` gets the answer, or the error as one."""

        def go(sheet: AtWork) -> None:
            try:
                answer = work(sheet)
            except Left:
                return
            except InspectError as problem:
                answer = problem
            except Exception as problem:  # a fault of ours must not end the program, nor be taken for success
                answer = DataError(
                    f"{self.name} could not be taken in ({type(problem).__name__}: {str(problem)[:120]}). Look at what "
                    "was logged last before trying again, and save the file anew."
                )
            with suppress(RuntimeError):  # the program was left meanwhile
                self.app.call_from_thread(sheet.done, answer)

        def begin(sheet: AtWork) -> None:
            self.app.run_worker(lambda: go(sheet), thread=True, exit_on_error=False, group="load")

        def closed(answer: tuple[Any] | None) -> None:
            if answer is None:
                self.ask(f"{self.name} was left; nothing was added.")
            else:
                then(answer[0])

        self.app.push_screen(AtWork(words, begin, may_leave), closed)

    def check(self) -> None:
        """Read the file beside the work, and go on with what it turned out to hold."""
        self.work(f"Reading {self.name}", self._read, self._read_through, may_leave=True)

    def _read(self, sheet: AtWork) -> Any:
        """In a thread: the sheets to choose from, or what the file holds."""

        def watch(what: str, done: int, of: int) -> None:
            if sheet.left:
                raise Left
            sheet.far = f"{what} {show.number(done)}{f' of {show.number(of)}' if of else ''} lines" if done else ""

        from inspect_tui.shop.intake import take_in

        path = self.values["file"]
        with self.record.reader() as reader:
            if self.grid is None and self.sheet is None and not path.casefold().endswith(".json"):
                names = take_in.sheets(path)
                if len(names) > 1:
                    return names
            return self.look(reader, watch)

    # ---------------------------------------------------------------- what it turned out to hold
    def _read_through(self, answer: Any) -> None:
        from inspect_tui.shop.intake.columns import ColumnsUnclear
        from inspect_tui.shop.intake.rows import ImportRefused

        if isinstance(answer, ColumnsUnclear):
            self._ask_columns(answer)
        elif isinstance(answer, InspectError) and self.answered(answer):
            return
        elif isinstance(answer, ImportRefused) and answer.lines:
            self._refused(answer)
        elif isinstance(answer, InspectError):
            self.ask(todo.said(answer))
        elif isinstance(answer, list):
            self._ask_sheet(answer)
        elif sentence := self.nothing_new(answer):
            self.ask(sentence)
        else:
            self._look_over(answer)

    def answered(self, problem: InspectError) -> bool:
        """Whether a question stands now that the person can answer: a name, the order of days, the unit."""
        what, about = getattr(problem, "todo", None), getattr(problem, "about", "")
        lines = list(getattr(problem, "lines", ()))
        if what is Todo.SAY_NAME and about:
            mine = [line for line in lines if about[:24] in line][:2]
            self.choose(
                "\n".join([*mine, f"What is {about[:40]} here?"]), self.known(), lambda name: self._named(about, name)
            )
        elif what in (Todo.SAY_WHO, Todo.SAY_WHO_AND_WITH_WHAT) and "by" in self.filled:
            self.choose(
                "Who measured, where the file does not say?", self.listed(self.people()), partial(self._say, "by")
            )
        elif what is Todo.SAY_WITH_WHAT and "with" in self.filled:
            self.choose(
                "With what, where the file does not say?", self.listed(self.gauges()), partial(self._say, "with")
            )
        elif what is Todo.SAY_DAY_ORDER:
            self.choose("\n".join([*lines[:3], "How are its days written?"]), list(ORDERS), self._ordered)
        elif what is Todo.SAY_UNIT and about:
            rows = [(about, f"{about}: take all figures that do not say otherwise so"), ("mm", "mm all the same")]
            self.choose("\n".join([str(getattr(problem, "sentence", problem)), *lines[:4]]), rows, self._in_unit)
        else:
            return False
        return True

    def choose(self, question: str, rows: Sequence[tuple[Any, str]], use: Callable[[Any], None]) -> None:
        """A list to choose from; where nothing is chosen the form comes back."""

        def closed(chosen: Any) -> None:
            if chosen is None:
                self.ask("That was not said; nothing was added.")
            else:
                use(chosen)

        self.app.push_screen(Chooser(question, rows), closed)

    def tools(self) -> list[tuple[str, str]]:
        """The tools of the job: (label, about it)."""
        return [(tool.label, tool.kind.replace("_", " ")) for tool in self.record.tools(self.job.of_id)]

    def people(self) -> list[tuple[str, str]]:
        """Who is known: (initials, name)."""
        return [(person.initials, person.name or person.role) for person in self.record.people()]

    def gauges(self) -> list[tuple[str, str]]:
        """What is measured with: (label, kind)."""
        return [(gauge.label, gauge.kind.replace("_", " ")) for gauge in self.record.instruments()]

    def known(self) -> list[tuple[str, str]]:
        """What a name of the file may stand for: tools, people and gauges."""
        return self.listed([*self.tools(), *self.people(), *self.gauges()])

    def listed(self, names: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
        """Names as a list to choose from shows them."""
        return [(name, f"{name:<16} {about}") for name, about in names]

    def _say(self, key: str, text: str) -> None:
        """A field of the form, answered on the way."""
        self.values[key] = self.filled[key] = text
        self.check()

    def _named(self, called: str, name: str) -> None:
        self.names[called] = name
        self.check()

    def _ordered(self, order: str) -> None:
        self.days = order
        self.check()

    def _in_unit(self, unit: str) -> None:
        self.unit = unit
        self.check()

    def _ask_sheet(self, names: list[str]) -> None:
        def use(name: str | None) -> None:
            self.sheet = name
            self.check() if name is not None else self.ask("No sheet was chosen; nothing was added.")

        self.app.push_screen(Chooser(f"Which sheet of {self.name}?", [(name, name) for name in names]), use)

    def _ask_columns(self, problem: ColumnsUnclear) -> None:
        self.say_columns(problem.why, problem.columns)

    def say_columns(self, why: str, columns: Sequence[HeadShown]) -> None:
        """What the columns of the file hold is said, one by one."""

        def use(said: dict[str, str] | None) -> None:
            if said is None:
                self.ask("The columns were not said; nothing was added.")
            else:
                self.mapping |= said
                self.check()

        self.app.push_screen(Columns(why, columns, self.features(), self.WHAT or None), use)

    def _refused(self, problem: Any) -> None:
        title = Text(todo.said(problem, below=False), style="bold red")
        title.append("  (arrows scroll, Esc goes back)", style="not bold dim")
        body = Text("\n".join(problem.lines))
        self.app.push_screen(Look(title, body), lambda _: self.ask(f"{self.name} was refused; nothing was added."))

    def _look_over(self, found: Any) -> None:
        heads = self.heads(found)
        say = "c says what columns hold, " if heads else ""
        title = Text(f"Take {self.name} in?  (Enter writes all, {say}Esc writes nothing)", style="bold")

        def use(answer: bool | str | None) -> None:
            if answer == COLUMNS:
                self.say_columns("Enter says what a column holds.", heads)
            elif answer:
                self.work(f"Writing {self.name}", lambda _: self._write(found), self._written, may_leave=False)
            else:
                self.place.say(f"Nothing was taken in from {self.name}. {self.AGAIN}")

        self.app.push_screen(Look(title, self.shown(found), bool(heads)), use)

    # ---------------------------------------------------------------- writing
    def _write(self, found: Any) -> str:
        """In a thread, on a connection of its own: thousands of rows take seconds."""
        with Record.open(self.record.path) as record:
            return self.write(record, found)

    def _written(self, answer: Any) -> None:
        if isinstance(answer, InspectError):
            self.ask(todo.said(answer))
        else:
            self.written(answer)


def lines_of(title: str, lines: Sequence[tuple[str, str]], asked: Sequence[str], odd: str = ODD) -> Text:
    """What is shown before a file is written: a title, (what, words) a line, and what is to be answered."""
    body = Text(f"{title}\n\n", style="bold")
    for what, words in lines:
        body.append(f"{what:<14}" if len(what) < 14 else f"{what} ", style="bold")
        body.append(f"{words}\n", style="not bold")
    if asked:
        body.append(odd, style="bold yellow")
        body.append("\n".join(asked), style="not bold")
    return body


def named(text: str) -> str | Wrong:
    """The name of a file that was typed."""
    return text or Wrong("Name a CSV, XLSX, ODS or XLS file, such as ~/readings.csv.")
