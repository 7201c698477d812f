"""What is asked when the ends of a size are entered: what lies between two ends on one core, faces that contradict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.metrology.faces.face import Asked, join
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature
from inspect_tui.shop.common.geometry.faces import sizes_of

NO_THICKNESS = ("position", "angle", "flatness", "temperature", "attribute")  # nothing lies between their ends
WORDS = {  # by scale: what is typed for the outside of a core, and for a slot in it
    "cast": ("space: the casting is hollow there", "metal: the metal fills it"),
    "tool": ("metal: the core itself lies between", "space: what another part's key goes into"),
}


def between_asked(quantity: str, scale: str, a: str, b: str) -> str:
    """The question about a size whose two ends the same core makes and of which nobody said what lies between them.

    Empty where there is nothing to ask. `a` and `b` name the makers: drag, cope or core 3. Taken for metal without a
    word, every cut of such a core went the wrong way round.
    """
    maker = " ".join(a.casefold().split())
    if maker != " ".join(b.casefold().split()) or not maker.startswith("core") or quantity in NO_THICKNESS:
        return ""
    outside, slot = WORDS["tool" if scale == "tool" else "cast"]
    return f"{maker} both ends: outside of the core, or a slot in it? Outside is {outside}; a slot is {slot}"


def contradictions(features: Sequence[Feature], number_of: Mapping[Id, int], style: Style = MM) -> tuple[Asked, ...]:
    """Faces that have metal on either side by what the sizes say, naming the sizes; by scale. Places and stock are no
    contradiction here: they are asked about with the job's geometry."""
    told: list[Asked] = []
    for tool in (False, True):
        own = [feature for feature in features if (feature.scale == "tool") == tool]
        sizes = sizes_of(own, number_of, as_cast=lambda feature: feature.nominal).sizes
        told += [asked for asked in join(sizes, style).asked if asked.kind == "facing"]
    return tuple(told)


def against(
    made: Feature, others: Sequence[Feature], number_of: Mapping[Id, int], style: Style = MM
) -> tuple[Asked, ...]:
    """The contradictions of one size with others of its drawing: the first line of what has to be asked."""
    touching = [other for other in others if other.balloon != made.balloon and _touch(made, other, number_of)]
    if not touching:
        return ()
    return tuple(asked for asked in contradictions([made, *touching], number_of, style) if made.balloon in asked.sizes)


def _touch(made: Feature, other: Feature, number_of: Mapping[Id, int]) -> bool:
    """Whether two sizes end on a face in common."""

    def ends(feature: Feature) -> set[tuple[object, ...]]:
        return {
            (number_of.get(end.core_id or b""), end.half, end.coord_mm)
            for end in feature.ends
            if end.coord_mm is not None
        }

    return made.axis == other.axis and made.scale == other.scale and bool(ends(made) & ends(other))
