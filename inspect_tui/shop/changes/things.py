"""The things of a shop that people name when they put something right: what sorts there are, and which of each."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotFound, Several
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job
from inspect_tui.record import kinds
from inspect_tui.record.kinds import Kind
from inspect_tui.shop.changes import files
from inspect_tui.shop.common import find
from inspect_tui.shop.kit.tried import named as trials
from inspect_tui.shop.pictures.owners import owners

if TYPE_CHECKING:
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

Names = Iterator[tuple[str, Id]]  # what people call each thing, and its id


@frozen
class Sort:
    """A sort of things: the word for it, what it is in the record, whether each belongs to a job."""

    word: str
    kind: Kind
    of_job: bool
    names: Callable[[Reader, Job | None], Names]


@frozen_by_name
class Thing:
    """One thing: its sort, what it is called, the id of its first version (its own where there are no versions)."""

    sort: Sort
    name: str
    of_id: Id
    job: Job | None = None

    @property
    def said(self) -> str:
        """`tool box 3 of job 4711`."""
        job = f" of job {self.job.number}" if self.job is not None else ""
        name = self.name if self.name.startswith(self.sort.word) else f"{self.sort.word} {self.name}"
        return name + job


# ------------------------------------------------------------------------------ what each sort is called by
def _of(job: Job | None) -> Id:
    assert job is not None  # sorts that belong to a job are asked for with it
    return job.of_id


def _certificates(reader: Reader, _job: Job | None) -> Names:
    for gauge in reader.instruments():
        for said in reader.calibrations(gauge.of_id):
            yield f"{gauge.label} {said.done_on}", said.id


def _profiles(reader: Reader, _job: Job | None) -> Names:
    labels = {gauge.of_id: gauge.label for gauge in reader.with_withdrawn().instruments()}
    return ((labels[of], profile.of_id) for of, profile in reader.instrument_profiles().items())


def _features(reader: Reader, job: Job | None) -> Names:
    revisions = reader.revisions(_of(job))
    if revisions:
        yield from ((feature.balloon, feature.id) for feature in reader.features(revisions[-1].id))


def _items(kind: str) -> Callable[[Reader, Job | None], Names]:
    return lambda reader, job: ((item.serial, item.id) for item in reader.items(_of(job)) if item.kind == kind)


def _of_tools(which: str) -> Callable[[Reader, Job | None], Names]:
    def names(reader: Reader, job: Job | None) -> Names:
        for tool in reader.tools(_of(job)):
            if which == "count":
                for count in reader.tool_counts(tool.of_id):
                    yield f"{tool.label} {count.on_date} {count.count}", count.of_id
            elif which == "repair":
                for repair in reader.tool_repairs(tool.of_id):
                    yield f"{tool.label} {repair.done_on} {repair.action}", repair.of_id
            else:
                for limit in reader.wear_limits(tool.of_id):
                    yield f"{tool.label} {reader.feature(limit.feature_id).balloon}", limit.of_id

    return names


def _pictures(reader: Reader, job: Job | None) -> Names:
    assert job is not None
    on = {owner.of_id: owner.name for owner in owners(reader, job)}
    for about_id, pictures in reader.pictures(on).items():
        yield from ((f"{shown.attachment.shown_name} of {on[about_id]}", shown.use.of_id) for shown in pictures)


def _shipments(reader: Reader, job: Job | None) -> Names:
    """`2026-03-02 to a foundry`; a second one of that day to the same has its number behind it."""
    count: dict[str, int] = {}
    for shipment, _ in reader.shipments(_of(job)):
        name = f"{shipment.done_on} {'to' if shipment.way == 'out' else 'back from'} {shipment.to_whom}"
        count[name] = count.get(name, 0) + 1
        yield (name if count[name] == 1 else f"{name} ({count[name]})"), shipment.id


def _answers(reader: Reader, job: Job | None) -> Names:
    """`S4-1-C3 check throat (T-1)`, `the mould remark ...`; several of one name have their numbers behind it."""
    serials = {item.id: item.serial for item in reader.with_withdrawn().items(_of(job))}
    count: dict[str, int] = {}
    for answer in reader.setting_answers(_of(job)):
        on = serials[answer.item_id] if answer.item_id is not None else f"mould {answer.mould or ''}".strip()
        name = f"{on} {answer.sort} {answer.what}"
        count[name] = count.get(name, 0) + 1
        yield (name if count[name] == 1 else f"{name} ({count[name]})"), answer.id


def _trials(reader: Reader, job: Job | None) -> Names:
    return ((name, proving.of_id) for name, proving, _ in trials.every(reader, _of(job)))


SORTS: tuple[Sort, ...] = (
    Sort("job", kinds.JOB, False, lambda r, _: ((job.number, job.of_id) for job in r.jobs())),
    Sort("person", kinds.PERSON, False, lambda r, _: ((p.initials, p.of_id) for p in r.people())),
    Sort("gauge", kinds.INSTRUMENT, False, lambda r, _: ((i.label, i.of_id) for i in r.instruments())),
    Sort("certificate", kinds.CALIBRATION, False, _certificates),
    Sort("profile", kinds.INSTRUMENT_PROFILE, False, _profiles),
    Sort("study", kinds.GAUGE_STUDY, False, lambda r, _: ((study.title, study.id) for study in r.gauge_studies())),
    Sort("feature", kinds.FEATURE, True, _features),
    Sort("core", kinds.CORE, True, lambda r, job: ((f"core {c.number}", c.of_id) for c in r.cores(_of(job)))),
    Sort("tool", kinds.TOOL, True, lambda r, job: ((tool.label, tool.of_id) for tool in r.tools(_of(job)))),
    Sort("sampling", kinds.LOT, True, lambda r, job: ((lot.label, lot.id) for lot in r.lots(_of(job)))),
    Sort("casting", kinds.ITEM, True, _items("casting")),
    Sort("sand", kinds.ITEM, True, _items("core")),
    Sort("fit", kinds.FIT, True, lambda r, job: ((fit.name, fit.of_id) for fit in r.fits(_of(job)))),
    Sort("loop", kinds.STACK, True, lambda r, job: ((stack.label, stack.of_id) for stack, _ in r.stacks(_of(job)))),
    Sort("passage", kinds.PASSAGE, True, lambda r, job: ((p.label, p.of_id) for p in r.passages(_of(job)))),
    Sort("picture", kinds.ATTACHMENT_USE, True, _pictures),
    Sort("shipment", kinds.SHIPMENT, True, _shipments),
    Sort("trial", kinds.PROVING, True, _trials),
    Sort("count", kinds.TOOL_COUNT, True, _of_tools("count")),
    Sort("repair", kinds.TOOL_REPAIR, True, _of_tools("repair")),
    Sort("limit", kinds.WEAR_LIMIT, True, _of_tools("limit")),
    Sort("answer", kinds.SETTING_ANSWER, True, _answers),
    Sort("import", kinds.IMPORT_FILE, True, files.names),
)
WORDS = tuple(sort.word for sort in SORTS)
ALSO: Mapping[str, str] = {
    "instrument": "gauge",
    "seat": "fit",
    "lot": "sampling",
    "wear limit": "limit",
    "file": "import",
}


def sort_of(word: str) -> Sort:
    """The sort of that word; DataError names those there are."""
    said = word.strip().casefold()
    said = ALSO.get(said, said)
    for sort in SORTS:
        if sort.word == said:
            return sort
    near = find.get_close_matches(said, [*WORDS, *ALSO], n=1, cutoff=0.6)
    hint = f"nearest: {near[0]}" if near else f"there are: {', '.join(WORDS)}"
    raise DataError(f"There is no sort of thing called '{word}'; {hint}.")


# ------------------------------------------------------------------------------ which there are
def standing(reader: Reader, sort: Sort, job: Job | None = None) -> list[Thing]:
    """The things of a sort that are not withdrawn."""
    return [Thing(sort=sort, name=name, of_id=of_id, job=job) for name, of_id in sort.names(reader, job)]


def withdrawn(reader: Reader, sort: Sort, job: Job | None = None) -> list[Thing]:
    """The things of a sort that are withdrawn."""
    gone = reader.withdrawn(sort.kind.number)
    if not gone:
        return []
    if sort.kind is kinds.FEATURE:  # the newest drawing does not hold them
        assert job is not None
        revisions = {revision.id for revision in reader.revisions(job.of_id)}
        features = reader.features_by_id(gone).values()
        named: Names = ((f.balloon, f.id) for f in features if f.revision_id in revisions)
    else:
        named = sort.names(reader.with_withdrawn(), job)
    return [Thing(sort=sort, name=name, of_id=of_id, job=job) for name, of_id in named if of_id in gone]


def each_apart(reader: Reader, sort: Sort, job: Job | None) -> list[Thing]:
    """The things of a sort that are not withdrawn, as they were entered, whatever was said to be one."""
    apart = reader.each_apart()
    if job is None:
        return standing(apart, sort)
    return [
        thing
        for entered in apart.jobs()
        if reader.first_of(entered.of_id) == job.of_id
        for thing in standing(apart, sort, entered)
    ]


def named(record: Record, sort: Sort, name: str, job: Job | None, *, gone: bool = False, apart: bool = False) -> Thing:
    """The thing of that name among those that stand, with `gone` among those that are withdrawn.

    `apart`: as it was entered, whatever was said to be one with it. Of several called alike the one that was entered
    at this bench, or by name and bench. Raises NotFound with the nearest name, or with what is known of it on the
    other side; Several where several fit.
    """
    where = f" in job {job.number}" if job is not None else ""
    here = each_apart(record, sort, job) if apart else standing(record, sort, job)
    there = withdrawn(record, sort, job)
    if gone:
        here, there = there, here
    what = f"withdrawn {sort.word}" if gone else sort.word
    try:
        return find.own_first(record, name, here, lambda thing: thing.name, what, where)
    except Several:
        raise
    except NotFound:
        other = [thing for thing in there if thing.name.casefold() == name.strip().casefold()]
        if other and gone:
            raise NotFound(f"The {other[0].said} is not withdrawn: there is nothing to take back.") from None
        if other:
            said = record.withdrawals(sort.kind.number)[other[0].of_id]
            raise NotFound(f"The {other[0].said} is withdrawn already, because: {said.why}.") from None
        raise
