"""Takes a file of readings in at the first-article place: asks which, reads it beside the work, shows it, writes it.

Nothing is written before Enter on the summary, and then all of it or nothing. What the command line refuses is refused
here with the same sentences; what a person can answer (columns, unit, sheet) is asked.
"""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inspect_tui.tui.first_article.load_forms import AtWork, Columns, FileForm, Look
from rich.text import Text

from inspect_tui.errors import DataError, InspectError
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.words import STATES_OF_WORK
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.bench import memory
from inspect_tui.shop.common.tables.columns import split_heading
from inspect_tui.shop.first_article.castings import rounds as rounds_of
from inspect_tui.shop.intake.columns import UNIT_NAMES, no_unit, unit_named
from inspect_tui.tui import conditions, todo
from inspect_tui.tui.first_article.open_sampling import OpenSampling
from inspect_tui.tui.first_article.questions import day
from inspect_tui.tui.forms import Field
from inspect_tui.tui.question import Chooser

if TYPE_CHECKING:
    from collections.abc import Callable

    from inspect_tui.shop.common.tables.file import Grid
    from inspect_tui.shop.intake.checks import UnitUnclear
    from inspect_tui.shop.intake.columns import ColumnsUnclear
    from inspect_tui.shop.intake.review import Review
    from inspect_tui.shop.intake.rows import Options
    from inspect_tui.shop.intake.take_in import CheckedFile, TakenIn

MM = "mm"


class _Left(Exception):
    """Nobody waits for this any more."""


def load(place: OpenSampling) -> None:
    """Ask for a file and take it in."""
    record, job = place.record, place.job
    if record.read_only:
        place.say(f"Not logged. {todo.only_read(record)}", "bold red")
    elif job is None:
        place.say("There is no job yet: the Jobs place (F10) makes one.")
    else:
        place.settle()
        _Load(place, job).ask()


