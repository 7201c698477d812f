"""The measuring plan: which sizes to take, in which order and with what, so that every face is pinned with least work.

A face is pinned when readings lead from the datum of its axis to it. Every size that may be taken is an edge between
two faces; the cheapest set of sizes that pins all that can be pinned is a shortest spanning tree, whatever was read or
is given by the drawing counting as no work. Work on a casting cut up comes last, as it can be done once only.
What is taken besides closes loops: a slip shows only where something else tells of the same faces.

Source: J. B. Kruskal 1956 for the tree; minutes and uncertainties of the means are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import hypot

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen_by_name

READ, GIVEN = "read", "drawing"  # states of a size that costs nothing any more


class Means(NamedTuple):
    """What a size is taken with: minutes of one reading, its standard uncertainty in mm, and the words for it."""

    minutes: float
    u_mm: float
    words: str


MEANS = {
    "reach": Means(2.0, 0.03, "from outside, with height gauge, caliper or inside gauge"),
    "ultrasonic": Means(3.0, 0.10, "through the wall, with ultrasonic thickness"),
    "template": Means(5.0, 0.15, "with a template"),
    "section": Means(4.0, 0.05, "on the casting cut up"),
}
CUT_UP_MINUTES = 90.0  # to mark out, saw and dress a casting, once
MOST_CHECKS = 6


@frozen_by_name
class Possible:
    """A size that may be taken between two faces; `state` is "" (open), read, or drawing where that gives it."""

    name: str
    a: str
    b: str
    means: str = "reach"
    state: str = ""


@frozen_by_name
class Step:
    """The next size to take: from a face that is pinned by then to the face that it pins.

    `from_datum`: it starts at a datum. `tied` is False where nothing leads from the datum to either face: then it tells
    only how the two lie to each other. `u_mm` is how well the face will be known (standard uncertainty).
    """

    size: str
    start: str
    pins: str
    means: str
    minutes: float
    u_mm: float
    from_datum: bool
    tied: bool = True


@frozen_by_name
class Check:
    """A size that nothing needs, but that tells of slips in those that it closes a loop with."""

    size: str
    means: str
    minutes: float
    over: tuple[str, ...]


@frozen_by_name
class FacePlan:
    """What is still to be taken, in order, and what that leaves.

    `pinned` are the faces that readings and drawing pin already, `free` those that no size leads to even in the end.
    `given` are the sizes that count already. `minutes` is the work of all steps, with cutting up where `cut_up`.
    """

    steps: tuple[Step, ...]
    checks: tuple[Check, ...]
    given: tuple[str, ...]
    pinned: tuple[str, ...]
    free: tuple[str, ...]
    cut_up: bool
    minutes: float

    @property
    def done(self) -> bool:
        """Whether nothing is left to take."""
        return not self.steps


def plan(
    faces: Sequence[str], possible: Sequence[Possible], datums: Collection[str], *, is_cut_up: bool = False
) -> FacePlan:
    """The sizes that pin all faces with the least work, in the order to take them.

    `datums` are the faces that are where they are, whether or not they are among `faces`. `is_cut_up`: a casting is
    cut up already. Raises DataError for means that are not known and for a size named twice.
    """
    names = [p.name for p in possible]
    if len(set(names)) != len(names):
        raise DataError(f"{', '.join(sorted({n for n in names if names.count(n) > 1}))}: given twice")
    unknown = sorted({p.means for p in possible} - MEANS.keys())
    if unknown:
        raise DataError(f"{unknown[0]} is no way to take a size: use {', '.join(MEANS)}")
    forest = _Forest()
    for first, other in zip(sorted(datums), sorted(datums)[1:], strict=False):
        forest.join(first, other)  # where the datums are needs no reading
    given = [p for p in possible if p.state]
    tree = [p for p in given if forest.join(p.a, p.b)]
    chosen = []
    for p in sorted((p for p in possible if not p.state), key=lambda p: _work(p, datums, names)):
        if forest.join(p.a, p.b):
            chosen.append(p)
    steps = _in_order(tree, chosen, datums)
    cut_up = any(step.means == "section" for step in steps) and not is_cut_up
    tied = _reached(tree, datums)
    reach = _reached([*tree, *chosen], datums)
    return FacePlan(
        steps=tuple(steps),
        checks=_checks([*tree, *chosen], possible, datums, cut_up or is_cut_up),
        given=tuple(p.name for p in given),
        pinned=tuple(face for face in faces if face in tied),
        free=tuple(face for face in faces if face not in reach),
        cut_up=cut_up,
        minutes=sum(step.minutes for step in steps) + (CUT_UP_MINUTES if cut_up else 0.0),
    )


def _work(p: Possible, datums: Collection[str], names: Sequence[str]) -> tuple[float, bool, int]:
    """Least work first; of equals those from a datum, which add no other reading's error; then in the given order."""
    return MEANS[p.means].minutes, p.a not in datums and p.b not in datums, names.index(p.name)


