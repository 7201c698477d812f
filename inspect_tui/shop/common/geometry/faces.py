"""Faces out of the ends of a drawing's features: sizes between faces, centres told apart from surfaces.

A position ends on a centre; so does a centre to centre size, whose ends face the same way and are no datum, unless
another size says that one of them is a surface. Ends without a place are faces of their own size alone.
On a sample casting, whose sizes nobody knows yet, a size with one end stands for the face itself, and a size between
two such faces says so in its note: `between S2 and S5`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence

from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.faces.face import Face, Size, place_word
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.words import Id
from inspect_tui.model.work import End, Feature, Job
from inspect_tui.record.read import Reader
from inspect_tui.shop.common.drawing_notes import is_angle, places_of

OF_TWO = r"\bbetween (\S+) and (\S+)"
WALL_TO = r"\bwall to (\S+)"
SIDES = {"+": -1, "-": 1}  # on which side of a face the metal lies: the outward normal points the other way
CUT_UP = "only on the casting cut up"
NO_SIZE = ("flatness", "radius")  # of one face alone: nothing between two


def core_numbers(record: Reader, job: Job) -> dict[Id, int]:
    """The number of each core of a job by the id of any version: a feature names the one it was entered with."""
    now = {core.of_id: core.number for core in record.cores(job.of_id)}
    return {version: now[of] for version, of in record.core_versions(job.of_id).items() if of in now}


def part_of(core_id: Id | None, half: str | None, number_of: Mapping[Id, int]) -> str | None:
    """drag, cope or core 3; None where nothing is named. `number_of`: core numbers by the id of any version."""
    if half:
        return half
    return f"core {number_of[core_id]}" if core_id is not None and core_id in number_of else None


def reference(features: Sequence[Feature], number_of: Mapping[Id, int]) -> str:
    """The part that carries the datums: the one whose surface at 0 most features start from."""
    count: dict[str, int] = {}
    for feature in features:
        for end in feature.ends:
            part = part_of(end.core_id, end.half, number_of)
            if end.coord_mm == 0.0 and part is not None:
                count[part] = count.get(part, 0) + 1
    return max(sorted(count), key=lambda part: count[part]) if count else "drag"


@frozen
class FeatureSizes:
    """The sizes between faces of these features, and those that have none, with the reason in words."""

    sizes: tuple[Size, ...]
    without: tuple[tuple[str, str], ...]


def sizes_of(
    features: Sequence[Feature],
    number_of: Mapping[Id, int],
    *,
    as_cast: Callable[[Feature], float] = chain.as_cast,
    contraction: Callable[[Feature], float] = lambda feature: feature.a or 0.0,
    datum: str | None = None,
) -> FeatureSizes:
    """Every length of the casting, or at tooling scale, as a size between two faces. mm.

    `as_cast` gives the size of a feature on the raw casting, `contraction` what its tool was made with; `datum` is the
    part that carries the datums, found out where it is not given.
    """
    datum = datum or reference(features, number_of)
    surfaces = _surfaces(features, number_of)
    named = {feature.balloon: feature for feature in features if len(feature.ends) == 1}
    sizes: list[Size] = []
    without: list[tuple[str, str]] = []
    for feature in features:
        why = _no_size(feature, number_of)
        if why:
            without.append((feature.balloon, why))
            continue
        size = _size(feature, number_of, as_cast(feature), contraction(feature), datum, surfaces)
        if pair := between(feature):
            a, b = (_face_of(named.get(name), number_of) for name in pair)
            size = replace(size, a=a or size.a, b=b or size.b)
        sizes.append(size)
    return FeatureSizes(tuple(sizes), tuple(without))


def named_face(
    balloon: str,
    name: str,
    axis: str,
    maker: End,
    metal: str,
    *,
    datum: bool = False,
    cut_up: bool = False,
    wall_to: str | None = None,
) -> Feature:
    """A face of a sample casting, with no size: `maker` is an end that says what makes it, `metal` one of `SIDES`.

    `wall_to` is the balloon of the face on the other side of the metal.
    """
    notes = [*([CUT_UP] if cut_up else []), *([f"wall to {wall_to}"] if wall_to else [])]
    return Feature(
        balloon=balloon,
        name=name,
        axis=axis,
        nominal=0.0,
        nominal_known=False,
        band_source="none stated",
        note="; ".join(notes) or None,
        ends=(replace(maker, which="B", facing=SIDES[metal], coord_mm=0.0 if datum else None),),
    )


def free_balloon(taken: Collection[str]) -> str:
    """The next balloon of a face that nobody named: S1, S2 ...; `taken` are those that are there, folded."""
    number = 1
    while f"s{number}" in taken:
        number += 1
    return f"S{number}"


def wall_of(feature: Feature) -> str | None:
    """The balloon of the face on the other side of the metal; None where no wall was said."""
    told = re.search(WALL_TO, feature.note) if feature.note else None
    return told[1].rstrip(".,;") if told else None


def is_named_face(feature: Feature) -> bool:
    """Whether it stands for a face of a sample casting: one end, and no size that anybody knows."""
    return len(feature.ends) == 1 and not feature.nominal_known and feature.scale == "cast"


def between(feature: Feature) -> tuple[str, str] | None:
    """The balloons of the two named faces that a size of a sample casting lies between; None where it is no such."""
    told = re.search(OF_TWO, feature.note) if feature.note and not feature.nominal_known else None
    return (told[1].rstrip(".,;"), told[2].rstrip(".,;")) if told else None


def _face_of(named: Feature | None, number_of: Mapping[Id, int]) -> Face | None:
    """The face that a feature of a sample casting names."""
    if named is None:
        return None
    end = named.ends[0]
    return Face(
        maker=part_of(end.core_id, end.half, number_of) or "",
        axis=named.axis,
        place_mm=end.coord_mm,
        facing=end.facing,
        spot="" if end.coord_mm is not None else named.balloon,
        stock_mm=end.stock_mm,
        coat_mm=end.coat_mm,
    )


def _no_size(feature: Feature, number_of: Mapping[Id, int]) -> str:
    if is_angle(feature) or feature.quantity in NO_SIZE:
        return f"{feature.quantity} is no distance of two faces"
    if not feature.ends:
        return "nobody said which tools make its ends"
    if any(part_of(end.core_id, end.half, number_of) is None for end in feature.ends):
        return "an end names a core that is not there"
    return ""


def _surfaces(features: Sequence[Feature], number_of: Mapping[Id, int]) -> set[tuple[str, str, float]]:
    """Places that metal or space ends at for sure."""
    out: set[tuple[str, str, float]] = set()
    for feature in features:
        if len(feature.ends) == 2 and feature.ends[0].facing != feature.ends[1].facing:
            for end in feature.ends:
                part = part_of(end.core_id, end.half, number_of)
                if end.coord_mm is not None and part is not None:
                    out.add((part, feature.axis, end.coord_mm))
    return out


def _is_centre(feature: Feature, which: int, part: str, surfaces: set[tuple[str, str, float]]) -> bool:
    ends = feature.ends
    if len(ends) != 2 or ends[0].facing != ends[1].facing:
        return feature.quantity == "position" and len(ends) == 1
    if feature.quantity == "position":
        return which == 1
    places = [e.coord_mm for e in ends]
    if any(place in (None, 0.0) for place in places):
        return False
    return (part, feature.axis, places[which]) not in surfaces


def _size(
    feature: Feature,
    number_of: Mapping[Id, int],
    mm: float,
    contraction: float,
    datum: str,
    surfaces: set[tuple[str, str, float]],
) -> Size:
    across = _across(feature)
    scale = "tool" if feature.scale == "tool" else "cast"

    def face(which: int, place: float | None) -> Face:
        end: End = feature.ends[which]
        part = part_of(end.core_id, end.half, number_of) or ""
        # what is machined is a surface
        centre = scale == "cast" and not end.stock_mm and _is_centre(feature, which, part, surfaces)
        spot = f"{feature.balloon} {end.which}" if place is None else ""
        if centre and part.startswith("core") and across:
            spot = f"st {place_word(across[0][1])}"  # bores at two stations of one level are two bores
        return Face(
            maker=part,
            axis=feature.axis,
            place_mm=place,
            facing=0 if centre else end.facing,
            spot=spot,
            stock_mm=end.stock_mm,
            coat_mm=end.coat_mm,
            scale=scale,
        )

    made = Size(name=feature.balloon, a=None, b=face(-1, None), mm=mm, contraction=contraction, across=across)
    places = [end.coord_mm for end in feature.ends]
    if is_named_face(feature):
        return replace(made, b=_face_of(feature, number_of) or made.b)
    if len(places) == 1:
        return replace(made, b=face(0, places[0]))
    low, high = places
    if low is not None and high is not None:
        first, last = (0, 1) if low <= high else (1, 0)
        return replace(made, a=face(first, places[first]), b=face(last, places[last]))
    if feature.quantity == "position" and part_of(feature.ends[0].core_id, feature.ends[0].half, number_of) == datum:
        return replace(made, a=face(0, 0.0), b=face(1, high))
    return replace(made, a=face(0, low), b=face(1, high))


def _across(feature: Feature) -> tuple[tuple[str, float], ...]:
    """Where across its axis it is taken."""
    told = places_of(feature)
    return tuple((axis, told[axis]) for axis in "xyz" if axis in told and axis != feature.axis)
