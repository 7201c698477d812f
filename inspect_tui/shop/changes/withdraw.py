"""A thing is withdrawn, or comes back: what depends on it is told first; who did it and why is kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import moment
from inspect_tui.model.changes import Withdrawal
from inspect_tui.record import kinds
from inspect_tui.shop.changes import files, things
from inspect_tui.shop.changes.things import Thing
from inspect_tui.shop.jobs import jobs

if TYPE_CHECKING:
    from inspect_tui.model.first_article import ImportFile
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

# what becomes of one reading, of several
STAYS = ("it stays in the record and counts no longer", "they stay in the record and count no longer")
STANDS = ("it stays and counts as it did", "they stay and count as they did")
LESS = "as read with a gauge without a certificate"
# kind -> what becomes of the readings that hang on it
READINGS: Mapping[int, tuple[str, str]] = {
    kinds.JOB.number: STAYS,
    kinds.TOOL.number: STAYS,
    kinds.ITEM.number: STAYS,
    kinds.LOT.number: STAYS,
    kinds.FEATURE.number: STAYS,
    kinds.GAUGE_STUDY.number: STAYS,
    kinds.IMPORT_FILE.number: STAYS,
    kinds.PERSON.number: STANDS,
    kinds.INSTRUMENT.number: STANDS,
    kinds.CALIBRATION.number: (f"it is judged {LESS}", f"they are judged {LESS}"),
}
ONE = {
    "readings": "reading",
    "tools": "tool",
    "castings and sand cores": "casting or sand core",
    "papers given out": "paper given out",
    "counts": "count",
    "tools made from it": "tool made from it",
    "fits": "fit",
    "sand cores": "sand core",
    "sizes of the drawing": "size of the drawing",
    "studies": "study",
    "parts of loops": "part of a loop",
    "trials": "trial in the mould",
}


@frozen
class Gone:
    """A withdrawn thing with when (bench time), by whom and why."""

    thing: Thing
    at: str
    by: str | None
    why: str


def depends(reader: Reader, thing: Thing) -> tuple[str, ...]:
    """What hangs on a thing and what becomes of it, in a sentence each; nothing where it can go without a word."""
    told = []
    for what, n in reader.depending(thing.sort.kind, thing.of_id).items():
        named = f"{n} {what if n > 1 else ONE[what]}"
        if what == "readings":
            told.append(f"{named}: {READINGS[thing.sort.kind.number][n > 1]}")
        elif what == "papers given out":
            told.append(f"{named}: nothing disappears from them")
        else:
            told.append(named)
    if thing.sort.kind is kinds.IMPORT_FILE:
        told += [f"{words} that came with it: out too" for words in files.along_words(reader, _file(reader, thing))]
    return tuple(told)


def _file(reader: Reader, thing: Thing) -> ImportFile:
    assert thing.job is not None
    taken = reader.with_withdrawn().import_files(thing.job.of_id)
    return next(file for file in taken if file.id == thing.of_id)


def refuse_named(reader: Reader, thing: Thing) -> None:
    """DataError for a core that something which stands names."""
    if thing.sort.kind is kinds.CORE and (named := depends(reader, thing)):
        raise DataError(f"{thing.name} cannot go while it is named: {', '.join(named)}. Withdraw these first.")


def withdraw(record: Record, thing: Thing, why: str, by: Person) -> None:
    """Take a thing out. DataError without a reason, or for a core that something which stands names."""
    why = _said(why)
    refuse_named(record, thing)
    row = Withdrawal(about_kind=thing.sort.kind.number, about_id=thing.of_id, why=why)
    if thing.sort.kind is kinds.FEATURE and thing.job is not None:
        jobs.without(record, thing.job, thing.name, why, by, also=[row])
        return
    along = files.with_it(record, _file(record, thing), why) if thing.sort.kind is kinds.IMPORT_FILE else []
    record.add_all([row, *along], by.id)


def back(record: Record, thing: Thing, why: str, by: Person) -> None:
    """Take a withdrawn thing in again. DataError without a reason, or where another has its name by now."""
    why = _said(why)
    taken = {other.name.casefold() for other in things.standing(record, thing.sort, thing.job)}
    if thing.name.casefold() in taken and thing.sort.word not in ("count", "repair", "picture", "import"):
        do = "withdraw that one first" if thing.sort.word == "answer" else "give that one another name first"
        raise DataError(f"There is another {thing.said} by now: {do}.")
    row = Withdrawal(about_kind=thing.sort.kind.number, about_id=thing.of_id, state="back", why=why)
    if thing.sort.kind is kinds.FEATURE and thing.job is not None:
        jobs.again(record, thing.job, record.feature(thing.of_id), why, by, also=[row])
        return
    along = files.back_with_it(record, _file(record, thing), why) if thing.sort.kind is kinds.IMPORT_FILE else []
    record.add_all([row, *along], by.id)


def _said(why: str) -> str:
    if not why.strip():
        raise DataError("Say why: it stands beside the thing from now on.")
    return why.strip()[:400]


def gone(reader: Reader, job: Job | None = None) -> list[Gone]:
    """Everything that is withdrawn, of one job or of all, by sort."""
    said = reader.withdrawals()
    jobs_ = [job] if job is not None else reader.with_withdrawn().jobs()
    listed: list[Thing] = []
    out = {row.about_kind for row in said.values() if row.state == "withdrawn"}
    for sort in (sort for sort in things.SORTS if sort.kind.number in out):
        for of in jobs_ if sort.of_job else [None]:
            listed += things.withdrawn(reader, sort, of)
    entered = reader.entered_by(said[thing.of_id].id for thing in listed)
    made = []
    for thing in listed:
        row = said[thing.of_id]
        at_us, tz_min, by = entered[row.id]
        made.append(Gone(thing, moment(at_us, tz_min), by, row.why))
    return made
