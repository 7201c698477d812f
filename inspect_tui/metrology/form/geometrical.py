"""Geometrical tolerances from sizes at places: straightness, flatness, parallelism, perpendicularity, profile.

Each gives the width of the zone (ISO 1101) that holds all readings, mm, with its standard uncertainty. A zone says
nothing of the surface between the places that were read.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import combinations
from math import sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.form import form


@frozen
class Spot:
    """A reading at a place: `x`, `y` across the direction that is read, `off` its deviation, `u` its own; mm."""

    x: float
    y: float
    off: float
    u: float


@frozen
class Zone:
    """Width of the zone and its standard uncertainty, mm."""

    width: float
    u: float


def straightness(spots: Sequence[Spot]) -> Zone:
    """Narrowest strip along the places (`x`) that holds all readings. DataError below three, or all at one place."""
    made = form.straightness([(spot.x, spot.off) for spot in spots])
    return Zone(made.zone, _of_two_sides(spots))


def flatness(spots: Sequence[Spot]) -> Zone:
    """Narrowest slab that holds all readings. DataError below four, or all on one line."""
    made = form.flatness([(spot.x, spot.y, spot.off) for spot in spots])
    return Zone(made.zone, _of_two_sides(spots))


def parallelism(spots: Sequence[Spot], datum: Sequence[Spot] = ()) -> Zone:
    """Slab parallel to the datum that holds all readings.

    Sizes that are read from the datum itself have no `datum`. Else it is the heights of the datum surface in the same
    set-up, three at least not on one line: the datum is the plane in the middle of their narrowest slab.
    """
    _enough(spots, 2)
    if not datum:
        return Zone(_range(spot.off for spot in spots), _of_two_sides(spots))

    def width(offs: Sequence[float]) -> float:
        tilt = _tilt(datum, offs[len(spots) :])
        return _range(off - tilt[0] * s.x - tilt[1] * s.y for s, off in zip(spots, offs, strict=False))

    return _carried_over([*spots, *datum], width)


def perpendicularity(spots: Sequence[Spot], datum: Sequence[Spot] = (), *, turns: bool = False) -> Zone:
    """Two planes square to the datum that hold all readings: `x` is the height over the datum, `y` lies along it.

    `turns`: nothing but that datum holds the zone, which may turn about the datum's normal. `datum`: heights of the
    datum surface in the same set-up, their places along the direction that is read in `x`; none: the casting stood on
    the datum itself.
    """
    _enough(spots, 2)

    def width(offs: Sequence[float]) -> float:
        slope = _tilt(datum, offs[len(spots) :])[0] if datum else 0.0
        upright = [(s.y, off + slope * s.x) for s, off in zip(spots, offs, strict=False)]
        return narrowest(upright) if turns else _range(off for _, off in upright)

    if not datum:
        return Zone(width([spot.off for spot in spots]), _of_two_sides(spots))
    return _carried_over([*spots, *datum], width)


def profile(spots: Sequence[Spot]) -> Zone:
    """Zone about the true profile, the same to both sides: twice the largest deviation along its normal."""
    _enough(spots, 1)
    far = max(spots, key=lambda spot: abs(spot.off))
    return Zone(2.0 * abs(far.off), 2.0 * max(spot.u for spot in spots))


def narrowest(points: Sequence[tuple[float, float]]) -> float:
    """Least range of height less slope times place, over all slopes, of points (place, height): exact, mm.

    Of points at one place it is their range. The narrowest strip rests on an edge, so a slope of two points is its.
    """
    slopes = {0.0} | {(b - a) / (q - p) for (p, a), (q, b) in combinations(points, 2) if p != q}
    return min(_range(height - slope * at for at, height in points) for slope in slopes)


def _range(values: Iterable[float]) -> float:
    listed = list(values)
    return max(listed) - min(listed)


def _enough(spots: Sequence[Spot], least: int) -> None:
    if len(spots) < least:
        raise DataError(f"{len(spots)} readings: {least} are needed at least")


def _of_two_sides(spots: Sequence[Spot]) -> float:
    """Each side of a zone is held by one reading or a weighted mean of several: at most sqrt(2) of the largest u."""
    return sqrt(2.0) * max(spot.u for spot in spots)


def _carried_over(spots: Sequence[Spot], width: Callable[[Sequence[float]], float]) -> Zone:
    """The width with its u: each reading moved by its own u, the larger way counted (JCGM 100:2008, 5.1.3 note 2)."""
    offs = [spot.off for spot in spots]
    found = width(offs)
    total = 0.0
    for i, spot in enumerate(spots):
        moved = [width([*offs[:i], offs[i] + way * spot.u, *offs[i + 1 :]]) - found for way in (1.0, -1.0)]
        total += max(abs(moved[0]), abs(moved[1])) ** 2
    return Zone(found, sqrt(total))


def _tilt(datum: Sequence[Spot], offs: Sequence[float]) -> tuple[float, float]:
    """Slopes along x and y of the datum's plane; three heights make it, more lie about it."""
    points = [(spot.x, spot.y, off) for spot, off in zip(datum, offs, strict=True)]
    if len(points) == 3:
        (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) = points
        ux, uy, uz, vx, vy, vz = x1 - x0, y1 - y0, z1 - z0, x2 - x0, y2 - y0, z2 - z0
        area = ux * vy - uy * vx
        if abs(area) < 1e-9:
            raise DataError("the three places of the datum lie on one line: a plane needs three that do not")
        return (uz * vy - vz * uy) / area, (ux * vz - vx * uz) / area
    if len(points) < 3:
        raise DataError(f"{len(points)} heights of the datum: a plane needs three or more")
    return form.flatness(points).tilt
