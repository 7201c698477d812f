"""What stands in a core's way in: ways that no core can go, bodies that it would meet, bodies that share room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit.bodies import Body, deepest, overlap
from inspect_tui.metrology.kit.setting import Before, Sits, Trouble
from inspect_tui.metrology.kit.sweep import Blocked, blocked, standing_in_each_other, swept, way_of
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.kit.facts import KitFacts

CLEAR_MM = 2.0  # a core pushed sideways is let down so far beside its seat: a judgement, no source


@frozen_by_name
class InTheWay:
    """What bodies and ways say of the setting: what to order by, what may be, and what is wrong with the facts."""

    demands: tuple[Before, ...]  # by bodies that are given
    met: tuple[Blocked, ...]  # every way in that meets a body, whatever the order
    troubles: tuple[Trouble, ...]  # ways that nobody can go
    sharing: tuple[Trouble, ...]  # given bodies that stand in each other

    def doubts(self, order: Sequence[str], style: Style = MM) -> list[Trouble]:
        """What may be in the way in this order, by bodies that are not given."""
        place = {core: n for n, core in enumerate(order)}
        return [
            Trouble("blocked", (b.core, b.by), b.sentence(style))
            for b in self.met
            if not b.sure and place.get(b.by, len(place)) < place.get(b.core, -1)
        ]


def in_the_way(facts: KitFacts, seats: Sequence[Sits], bodies: Mapping[str, Body], style: Style = MM) -> InTheWay:
    """Sweeps every core along its way in past all others. A way that points nowhere is said, and not swept."""
    ways, troubles = _ways(facts)
    into: dict[str, set[str]] = {}
    for seat in seats:
        into.setdefault(seat.core, set()).add(seat.into)
    solid = {core: body for core, body in bodies.items() if body.boxes}
    met: list[Blocked] = []
    for core, mover in solid.items():
        mine = ways.get(core, [])
        try:
            for box in mover.boxes[:1]:
                swept(box, mine)
        except DataError as wrong:
            troubles.append(Trouble("blocked", (core,), f"core {core}: {wrong}"))
            continue
        others = {other: body for other, body in solid.items() if other != core}
        met += blocked(mover, mine, others, _travel(mover, mine, into.get(core, set()), solid))
    seated = {(core, part) for core, parts in into.items() for part in parts}
    return InTheWay(
        demands=tuple(Before(b.core, b.by, b.sentence(style)) for b in met if b.sure),
        met=tuple(met),
        troubles=tuple(troubles),
        sharing=tuple(
            Trouble("blocked", (s.core, s.other), s.sentence(style)) for s in standing_in_each_other(solid, seated)
        ),
    )


def _ways(facts: KitFacts) -> tuple[dict[str, list[str]], list[Trouble]]:
    """Core -> the ways that its prints go in; the cope comes over it, and a face only stops it."""
    ways: dict[str, list[str]] = {}
    troubles: list[Trouble] = []
    for fit in facts.fits:
        if fit.inner_core_id is None or fit.kind not in ("print", "key"):
            continue
        core = facts.number(fit.inner_core_id)
        try:
            axis, sign = way_of(fit.way_in)
        except DataError as wrong:
            troubles.append(Trouble("blocked", (core,), f"{fit.name} of core {core}: {wrong}"))
            continue
        if axis == "z" and ((fit.outer_half == "drag" and sign > 0) or (fit.outer_half == "cope" and sign < 0)):
            side = "from below" if sign > 0 else "from above"
            text = f"{fit.name} of core {core} goes into the {fit.outer_half} {side} ({fit.way_in}): its sand is there"
            troubles.append(Trouble("blocked", (core,), text))
            continue
        if fit.outer_half != "cope" and fit.gap_feature_id is None and fit.way_in not in ways.setdefault(core, []):
            ways[core].append(fit.way_in)
    return ways, troubles


def _travel(mover: Body, ways: Sequence[str], into: set[str], bodies: Mapping[str, Body]) -> float | None:
    """How far a core is pushed sideways: as deep as it stands in what it sits in; None where that is not known."""
    sideways = [way for way in ways if way[0] != "z"]
    if not sideways or not mover.given:
        return None
    axis = sideways[0][0]
    depths = [
        min(a.high(axis), b.high(axis)) - max(a.low(axis), b.low(axis))
        for part in into
        if part in bodies and bodies[part].given and deepest(mover.boxes, bodies[part].boxes) > 0
        for a in mover.boxes
        for b in bodies[part].boxes
        if overlap(a, b) > 0
    ]
    return max(depths) + CLEAR_MM if depths else None