class _Forest:
    """Which faces hang together."""

    def __init__(self) -> None:
        self._root: dict[str, str] = {}

    def top(self, face: str) -> str:
        while self._root.setdefault(face, face) != face:
            face = self._root[face]
        return face

    def join(self, a: str, b: str) -> bool:
        """Whether the two did not hang together before."""
        root, of_b = self.top(a), self.top(b)
        self._root[root] = of_b
        return root != of_b


def _reached(edges: Sequence[Possible], datums: Collection[str]) -> dict[str, float]:
    """Each face that these sizes lead to from a datum, with the standard uncertainty of its place."""
    known = dict.fromkeys(datums, 0.0)
    left = list(edges)
    while left:
        here = [p for p in left if (p.a in known) != (p.b in known)]
        if not here:
            return known
        for p in here:
            start, end = (p.a, p.b) if p.a in known else (p.b, p.a)
            if end not in known:
                known[end] = hypot(known[start], _u(p))
        left = [p for p in left if p not in here]
    return known


def _u(p: Possible) -> float:
    return 0.0 if p.state == GIVEN else MEANS[p.means].u_mm


def _in_order(tree: Sequence[Possible], chosen: Sequence[Possible], datums: Collection[str]) -> list[Step]:
    """From what is pinned outward; set-ups that stay the same one after the other, work on a section last."""
    known, steps, left = _reached(tree, datums), [], list(chosen)
    rank = list(MEANS)
    last: tuple[str, str] = ("", "")
    while left:
        # means, then the same face to start from as before; what hangs on nothing when nothing else is left
        here = [p for p in left if (p.a in known) != (p.b in known)] or left
        order = {p.name: n for n, p in enumerate(chosen)}

        def turn(p: Possible) -> tuple[int, bool, int]:
            start = p.a if p.a in known else p.b
            return rank.index(p.means), (p.means, start) != last, order[p.name]  # noqa: B023

        p = min(here, key=turn)
        tied = p.a in known or p.b in known
        start, end = (p.b, p.a) if p.b in known else (p.a, p.b)
        own = MEANS[p.means]
        u = hypot(known.get(start, 0.0), own.u_mm)
        steps.append(
            Step(
                size=p.name,
                start=start,
                pins=end,
                means=p.means,
                minutes=own.minutes,
                u_mm=u,
                from_datum=start in datums,
                tied=tied,
            )
        )
        if tied:
            known[end] = u
            for face, more in _reached(tree, [end]).items():  # what hung on it already is pinned with it
                known.setdefault(face, hypot(u, more))
        last = (p.means, start)
        left.remove(p)
    return steps


def _checks(
    tree: Sequence[Possible], possible: Sequence[Possible], datums: Collection[str], is_cut_up: bool
) -> tuple[Check, ...]:
    """Sizes beside the tree that close loops over the most readings nothing else tells of, a few."""
    spare = [p for p in possible if not p.state and p not in tree and (is_cut_up or p.means != "section")]
    loops = {p.name: _path(tree, p.a, p.b, datums) for p in spare}
    covered = {name for p in possible if p.state == READ and p not in tree for name in _path(tree, p.a, p.b, datums)}
    checks: list[Check] = []
    while spare and len(checks) < MOST_CHECKS:

        def worth(p: Possible) -> float:
            return len(set(loops[p.name]) - covered) / MEANS[p.means].minutes  # noqa: B023

        best = max(spare, key=worth)
        if not set(loops[best.name]) - covered:
            break
        covered |= set(loops[best.name])
        spare.remove(best)
        own = MEANS[best.means]
        checks.append(Check(size=best.name, means=best.means, minutes=own.minutes, over=loops[best.name]))
    return tuple(checks)


def _path(tree: Sequence[Possible], a: str, b: str, datums: Collection[str]) -> tuple[str, ...]:
    """The sizes of the tree on the way from one face to the other, without what the drawing gives; () without a way."""
    beside: dict[str, list[tuple[str, str]]] = {}
    for p in tree:
        name = "" if p.state == GIVEN else p.name
        beside.setdefault(p.a, []).append((p.b, name))
        beside.setdefault(p.b, []).append((p.a, name))
    for face in datums:
        beside.setdefault(face, []).extend((other, "") for other in datums if other != face)
    via: dict[str, tuple[str, str]] = {a: ("", "")}
    front = [a]
    while front and b not in via:
        front = [there for here in front for there in _further(here, beside, via)]
    way: list[str] = []
    while b in via and b != a:
        b, name = via[b]
        way.append(name)
    return tuple(reversed([name for name in way if name]))


def _further(here: str, beside: Mapping[str, Sequence[tuple[str, str]]], via: dict[str, tuple[str, str]]) -> list[str]:
    after = []
    for there, name in beside.get(here, ()):
        if there not in via:
            via[there] = (here, name)
            after.append(there)
    return after
