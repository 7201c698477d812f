"""What two benches said apart, decided by a person: the ways there are for each, and what each of them writes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, replace
from inspect_tui.metrology.typed.show import MM, Style, moment
from inspect_tui.model.measuring import Note, Person, Supersede
from inspect_tui.model.words import Id
from inspect_tui.record import kinds
from inspect_tui.record.ask.changes import Version
from inspect_tui.record.merge.clashes import Clash
from inspect_tui.shop.changes import changed, rename, same, things, withdraw
from inspect_tui.shop.changes.things import Sort, Thing
from inspect_tui.shop.together.exchange import to_decide

if TYPE_CHECKING:
    from inspect_tui.model.work import Job
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record


class Way(NamedTuple):
    """One way to decide: a word to name it by, what it means; `asks_name`: another name goes with it."""

    word: str
    says: str
    asks_name: bool = False


def ways(reader: Reader, clash: Clash, style: Style = MM) -> list[Way]:
    """The ways to decide one, the likeliest first."""
    if clash.sort == "version":
        return [Way(f"keep {n}", said) for n, said in enumerate(_editions(reader, clash, style), start=1)]
    if clash.sort == "reading":
        return [Way(f"take {n}", said) for n, said in enumerate(_answers(reader, clash), start=1)]
    both = "both" if len(clash.ids) == 2 else f"all {len(clash.ids)}"
    alike = [
        Way("same", f"they are one: {both} count together from now on"),
        Way("apart", "they are not one, and are called alike on purpose"),
    ]
    for n, bench in enumerate(clash.benches, start=1):
        if clash.kind is kinds.FEATURE:  # whoever draws gives another balloon with a new edition
            alike.append(Way(f"withdraw {n}", f"the one of {bench} is withdrawn"))
        else:
            alike.append(Way(f"rename {n}", f"the one of {bench} is called otherwise", asks_name=True))
    return alike


def _editions(reader: Reader, clash: Clash, style: Style) -> list[str]:
    """What each of the versions says otherwise than the one they were made from: `label box 3 → box 3a (AB, ...)`."""
    names = changed.Names(reader)
    entered = reader.entered_by(clash.ids)
    told = []
    for row_id, bench in zip(clash.ids, clash.benches, strict=True):
        now = reader.as_entered(clash.kind, row_id)
        at_us, tz_min, by = entered[row_id]
        how = "as it was first entered"
        if now.replaces_id is not None:
            before = reader.as_entered(clash.kind, now.replaces_id)
            made = Version(now=now, before=before, at_us=at_us, tz_min=tz_min, by=by)
            how = changed.differences(clash.kind, made, names, style) or "saved as it was"
        told.append(f"{how} ({', '.join(filter(None, (by, bench, moment(at_us, tz_min)[:16].replace('T', ' '))))})")
    return told


def _answers(reader: Reader, clash: Clash) -> list[str]:
    entered = reader.entered_by(clash.ids)
    told = []
    for row_id, bench in zip(clash.ids, clash.benches, strict=True):
        answer: Supersede = reader.as_entered(kinds.SUPERSEDE, row_id)
        new = reader.reading(answer.replacement_id) if answer.replacement_id else None
        how = "struck out" if new is None else f"{new.reading.typed} {new.reading.typed_unit} in its place"
        told.append(f"{how}: {answer.why} ({', '.join(filter(None, (entered[row_id][2], bench)))})")
    return told


# ------------------------------------------------------------------------------ deciding
def decide(record: Record, clash: Clash, word: str, why: str, by: Person, name: str = "") -> str:
    """Decide one in the way of that word; what was done, in a sentence. DataError where it cannot be done so.

    What was decided meanwhile, here or at another bench, is not decided a second time.
    """
    if not why.strip():
        raise DataError("Say why: it stands beside it from now on.")
    if clash not in to_decide(record):
        raise DataError("That was decided meanwhile, and nothing is to be done about it any more.")
    ways_ = [way.word for way in ways(record, clash)]
    if word not in ways_:
        raise DataError(f"That is decided by one of: {', '.join(ways_)}.")
    act, _, which = word.partition(" ")
    chosen = int(which) - 1 if which else 0
    if act == "keep":
        kept = record.as_entered(clash.kind, clash.ids[chosen])
        made = record.revise(kept, by.id)
        record.add(Note(about_kind=clash.kind.number, about_id=made.id, text=why.strip()[:400]), by.id)
        return f"{clash.called}: the version of {clash.benches[chosen]} holds."
    if act == "take":
        answer: Supersede = record.as_entered(kinds.SUPERSEDE, clash.ids[chosen])
        record.add(replace(answer, id=b"", settles_id=None, why=why.strip()[:400]), by.id)
        return f"The reading {clash.name}: the answer of {clash.benches[chosen]} holds."
    of = [_thing(record, clash, id_) for id_ in clash.ids]
    if act == "rename":
        rename.rename(record, of[chosen], name, why, by)
        return f"{clash.name} of {clash.benches[chosen]} is called {name.strip()} from now on."
    if act == "withdraw":
        withdraw.withdraw(record, of[chosen], why, by)
        return f"{clash.name} of {clash.benches[chosen]} is withdrawn."
    for n, this in enumerate(of):
        for that in of[n + 1 :] if act == "apart" else of[n + 1 : n + 2]:
            same.say(record, this, that, act, why, by)
    return f"{clash.name}: they are {'one from now on' if act == 'same' else 'not one, and stay so'}."


def _thing(record: Record, clash: Clash, id_: Id) -> Thing:
    row = record.each_apart().now_of(clash.kind, id_) if clash.kind.versioned else record.as_entered(clash.kind, id_)
    job: Job | None = None
    if clash.kind is kinds.FEATURE:
        job = record.job(record.revision(row.revision_id).job_of_id)
    elif hasattr(row, "job_of_id"):
        job = record.job(row.job_of_id)
    return Thing(sort=_sort(clash, row), name=clash.name, of_id=id_, job=job)


def _sort(clash: Clash, row: object) -> Sort:
    if clash.kind is kinds.ITEM:
        return things.sort_of("casting" if getattr(row, "kind", "") == "casting" else "sand")
    return next(sort for sort in things.SORTS if sort.kind is clash.kind)
