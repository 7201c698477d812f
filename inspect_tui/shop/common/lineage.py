"""A drawing from edition to edition: which rows ask for the same size, and who changed or put right what, and why.

A new revision carries every feature over; what was measured before counts on as long as size, limits, ends, axis and
stock are what they were. A correction puts a typing error right: what was read under the error is still of that size,
and the size as it was put right is what it is judged by. How a tool stands asks for less: other limits leave what was
measured on it a measurement of the same size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.typed.show import day_of
from inspect_tui.model.words import Id
from inspect_tui.model.work import DrawingRevision, Feature, Job, ToolFeature

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

LIMITS: tuple[str, ...] = ("lower", "upper", "raw_lower", "raw_upper")
SIZE: tuple[str, ...] = ("quantity", "axis", "dir_x", "dir_y", "dir_z", "nominal", "scale")
SIZE += ("machined", "draft_deg", "draft_h_mm", "a")


def same_size(
    now: Feature, before: Feature, core_of: Callable[[Id], Id] = lambda core: core, limits: bool = True
) -> bool:
    """Whether two rows of a feature ask for the same: name, balloon and note may differ, and the limits where these
    are not looked at. `core_of` gives a core's first version."""
    names = SIZE + LIMITS if limits else SIZE
    if any(getattr(now, name) != getattr(before, name) for name in names):
        return False
    return _ends(now, core_of) == _ends(before, core_of)


def _ends(feature: Feature, core_of: Callable[[Id], Id]) -> list[tuple[object, ...]]:
    return [
        (core_of(end.core_id) if end.core_id else None, end.half, end.facing, end.coord_mm, end.stock_mm, end.coat_mm)
        for end in feature.ends
    ]


class Lines:
    """The features of a job through all editions of its drawing."""

    def __init__(
        self, features: Iterable[Feature], revisions: Iterable[DrawingRevision], cores: Mapping[Id, Id]
    ) -> None:
        """`features` of all editions, with their ends; `cores`: every version of a core -> its first."""
        self._rows = {feature.id: feature for feature in features}
        self._cores = cores
        self._firsts: dict[tuple[Id, bool], Id] = {}
        corrections = {revision.id for revision in revisions if revision.corrects_id}
        self._put_right: dict[Id, Id] = {}  # a row with a typing error -> the row that says what was meant
        carried = {feature.same_as_id for feature in self._rows.values()}
        for feature in self._rows.values():
            if feature.id not in carried:
                self._look_back(feature, corrections)

    def _look_back(self, now: Feature, corrections: set[Id]) -> None:
        """From the newest row of a feature to the oldest: which of them a later one puts right.

        An error that was carried over from an older edition was one there, too.
        """
        meant = now.id
        while (before := self._rows.get(now.same_as_id or b"")) is not None and before.id not in self._put_right:
            corrected = now.revision_id in corrections
            if not corrected and (meant == now.id or not same_size(now, before, self._core_of)):
                meant = before.id
            else:
                self._put_right[before.id] = meant
            now = before

    def put_right(self, feature_id: Id) -> Id:
        """The row that says what this one should have said: itself where nobody corrected it."""
        return self._put_right.get(feature_id, feature_id)

    def feature(self, feature_id: Id) -> Id:
        """The first row of a feature, whatever its size has been since."""
        seen = {feature_id}
        while (row := self._rows.get(feature_id)) is not None and row.same_as_id in self._rows:
            if row.same_as_id in seen or row.same_as_id is None:
                break
            feature_id = row.same_as_id
            seen.add(feature_id)
        return feature_id

    def line(self, feature_id: Id, limits: bool = True) -> tuple[Id, ...]:
        """A row and the older ones that ask for the same, the newest first; `limits` False: of the same size.

        A change ends the line, also where a later edition changed it back: in between another size was wanted.
        """
        line, now = [feature_id], self._rows.get(feature_id)
        while now is not None and (before := self._rows.get(now.same_as_id or b"")) is not None:
            if before.id in line or not self._same(now.id, before.id, limits):
                break
            line.append(before.id)
            now = before
        return tuple(line)

    def _same(self, now: Id, before: Id, limits: bool) -> bool:
        now, before = self.put_right(now), self.put_right(before)
        return same_size(self._rows[now], self._rows[before], self._core_of, limits)

    def _core_of(self, core_id: Id) -> Id:
        return self._cores.get(core_id, core_id)

    def first(self, feature_id: Id, limits: bool = True) -> Id:
        """The oldest row that asks for the same: what all rows of one size share."""
        key = (feature_id, limits)
        if key not in self._firsts:
            self._firsts[key] = self.line(feature_id, limits)[-1]
        return self._firsts[key]

    def versions(self, versions: Sequence[ToolFeature]) -> dict[Id, ToolFeature]:
        """Versions of tools' features by id, each with the steps of the size as it was put right.

        What was changed at a tool after castings stays with the version that it was changed in.
        """
        of_row: dict[tuple[Id, Id], ToolFeature] = {}
        for version in sorted(versions, key=lambda version: version.id):
            of_row.setdefault((version.of_id, version.feature_id), version)
        by_id = {}
        for version in versions:
            right = of_row.get((version.of_id, self.put_right(version.feature_id)), version)
            by_id[version.id] = version if right.feature_id == version.feature_id else _as(version, right)
        return by_id


