"""Small turns: how far the play in prints that stand apart lets a core turn, and how far an edge of it then goes.

In the plane across the way in a core may shift along two axes and turn about the third. A place of it whose lever is l
goes by shift + turn x l, and at each print that must stay between what its seat allows. Two prints D apart with the
same play c let it turn by c / D either way; between them nothing goes further than c / 2, an edge at l from the middle
goes c l / D. Lengths in mm, turns in radians, small: their sine is taken for the turn. Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from inspect_tui.frozen import NamedTuple

MOST = 0.05  # rad: beyond three degrees a turn is not small, and anybody sees it
FLAT_MM = 1e-9
STEPS = 60  # of halving an interval of turns: to the last figure


class Held(NamedTuple):
    """One print along one axis: its lever (place along the other axis, signed) and how far it may go there, mm."""

    lever: float
    low: float
    high: float


def levers(axis: str, about: str, at: tuple[float, float, float]) -> float:
    """The lever of a place along `axis` when a core turns about another: z moves x by -y and y by +x, and so round."""
    i, k = "xyz".index(axis), "xyz".index(about)
    return -at[(i + 1) % 3] if (i + 2) % 3 == k else at[(i + 2) % 3]


def _lines(held: Sequence[Held]) -> Iterator[tuple[float, float]]:
    """(room, slope) of every two prints: what is left between them at a turn is room - slope x turn."""
    for above in held:
        for under in held:
            yield above.high - under.low, above.lever - under.lever


def turns(first: Sequence[Held], second: Sequence[Held] = (), most: float = MOST) -> tuple[float, float] | None:
    """From which turn to which a core still goes in, by its prints along both axes; None where it does at none."""
    low, high = -most, most
    for held in (first, second):
        for room, slope in _lines(held):
            if abs(slope) <= FLAT_MM:
                if room < 0.0:
                    return None
            elif slope > 0.0:
                high = min(high, room / slope)
            else:
                low = max(low, room / slope)
    return (low, high) if low <= high else None


def reach(held: Sequence[Held], between: tuple[float, float], lever: float) -> tuple[float, float]:
    """How far the place with that lever may go along the axis of these prints, lowest and highest, mm.

    `between` are the turns at which the core goes in. ValueError without a print.
    """
    high = max(min(h.high + turn * (lever - h.lever) for h in held) for turn in _kinks(held, between, upper=True))
    low = min(max(h.low + turn * (lever - h.lever) for h in held) for turn in _kinks(held, between, upper=False))
    return low, high


def _kinks(held: Sequence[Held], between: tuple[float, float], *, upper: bool) -> list[float]:
    """The turns at which another print may begin to stop the core, with both ends."""
    kinks = list(between)
    for n, a in enumerate(held):
        for b in held[n + 1 :]:
            if abs(a.lever - b.lever) > FLAT_MM:
                turn = ((a.high - b.high) if upper else (a.low - b.low)) / (a.lever - b.lever)
                kinks += [turn] if between[0] < turn < between[1] else []
    return kinks


def room(held: Sequence[Held], between: tuple[float, float] = (-MOST, MOST)) -> tuple[float, float]:
    """The room along one axis at the turn that leaves most of it, mm (below 0: it goes in at none), and that turn.

    `between` are the turns that the other axis allows.
    """
    lines = list(_lines(held))

    def least(turn: float) -> float:
        return min((gap - slope * turn for gap, slope in lines), default=0.0)

    low, high = between
    for _ in range(STEPS):  # the least of lines is concave: of two turns the worse one and all beyond it go
        a, b = low + (high - low) / 3.0, high - (high - low) / 3.0
        low, high = (a, high) if least(a) < least(b) else (low, b)
    middle = (low + high) / 2.0
    straight = between[0] <= 0.0 <= between[1] and least(0.0) >= least(middle) - FLAT_MM
    return (least(0.0), 0.0) if straight else (least(middle), middle)


def spread_out(held: Sequence[Held]) -> bool:
    """Whether two of the prints stand apart along the lever, so that their play also lets the core turn."""
    places = sorted(h.lever for h in held)
    return any(b - a > FLAT_MM for a, b in pairwise(places))
