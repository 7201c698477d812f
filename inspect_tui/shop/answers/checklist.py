"""Reads a checklist that was filled in and saved by whoever did it: CSV, XLSX, ODS or XLS; and puts it to its job."""

from __future__ import annotations

from collections import Counter
from datetime import date
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.typed import day_order
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.answers.brought import brought
from inspect_tui.shop.answers.refusals import refused
from inspect_tui.shop.common import find
from inspect_tui.shop.common.tables.columns import number
from inspect_tui.shop.intake.columns import HEAD_ROWS, NOTHING, bare
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.paper.come_back import edition_of
from inspect_tui.shop.kit.proving import enter
from inspect_tui.shop.kit.proving.checklist import HEADS, Checklist, checklist, row_line
from inspect_tui.shop.kit.proving.enter import Checked, Draft
from inspect_tui.todo import Todo

if TYPE_CHECKING:
    from collections.abc import Sequence

    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record
    from inspect_tui.shop.common.tables.file import Grid

NEEDED = ("trial", "item", "found")
OF_TRIAL = tuple(item for item, _, _ in HEADS)


@frozen_by_name
class FilledIn:
    """A checklist as it came back: `draft` is what it says, `lines` what its mark is made of, line by line."""

    name: str
    sha256: str
    job: str
    draft: Draft
    lines: tuple[tuple[str, str], ...]  # where, and the line
    wrong: tuple[str, ...]


@frozen_by_name
class CheckedSheet:
    """A checklist that was put to its job: what would be written, and what is asked first."""

    answers: FilledIn
    job: Job
    trial: Checked
    asked: tuple[str, ...]
    nothing_new: bool  # the same trial is in the record already
    by: Person

    @property
    def sentence(self) -> str:
        """`trying in of 2026-03-02: 7 cores, 12 answers, job 4711`."""
        return f"{self.trial.sentence}, job {self.job.number}"

    def lines(self, style: Style = MM) -> list[tuple[str, str]]:
        """What would be written and what is asked, (what, words) a line."""
        told = [(item, text) for item, text in self.answers.draft.found if text.strip()]
        return told + [("asked", sentence) for sentence in self.asked]


# ------------------------------------------------------------------------------ the table
def is_checklist(grid: Grid) -> bool:
    """Whether a table is a checklist of a trial: a line of it has the heads that are needed."""
    return _head_row(grid) is not None


def _head_row(grid: Grid) -> int | None:
    for row, cells in enumerate(grid.rows[:HEAD_ROWS]):
        if {bare(cell) for cell in cells} >= set(NEEDED):
            return row
    return None


def read(grid: Grid) -> FilledIn:
    """What the checklist says; what is wrong with the table is among it, nothing is raised."""
    head = _head_row(grid) or 0
    place = {bare(cell): at for at, cell in enumerate(grid.rows[head]) if bare(cell)}
    wrong: list[str] = []
    once: dict[str, dict[str, int]] = {"job": {}, "edition": {}, "trial": {}}
    heads: dict[str, str] = {}
    found: dict[str, tuple[str, str]] = {}
    lines: list[tuple[str, str]] = []

    def cell(cells: Sequence[str], name: str) -> str:
        at = place.get(name)
        text = cells[at].strip() if at is not None and at < len(cells) else ""
        return text[1:] if text.startswith("'") and len(text) > 1 else text

    for row, cells in enumerate(grid.rows[head + 1 :], start=head + 1):
        at = f"line {grid.lines[row]}"
        if len(cells) > len(grid.rows[head]):
            wrong.append(f"{at}: {len(cells)} cells under {len(grid.rows[head])} heads; part the cells by semicolons")
            continue
        for name, values in once.items():
            if text := cell(cells, name):
                values.setdefault(text, grid.lines[row])
        item, text = cell(cells, "item"), cell(cells, "found")
        if not item:
            if text:
                wrong.append(f"{at}: '{text[:24]}' was found of nothing: what is the line of?")
            continue
        key = item.casefold()
        if key in OF_TRIAL:
            heads[key] = text
            continue
        limits = [number(cell(cells, name)) for name in ("least mm", "most mm")]
        lines.append((at, row_line(item, cell(cells, "what"), limits[0], limits[1])))
        if text and key in found and key != "remark":
            wrong.append(f"{at}: {item} stands twice: {found[key][1]} and {text}")
        elif text:
            found[key] = (item, f"{found[key][1]}; {text}" if key in found else text)
    for name, values in once.items():
        if len(values) > 1:
            told = ", ".join(f"{value} (line {line})" for value, line in list(values.items())[:4])
            wrong.append(f"{name}: lines of several sheets in one file: {told}")
    said = {name: next(iter(values), "") for name, values in once.items()}
    return FilledIn(
        name=grid.name,
        sha256=grid.sha256,
        job=said["job"],
        draft=Draft(sort=said["trial"], edition=said["edition"], found=tuple(found.values()), **heads),
        lines=tuple(lines),
        wrong=tuple(wrong),
    )


