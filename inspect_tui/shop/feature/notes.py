"""A few words about a reading, a size, a casting or a tool, as typed; they stay beside it, a further note says more."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError, NotFound
from inspect_tui.model.measuring import Note
from inspect_tui.record import kinds
from inspect_tui.shop.common import find

if TYPE_CHECKING:
    from inspect_tui.model.work import Job
    from inspect_tui.record.store import Record

FIELDS = (
    ("on", "on: tool or casting, such as stick 3 or casting S1-2, or job"),
    ("feature", "feature: to its newest reading there; may be left out"),
    ("text", "note: what is to be known"),
)
LONGEST = 4000  # letters


def read(record: Record, job: Job, values: Mapping[str, str]) -> Note:
    """The note of what is typed; DataError with what is wrong.

    With a feature it is about its newest reading on that tool or casting, without one about the tool or casting.
    """
    text = (values.get("text") or "").strip()
    if not text:
        raise DataError("note: say what is to be known.")
    if len(text) > LONGEST:
        raise DataError(f"note: {len(text)} characters; at most {LONGEST} fit.")
    if (values.get("on") or "").strip().casefold() in ("job", job.number.casefold()):
        return Note(about_kind=kinds.JOB.number, about_id=job.of_id, text=text)
    subject = find.subject(record, job, values.get("on") or "")
    if not (values.get("feature") or "").strip():
        if subject.tool is not None:
            return Note(about_kind=kinds.TOOL.number, about_id=subject.tool.of_id, text=text)
        assert subject.item is not None
        return Note(about_kind=kinds.ITEM.number, about_id=subject.item.id, text=text)
    revision = find.latest_revision(record, job)
    feature = find.feature(record.features(revision.id), values["feature"], revision.rev)
    newest = record.readings(
        feature_id=[feature.id, *record.feature_lineage(feature.id)],
        tool_of_id=subject.tool.of_id if subject.tool else None,
        item_id=subject.item.id if subject.item else None,
        limit=1,
        newest_first=True,
    )
    if not newest:
        raise NotFound(
            f"{feature.balloon} was not read on {subject.label}: leave the feature out, or name another one."
        )
    return Note(about_kind=kinds.READING.number, about_id=newest[0].reading.id, text=text)
