"""What is in the record, as plain rows: jobs, tools and castings, features with their state, readings."""

from __future__ import annotations

from typing import Any

from inspect_tui.metrology.sizes.place import place, where
from inspect_tui.metrology.typed.show import day_of
from inspect_tui.model.work import Job
from inspect_tui.record.chain.ids import uuid_text
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.corrections import NOTHING
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import FINISHED
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.jobs import raw_limits


def rows(record: Record, job: Job, subject: Subject | None = None) -> list[dict[str, Any]]:
    """One row a feature on each tool, and on each casting that was measured: sizes and state. mm, degrees for angles.

    With `subject` only that one, whole; otherwise castings and sand cores give only the features measured on them.
    What was measured on a casting after it was machined has rows of its own, `casting_state` finished.
    """
    listed = []
    revision = find.latest_revision(record, job)
    features = record.features(revision.id)
    corrected: dict[str, str] = {}
    for edition in lineage.corrections(record, job, revision, changes=True):
        for balloon in edition.changed:
            corrected.setdefault(balloon, edition.words)
    evidence, same = Evidence(record), lineage.same_rows(record, job, features)
    numbers = find.core_numbers(record, job)
    for piece in [subject] if subject else find.subjects(record, job):
        bench = Bench(record, job, piece, features=features, evidence=evidence, same=same)
        tasks = bench.tasks
        if piece.item is not None and record.measured_finished(piece.item.id):
            bench.set_state(FINISHED)
            tasks = tasks + bench.tasks
        for task in tasks:
            if piece.item is not None and not subject and not task.read:
                continue
            sizes = task.sizes
            listed.append(
                {
                    "job": job.number,
                    "tool": piece.label,
                    "feature": task.feature.balloon,
                    "name": task.feature.name,
                    "quantity": task.feature.quantity,
                    "axis": task.feature.axis,
                    "where": where(taken) if (taken := place(task.feature, numbers)) else None,
                    "nominal": sizes.finished if task.feature.nominal_known else None,
                    "as_cast": sizes.as_cast if task.feature.nominal_known else None,
                    "target": sizes.target if task.feature.nominal_known else None,
                    "lower": sizes.band.lower,
                    "upper": sizes.band.upper,
                    "band_source": sizes.band.source,
                    "n": task.read,
                    "last": task.last,
                    "revision": revision.rev,
                    "corrected": corrected.get(task.feature.balloon),
                    "limits_raw": raw_limits.typed_of(task.feature) or None,
                    "casting_state": sizes.state if piece.item is not None else None,
                    "state": task.state,
                    "verdict": None if task.state == Standing.TO_MEASURE else task.state,
                }
            )
    return listed


def readings(record: Record, job: Job, subject: Subject | None = None) -> list[dict[str, Any]]:
    """Every reading with its id, oldest first, voided ones included and marked: `value` is what `read` stands for."""
    evidence = Evidence(record)
    gauges = evidence.gauges
    listed = []
    features: dict[bytes, str] = {}
    for piece in [subject] if subject else find.subjects(record, job):
        logged = record.readings(
            tool_of_id=piece.tool.of_id if piece.tool else None,
            item_id=piece.item.id if piece.item else None,
            limit=1_000_000,
            newest_first=False,
        )
        made = evidence.corrections(list({row.reading.feature_id for row in logged}))
        for row in logged:
            reading = row.reading
            if reading.feature_id not in features:
                features[reading.feature_id] = record.feature(reading.feature_id).balloon
            listed.append(
                {
                    "id": uuid_text(reading.id),
                    "job": job.number,
                    "tool": piece.label,
                    "feature": features[reading.feature_id],
                    "value": made.get(reading.id, NOTHING).of(reading.value),
                    "read": reading.value,
                    "typed": reading.typed,
                    "unit": reading.typed_unit,
                    "rep": reading.rep,
                    "by": row.by,
                    "with": row.instrument,
                    "gauge_failed": gauges.means(row.setup, day_of(row.at_us, row.tz_min)).bad,
                    "at_us": row.at_us,
                    "slip": reading.slip,
                    "casting_state": row.setup.state if reading.item_id else None,
                    "void": row.supersede.why if row.supersede and row.out else None,
                    "notes": [note.text for note in row.notes],
                }
            )
    return listed
