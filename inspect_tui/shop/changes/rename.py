"""A thing gets another name: what was said of it stays, and the why stands beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed import fields
from inspect_tui.model.changes import Renamed
from inspect_tui.model.measuring import Note
from inspect_tui.record import kinds
from inspect_tui.shop.changes import things
from inspect_tui.shop.changes.things import Sort, Thing
from inspect_tui.shop.jobs import jobs

if TYPE_CHECKING:
    from inspect_tui.model.measuring import Person
    from inspect_tui.model.work import Lot
    from inspect_tui.record.store import Record

# sort -> the column that holds its name, and how many letters fit
COLUMN = {
    "job": ("number", 40),
    "person": ("initials", 8),
    "gauge": ("label", 40),
    "tool": ("label", 60),
    "loop": ("label", 20),
    "passage": ("label", 20),
    "core": ("name", 80),
    "picture": ("caption", 120),
}
# those without versions: another row says what they are called
SAID = {kinds.LOT.number: 60, kinds.ITEM.number: 40, kinds.GAUGE_STUDY.number: 120}


def can(sort: Sort) -> bool:
    """Whether things of a sort have a name of their own."""
    named = sort.kind in (kinds.FEATURE, kinds.FIT) or sort.kind.number in SAID
    return named or sort.word in COLUMN


def label(thing: Thing) -> str:
    """What a form asks with, with a hint."""
    hint = {
        "picture": "caption: what is to be seen; stands under it on papers",
        "core": "called: another number, or what it is called",
        "casting": "serial: as it is marked",
        "sand": "serial: as it is marked",
        "person": "initials: up to 8 letters",
        "job": "job number: what people call it",
        "feature": "balloon: as on the drawing",
    }
    return hint.get(thing.sort.word, "called: from now on")


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
    if thing.sort.kind.number in SAID:
        _refuse_length(to, SAID[thing.sort.kind.number])
        if to == thing.name:
            raise DataError(f"It is called {to} already.")
        _say(record, thing, why, by, name=to)
        return
    if thing.sort.kind is kinds.FIT:
        label, _, place = to.partition("-")
        changes: dict[str, str | int | None] = {"label": label, "place": place or None}
        most = 40
    elif thing.sort.word in COLUMN:
        column, most = COLUMN[thing.sort.word]
        changes = {column: to}
    else:
        raise DataError(f"A {thing.sort.word} has no name of its own: correct what it says.")
    _refuse_length(to, most)
    row = record.now_of(thing.sort.kind, thing.of_id)
    if thing.sort.kind is kinds.CORE and to.casefold().removeprefix("core ").strip().isdecimal():
        changes = {"number": _number(record, thing, to)}
    if all(getattr(row, name) == value for name, value in changes.items()):
        raise DataError(f"It is called {to} already.")
    new = replace(row, **changes, id=record.new_id(), replaces_id=row.id)
    record.add_all([new, Note(about_kind=thing.sort.kind.number, about_id=new.id, text=why.strip()[:400])], by.id)


def _refuse_length(to: str, most: int) -> None:
    if not to or len(to) > most:
        raise DataError(f"A name has 1 to {most} letters.")


def _number(record: Record, thing: Thing, to: str) -> int:
    """Another number of a core: `8` or `core 8`; DataError where it is taken."""
    number = fields.count(to.casefold().removeprefix("core "), low=1, high=999)
    if isinstance(number, fields.Wrong):
        raise DataError(f"core: {number}.")
    assert thing.job is not None
    if any(c.number == number and c.of_id != thing.of_id for c in record.with_withdrawn().cores(thing.job.of_id)):
        raise DataError(f"There is a core {number} already, in use or withdrawn.")
    return number


# ------------------------------------------------------------------------------ what a sampling says
SAMPLING_FIELDS = (
    ("label", "called: such as S3"),
    ("poured", "poured: the day; may be left out"),
    ("heat", "melt: such as H1207; may be left out"),
    ("quantity", "castings: how many were poured; may be left out"),
)


def shown(lot: Lot) -> dict[str, str]:
    """What stands in the fields of a sampling first."""
    count = "" if lot.quantity is None else str(lot.quantity)
    return {"label": lot.label, "poured": lot.poured_on or "", "heat": lot.heat or "", "quantity": count}


def change_sampling(record: Record, thing: Thing, values: Mapping[str, str], why: str, by: Person, today: str) -> Lot:
    """Put right what a sampling is called and when it was poured from what; what is not given stays.

    DataError without a reason, where what is typed is wrong, the name is taken, or nothing is another than it was.
    """
    assert thing.job is not None
    lot = next(lot for lot in record.lots(thing.job.of_id) if lot.id == thing.of_id)
    typed = {**shown(lot), **values}
    label = typed["label"].strip()
    _refuse_length(label, SAID[kinds.LOT.number])
    others = [other for other in record.with_withdrawn().lots(thing.job.of_id) if other.id != lot.id]
    if any(other.label.casefold() == label.casefold() for other in others):
        raise DataError(f"There is a sampling {label} already, in use or withdrawn.")
    day = fields.optional(fields.day)(typed["poured"], today, past=True)
    if isinstance(day, fields.Wrong):
        raise DataError(f"poured: {day}.")
    quantity = fields.optional(fields.count)(typed["quantity"])
    if isinstance(quantity, fields.Wrong):
        raise DataError(f"castings: {quantity}.")
    heat = typed["heat"].strip() or None
    if heat and len(heat) > 40:
        raise DataError("melt: at most 40 letters.")
    made = replace(lot, label=label, poured_on=day, quantity=quantity, heat=heat)
    if made == lot:
        raise DataError("Nothing is another than it was.")
    _say(record, thing, why, by, name=label, poured_on=day, quantity=quantity, heat=heat)
    return made


def _say(record: Record, thing: Thing, why: str, by: Person, *, name: str, **said: str | int | None) -> None:
    """Write what a thing without versions is called from now on; of a sampling all of it."""
    if not why.strip():
        raise DataError("Say why: it stands beside the thing from now on.")
    if not said and thing.sort.kind is kinds.LOT:
        assert thing.job is not None
        lot = next(lot for lot in record.with_withdrawn().lots(thing.job.of_id) if lot.id == thing.of_id)
        said = {"heat": lot.heat, "poured_on": lot.poured_on, "quantity": lot.quantity}
    row = Renamed(
        about_kind=thing.sort.kind.number,
        about_id=thing.of_id,
        name=name,
        why=why.strip()[:400],
        **said,  # type: ignore[arg-type]
    )
    record.add(row, by.id)
