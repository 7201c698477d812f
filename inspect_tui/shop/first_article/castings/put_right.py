"""What a person decides at a sampling: put slips right, swap rows back, align again, say what cannot be measured.

Nothing here changes a reading: each decision is a further fact that names what it is about, who made it and why.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import Any

from inspect_tui.errors import DataError, NotFound
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed.show import in_unit
from inspect_tui.model.first_article import NotMeasurable, Realigned
from inspect_tui.model.measuring import Reading, Supersede
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Item, Job, Lot
from inspect_tui.record.ask.first_article import SamplingReading
from inspect_tui.record.store import Record
from inspect_tui.shop.common import materials
from inspect_tui.shop.first_article.castings.doubts import UNIT_MM, UNIT_WORDS
from inspect_tui.shop.first_article.castings.evidence import datums
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.findings import Causes, QuestionLine

MOST_SERIALS = 5000


@frozen
class PutRight:
    """What was done, in a sentence, and how many readings it replaced."""

    sentence: str
    readings: int = 0


# ------------------------------------------------------------------------------ a new sampling
def open_round(
    record: Record,
    job: Job,
    label: str,
    serials: Sequence[str],
    *,
    poured_on: str | None = None,
    heat: str | None = None,
    quantity: int | None = None,
    expansion_per_c: float | None = None,
    by: Id | None = None,
) -> Lot:
    """A sampling with its castings; DataError when the label or a serial is there already.

    `quantity` is how many castings were poured, where that is more than those that are named.
    """
    label = label.strip()
    if not label:
        raise DataError("Give the sampling a label, such as S4.")
    if any(lot.label.casefold() == label.casefold() for lot in record.lots(job.of_id)):
        raise DataError(f"{label} is there already in job {job.number}: add its castings to it, or take another label.")
    rows = castings(record, job, serials, expansion_per_c)
    if quantity is not None and quantity < len(rows):
        raise DataError(f"{len(rows)} castings are named, so not {quantity} but at least as many were poured.")
    lot = Lot(
        id=record.new_id(),
        job_of_id=job.of_id,
        label=label,
        heat=heat,
        poured_on=poured_on,
        quantity=len(rows) if quantity is None else quantity,
    )
    made: Lot = record.add_all([lot, *(replace(item, lot_id=lot.id) for item in rows)], by=by)[0]
    return made


def add_castings(
    record: Record,
    job: Job,
    lot: Lot,
    serials: Sequence[str],
    expansion_per_c: float | None = None,
    by: Id | None = None,
) -> PutRight:
    """Further castings of a sampling that is there."""
    rows = castings(record, job, serials, expansion_per_c)
    record.add_all([replace(item, lot_id=lot.id) for item in rows], by=by)
    return PutRight(f"{len(rows)} castings added to {lot.label}.")


def castings(record: Record, job: Job, serials: Sequence[str], expansion_per_c: float | None = None) -> list[Item]:
    """New castings, not written yet; DataError for none, doubles and those that are there already.

    Without an expansion they take that of the castings before them, else that of the alloy from the shipped table.
    """
    wanted = [serial.strip() for serial in serials if serial.strip()]
    if not wanted:
        raise DataError("Name at least one casting by its serial.")
    if len(wanted) > MOST_SERIALS:
        raise DataError(f"{len(wanted)} castings at once are too many; {MOST_SERIALS} are the most.")
    twice = sorted(serial for serial, n in Counter(wanted).items() if n > 1)
    if twice:
        raise DataError(f"{', '.join(twice[:6])}: named twice; every casting has a serial of its own.")
    before = [item for item in record.items(job.of_id) if item.kind == "casting"]
    there = {item.serial for item in before}
    known = [serial for serial in wanted if serial in there]
    if known:
        raise DataError(f"Casting {', '.join(known[:6])} is there already in job {job.number}.")
    alpha = expansion_per_c or next((item.expansion_per_c for item in reversed(before)), None)
    if alpha is None:
        alpha = materials.expansion(job.alloy)
    return [
        Item(job_of_id=job.of_id, kind="casting", serial=serial, material=job.alloy, expansion_per_c=alpha)
        for serial in wanted
    ]


# ------------------------------------------------------------------------------ readings put right
def _instead(
    record: Record,
    old: SamplingReading,
    value: float,
    typed: str,
    unit: str,
    reason: str,
    why: str,
    feature_id: Id | None = None,
) -> list[Any]:
    new = Reading(
        id=record.new_id(),
        setup_id=old.setup_id,
        feature_id=feature_id or old.feature_id,
        item_id=old.item_id,
        rep=old.rep,
        value=value,
        typed=typed,
        typed_unit=unit,
        slip="asked_retyped",
    )
    return [new, Supersede(target_id=old.id, replacement_id=new.id, reason=reason, why=why)]


def put_unit_right(record: Record, sampling: Sampling, question: QuestionLine, by: Id | None = None) -> PutRight:
    """Read the rows of a unit question in the unit that they fit; the readings as typed stay, struck out."""
    unit = next((name for name, mm in UNIT_MM.items() if mm == question.value), None)
    if question.kind != "unit" or unit is None:
        raise DataError("This question is not about a unit.")
    item = sampling.casting(question.serial)
    rows: list[Any] = []
    for balloon in question.balloons:
        feature = sampling.feature(balloon)
        doubt = sampling.doubted(feature, item)
        setup_id = doubt.reading.setup_id if doubt and doubt.reading else None
        for old in sampling.taken(feature, item):
            if old.setup_id != setup_id:  # the same cell may have been measured in mm too
                continue
            why = f"written as mm, fits the drawing in {unit}"
            rows += _instead(record, old, old.value * UNIT_MM[unit], old.typed, unit, "wrong_unit", why)
    record.add_all(rows, by=by)
    n = len(rows) // 2
    words = UNIT_WORDS[unit]
    return PutRight(f"{n} readings of casting {item.serial} count as {words} now; as typed they stay, struck out.", n)


def take_suggestion(record: Record, sampling: Sampling, balloon: str, serial: str, by: Id | None = None) -> PutRight:
    """Take what a cell's question suggests in place of the reading that it doubts."""
    feature, item = sampling.feature(balloon), sampling.casting(serial)
    doubt = sampling.for_record().doubted(feature, item)
    if doubt is None or doubt.suggested is None or doubt.reading is None:
        raise DataError(f"{balloon} on casting {serial}: nothing is suggested there. Measure it again.")
    old, value = doubt.reading, doubt.suggested
    inch = abs(value - old.value * 25.4) < 1e-6
    typed = old.typed if inch else in_unit(value, "mm", 0.001)
    unit, reason = ("in", "wrong_unit") if inch else ("mm", "misread")
    record.add_all(_instead(record, old, value, typed, unit, reason, doubt.sentence[:400]), by=by)
    size = sampling.style.length(value, 3, unit=False)
    return PutRight(f"{balloon} on casting {serial} counts as {size} now; {old.typed} stays, struck out.", 1)


