"""All castings of a sampling and their tools in one network of faces, adjusted: sizes that nobody measured follow."""

from __future__ import annotations

from collections.abc import Mapping
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen
from inspect_tui.metrology.faces.face import Size
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.common.drawing_notes import is_angle
from inspect_tui.shop.first_article.castings import geometry
from inspect_tui.shop.first_article.castings.geometry import LEFT_OUT
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.tools_then import ToolLog, pour_day

if TYPE_CHECKING:
    from inspect_tui.metrology.faces.adjust import Adjusted, Derived

MOST_SHARED = 0.99  # of a reading's u may be its gauge's: no two readings are tied wholly


@frozen
class WallOn:
    """A wall between two faces on one casting, mm, and the readings that it follows from."""

    serial: str
    wall: Derived


def lengths(sampling: Sampling) -> dict[str, Feature]:
    """The features of a sampling that are distances of two faces, by balloon."""
    return {f.balloon: f for f in sampling.features if not is_angle(f) and f.quantity not in LEFT_OUT and f.ends}


def read_on(
    sampling: Sampling, feature_of: Mapping[str, Feature], item: Item
) -> tuple[dict[str, Estimate], dict[str, tuple[str, float]]]:
    """What was read of each size and is not in question, and which part of it all that its gauge read shares; mm."""
    read, shared = {}, {}
    for name, feature in feature_of.items():
        cell = sampling.cell(feature, item)
        if cell.value is None or not cell.u or cell.question is not None:
            continue
        read[name] = Estimate(cell.value, cell.u)
        shared[name] = (cell.instrument or "", sampling.of_gauge(feature, item)[0])
    return read, shared


def whole(
    sampling: Sampling, made: tuple[Size, ...], feature_of: Mapping[str, Feature], log: ToolLog | None = None
) -> Adjusted:
    """The network of these sizes with what was read on every casting and on the tools. DataError where it is none.

    `log` are the tools as they stood when the castings were poured, where they were looked up already.
    """
    from inspect_tui.metrology.faces.adjust import Reading, adjust
    from inspect_tui.metrology.faces.network import Network

    readings = []
    for item in sampling.castings:
        read, shared = read_on(sampling, feature_of, item)
        for name, mm in read.items():
            gauge, common = shared[name]
            common = min(common, MOST_SHARED * mm.u)
            own = sqrt(mm.u**2 - common**2)
            readings.append(Reading(size=name, mm=mm.value, u=own, casting=item.serial, group=gauge, u_group=common))
    log = log or ToolLog(sampling, pour_day(sampling))
    for size in made:
        promise = log.promise(feature_of[size.name])
        # what lies between two makers no tool can show by itself
        if promise.tool is not None and (size.a is None or size.a.maker == size.b.maker):
            readings.append(Reading(size=size.name, mm=promise.mm, u=promise.u))
    axis = sampling.facts.parting_axis
    network = Network(made, geometry.held(sampling), geometry.reference(sampling), axis, sampling.style)
    return adjust(network, readings)


def between(sampling: Sampling, a: str, b: str) -> list[WallOn]:
    """The wall from face a to face b on each casting that was measured; faces by their names in the network.

    DataError where no size ends on one of them, where they lie along two axes, and where sizes contradict each other.
    """
    feature_of = lengths(sampling)
    adjusted = whole(sampling, geometry.sizes(sampling, feature_of.values()), feature_of)
    return [
        WallOn(item.serial, adjusted.between(a, b, item.serial)) for item in sampling.castings if _any(sampling, item)
    ]


def _any(sampling: Sampling, item: Item) -> bool:
    return any(sampling.taken(feature, item) for feature in sampling.features)
