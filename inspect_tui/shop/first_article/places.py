"""Where the number of each requirement stands: beside the ends of its size in the mould, and on photographs.

Nothing is guessed: a size is placed by the ends that somebody gave a place, a geometrical tolerance beside the first of
its sizes that is placed, a number on a photograph where somebody put it. What is left is named with the reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from inspect_tui.metrology.sizes.place import AXES, Place, place
from inspect_tui.model.work import Feature
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import balloon_key
from inspect_tui.shop.common.geometry.tolerances import balloons as sizes_of
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.result import (
    BodyPlace,
    NotPlaced,
    PartingPlace,
    PicturePlace,
    Places,
    SizePlace,
)
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.order import given_order
from inspect_tui.shop.kit.sketch.scene import scene
from inspect_tui.shop.pictures import balloons, listing

NO_AXIS = "a size along no axis"
NO_ENDS = "nobody said where the ends stand"
ON_TOOL = "a size of a print, key or seat, which the casting does not have"
NO_SIZES = "computed from no size that has a place"
GONE = "on picture {}, but no longer on the drawing"


def places(sampling: Sampling) -> Places:
    """Where the numbers of a sampling's requirements stand."""
    features = {feature.balloon: feature for feature, _ in sampling.requirements}
    numbers = find.core_numbers(sampling.record, sampling.job)
    taken = {balloon: place(feature, numbers) for balloon, feature in features.items()}
    placed = {balloon: one for balloon, one in taken.items() if one is not None and one.ends != (None, None)}
    beside = _beside(sampling, placed)
    pictures = _pictures(sampling)
    shown = {balloon_key(balloon) for picture in pictures for balloon, _, _ in picture.marks}
    wanted = [*features, *(asked.balloon for asked in sampling.geometries)]
    there = {balloon_key(balloon) for balloon in wanted}
    on_sketch = {*placed, *(balloon for names in beside.values() for balloon in names)}
    facts = KitFacts(sampling.record, sampling.job)
    mould = scene(facts, given_order(facts))
    return Places(
        cores=tuple(
            BodyPlace(
                core=core.number,
                name=core.name,
                given=core.body.given,
                boxes=core.body.boxes,
                known=tuple((axis, *core.body.known[axis]) for axis in AXES if axis in core.body.known),
            )
            for core in mould.cores
        ),
        outline=mould.outline,
        outline_given=mould.outline_given,
        parting=tuple(PartingPlace(step.place, step.along, step.start, step.end) for step in mould.parting),
        parting_axis=mould.parting_axis,
        sizes=tuple(
            SizePlace(
                balloon=balloon,
                axis=one.axis,
                ends=one.ends,
                at=tuple(one.at.items()),
                beside=tuple(beside.get(balloon, ())),
            )
            for balloon, one in placed.items()
        ),
        pictures=tuple(pictures),
        not_placed=(
            *(
                NotPlaced(balloon, _why(features.get(balloon), taken.get(balloon)))
                for balloon in wanted
                if balloon not in on_sketch and balloon_key(balloon) not in shown
            ),
            *_gone(pictures, there),
        ),
    )


def _beside(sampling: Sampling, placed: Mapping[str, Place]) -> dict[str, list[str]]:
    """Size -> the geometrical tolerances that stand beside it: each at the first of its sizes that has a place."""
    by_key = {balloon_key(balloon): balloon for balloon in placed}
    made: dict[str, list[str]] = {}
    for asked in sampling.geometries:
        size = next((by_key[key] for name in sizes_of(asked.sizes) if (key := balloon_key(name)) in by_key), None)
        if size is not None:
            made.setdefault(size, []).append(asked.balloon)
    return made


def _why(feature: Feature | None, taken: Place | None) -> str:
    if feature is None:
        return NO_SIZES
    if taken is None:
        return NO_AXIS
    return ON_TOOL if taken.tool else NO_ENDS


def _pictures(sampling: Sampling) -> list[PicturePlace]:
    """Every picture of the job that has numbers on it."""
    about = {use.about_id for use in sampling.record.numbered_pictures()}
    if not about:
        return []
    return [
        PicturePlace(
            sha256=seen.sha256,
            name=seen.name,
            of=seen.of,
            caption=seen.caption,
            marks=tuple((mark.balloon, mark.x, mark.y) for mark in marks),
        )
        for seen in listing.of_job(sampling.record, sampling.job, about)
        if (marks := balloons.kept(seen.use.balloons))
    ]


def _gone(pictures: Sequence[PicturePlace], there: Iterable[str]) -> list[NotPlaced]:
    known = set(there)
    return [
        NotPlaced(balloon, GONE.format(picture.name))
        for picture in pictures
        for balloon, _, _ in picture.marks
        if balloon_key(balloon) not in known
    ]
