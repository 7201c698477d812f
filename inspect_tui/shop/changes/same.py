"""Two things of the record that are one, entered twice, or after all are not: said with why, by a person."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.model.changes import SameThing
from inspect_tui.shop.changes import things
from inspect_tui.shop.changes.things import Sort, Thing

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record


@frozen
class Pair:
    """Two things, and what was said of them last."""

    this: Thing
    that: Thing
    state: str
    why: str | None


def two(record: Record, sort: Sort, this: str, that: str, job: Job | None) -> tuple[Thing, Thing]:
    """The two things of these names, each as it was entered; two that are called alike have one name between them.

    DataError where the names are of one thing, or of more than two.
    """
    if this.strip().casefold() != that.strip().casefold():
        return things.named(record, sort, this, job, apart=True), things.named(record, sort, that, job, apart=True)
    alike = [t for t in things.each_apart(record, sort, job) if t.name.casefold() == this.strip().casefold()]
    if len(alike) > 2:
        raise DataError(f"There are {len(alike)} of the name {this}: name each with its bench behind it.")
    if len(alike) < 2:
        thing = alike[0] if alike else things.named(record, sort, this, job, apart=True)
        raise DataError(f"The {thing.said} is one thing already: name two.")
    return alike[0], alike[1]


def say(record: Record, this: Thing, that: Thing, state: str, why: str, by: Person) -> SameThing:
    """Say that two things of a sort are one (`same`), or are not (`apart`).

    DataError without a reason, for one thing, or where nothing else was said before.
    """
    if this.of_id == that.of_id:
        raise DataError(f"The {this.said} is one thing already: name two.")
    if not why.strip():
        raise DataError("Say why: it stands beside both from now on.")
    pair = {this.of_id, that.of_id}
    before = next((x for x in record.same_things(this.sort.kind.number) if {x.this_id, x.that_id} == pair), None)
    alike = this.name.casefold() == that.name.casefold()  # then somebody may take them for one
    if before is None and state == "apart" and not alike:
        raise DataError(f"Nobody said that {this.name} and {that.name} are one.")
    if before is not None and before.state == state:
        raise DataError(f"That is said of {this.name} and {that.name} already.")
    row = SameThing(
        about_kind=this.sort.kind.number, this_id=this.of_id, that_id=that.of_id, state=state, why=why.strip()[:400]
    )
    made: SameThing = record.add(row, by.id)
    return made


def still_one(record: Reader, this: Thing, that: Thing) -> bool:
    """Whether two things are one now, also by way of a third."""
    return record.first_of(this.of_id) == record.first_of(that.of_id)


def pairs(reader: Reader, job: Job | None = None) -> list[Pair]:
    """The pairs that something was said of, in the order of the sorts; with a job those of it alone."""
    said = {frozenset((row.this_id, row.that_id)): row for row in reader.same_things()}
    kinds = {row.about_kind for row in said.values()}
    everything = reader.with_withdrawn()
    jobs = [job] if job is not None else everything.jobs()
    made = []
    for sort in (sort for sort in things.SORTS if sort.kind.number in kinds):
        listed = [t for of in (jobs if sort.of_job else [None]) for t in things.each_apart(everything, sort, of)]
        named = {thing.of_id: thing for thing in listed}
        for row in said.values():
            if row.about_kind == sort.kind.number and row.this_id in named and row.that_id in named:
                made.append(Pair(named[row.this_id], named[row.that_id], row.state, row.why))
    return made
