"""A thing gets another name: what was said of it stays, and the why stands beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Note
from inspect_tui.record import kinds
from inspect_tui.shop.changes import things
from inspect_tui.shop.changes.things import Thing
from inspect_tui.shop.jobs import jobs

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.record.store import Record

# sort -> the column that holds its name, and how many letters fit
COLUMN = {
    "job": ("number", 40),
    "person": ("initials", 8),
    "gauge": ("label", 40),
    "tool": ("label", 60),
    "loop": ("label", 20),
    "passage": ("label", 20),
}


def rename(record: Record, thing: Thing, to: str, why: str, by: Person) -> None:
    """Give a thing another name. DataError without a reason, where the name is taken or cannot be changed."""
    to = to.strip()
    if not why.strip():
        raise DataError("Say why: it stands beside the thing from now on.")
    everything = record.with_withdrawn()
    taken = [t for t in things.standing(everything, thing.sort, thing.job) if t.name.casefold() == to.casefold()]
    if any(t.of_id != thing.of_id for t in taken):
        raise DataError(f"There is another {taken[0].said} already, in use or withdrawn.")
    if thing.sort.kind is kinds.FEATURE and thing.job is not None:
        jobs.renamed(record, thing.job, thing.name, to, why, by)
        return
    if thing.sort.kind is kinds.FIT:
        label, _, place = to.partition("-")
        changes: dict[str, str | None] = {"label": label, "place": place or None}
        most = 40
    elif thing.sort.word in COLUMN:
        column, most = COLUMN[thing.sort.word]
        changes = {column: to}
    else:
        raise DataError(
            f"A {thing.sort.word} keeps its name. If it is wrong, withdraw it and enter it anew; a core is renamed by "
            "the job's file."
        )
    if not to or len(to) > most:
        raise DataError(f"A name has 1 to {most} letters.")
    row = record.now_of(thing.sort.kind, thing.of_id)
    if all(getattr(row, name) == value for name, value in changes.items()):
        raise DataError(f"It is called {to} already.")
    new = replace(row, **changes, id=record.new_id(), replaces_id=row.id)
    record.add_all([new, Note(about_kind=thing.sort.kind.number, about_id=new.id, text=why.strip()[:400])], by.id)
