"""Blocking: the room that a core sweeps through on its way in, and the bodies already set that stand in it.

A core that goes in upward or downward comes the whole way along that axis. One that goes in sideways is let down beside
its place and pushed: it sweeps what it travels along its way in, and there the way down. Boxes that stand in each other
at rest (a print in its seat) say nothing of the way. Lengths in mm. Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit.bodies import Body, Box, deepest, hull, overlap
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import WAYS_IN

TOUCH_MM = 0.01  # boxes that were given may touch
ABOUT_MM = 2.0  # what a body about from its sizes may be wrong by before anybody looks: a judgement, no source


@frozen_by_name
class Blocked:
    """`core` on its way in may meet `by`. `sure`: both bodies are given."""

    core: str
    by: str
    way: str
    depth: float  # mm that the two would have to share
    sure: bool

    def sentence(self, style: Style = MM) -> str:
        """`core 7 may be blocked by core 10: look (its way in, z-, meets it 12 mm deep)`."""
        about = "" if self.sure else "; bodies about, from their sizes"
        return (
            f"core {self.core} may be blocked by core {self.by}: look (its way in, {self.way}, meets it "
            f"{style.length(self.depth, 0)} deep{about})"
        )


@frozen_by_name
class Standing:
    """Two given bodies of which neither sits in the other stand in each other."""

    core: str
    other: str
    depth: float

    def sentence(self, style: Style = MM) -> str:
        """`core 3 and core 7 stand 12 mm in each other, as their bodies are given`."""
        depth = style.length(self.depth, 0)
        return f"core {self.core} and core {self.other} stand {depth} in each other, as their bodies are given"


def way_of(words: str) -> tuple[str, int]:
    """Axis and direction of a way in: z- is ("z", -1). Raises DataError for one that points nowhere."""
    if words not in WAYS_IN:
        raise DataError(f"'{words}' points nowhere: a way in is one of {', '.join(WAYS_IN)}")
    return words[0], 1 if words[1] == "+" else -1


def swept(body: Box, ways: Sequence[str], travel: float | None = None) -> tuple[Box, ...]:
    """What a box sweeps on its way to where it stands: ways as they follow each other, such as ("z-", "x+").

    A sideways way goes over `travel`, or over the box's own length along it, and begins with a way down. Raises
    DataError for a way that points nowhere, and for two that point against each other.
    """
    directions = dict.fromkeys(way_of(way) for way in ways)
    if any((axis, -sign) in directions for axis, sign in directions):
        raise DataError(f"the ways in {', '.join(ways)} point against each other: no core goes both")
    made: list[Box] = []
    at = body
    for axis, sign in sorted(directions, key=lambda d: d[0] == "z"):  # what comes last when it is set, first
        far = inf if axis == "z" else at.size(axis) if travel is None else travel
        low, high = (at.low(axis), at.high(axis) + far) if sign < 0 else (at.low(axis) - far, at.high(axis))
        made.append(at.with_axis(axis, low, high))
        if far < inf:
            at = at.moved(**{axis: -sign * far})
    if not any(axis == "z" for axis, _ in directions):
        made.append(at.with_axis("z", at.z0, inf))
    return tuple(made)


def blocked(
    mover: Body, ways: Sequence[str], others: Mapping[str, Body], travel: float | None = None
) -> tuple[Blocked, ...]:
    """Which of the other bodies a core would meet on its way in, the deepest first; none without a body or a way."""
    if not ways:
        return ()
    met = []
    paths = [(box, swept(box, ways, travel)) for box in mover.boxes]
    way = hull(part for _, path in paths for part in path)
    for core, other in others.items():
        reach = other.hull
        if way is None or reach is None or overlap(way, reach) <= TOUCH_MM:
            continue
        sure = mover.given and other.given
        least = TOUCH_MM if sure else ABOUT_MM
        if not sure and deepest(mover.boxes, other.boxes) > least:
            continue  # one box about each says nothing of two cores that reach round each other
        depth = max(
            (
                overlap(part, theirs)
                for mine, path in paths
                for theirs in other.boxes
                if overlap(mine, theirs) <= least
                for part in path
            ),
            default=-inf,
        )
        if depth > least:
            met.append(Blocked(core=mover.core, by=core, way=" then ".join(_in_order(ways)), depth=depth, sure=sure))
    return tuple(sorted(met, key=lambda b: (not b.sure, -b.depth)))


def _in_order(ways: Sequence[str]) -> list[str]:
    return sorted(dict.fromkeys(ways), key=lambda way: way[0] != "z")


def standing_in_each_other(bodies: Mapping[str, Body], seated: set[tuple[str, str]]) -> tuple[Standing, ...]:
    """Given bodies that share room though neither sits in the other; `seated` are (core, what it sits in)."""
    given = [body for body in bodies.values() if body.given]
    sharing = []
    for i, a in enumerate(given):
        for b in given[i + 1 :]:
            if (a.core, b.core) not in seated and (b.core, a.core) not in seated:
                depth = deepest(a.boxes, b.boxes)
                if depth > TOUCH_MM:
                    sharing.append(Standing(core=a.core, other=b.core, depth=depth))
    return tuple(sharing)