def _as(version: ToolFeature, right: ToolFeature) -> ToolFeature:
    laid_out = tuple(step for step in right.steps if step.kind != "correction")
    cut = tuple(step for step in version.steps if step.kind == "correction")
    return replace(
        version,
        feature_id=right.feature_id,
        sense=right.sense,
        lower=right.lower,
        upper=right.upper,
        band_source=right.band_source,
        steps=laid_out + cut,
    )


def of_job(reader: Reader, job: Job, features: Iterable[Feature] | None = None) -> Lines:
    """The lines of a job; `features` of all its editions where they are at hand."""
    every = reader.job_features(job.of_id) if features is None else features
    return Lines(every, reader.revisions(job.of_id), reader.core_versions(job.of_id))


def same_rows(
    reader: Reader, job: Job, features: Sequence[Feature], at_hand: Iterable[Feature] = ()
) -> dict[Id, tuple[Id, ...]]:
    """For each of these features its own row and the older ones that ask for the same, the newest first.

    `at_hand`: rows that the caller has read already, of any edition.
    """
    if not any(feature.same_as_id for feature in features):
        return {feature.id: (feature.id,) for feature in features}
    read = {feature.id: feature for feature in at_hand}
    rows = {feature.id: feature for feature in features}  # and what they come from: other features cost nothing
    while before := {row.same_as_id for row in rows.values() if row.same_as_id} - rows.keys():
        older = {row_id: read[row_id] for row_id in before if row_id in read}
        if missing := before - older.keys():
            older |= reader.features_by_id(missing)
        if not older:
            break
        rows |= older
    lines = Lines(rows.values(), reader.revisions(job.of_id), reader.core_versions(job.of_id))
    return {feature.id: lines.line(feature.id) for feature in features}


# ------------------------------------------------------------------------------ who, when and why
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


def corrections(reader: Reader, job: Job, revision: DrawingRevision, changes: bool = False) -> list[Edition]:
    """How typing errors of the edition with the letter of `revision` were put right, the newest first.

    With `changes` also what each changed, for which the features of all editions are read.
    """
    if revision.corrects_id is None:
        return []
    features = reader.job_features(job.of_id) if changes else None
    by_id = {edition.revision.id: edition for edition in editions(reader, job, features)}
    made: list[Edition] = []
    now: DrawingRevision | None = revision
    while now is not None and now.corrects_id is not None and len(made) < len(by_id):
        made.append(by_id[now.id])
        before = by_id.get(now.corrects_id)
        now = before.revision if before else None
    return made