def swap_back(record: Record, sampling: Sampling, question: QuestionLine, by: Id | None = None) -> PutRight:
    """Give two rows each other's readings; as typed they stay, struck out."""
    if question.kind != "rows swapped" or len(question.balloons) != 2:
        raise DataError("This question is not about two rows.")
    item = sampling.casting(question.serial)
    features = [sampling.feature(balloon) for balloon in question.balloons]
    taken = [sampling.taken(feature, item) for feature in features]
    rows: list[Any] = []
    for readings, other in zip(taken, reversed(features), strict=True):
        for old in readings:
            why = f"rows swapped: meant for {other.balloon}"
            rows += _instead(record, old, old.value, old.typed, old.typed_unit, "wrong_feature", why, other.id)
    record.add_all(rows, by=by)
    names = " and ".join(question.balloons)
    return PutRight(f"{names} of casting {item.serial} have each other's readings now.", len(rows) // 2)


# ------------------------------------------------------------------------------ alignment
def propose_alignment(sampling: Sampling, causes: Causes, serial: str) -> Realigned:
    """How a casting with a tilt among its causes is turned back; NotFound when none was found on it."""
    item = sampling.casting(serial)
    tilt = next((c for c in causes.found if c.kind == "tilt" and c.serial in (serial, None)), None)
    datum = next(iter(datums(sampling)), None)
    if tilt is None or datum is None:
        raise NotFound(f"No tilt was found on casting {serial}: there is nothing to align again.")
    low, other = (datum.near_mm, datum.far_mm) if datum.near in tilt.name else (datum.far_mm, datum.near_mm)
    return Realigned(
        item_id=item.id,
        axis=datum.axis,
        along="x",
        pivot_mm=other,
        slope=tilt.size / (low - other),
        u_slope=abs(tilt.u / (low - other)),
        why=tilt.words[:400],
    )


def align(record: Record, sampling: Sampling, causes: Causes, serial: str, by: Id | None = None) -> PutRight:
    """Record that the heights of a casting are turned back; both values are shown from then on."""
    proposal = propose_alignment(sampling, causes, serial)
    record.add(proposal, by)
    over = proposal.slope * 500.0
    by_this, over_that = sampling.style.signed(-over, unit=False), sampling.style.given(500.0, unit=False)
    return PutRight(
        f"Casting {serial} is turned back by {by_this} in {over_that}; as read and as aligned are both shown."
    )


def align_as_read(record: Record, sampling: Sampling, serial: str, why: str, by: Id | None = None) -> PutRight:
    """Take a re-alignment back."""
    item = sampling.casting(serial)
    held = list(sampling.realigned(item))
    if not held:
        raise NotFound(f"Casting {serial} was not aligned again.")
    record.add_all([replace(turn, id=b"", holds=False, why=why or "taken back") for turn in held], by=by)
    return PutRight(f"Casting {serial} is judged as read again.")


# ------------------------------------------------------------------------------ not measurable
def cannot_measure(
    record: Record, features: Iterable[Feature], item: Item | None, reason: str, by: Id | None = None
) -> PutRight:
    """Say that features cannot be measured on a casting (None: on any), and why."""
    reason = reason.strip()
    if not reason:
        raise DataError("Say in a few words why it cannot be measured.")
    rows = [
        NotMeasurable(feature_id=feature.id, item_id=item.id if item else None, reason=reason[:400])
        for feature in features
    ]
    if not rows:
        raise DataError("Say which feature cannot be measured.")
    record.add_all(rows, by=by)
    return PutRight(f"Noted: not measurable, {reason}.")


def can_measure(record: Record, feature: Feature, item: Item | None, by: Id | None = None) -> PutRight:
    """Take that back."""
    record.add(
        NotMeasurable(feature_id=feature.id, item_id=item.id if item else None, reason="taken back", holds=False), by
    )
    return PutRight("Back on the list of what to measure.")
