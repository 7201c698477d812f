"""A file that was taken in goes as a whole, with what it brought along, and comes back as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import count, moment
from inspect_tui.model.changes import Withdrawal
from inspect_tui.record import kinds

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from inspect_tui.model.first_article import ImportFile
    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader

# what goes with its file, as it is called
ALONG = {
    kinds.LOT.number: "sampling",
    kinds.ITEM.number: "casting or sand core",
    kinds.TOOL_COUNT.number: "count",
    kinds.ATTACHMENT_USE.number: "picture",
    kinds.SETTING_ANSWER.number: "answer",
    kinds.PROVING.number: "trial",
}


@frozen_by_name
class TakenFile:
    """A file that was taken in: when, by whom, how much it brought; `gone`: why it was taken back."""

    name: str
    of_id: Id
    at: str  # bench time
    by: str | None
    readings: int
    along: tuple[str, ...]  # `2 counts`
    gone: str | None


def names(reader: Reader, job: Job | None) -> Iterator[tuple[str, Id]]:
    """What people call the files of a job; with the moment where several are called the same."""
    assert job is not None
    files = reader.import_files(job.of_id)
    times = reader.entry_times(file.id for file in files)
    called = [file.shown_name.casefold() for file in files]
    for file in files:
        at = (
            f" {moment(*times[file.id])[:16].replace('T', ' ')}" if called.count(file.shown_name.casefold()) > 1 else ""
        )
        yield f"{file.shown_name}{at}", file.id


def listed(reader: Reader, job: Job) -> list[TakenFile]:
    """Every file of a job, oldest first, those taken back too."""
    gone = {
        id_: row.why for id_, row in reader.withdrawals(kinds.IMPORT_FILE.number).items() if row.state == "withdrawn"
    }
    every = reader.with_withdrawn()
    files = {file.id: file for file in every.import_files(job.of_id)}
    entered = reader.entered_by(files)
    made = []
    for name, id_ in names(every, job):
        at_us, tz_min, by = entered[id_]
        made.append(
            TakenFile(
                name=name,
                of_id=id_,
                at=moment(at_us, tz_min),
                by=by,
                readings=files[id_].readings,
                along=along_words(reader, files[id_]),
                gone=gone.get(id_),
            )
        )
    return made


def along_words(reader: Reader, file: ImportFile) -> tuple[str, ...]:
    """How much of what came with a file goes with it."""
    numbers = [kind for kind, _ in _along(reader, file)]
    return tuple(
        count(numbers.count(kind), what) if kind != kinds.ITEM.number else _items(numbers.count(kind))
        for kind, what in ALONG.items()
        if kind in numbers
    )


def _items(n: int) -> str:
    return "1 casting or sand core" if n == 1 else f"{n} castings or sand cores"


def _brought(reader: Reader, file: ImportFile) -> list[tuple[int, Id]]:
    """(kind number, id) of what may go with a file; of an answer that was put right, the one in its place."""
    instead = reader.answers_put_right(file.job_of_id)
    brought = []
    for kind, id_ in reader.brought_by(file):
        while id_ in instead:
            id_ = instead[id_]
        if kind in ALONG:
            brought.append((kind, id_))
    return brought


def _along(reader: Reader, file: ImportFile) -> list[tuple[int, Id]]:
    """(kind number, id) of what goes with a file: all it brought, but for castings that were measured elsewhere too."""
    brought = _brought(reader, file)
    items = {id_ for kind, id_ in brought if kind == kinds.ITEM.number}
    stay = reader.read_elsewhere(items, file.session_id)
    lots = {id_ for kind, id_ in brought if kind == kinds.LOT.number}
    stay |= {
        item.lot_id for item in reader.items(file.job_of_id) if item.lot_id in lots and item.id not in items - stay
    }
    return [(kind, id_) for kind, id_ in brought if id_ not in stay]


def with_it(reader: Reader, file: ImportFile, why: str) -> list[Withdrawal]:
    """The rows that take along what a file brought."""
    said = reader.withdrawals()
    return [
        Withdrawal(about_kind=kind, about_id=id_, why=why)
        for kind, id_ in _along(reader, file)
        if id_ not in said or said[id_].state != "withdrawn"
    ]


def back_with_it(reader: Reader, file: ImportFile, why: str) -> list[Withdrawal]:
    """The rows that bring back what went with a file.

    DataError where the same file was taken in again meanwhile, or a casting was made anew under the same serial.
    """
    if reader.import_file(file.sha256) is not None:
        raise DataError(f"{file.shown_name} was taken in again meanwhile: take that one back first.")
    said = reader.withdrawals()
    went = said[file.id]
    back: Sequence[tuple[int, Id]] = [
        (kind, id_)
        for kind, id_ in _brought(reader, file)
        if id_ in said and said[id_].state == "withdrawn" and said[id_].why == went.why
    ]
    there = {(item.kind, item.serial.casefold()) for item in reader.items(file.job_of_id)}
    for kind, id_ in back:
        if kind == kinds.ITEM.number:
            item = reader.item(id_)
            if (item.kind, item.serial.casefold()) in there:
                raise DataError(f"There is another {item.serial} by now: withdraw that one, or give it another name.")
    return [Withdrawal(about_kind=kind, about_id=id_, state="back", why=why) for kind, id_ in back]
