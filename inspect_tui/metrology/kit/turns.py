"""Turns: the 24 ways to turn a core onto the axes, and the 24 of a core that was made the wrong hand, by name.

A turn is kept as (swap, sign): the new place along axis i is sign[i] times the old place along axis swap[i].
Source: own derivation; the 48 signed permutations of three axes, of which those with determinant +1 are turns.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import permutations, product
from typing import TypeVar

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit.bodies import Box

Thing = TypeVar("Thing")
Way = tuple[tuple[int, int, int], tuple[int, int, int]]

# how readily people put a core in so: 1 for what happens unawares; a judgement, no source
LIKELY = {"as drawn": 1.0, "about z": 1.0, "quarter": 0.7, "upside down": 0.7, "side": 0.3, "mirrored": 0.1}
_ENDS = {(axis, sign): f"{'+' if sign > 0 else '-'}{'xyz'[axis]}" for axis in range(3) for sign in (1, -1)}


@frozen_by_name
class Turn:
    """One way to turn a core, or the mirror image of it."""

    name: str
    swap: tuple[int, int, int]
    sign: tuple[int, int, int]
    mirrored: bool
    likely: float

    def place(self, at: Sequence[float]) -> tuple[float, float, float]:
        """Where a place of the core comes to, about the origin."""
        (i, j, k), (a, b, c) = self.swap, self.sign
        return a * at[i], b * at[j], c * at[k]

    def each(self, sizes: Sequence[Thing]) -> tuple[Thing, Thing, Thing]:
        """What belongs to x, y and z after the turn, of what belonged to them before; sizes have no sign."""
        return sizes[self.swap[0]], sizes[self.swap[1]], sizes[self.swap[2]]

    def box(self, box: Box) -> Box:
        """The box as it then stands, about the origin."""
        places: list[float] = []
        for i, s in zip(self.swap, self.sign, strict=True):
            low, high = box[2 * i], box[2 * i + 1]
            places += (low, high) if s > 0 else (-high, -low)
        return Box(*places)


def _hand(way: Way) -> int:
    """+1 for a turn, -1 for a mirror image."""
    swap, sign = way
    crossed = sum(swap[i] > swap[j] for i in range(3) for j in range(i + 1, 3))
    return sign[0] * sign[1] * sign[2] * (-1 if crossed % 2 else 1)


def _named(way: Way) -> tuple[str, str]:
    """What a turn is called, and its kind in `LIKELY`."""
    (i, j, k), (a, b, c) = way
    if k == 2 and c > 0:
        names = {
            (0, 1): ("as drawn", "as drawn"),
            (0, -1): ("turned end for end (180 about z)", "about z"),
            (1, -1): ("turned a quarter (90 about z)", "quarter"),
            (1, 1): ("turned three quarters (270 about z)", "quarter"),
        }
        return names[i, a]
    if k == 2 and i == 0:
        return f"upside down, turned about {'x' if a > 0 else 'y'}", "upside down"
    if k == 2:
        return f"upside down and {'a quarter' if a > 0 else 'three quarters'} round", "upside down"
    top = next(_ENDS[n, s] for n, (of, s) in enumerate(zip((i, j, k), (a, b, c), strict=True)) if of == 2)
    end = next(_ENDS[n, s] for n, (of, s) in enumerate(zip((i, j, k), (a, b, c), strict=True)) if of == 0)
    return f"on its side, top toward {top}, its +x end toward {end}", "side"


def _mirror(way: Way) -> tuple[str, str]:
    """A mirror image: across one axis where it is that, else across x and then turned."""
    swap, sign = way
    across = [i for i in range(3) if sign[i] < 0]
    if swap == (0, 1, 2) and len(across) == 1:
        return f"mirrored across {'xyz'[across[0]]}", "mirrored"
    if swap == (1, 0, 2) and sign == (1, 1, 1):
        return "mirrored, x and y changed over", "mirrored"
    # the turn that is left when the mirror image across x is taken away
    turned = [s * (-1 if of == 0 else 1) for of, s in zip(swap, sign, strict=True)]
    return f"mirrored across x, {_named((swap, (turned[0], turned[1], turned[2])))[0]}", "mirrored"


@cache
def turns() -> tuple[Turn, ...]:
    """All 48, `as drawn` first, then what happens most readily."""
    made = []
    for swap in permutations(range(3)):
        for sign in product((1, -1), repeat=3):
            way: Way = (swap[0], swap[1], swap[2]), (sign[0], sign[1], sign[2])
            mirrored = _hand(way) < 0
            name, kind = _mirror(way) if mirrored else _named(way)
            made.append(Turn(name=name, swap=way[0], sign=way[1], mirrored=mirrored, likely=LIKELY[kind]))
    return tuple(sorted(made, key=lambda t: (t.name != "as drawn", -t.likely, t.name)))


@cache
def turn(name: str) -> Turn:
    """The turn of this name; StopIteration for none."""
    return next(t for t in turns() if t.name == name)
