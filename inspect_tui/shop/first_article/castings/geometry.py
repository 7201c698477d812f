"""The faces of a sampling, out of the one builder of the house: sizes, what sits in what, what carries the datums."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from inspect_tui.metrology.faces.face import Size
from inspect_tui.metrology.faces.network import Carry
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature
from inspect_tui.shop.common.geometry import faces
from inspect_tui.shop.common.geometry.carried import carries
from inspect_tui.shop.first_article.castings.sampling import Sampling

LEFT_OUT = ("radius", "flatness", "attribute", "angle", "temperature")  # what no movement of faces explains


def numbers(sampling: Sampling) -> dict[Id, int]:
    """The number of each core by the ids that ends and fits name it with."""
    named = [end.core_id for feature in sampling.features for end in feature.ends]
    named += [core for fit in sampling.facts.fits for core in (fit.inner_core_id, fit.outer_core_id)]
    return {core: sampling.core(core).number for core in dict.fromkeys(named) if core is not None}


def reference(sampling: Sampling) -> str:
    """The part that carries the datums."""
    return faces.reference(sampling.features, numbers(sampling))


def sizes(
    sampling: Sampling,
    features: Iterable[Feature],
    contraction: Callable[[Feature], float] = lambda feature: feature.a or 0.0,
) -> tuple[Size, ...]:
    """Features of a sampling as sizes between faces, with what they are as cast; mm."""
    return faces.sizes_of(
        list(features),
        numbers(sampling),
        as_cast=lambda feature: sampling.sizes(feature).as_cast,
        contraction=contraction,
        datum=reference(sampling),
    ).sizes


def held(sampling: Sampling) -> tuple[Carry, ...]:
    """What sits in what, from the fits, and along which axes it is held there."""
    return carries(sampling.facts.fits, numbers(sampling))
