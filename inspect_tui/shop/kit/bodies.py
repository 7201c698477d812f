"""Bodies of a kit's cores: as people gave them, or about, from where the ends of their sizes and prints stand."""

from __future__ import annotations

from collections.abc import Iterable

from inspect_tui.metrology.kit.bodies import AXES, Body, body_from_faces, given_body
from inspect_tui.model.kit import Fit
from inspect_tui.model.mould import CoreBody
from inspect_tui.shop.kit.facts import KitFacts

Places = dict[str, list[float]]


def bodies(facts: KitFacts) -> dict[str, Body]:
    """The body of every core by number, casting mm as drawn: as given, else about; with an open axis it has no box."""
    given = facts.core_bodies
    found = {}
    for core in facts.cores:
        boxes = given.get(core.of_id)
        number = str(core.number)
        found[number] = given_body(number, [_places(box) for box in boxes]) if boxes else about(facts, core.of_id)
    return found


def _places(box: CoreBody) -> tuple[float, ...]:
    return box.x0, box.x1, box.y0, box.y1, box.z0, box.z1


def about(facts: KitFacts, core_of_id: bytes) -> Body:
    """The body of a core about, from its sizes: from face to face, and over its prints."""
    return body_from_faces(facts.number(core_of_id), _faces(facts, core_of_id), _over_prints(facts, core_of_id))


def _faces(facts: KitFacts, core_of_id: bytes) -> Places:
    places: Places = {axis: [] for axis in AXES}
    for feature in facts.features:
        if feature.scale == "tool" or feature.axis not in places:
            continue
        for end in feature.ends:
            if end.core_id and end.coord_mm is not None and facts.core_of.get(end.core_id) == core_of_id:
                places[feature.axis].append(end.coord_mm)
    return places


def _over_prints(facts: KitFacts, core_of_id: bytes) -> Places:
    """Across its way in a core reaches over its prints; they stand at tooling scale."""
    places: Places = {axis: [] for axis in AXES}
    job = facts.job
    scale = {"x": 1.0 + job.a_x, "y": 1.0 + job.a_y, "z": 1.0 + job.a_z}
    for fit in facts.fits:
        if fit.inner_core_id and facts.core_of.get(fit.inner_core_id) == core_of_id:
            for axis, at in _at(fit):
                if at is not None and axis != fit.way_in[0]:
                    places[axis].append(at / scale[axis])
    return places


def _at(fit: Fit) -> Iterable[tuple[str, float | None]]:
    return zip(AXES, (fit.at_x, fit.at_y, fit.at_z), strict=True)
