"""Bodies of a kit's cores: as people gave them, or about, from where the ends of their sizes and prints stand."""

from __future__ import annotations

from inspect_tui.metrology.kit.bodies import AXES, Body, Box, body_from_faces, given_body
from inspect_tui.model.mould import CoreBody, MouldOutline
from inspect_tui.model.words import Id
from inspect_tui.shop.kit.facts import KitFacts

Places = dict[str, list[float]]


def bodies(facts: KitFacts) -> dict[str, Body]:
    """The body of every core by number, casting mm as drawn: as given, else about; with an open axis it has no box.

    About, from its sizes: from face to face, and over its prints.
    """
    given, faces, prints = facts.core_bodies, faces_of(facts), _over_prints(facts)
    made = {}
    for core in facts.cores:
        number, boxes = str(core.number), given.get(core.of_id)
        if boxes:
            made[number] = given_body(number, [box_of(box) for box in boxes])
        else:
            made[number] = body_from_faces(number, faces.get(core.of_id, {}), prints.get(core.of_id))
    return made


def box_of(row: CoreBody | MouldOutline) -> Box:
    """The box that a row of the record holds, casting mm."""
    return Box(x0=row.x0, x1=row.x1, y0=row.y0, y1=row.y1, z0=row.z0, z1=row.z1)


def faces_of(facts: KitFacts) -> dict[Id, Places]:
    """Core -> the places along each axis at which its sizes end."""
    by_core: dict[Id, Places] = {}
    for feature in facts.features:
        if feature.scale == "tool" or feature.axis not in AXES:
            continue
        for end in feature.ends:
            if end.core_id and end.coord_mm is not None:
                places = by_core.setdefault(facts.core_of.get(end.core_id, b""), {})
                places.setdefault(feature.axis, []).append(end.coord_mm)
    return by_core


def _over_prints(facts: KitFacts) -> dict[Id, Places]:
    """Core -> the places of its prints across their way in: it reaches over them. They stand at tooling scale."""
    by_core: dict[Id, Places] = {}
    scale = facts.mould_scale
    for fit in facts.fits:
        if fit.inner_core_id:
            places = by_core.setdefault(facts.core_of.get(fit.inner_core_id, b""), {})
            for axis, at in zip(AXES, (fit.at_x, fit.at_y, fit.at_z), strict=True):
                if at is not None and axis != fit.way_in[:1]:
                    places.setdefault(axis, []).append(at / scale[axis])
    return by_core
