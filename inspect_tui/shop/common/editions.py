"""The editions of a job's drawing: when and by whom each was entered, which sizes it changed, and why."""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed.show import day_of
from inspect_tui.model.words import Id
from inspect_tui.model.work import DrawingRevision, Feature, Job

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.read import Reader


@frozen
class Edition:
    """One edition of the drawing; `changed` are the balloons that say something else than in the edition before."""

    revision: DrawingRevision
    day: str  # ISO date on which it was entered
    by: str | None  # initials
    changed: tuple[str, ...] = ()

    @property
    def correction(self) -> bool:
        """Whether it puts typing errors of the edition before it right, under the same letter."""
        return self.revision.corrects_id is not None

    @property
    def words(self) -> str:
        """corrected 2026-11-29 by KT: 63 read as 62; of a new edition: entered, and why where that was said."""
        said = f"{'corrected' if self.correction else 'entered'} {self.day}"
        said += f" by {self.by}" if self.by else ""
        return said + (f": {self.revision.why}" if self.revision.why else "")


def unchanged(feature: Feature, before: Feature) -> bool:
    """Whether a feature says nothing else than another row of it."""
    return _bare(feature) == _bare(before)


def _bare(feature: Feature) -> Feature:
    ends = tuple(replace(end, id=b"", feature_id=b"") for end in feature.ends)
    return replace(feature, id=b"", revision_id=b"", same_as_id=None, ord=0, ends=ends)


def editions(reader: Reader, job: Job, features: Sequence[Feature] | None = None) -> list[Edition]:
    """Every edition of the drawing, oldest first; with `features` of all of them also what each changed."""
    revisions = reader.revisions(job.of_id)
    entered = reader.entered_by([revision.id for revision in revisions])
    changed: dict[Id, list[str]] = {}
    rows = {feature.id: feature for feature in features or ()}
    for feature in rows.values():
        before = rows.get(feature.same_as_id or b"")
        if before is not None and not unchanged(feature, before):
            changed.setdefault(feature.revision_id, []).append(feature.balloon)
    return [
        Edition(
            revision, day_of(*entered[revision.id][:2]), entered[revision.id][2], tuple(changed.get(revision.id, ()))
        )
        for revision in revisions
    ]


def corrections(reader: Reader, job: Job, revision: DrawingRevision) -> list[Edition]:
    """How typing errors of the edition with the letter of `revision` were put right, the newest first."""
    if revision.corrects_id is None:
        return []
    by_id = {edition.revision.id: edition for edition in editions(reader, job)}
    made: list[Edition] = []
    now: DrawingRevision | None = revision
    while now is not None and now.corrects_id is not None and len(made) < len(by_id):
        made.append(by_id[now.id])
        before = by_id.get(now.corrects_id)
        now = before.revision if before else None
    return made