class _Load:
    """One file on its way: what was typed, what was answered, and what it turned out to hold."""

    def __init__(self, place: OpenSampling, job: Job) -> None:
        self.place, self.app, self.record, self.job = place, place.app, place.record, job
        self.values: dict[str, str] = self._first()  # as typed
        self.said: dict[str, Any] = {}  # ... and as read
        self.grid: Grid | None = None
        self.sheet: str | None = None
        self.unit: str | None = None
        self.mapping: dict[str, str] = {}  # head -> what it is

    def _forget(self, all_of_it: bool) -> None:
        """Read the file anew: its units may have been put right; what its columns are stays as it was said."""
        self.grid, self.unit = None, None
        self.sheet = None if all_of_it else self.sheet
        self.mapping = {} if all_of_it else {head: split_heading(what)[0] for head, what in self.mapping.items()}

    # ---------------------------------------------------------------- which file
    def _first(self) -> dict[str, str]:
        filling, sampling = self.place.filling, self.place.sampling
        label = f"S{1 + len(rounds_of.rounds(self.record, self.job))}"
        return {
            "file": memory.last_file(self.record),
            "label": sampling.round.label if sampling else label,
            "by": filling.person.initials if filling and filling.person else self.place.loaded.get("by", ""),
            "with": filling.instrument.label if filling and filling.instrument else self.place.loaded.get("with", ""),
            "c": show.MM.figures(filling.work_c) if filling else "",
            "g": show.MM.figures(filling.instrument_c) if filling else "",
            "unit": "",
            "heights": "no",
            "state": "raw",
            "poured": "",
        }

    def ask(self, wrong: str = "") -> None:
        """The form, with what was typed before and why it is asked for again."""
        labels = {
            "file": "file: CSV, XLSX, ODS, XLS, columns in any order; Tab completes",
            "label": "sampling: S1, S2 ...; castings it lacks are added to it",
            "by": "who: initials, where no column says",
            "with": "with: an instrument, where no column says",
            "c": "temperature: of the castings in °C; empty is not known",
            "g": conditions.GAUGE_C,
            "unit": "unit: where no column says; empty: mm, asked if it cannot be",
            "heights": "heights: yes when they are heights over the table",
            "state": "state: of the castings: raw, or finished by machining",
            "poured": "poured on: of a new sampling; may be left out",
        }
        readers: dict[str, Callable[[str], Any]] = {
            "file": _named,
            "c": fields.optional(fields.temperature),
            "g": fields.optional(fields.temperature),
            "unit": fields.optional(_unit),
            "heights": lambda text: fields.yes(text, empty=False),
            "state": lambda text: fields.choice(text or "raw", STATES_OF_WORK, "the state of the castings"),
            "poured": fields.optional(day),
        }
        asked = [Field(key, label, self.values[key], readers.get(key)) for key, label in labels.items()]
        form = FileForm(f"Readings of {self.job.number} from a file", asked, conditions.together, wrong)

        def closed(answer: tuple[dict[str, Any]] | None) -> None:
            if answer is not None:
                self._asked(form.taken, answer[0])

        self.app.push_screen(form, closed)

    def _asked(self, texts: dict[str, str], read: dict[str, Any]) -> None:
        before, self.values = self.values["file"], texts
        self.said = read
        self._forget(all_of_it=texts["file"] != before)
        self.place.loaded = texts
        memory.remember_file(self.record, texts["file"])
        self._check()

    def _options(self) -> Options:
        from inspect_tui.shop.intake.rows import Options

        said = self.said
        return Options(
            by=said["by"] or None,
            instrument=said["with"] or None,
            unit=self.unit or said["unit"],
            mapping=tuple((what, head) for head, what in self.mapping.items()),
            temperature_c=said["c"],
            instrument_c=said["g"],
            heights=said["heights"],
            sheet=self.sheet,
            poured_on=said["poured"],
            state=said["state"],
        )

    @property
    def name(self) -> str:
        """The file as it is called in sentences."""
        return Path(self.values["file"]).name

    @property
    def label(self) -> str | None:
        """The sampling; None for the newest."""
        return self.values["label"].strip() or None

    # ---------------------------------------------------------------- beside the work
    def _work(self, words: str, work: Callable[[AtWork], Any], then: Callable[[Any], None], may_leave: bool) -> None:
        """Run `work` in a thread while a sheet says so; `then` gets the answer, or the error as one."""

        def go(sheet: AtWork) -> None:
            try:
                answer = work(sheet)
            except _Left:
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

    def _check(self) -> None:
        self._work(f"Reading {self.name}", self._read, self._read_through, may_leave=True)

    def _read(self, sheet: AtWork) -> Any:
        """In a thread: the sheets to choose from, or what would be written and its summary."""
        from inspect_tui.shop.intake import take_in
        from inspect_tui.shop.intake.review import review

        def watch(what: str, done: int, of: int) -> None:
            if sheet.left:
                raise _Left
            sheet.far = f"{what} {show.number(done)}{f' of {show.number(of)}' if of else ''} lines" if done else ""

        path = self.values["file"]
        with self.record.reader() as reader:
            if self.grid is None:
                names = take_in.sheets(path) if self.sheet is None else []
                if len(names) > 1:
                    return names
                self.grid = take_in.read(reader, path, self.sheet, watch)
            checked = take_in.check(
                reader, reader.job(self.job.of_id), self.grid, self.label, self._options(), watch=watch
            )
            return checked, review(checked)

    # ---------------------------------------------------------------- what it turned out to hold
    def _read_through(self, answer: Any) -> None:
        from inspect_tui.shop.intake.checks import UnitUnclear
        from inspect_tui.shop.intake.columns import ColumnsUnclear
        from inspect_tui.shop.intake.rows import ImportRefused

        if isinstance(answer, ColumnsUnclear):
            self._ask_columns(answer)
        elif isinstance(answer, UnitUnclear):
            self._ask_unit(answer)
        elif isinstance(answer, ImportRefused) and answer.lines:
            self._refused(answer)
        elif isinstance(answer, InspectError):
            self.ask(todo.said(answer))
        elif isinstance(answer, list):
            self._ask_sheet(answer)
        else:
            self._look_over(*answer)

    def _ask_sheet(self, names: list[str]) -> None:
        def use(name: str | None) -> None:
            self.sheet = name
            self._check() if name is not None else self.ask("No sheet was chosen; nothing was added.")

        self.app.push_screen(Chooser(f"Which sheet of {self.name}?", [(name, name) for name in names]), use)

    def _ask_columns(self, problem: ColumnsUnclear) -> None:
        def use(said: dict[str, str] | None) -> None:
            if said is None:
                self.ask("The columns were not said; nothing was added.")
            else:
                self.mapping |= said
                self._check()

        features = self.place.sampling.features if self.place.sampling else self._features()
        self.app.push_screen(Columns(problem.why, problem.columns, features), use)

    def _features(self) -> list[Any]:
        revisions = self.record.revisions(self.job.of_id)
        return [f for f in self.record.features(revisions[-1].id) if f.scale == "cast"] if revisions else []

    def _ask_unit(self, problem: UnitUnclear) -> None:
        words = UNIT_NAMES.get(problem.unit, problem.unit)
        heads = ", ".join(head for head, _ in problem.columns)
        rows: list[tuple[Any, str]] = [(MM, "mm: take all figures as mm all the same")]
        if problem.columns:
            rows.insert(0, (problem.unit, f"{words} in {heads}; the others as they are"))
        elif not problem.scattered:
            rows.insert(0, (problem.unit, f"{words}: take all figures that do not say otherwise as {words}"))
        why = "\n".join([problem.why, *problem.lines[:4], "What are they?"])

        def use(unit: str | None) -> None:
            if unit is None:
                self.ask("The unit was not said; nothing was added.")
                return
            if unit == problem.unit and problem.columns:
                self.mapping |= {head: f"{what} [{unit}]" for head, what in problem.columns}
            else:
                self.unit = unit
            self._check()

        self.app.push_screen(Chooser(why, rows), use)

    def _refused(self, problem: Any) -> None:
        title = Text(todo.said(problem, below=False), style="bold red")
        title.append("  (arrows scroll, Esc goes back)", style="not bold dim")
        body = Text("\n".join(problem.lines))
        self.app.push_screen(Look(title, body), lambda _: self.ask(f"{self.name} was refused; nothing was added."))

    def _look_over(self, checked: CheckedFile, review: Review) -> None:
        title = Text(f"Take {checked.grid.name} in?  (Enter writes all, Esc writes nothing)", style="bold")
        body = Text(f"{review.title}\n\n", style="bold")
        for what, words in review.lines:
            body.append(f"{what:<14}", style="bold")
            body.append(f"{words}\n", style="not bold")
        if review.odd:
            body.append(
                "\nLooks odd: taken in as it stands; Esc, put it right in the file, or later with Ctrl+R\n",
                style="bold yellow",
            )
            body.append("\n".join(review.odd), style="not bold")

        def use(yes: bool | None) -> None:
            if yes:
                self._work(
                    f"Writing {show.count(len(checked.readings), 'reading')}",
                    lambda _: self._write(checked),
                    self._written,
                    may_leave=False,
                )
            else:
                self.place.say(f"Nothing was taken in from {checked.grid.name}. Ctrl+L asks again.")

        self.app.push_screen(Look(title, body), use)

    # ---------------------------------------------------------------- writing
    def _write(self, checked: CheckedFile) -> TakenIn:
        """In a thread, on a connection of its own: thousands of rows take seconds."""
        from inspect_tui.shop.intake.take_in import write

        with Record.open(self.record.path) as record:
            return write(record, record.job(self.job.of_id), checked)

    def _written(self, answer: TakenIn | InspectError) -> None:
        if isinstance(answer, InspectError):
            self.ask(todo.said(answer))
            return
        self.place.open(self.job, answer.round)
        new = f", {show.number(len(answer.new_castings))} of them new" if answer.new_castings else ""
        castings = show.count(answer.castings, "casting")
        self.place.say(
            f"logged {show.count(answer.readings, 'reading')} from {answer.name} on {castings}{new} ({answer.round})",
            "bold green",
        )


def _named(text: str) -> str | Wrong:
    return text or Wrong("Name a CSV, XLSX, ODS or XLS file, such as ~/readings.csv.")


def _unit(text: str) -> str | Wrong:
    unit = unit_named(text)
    return Wrong(no_unit(text)) if unit is None else unit.name
