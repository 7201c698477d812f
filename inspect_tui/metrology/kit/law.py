"""The law that a customer states for a machine: its capacity at certain areas, and between them without a hump.

Source: shape-preserving piecewise cubics after Fritsch and Carlson (SIAM J. Numer. Anal. 17, 1980), from scipy.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import pairwise
from math import inf, isfinite
from typing import Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM


@frozen
class Law:
    """Points (area, capacity) as stated, areas rising; the units are those of the passage and of its rating."""

    points: tuple[tuple[float, float], ...]

    @property
    def low(self) -> float:
        """The least area that is stated, mm2."""
        return self.points[0][0]

    @property
    def high(self) -> float:
        """The greatest area that is stated, mm2."""
        return self.points[-1][0]

    def at(self, area: float) -> float:
        """The capacity, in its own unit, at an area in mm2; DataError outside the points: nothing was stated there."""
        if not self.low <= area <= self.high:
            raise DataError(
                f"an area of {MM.figure(area, 1)} lies outside the customer's points, "
                f"{MM.figures(self.low)} to {MM.figures(self.high)}: ask for a point beyond it"
            )
        return float(_curve(self)(area))

    def slope(self, area: float, half: float) -> float:
        """Mean change of the capacity for one mm2 more of the area, over `half` on either side as far as points reach.

        A tangent would call the capacity certain where the curve happens to lie flat. DataError outside the points.
        """
        self.at(area)
        half = max(half, 1e-6 * area)
        low, high = max(area - half, self.low), min(area + half, self.high)
        return (self.at(high) - self.at(low)) / (high - low)

    def bend(self, area: float) -> float:
        """How far the curve leaves the straight line between two points, in the unit of the capacity.

        The shape there is assumed, not stated.
        """
        i = min(max(bisect_right(self.points, (area, inf)), 1), len(self.points) - 1)
        (before, low), (after, high) = self.points[i - 1], self.points[i]
        return abs(self.at(area) - (low + (high - low) * (area - before) / (after - before)))

    def reaches(self, area: float, half: float) -> bool:
        """Whether the points cover an area with `half` on either side."""
        return self.low <= area - half and area + half <= self.high


def law(points: Sequence[tuple[float, float]]) -> Law | str:
    """The law through these points, or a sentence: fewer than two, areas that do not rise, a capacity that falls."""
    if len(points) < 2:
        return "a law needs two points at least, each an area and the capacity there"
    for area, capacity in points:
        if not (isfinite(area) and isfinite(capacity) and area > 0 and capacity > 0):
            return f"the point {_pair(area, capacity)} of the law is not above 0: give areas and capacities above 0"
    for (area, capacity), (next_area, next_capacity) in pairwise(points):
        if next_area <= area:
            return f"the areas of the law do not rise: {_figure(next_area)} follows {_figure(area)}; put them in order"
        if next_capacity < capacity:
            return (
                f"the law falls from {_pair(area, capacity)} to {_pair(next_area, next_capacity)}: "
                "a wider passage passes no less; check the two points"
            )
    return Law(tuple((float(area), float(capacity)) for area, capacity in points))


def around(formula: str, points: Sequence[tuple[float, float]]) -> str:
    """A formula with the customer's points around it, as formulas are written; without points the formula itself."""
    figures = ", ".join(f"{area!r}, {capacity!r}" for area, capacity in points)
    return f"law({formula}, {figures})" if points else formula


def _figure(value: float) -> str:
    return MM.figures(value)


def _pair(area: float, capacity: float) -> str:
    return f"{_figure(area)}: {_figure(capacity)}"


def _line(stated: Law) -> Callable[[float], float]:
    """The straight line through two points, which needs no library."""
    (area, capacity), (next_area, next_capacity) = stated.points
    rise = (next_capacity - capacity) / (next_area - area)
    return lambda at: capacity + rise * (at - area)


@lru_cache(maxsize=32)
def _curve(stated: Law) -> Any:
    if len(stated.points) == 2:
        return _line(stated)
    from scipy.interpolate import PchipInterpolator

    return PchipInterpolator(*zip(*stated.points, strict=True))
