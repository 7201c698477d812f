"""How far each core may turn a little in its seats: the play of prints that stand apart, with their places as read.

Only about the way in, and only where all prints of a core go in along it and have places across it. A print of which
nobody said how much play it has along the other axis has the most that its limits allow.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from inspect_tui.frozen import NamedTuple, frozen
from inspect_tui.metrology.kit import small_turns
from inspect_tui.metrology.kit.bodies import AXES
from inspect_tui.metrology.kit.seating import Places
from inspect_tui.metrology.kit.small_turns import Held
from inspect_tui.model.kit import Fit
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.fits import FitLine
from inspect_tui.shop.kit.order import seat_name
from inspect_tui.shop.kit.seats.spots import Key, axes_of, parts_of

At = tuple[float, float, float]


class Print(NamedTuple):
    """A print of a core in its seat: where it stands (tooling mm) and how far it may go along each axis across."""

    name: str
    into: str
    at: At
    room: Mapping[str, tuple[float, float]]


@frozen
class Turning:
    """The prints of one core, and the axis that it may turn about."""

    core: str
    about: str
    prints: tuple[Print, ...]

    @property
    def across(self) -> tuple[str, str]:
        """The two axes along which its places then move."""
        first, second = (axis for axis in AXES if axis != self.about)
        return first, second

    def held(self, axis: str, into: str | None = None) -> list[Held]:
        """Its prints along an axis, of those in one part, or all of them."""
        return [
            Held(small_turns.levers(axis, self.about, p.at), *p.room[axis])
            for p in self.prints
            if into in (None, p.into) and axis in p.room
        ]

    def turns(self, into: str | None = None) -> tuple[float, float] | None:
        """From which turn to which (radians) it goes in; None where it does at none."""
        first, second = self.across
        return small_turns.turns(self.held(first, into), self.held(second, into))

    def may_turn(self, into: str | None = None) -> bool:
        """Whether its prints stand apart, so that their play limits a turn and allows one."""
        return any(small_turns.spread_out(self.held(axis, into)) for axis in self.across)

    def reach(self, axis: str, lever: float, into: str) -> tuple[float, float] | None:
        """How far its place with that lever may go along an axis in the seats of one part, mm; None where it cannot."""
        between = self.turns(into)
        return None if between is None else small_turns.reach(self.held(axis, into), between, lever)


def turnings(facts: KitFacts, lines: Iterable[FitLine], placed: Mapping[Key, Places] | None) -> dict[str, Turning]:
    """The cores that may turn, by number; `placed`: with clearances and places as read, else as drawn."""
    seats: dict[str, dict[str, list[FitLine]]] = {}
    for line in lines:
        core, into = parts_of(facts, line.fit)
        if core and into and core != into and line.fit.kind in ("print", "key") and line.fit.gap_feature_id is None:
            seats.setdefault(core, {}).setdefault(seat_name(line.fit), []).append(line)
    made = {}
    for core, of_core in seats.items():
        about = {rows[0].fit.way_in[:1] for rows in of_core.values()}
        prints = [_print(facts, core, name, rows, placed) for name, rows in of_core.items()]
        told = [p for p in prints if p is not None]
        if len(about) == 1 and len(told) == len(prints) > 1:
            turning = Turning(core, about.pop(), tuple(told))
            if turning.may_turn():
                made[core] = turning
    return made


def _print(
    facts: KitFacts, core: str, name: str, rows: list[FitLine], placed: Mapping[Key, Places] | None
) -> Print | None:
    fit = rows[0].fit
    into = parts_of(facts, fit)[1]
    way = fit.way_in[:1]
    at = _place(fit)
    if at is None:
        return None
    play: dict[str, float] = {}
    for row in rows:
        for axis in axes_of(row.fit):
            of_row = (row.verdict.drawn if placed is None else row.verdict.clearance).value
            play[axis] = min(play.get(axis, of_row), of_row)
    most = max(row.fit.clear_max_mm for row in rows)
    room = {}
    for axis in AXES:
        if axis != way:
            half, off = play.get(axis, most) / 2, _off(placed, name, core, into, axis)
            room[axis] = (off - half, off + half)
    return Print(name, into, at, room)


def _place(fit: Fit) -> At | None:
    """Where a print stands, tooling mm; along its way in it does not matter. None where that is not said across it."""
    places = {axis: getattr(fit, f"at_{axis}") for axis in AXES}
    places[fit.way_in[:1]] = places[fit.way_in[:1]] or 0.0
    if None in places.values():
        return None
    return places["x"], places["y"], places["z"]


def _off(placed: Mapping[Key, Places] | None, name: str, core: str, into: str, axis: str) -> float:
    """How far the seat stands from where its print is, mm."""
    value = 0.0
    for part, sign in ((into, 1.0), (core, -1.0)):
        of_part = (placed or {}).get((part, axis))
        if of_part is not None and name in of_part.names:
            value += sign * of_part.off[of_part.names.index(name)]
    return value
