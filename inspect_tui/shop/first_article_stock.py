"""Will every machined face clean up: stock on each face of each casting from its readings, and how to set it up.

A face's place is taken from the feature that measures it from the datum; where only a size between two other faces
holds it, that face is taken to be where the drawing says and the doubt of it is added. The casting may be shifted
along an axis only where machined faces look both ways along it: otherwise the datums hold it.
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.model import End, Feature, Item
from inspect_tui.shop.first_article_result import Cell, Stock, StockFace, StockLine
from inspect_tui.shop.observed import reference_part
from inspect_tui.shop.sampling import Sampling, station_of

if TYPE_CHECKING:
    from inspect_tui.metrology.stock import StockPoint

REQUIRED_MM = 1.0  # least stock that cleans a cast face up in one cut: common practice, no source
AXES = "xyz"


@frozen
class MachinedFace:
    """A face with stock, and a feature that tells where it is; `from_datum` False: through another face."""

    feature: Feature
    end: End
    axis: str
    from_datum: bool


def machined_faces(sampling: Sampling) -> tuple[list[MachinedFace], list[str]]:
    """Each face with stock once, by the feature that tells its place best; and what cannot be told."""
    best: dict[tuple[str, str, float | None, str], MachinedFace] = {}
    told: list[str] = []
    reference = reference_part(sampling)
    for feature in sampling.features:
        for end in feature.ends:
            if not end.stock_mm:
                continue
            if feature.axis not in AXES or len(feature.ends) != 2:
                told.append(f"{feature.balloon}: its stock is not along X, Y or Z")
                continue
            other = next(e for e in feature.ends if e is not end)
            part = sampling.part(end)
            # only the reference part's surface at 0 is the datum; the other half's lies there as drawn
            from_datum = other.coord_mm == 0.0 and not other.stock_mm and sampling.part(other) == reference
            key = (part, feature.axis, end.coord_mm, "" if end.coord_mm is not None else feature.balloon)
            if key not in best or (from_datum and not best[key].from_datum):
                best[key] = MachinedFace(feature, end, feature.axis, from_datum)
    return list(best.values()), told


def _point(sampling: Sampling, face: MachinedFace, cell: Cell, required: float) -> StockPoint:
    from inspect_tui.metrology.stock import StockPoint

    feature, end = face.feature, face.end
    assert cell.value is not None and cell.u is not None
    # by how much this face stands outside its finished place: the size's error goes to it, the other end is as drawn
    outward = 1.0 if end is feature.ends[-1] else -1.0
    as_cast = sampling.sizes(feature).as_cast
    left = end.stock_mm + outward * end.facing * (cell.value - as_cast)
    u = cell.u if face.from_datum else hypot(cell.u, _doubt(sampling, feature))
    at = {axis: 0.0 for axis in AXES}
    at[face.axis] = end.coord_mm if end.coord_mm is not None else outward * as_cast / 2.0
    place = station_of(feature)
    if place is not None and place[0] != face.axis:
        at[place[0]] = place[1]
    x, y, z = (float(end.facing) if axis == face.axis else 0.0 for axis in AXES)
    return StockPoint(
        name=f"{feature.balloon} {feature.name}", at=(at["x"], at["y"], at["z"]), normal=(x, y, z), stock_mm=left,
        required_mm=required, u_mm=u,
    )  # fmt: skip


def _doubt(sampling: Sampling, feature: Feature) -> float:
    """Standard uncertainty of where the other face is, when only the drawing says: the band of this size."""
    width = sampling.sizes(feature).band.width
    return width / (2.0 * sqrt(3.0)) if width is not None else 0.5


def stock(sampling: Sampling, required: float = REQUIRED_MM) -> Stock:
    """Stock and set-up of every casting; faces that were not measured are named, not guessed."""
    faces, told = machined_faces(sampling)
    if not faces:
        return Stock((), ("No feature has machining stock.",))
    lines = []
    for item in sampling.castings:
        line, missing = _casting(sampling, item, faces, required)
        told += missing
        if line is not None:
            lines.append(line)
    return Stock(tuple(lines), tuple(dict.fromkeys(told)))


def _casting(
    sampling: Sampling, item: Item, faces: list[MachinedFace], required: float
) -> tuple[StockLine | None, list[str]]:
    from inspect_tui.metrology.stock import Limits, best_set_up

    points, missing = [], []
    for face in faces:
        cell = sampling.cell(face.feature, item)
        if cell.value is None:
            missing.append(f"{face.feature.balloon} on {item.serial}: not measured")
        elif cell.question is not None:
            missing.append(f"{face.feature.balloon} on {item.serial}: its reading is asked about")
        else:
            points.append(_point(sampling, face, cell, required))
    if not points:
        return None, missing
    shift: list[tuple[float, float] | None] = []
    for n in range(3):
        ways = {p.normal[n] > 0 for p in points if p.normal[n]}
        shift.append(None if len(ways) == 2 else (0.0, 0.0))
    limits = Limits(shift=tuple(shift), turn=((0.0, 0.0), (0.0, 0.0), (0.0, 0.0)))
    try:
        found = best_set_up(points, limits)
    except DataError as problem:
        return None, [*missing, f"{item.serial}: {problem}"]
    u = {p.name: p.u_mm for p in points}
    return StockLine(
        item.serial, found.cleans_up, found.spare_mm, found.spare_before_mm, found.u_mm, found.p_cleans_up,
        found.binding, found.shift_mm, found.turn_rad, f"Casting {item.serial}: {found.sentence}",
        tuple(StockFace(f.name, f.before_mm, f.after_mm, f.required_mm, f.share, u[f.name]) for f in found.faces),
    ), missing  # fmt: skip