# ------------------------------------------------------------------------------ put to its job
def check(
    record: Record,
    job: Job,
    filled: FilledIn,
    by: str | None = None,
    day: str | None = None,
    days: str | None = None,
    mould: str | None = None,
    gauge: str | None = None,
    unit: str | None = None,
    keep: bool = False,
    today: str | None = None,
    style: Style = MM,
) -> CheckedSheet:
    """What the checklist says of this job. ImportRefused with all that is wrong in it; nothing is written.

    What the file does not say may be given: who takes it in, the day and the order of its figures, mould, gauge, unit.
    """
    today = today or date.today().isoformat()
    checked = kit.check(record, job, style=style)
    wrong = list(filled.wrong)
    draft = replace(
        filled.draft,
        who=filled.draft.who or by or "",
        day=_day(filled.draft.day or day or "", days, today, wrong),
        mould=filled.draft.mould or mould or "",
        gauge=gauge or "",
        unit=unit or "mm",
    )
    if not (filled.draft.found or filled.draft.cores):
        raise ImportRefused(f"{filled.name} holds no answers yet: nothing in it is filled in. {NOTHING}")
    trial = enter.read(record, checked.facts, draft, today, style=style)
    wrong += trial.wrong
    enters = _enters(record, by, draft.who)
    if enters is None:
        there = ", ".join(person.initials for person in record.people()) or "nobody yet"
        wrong.append(f"it is not said who takes it in; in the record: {there}")
    if wrong:
        raise refused(filled.name, wrong, Todo.SAY_WHO if enters is None else None)
    assert enters is not None and trial.proving is not None
    asked = [*_whose(filled, job, checklist(record, checked, draft.sort), style), *trial.asked]
    same = (trial.proving.sort, trial.proving.on_date, trial.proving.who.casefold())
    there_already = any(
        (p.sort, p.on_date, p.who.casefold()) == same and {_key(x) for x in lines} == {_key(x) for x in trial.lines}
        for p, lines in record.provings(job.of_id)
    )
    return CheckedSheet(
        answers=filled,
        job=job,
        trial=trial,
        asked=() if keep else tuple(asked),
        nothing_new=there_already,
        by=enters,
    )


def _key(line: object) -> tuple[object, ...]:
    names = ("sort", "core_of_id", "fit_of_id", "feature_id", "result", "value", "way", "words")
    return tuple(getattr(line, name) for name in names)


def _day(text: str, days: str | None, today: str, wrong: list[str]) -> str:
    if not text:
        wrong.append("day: it is not said on which day it was tried")
        return today
    day = day_order.day_in(text, days, today)
    if isinstance(day, Wrong):
        wrong.append(f"day: {day}")
        return today
    return day


def _enters(record: Record, by: str | None, who: str) -> Person | None:
    """Who takes it in: said so, else the one who tried it where the record knows them, else the only one there is."""
    people = record.people()
    if by:
        return find.person(record, by)
    wanted = who.strip().casefold()
    named = next((p for p in people if wanted in (p.initials.casefold(), (p.name or "").casefold())), None)
    return named or (people[0] if len(people) == 1 else None)


def _whose(filled: FilledIn, job: Job, now: Checklist, style: Style) -> list[str]:
    """What is asked about a checklist of another job, of an older edition, or one whose lines were changed."""
    asked, edition = [], filled.draft.edition
    if filled.job and filled.job.casefold() != job.number.casefold():
        asked.append(f"it says job {filled.job[:40]}, which is not in the record: is it a checklist of {job.number}?")
    lines = Counter(row_line(r.item, r.what, r.lower_mm, r.upper_mm) for r in now.rows)
    differ = [(at, line) for at, line in filled.lines if line not in lines]
    if edition == now.edition:
        asked += [f"{at}: {_named(line)} was changed in the sheet: what was it to be?" for at, line in differ]
    elif not edition:
        asked.append("it does not say of which edition of the kit it is: does it belong to the kit as it stands?")
    else:
        own = edition_of(filled.job or job.number, [line for _, line in filled.lines])
        cut = "" if own == edition else "; lines of it were changed or cut out since"
        asked.append(
            f"it was made from another edition of the kit, {edition[:20]}; the kit as it stands is "
            f"{now.edition}{cut}: was the other one tried?"
        )
        asked += [f"{at}: {_named(line)} is otherwise by now" for at, line in differ[:20]]
    return asked


def _named(line: str) -> str:
    """What a line is of."""
    return line.split("|")[3].upper()


def write(record: Record, checked: CheckedSheet) -> None:
    """Write the trial with the file that brought it, in one transaction. ImportRefused where it is there already."""
    if checked.nothing_new:
        raise ImportRefused(f"All of {checked.answers.name} is in the record already. {NOTHING}")
    answers = checked.answers
    file, session = brought(record, answers.name, answers.sha256, checked.job.of_id)
    record.add_all([file, checked.trial.proving, *checked.trial.lines, session], by=checked.by.id)
