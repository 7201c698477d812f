"""Which rows of older drawings are the same size: a feature that did not change keeps its readings and its state.

A new revision carries every feature over; what was measured before counts on as long as size, limits, ends, axis and
stock are what they were.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job

TYPE_CHECKING = False
if TYPE_CHECKING:
    from inspect_tui.record.read import Reader

SAME: tuple[str, ...] = ("quantity", "axis", "dir_x", "dir_y", "dir_z", "nominal", "lower", "upper", "scale")
SAME += ("machined", "draft_deg", "draft_h_mm", "a")


def same_size(now: Feature, before: Feature, core_of: Callable[[Id], Id] = lambda core: core) -> bool:
    """Whether two rows of a feature ask for the same: name, balloon and note may differ. `core_of` gives a core's
    first version."""
    if any(getattr(now, name) != getattr(before, name) for name in SAME):
        return False
    return _ends(now, core_of) == _ends(before, core_of)


def _ends(feature: Feature, core_of: Callable[[Id], Id]) -> list[tuple[object, ...]]:
    return [
        (core_of(end.core_id) if end.core_id else None, end.half, end.facing, end.coord_mm, end.stock_mm, end.coat_mm)
        for end in feature.ends
    ]


def same_rows(reader: Reader, job: Job, features: Sequence[Feature]) -> dict[Id, tuple[Id, ...]]:
    """For each of these features its own row and the older ones that ask for the same, the newest first.

    A change ends the line, also where a later revision changed it back: in between another size was wanted.
    """
    if not any(feature.same_as_id for feature in features):
        return {feature.id: (feature.id,) for feature in features}
    every = {feature.id: feature for feature in reader.job_features(job.of_id)}
    versions = reader.core_versions(job.of_id)

    def core_of(core_id: Id) -> Id:
        return versions.get(core_id, core_id)

    lines: dict[Id, tuple[Id, ...]] = {}
    for feature in features:
        line, now = [feature.id], feature
        while now.same_as_id is not None and (before := every.get(now.same_as_id)) is not None:
            if before.id in line or not same_size(feature, before, core_of):
                break
            line.append(before.id)
            now = before
        lines[feature.id] = tuple(line)
    return lines
