"""A plan written into a record, whole or not at all, with its people, gauges and pictures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inspect_tui.errors import JobFileError
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import AttachmentUse
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.model.words import Id
from inspect_tui.record import attachments
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs.file.plan import JobPlan, PictureOf


def add(record: Record, plan: JobPlan, by: Id | None = None, style: Style = MM) -> tuple[str, ...]:
    """Write a whole new job in one go, or nothing; what is worth knowing of people and gauges that were there before.

    Raises JobFileError where the number is taken, RecordError where a picture is none.
    """
    if any(job.number.casefold() == plan.job.number.casefold() for job in record.jobs()):
        raise JobFileError(f"Job {plan.job.number} is in this record already; nothing was added.")
    shared, remarks = shop_rows(record, plan, style)
    shown = picture_rows(record, plan.pictures)
    record.add_all([*shared, *plan.rows(), *shown], by=by)
    return remarks


def shop_rows(record: Record, plan: JobPlan, style: Style = MM) -> tuple[list[Any], tuple[str, ...]]:
    """People, gauges and certificates that the record does not have yet; those that it has stay as they are."""
    remarks: list[str] = []
    rows: list[Any] = []
    there = {person.initials.casefold(): person for person in record.people()}
    for person in plan.people:
        known = there.get(person.initials.casefold())
        if known is None:
            rows.append(person)
        elif not _same_person(known, person):
            remarks.append(f"{known.initials} is in the record already and stays as it is")
    gauges = {gauge.label.casefold(): gauge for gauge in record.instruments()}
    known_as: dict[Id, Id] = {}
    for gauge in plan.gauges:
        before = gauges.get(gauge.label.casefold())
        if before is None:
            rows.append(gauge)
            continue
        known_as[gauge.of_id] = before.of_id
        if not _same_gauge(before, gauge):
            remarks.append(f"{before.label} is in the record already and stays as it is")
    for said in plan.certificates:
        of = known_as.get(said.instrument_of_id)
        if of is None:
            rows.append(said)
            continue
        same_day = [other for other in record.calibrations(of) if other.done_on == said.done_on]
        if any(_same_certificate(said, other) for other in same_day):
            continue
        if same_day:
            label = _label(plan, said.instrument_of_id)
            remarks.append(f"the certificate of {said.done_on} of {label} is in the record already and stays as it is")
        else:
            rows.append(replace(said, instrument_of_id=of))
            remarks.append(f"a certificate of {said.done_on} was added to {_label(plan, said.instrument_of_id)}")
    return rows, tuple(remarks)


def _label(plan: JobPlan, of_id: Id) -> str:
    return next(gauge.label for gauge in plan.gauges if gauge.of_id == of_id)


def _same_person(one: Person, other: Person) -> bool:
    return (one.name, one.role, one.active) == (other.name, other.role, other.active)


def _same_gauge(one: Instrument, other: Instrument) -> bool:
    plain = {"id": b"", "of_id": b"", "replaces_id": None, "label": ""}
    return replace(one, **plain) == replace(other, **plain)


def _same_certificate(one: Calibration, other: Calibration) -> bool:
    plain = {"id": b"", "instrument_of_id": b""}
    return replace(one, **plain) == replace(other, **plain)


def picture_rows(record: Record, pictures: Sequence[PictureOf]) -> list[Any]:
    """Pictures put beside the record, and the rows still to be written for them; each is looked at first."""
    held = [(picture, attachments.read_picture(picture.path)) for picture in pictures]
    for _, content in held:
        attachments.look(content)
    rows: list[Any] = []
    made: dict[str, Any] = {}
    order: dict[Id, int] = {}
    for picture, content in held:
        kept, known = attachments.put(record, content, picture.shown_name)
        if kept.sha256 not in made:
            made[kept.sha256] = kept
            rows += [] if known else [kept]
        order[picture.about_id] = order.get(picture.about_id, 0) + 1
        rows.append(
            AttachmentUse(
                attachment_id=made[kept.sha256].id,
                about_kind=picture.about_kind,
                about_id=picture.about_id,
                caption=picture.caption,
                balloons=picture.balloons,
                ord=order[picture.about_id],
            )
        )
    return rows
