"""What a picture can be of, by what people call it: the job, its cores, tools, seats, sizes, castings, readings ..."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotFound, Several
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import moment
from inspect_tui.model.words import Id
from inspect_tui.model.work import Job
from inspect_tui.record import kinds
from inspect_tui.record.kinds import Kind
from inspect_tui.shop.common import find
from inspect_tui.shop.kit.tried import named as trials

if TYPE_CHECKING:
    from inspect_tui.record.ask.readings import LoggedReading
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

# kinds of the record that a picture may be of
OWNERS = (
    kinds.JOB,
    kinds.CORE,
    kinds.TOOL,
    kinds.FIT,
    kinds.FEATURE,
    kinds.ITEM,
    kinds.TOOL_REPAIR,
    kinds.SHIPMENT,
    kinds.PROVING,
    kinds.READING,
)
ALLOWED = frozenset(kind.number for kind in OWNERS)
EXAMPLES = (
    "job, core 3, box 3, K7-1, F29, casting S1-2, repair of box 3, reading F29 of box 3, "
    "trying in of 2026-03-02, step 2"
)
_READING = re.compile(r"reading (?:of )?(\S+) (?:of|on) (.+)", re.IGNORECASE)
_STEP = re.compile(r"step (\d+)", re.IGNORECASE)


@frozen
class Owner:
    """A thing that pictures can be of: what it is called, its kind, the id of its first version."""

    name: str
    kind: Kind
    of_id: Id


def owners(reader: Reader, job: Job) -> Iterator[Owner]:
    """Everything of a job that pictures can be of, but for readings: of these only those that have one."""
    of = job.of_id
    yield Owner("job", kinds.JOB, of)
    yield from (Owner(f"core {core.number}", kinds.CORE, core.of_id) for core in reader.cores(of))
    tools = reader.tools(of)
    yield from (Owner(tool.label, kinds.TOOL, tool.of_id) for tool in tools)
    yield from (Owner(fit.name, kinds.FIT, fit.of_id) for fit in reader.fits(of))
    yield from (Owner(feature.balloon, kinds.FEATURE, feature.id) for feature in reader.job_features(of))
    yield from (Owner(f"{item.kind} {item.serial}", kinds.ITEM, item.id) for item in reader.items(of))
    for tool in tools:
        for repair in reader.tool_repairs(tool.of_id):
            name = f"repair of {tool.label} {repair.done_on} {repair.action}"
            yield Owner(name, kinds.TOOL_REPAIR, repair.of_id)
    for shipment, _ in reader.shipments(of):
        yield Owner(f"shipment {shipment.way} {shipment.done_on}", kinds.SHIPMENT, shipment.id)
    yield from (Owner(name, kinds.PROVING, proving.of_id) for name, proving, _ in trials.every(reader, of))
    yield from _pictured_readings(reader, job)


def _pictured_readings(reader: Reader, job: Job) -> Iterator[Owner]:
    about = reader.pictured(kinds.READING.number)
    if not about:
        return
    versions = reader.tool_versions(job.of_id)
    labels = {tool.of_id: tool.label for tool in reader.tools(job.of_id)}
    subjects = {version: labels[of_id] for version, of_id in versions.items() if of_id in labels}
    subjects |= {item.id: f"{item.kind} {item.serial}" for item in reader.items(job.of_id)}
    for reading_id in sorted(about):
        logged = reader.reading(reading_id)
        subject = subjects.get(logged.reading.tool_id or logged.reading.item_id or b"") if logged else None
        if logged is not None and subject is not None:
            balloon = reader.feature(logged.reading.feature_id).balloon
            yield _of_reading(logged, balloon, subject)


def _of_reading(logged: LoggedReading, balloon: str, subject: str) -> Owner:
    at = moment(logged.at_us, logged.tz_min)[:16].replace("T", " ")
    return Owner(f"reading {balloon} of {subject} {at}", kinds.READING, logged.id)


def named(record: Record, job: Job, words: str) -> Owner:
    """What people mean by `box 3`, `F12`, `reading F12 of box 3` (the newest that counts) or `step 2` of the setting.

    Raises NotFound or Several with the nearest names, DataError for a step that the setting does not have.
    """
    text = " ".join(words.split())
    if text.casefold() in ("job", job.number.casefold(), f"job {job.number}".casefold()):
        return Owner("job", kinds.JOB, job.of_id)
    if match := _STEP.fullmatch(text):
        return _core_of_step(record, job, int(match[1]))
    there = list(owners(record, job))
    if (match := _READING.fullmatch(text)) and not any(owner.name.casefold() == text.casefold() for owner in there):
        return _newest_reading(record, job, match[1], match[2])
    balloon, revisions = find.balloon_key(text), record.revisions(job.of_id)
    for feature in record.features(revisions[-1].id) if revisions else ():  # the newest drawing's, of several
        if find.balloon_key(feature.balloon) == balloon:
            return Owner(feature.balloon, kinds.FEATURE, feature.id)
    try:
        return find.pick(text, there, lambda owner: owner.name, "thing", f" in job {job.number}")
    except Several:
        raise
    except NotFound as problem:
        raise NotFound(f"{problem} A picture is of one of these: {EXAMPLES}.") from None


def _newest_reading(record: Record, job: Job, balloon: str, on: str) -> Owner:
    revision = find.latest_revision(record, job)
    feature = find.feature(record.features(revision.id), balloon, revision.rev)
    subject = find.subject(record, job, on)
    readings = record.readings(
        record.feature_lineage(feature.id),
        tool_of_id=subject.tool.of_id if subject.tool else None,
        item_id=subject.item.id if subject.item else None,
        limit=1,
        newest_first=True,
        include_void=False,
    )
    if not readings:
        raise NotFound(f"{feature.balloon} was not read on {subject.label} yet: there is no reading to show.")
    return _of_reading(readings[0], feature.balloon, subject.label)


def _core_of_step(record: Record, job: Job, step: int) -> Owner:
    """A step of the setting sheet sets one core: what is seen there is that core's."""
    from inspect_tui.shop.kit.check import check

    order = check(record, job).sequence
    if not 1 <= step <= len(order):
        raise DataError(f"The setting of job {job.number} has {len(order)} steps: there is no step {step}.")
    core = next(core for core in record.cores(job.of_id) if str(core.number) == order[step - 1])
    return Owner(f"core {core.number}", kinds.CORE, core.of_id)
