"""Bodies: the room that each core takes, as boxes that are given, or about, from the faces that its sizes name.

Boxes have faces across x, y and z; mm at casting scale, as drawn. Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from math import isfinite

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style

AXES = ("x", "y", "z")
FLAT_MM = 1e-6  # two faces nearer than this are the same face
ABOUT = "about, from its sizes"
EXTENT_WORDS = {"x": "length", "y": "width", "z": "height"}


class Box(NamedTuple):
    """The room between two faces along each axis, mm."""

    x0: float
    x1: float
    y0: float
    y1: float
    z0: float
    z1: float

    def low(self, axis: str) -> float:
        """The place of its lower face across an axis, mm."""
        return self[2 * AXES.index(axis)]

    def high(self, axis: str) -> float:
        """The place of its upper face across an axis, mm."""
        return self[2 * AXES.index(axis) + 1]

    def size(self, axis: str) -> float:
        """From face to face along an axis, mm."""
        return self.high(axis) - self.low(axis)

    def with_axis(self, axis: str, low: float, high: float) -> Box:
        """The same box between two other faces across one axis, mm."""
        places, i = list(self), 2 * AXES.index(axis)
        places[i : i + 2] = [low, high]
        return Box(*places)

    def moved(self, x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Box:
        """The same box elsewhere, by so many mm along each axis."""
        return Box(*(place + by for place, by in zip(self, (x, x, y, y, z, z), strict=True)))

    def scaled(self, x: float, y: float, z: float) -> Box:
        """The same box at another scale, by a factor along each axis."""
        return Box(*(place * by for place, by in zip(self, (x, x, y, y, z, z), strict=True)))


@frozen_by_name
class Body:
    """The boxes of one core. `given`: stated by people; otherwise about, from its sizes: to be drawn dashed.

    `open` are the axes along which nothing tells how far the core reaches: a body with an open axis has no box.
    `known` has the faces that are known along every axis (low, high), also where a box cannot be made of them.
    """

    core: str
    boxes: tuple[Box, ...]
    given: bool = False
    open: tuple[str, ...] = ()
    known: Mapping[str, tuple[float, float]] = {}

    @property
    def hull(self) -> Box | None:
        """The box round all its boxes; None where it has none."""
        return _hull_once(self.boxes)

    @property
    def words(self) -> str:
        """Where the body comes from: as given; about, from its sizes; not known along z."""
        if self.given:
            return "as given"
        return f"not known along {', '.join(self.open)}" if self.open else ABOUT


def hull(boxes: Iterable[Box]) -> Box | None:
    """The least box round all of these; None round nothing."""
    boxes = list(boxes)
    if not boxes:
        return None
    faces = [f(box[i] for box in boxes) for i, f in enumerate((min, max) * 3)]
    return Box(*faces)


@lru_cache(maxsize=1024)
def _hull_once(boxes: tuple[Box, ...]) -> Box | None:
    """The same, kept: every core is held against the bodies of all others."""
    return hull(boxes)


def given_body(core: str, boxes: Sequence[Sequence[float]], style: Style = MM) -> Body:
    """The body that people gave: each box x0, x1, y0, y1, z0, z1 in mm, either end of a pair first.

    Raises DataError for no box at all, a place that is no number, and for a box with no length, width or height.
    """
    if not boxes:
        raise DataError(f"core {core} has no box: give its faces along x, y and z")
    made = []
    for n, places in enumerate(boxes, start=1):
        name = f"core {core}" if len(boxes) == 1 else f"box {n} of core {core}"
        if len(places) != 6 or not all(isfinite(place) for place in places):
            raise DataError(f"{name}: give two places along each of x, y and z")
        x0, x1, y0, y1, z0, z1 = places
        box = Box(*sorted((x0, x1)), *sorted((y0, y1)), *sorted((z0, z1)))
        for axis in AXES:
            if box.size(axis) <= FLAT_MM:
                at = style.given(box.low(axis))
                what = EXTENT_WORDS[axis]
                raise DataError(f"{name} has no {what}: both its faces along {axis} stand at {at}; give the other")
        made.append(box)
    return Body(core=core, boxes=tuple(made), given=True)


def body_from_faces(
    core: str, faces: Mapping[str, Iterable[float]], prints: Mapping[str, Iterable[float]] | None = None
) -> Body:
    """One box about a core, from the outermost places (mm) that its sizes name along each axis.

    `prints` are the places that its prints reach to: a core reaches over its prints, too. Where that leaves an axis
    with no two faces apart, the axis is open and there is no box: a body of no height is not drawn.
    """
    known: dict[str, tuple[float, float]] = {}
    missing = []
    for axis in AXES:
        places = [p for p in (*faces.get(axis, ()), *(prints or {}).get(axis, ())) if isfinite(p)]
        if places:
            known[axis] = min(places), max(places)
        if not places or known[axis][1] - known[axis][0] <= FLAT_MM:
            missing.append(axis)
    boxes = () if missing else (Box(*known["x"], *known["y"], *known["z"]),)
    return Body(core=core, boxes=boxes, given=False, open=tuple(missing), known=known)


def overlap(a: Box, b: Box) -> float:
    """How deep two boxes stand in each other: the least of the three depths, mm; 0 or less where they stand apart."""
    ax0, ax1, ay0, ay1, az0, az1 = a
    bx0, bx1, by0, by1, bz0, bz1 = b
    x = (ax1 if ax1 < bx1 else bx1) - (ax0 if ax0 > bx0 else bx0)  # asked for every pair: twice as fast as min and max
    y = (ay1 if ay1 < by1 else by1) - (ay0 if ay0 > by0 else by0)
    z = (az1 if az1 < bz1 else bz1) - (az0 if az0 > bz0 else bz0)
    return x if x < y and x < z else y if y < z else z


def deepest(a: Iterable[Box], b: Sequence[Box]) -> float:
    """How deep any box of one body stands in any of another, mm; minus infinity where one of them has no box."""
    return max((overlap(mine, theirs) for mine in a for theirs in b), default=float("-inf"))
