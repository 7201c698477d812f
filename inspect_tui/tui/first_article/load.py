"""Takes a file of readings of castings in at the first-article place."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.text import Text

from inspect_tui.errors import InspectError
from inspect_tui.metrology.typed import fields, show
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.words import STATES_OF_WORK
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings import rounds as rounds_of
from inspect_tui.shop.intake.columns import UNIT_NAMES, no_unit, unit_named
from inspect_tui.tui import conditions, todo
from inspect_tui.tui.files.flow import Flow, lines_of, named
from inspect_tui.tui.first_article.open_sampling import OpenSampling
from inspect_tui.tui.first_article.questions import day
from inspect_tui.tui.forms import Field
from inspect_tui.tui.question import Chooser

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from inspect_tui.record.read import Reader
    from inspect_tui.shop.common.tables.workbook_apart import Watch
    from inspect_tui.shop.intake.checks import UnitUnclear
    from inspect_tui.shop.intake.columns import HeadShown
    from inspect_tui.shop.intake.review import Review
    from inspect_tui.shop.intake.rows import Options
    from inspect_tui.shop.intake.take_in import CheckedFile, TakenIn

MM = "mm"
ODD = "\nLooks odd: taken in as it stands; Esc, put it right in the file, or later with Ctrl+R\n"


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


class _Load(Flow):
    """One file of readings of castings."""

    TITLE = "Readings of {job} from a file"
    AGAIN = "Ctrl+L asks again."
    place: OpenSampling

    def __init__(self, place: OpenSampling, job: Job) -> None:
        self.sampling_at = place
        super().__init__(place, job)
        self.taken: TakenIn | None = None

    def together(self, values: dict[str, Any]) -> Any:
        """What the fields say together."""
        return conditions.together(values)

    # ---------------------------------------------------------------- which file
    def first(self) -> dict[str, str]:
        """What is known of who measures with what; the newest sampling."""
        place = self.sampling_at
        filling, sampling = place.filling, place.sampling
        label = f"S{1 + len(rounds_of.rounds(self.record, self.job))}"
        return {
            "label": sampling.round.label if sampling else label,
            "by": filling.person.initials if filling and filling.person else place.loaded.get("by", ""),
            "with": filling.instrument.label if filling and filling.instrument else place.loaded.get("with", ""),
            "c": show.MM.figures(filling.work_c) if filling else "",
            "g": show.MM.figures(filling.instrument_c) if filling else "",
            "day": "",
            "unit": "",
            "heights": "no",
            "state": "raw",
            "poured": "",
        }

    def fields(self) -> list[Field]:
        """Which file, into which sampling, and what it may not say by itself."""
        labels = {
            "file": "file: CSV, XLSX, ODS, XLS, columns in any order; Tab completes",
            "label": "sampling: S1, S2 ...; castings it lacks are added to it",
            "by": "who: initials, where no column says",
            "with": "with: an instrument, where no column says",
            "c": "temperature: of the castings in °C; empty is not known",
            "g": conditions.GAUGE_C,
            "day": "day: when measured, where no column says; empty: today",
            "unit": "unit: where no column says; empty: mm, asked if it cannot be",
            "heights": "heights: yes when they are heights over the table",
            "state": "state: of the castings: raw, or finished by machining",
            "poured": "poured on: of a new sampling; may be left out",
        }
        readers: dict[str, Callable[[str], Any]] = {
            "file": named,
            "c": fields.optional(fields.temperature),
            "g": fields.optional(fields.temperature),
            "day": fields.optional(day),
            "unit": fields.optional(unit),
            "heights": lambda text: fields.yes(text, empty=False),
            "state": lambda text: fields.choice(text or "raw", STATES_OF_WORK, "the state of the castings"),
            "poured": fields.optional(day),
        }
        return [Field(key, label, "", readers.get(key)) for key, label in labels.items()]

    def typed(self, texts: dict[str, str]) -> None:
        """Who and with what stands there the next time."""
        self.sampling_at.loaded = texts

    def _options(self) -> Options:
        from inspect_tui.shop.intake.rows import Options

        said = self.filled
        return Options(
            by=said["by"] or None,
            instrument=said["with"] or None,
            unit=self.unit or said["unit"],
            mapping=self.given,
            temperature_c=said["c"],
            instrument_c=said["g"],
            heights=said["heights"],
            sheet=self.sheet,
            poured_on=said["poured"],
            day=said["day"],
            days=self.days,
            state=said["state"],
        )

    @property
    def label(self) -> str | None:
        """The sampling; None for the newest."""
        return self.values["label"].strip() or None

    # ---------------------------------------------------------------- what it turned out to hold
    def look(self, reader: Reader, watch: Watch) -> Any:
        """In a thread: what would be written and its summary."""
        from inspect_tui.shop.intake import take_in
        from inspect_tui.shop.intake.review import review

        if self.grid is None:
            self.grid = take_in.read(reader, self.values["file"], self.sheet, watch)
        job = reader.job(self.job.of_id)
        checked = take_in.check(reader, job, self.grid, self.label, self._options(), watch=watch)
        return checked, review(checked)

    def heads(self, found: tuple[CheckedFile, Review]) -> Sequence[HeadShown]:
        """The columns of the file."""
        from inspect_tui.shop.intake.columns import heads_shown

        return heads_shown(found[0].grid, found[0].layout)

    def features(self) -> list[Any]:
        """The features of the newest drawing that castings are measured for."""
        if self.sampling_at.sampling:
            return list(self.sampling_at.sampling.features)
        revisions = self.record.revisions(self.job.of_id)
        return [f for f in self.record.features(revisions[-1].id) if f.scale == "cast"] if revisions else []

    def answered(self, problem: InspectError) -> bool:
        """Whether a question stands now that the person can answer."""
        from inspect_tui.shop.intake.checks import UnitUnclear

        if isinstance(problem, UnitUnclear):
            self._ask_unit(problem)
            return True
        return super().answered(problem)

    def _ask_unit(self, problem: UnitUnclear) -> None:
        words = UNIT_NAMES.get(problem.unit, problem.unit)
        heads = ", ".join(head for head, _ in problem.columns)
        rows: list[tuple[Any, str]] = [(MM, "mm: take all figures as mm all the same")]
        if problem.columns:
            rows.insert(0, (problem.unit, f"{words} in {heads}; the others as they are"))
        elif not problem.scattered:
            rows.insert(0, (problem.unit, f"{words}: take all figures that do not say otherwise as {words}"))
        why = "\n".join([problem.why, *problem.lines[:4], "What are they?"])

        def use(chosen: str | None) -> None:
            if chosen is None:
                self.ask("The unit was not said; nothing was added.")
                return
            if chosen == problem.unit and problem.columns:
                self.mapping |= {head: f"{what} [{chosen}]" for head, what in problem.columns}
            else:
                self.unit = chosen
            self.check()

        self.app.push_screen(Chooser(why, rows), use)

    def shown(self, found: tuple[CheckedFile, Review]) -> Text:
        """The summary, and what looks odd."""
        review = found[1]
        return lines_of(review.title, review.lines, review.odd, ODD)

    # ---------------------------------------------------------------- writing
    def write(self, record: Record, found: tuple[CheckedFile, Review]) -> str:
        """Write it; what is said then."""
        from inspect_tui.shop.intake.take_in import write

        done = self.taken = write(record, record.job(self.job.of_id), found[0])
        new = f", {show.number(len(done.new_castings))} of them new" if done.new_castings else ""
        castings = show.count(done.castings, "casting")
        return f"logged {show.count(done.readings, 'reading')} from {done.name} on {castings}{new} ({done.round})"

    def written(self, said: str) -> None:
        """The sampling opens with what came in."""
        assert self.taken is not None
        self.sampling_at.open(self.job, self.taken.round)
        self.sampling_at.say(said, "bold green")


def unit(text: str) -> str | Wrong:
    """The unit of figures that do not say it."""
    named = unit_named(text)
    return Wrong(no_unit(text)) if named is None else named.name
