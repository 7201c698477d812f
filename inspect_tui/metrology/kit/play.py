"""Float: how far a core can stand from its place, its own clearance and that of every core it sits in.

Across its seat a core may stand half the clearance either way; a core that can rise may stand anywhere from seated to
the whole clearance up. Where several fits hold the same direction it stands where all of them let it.

Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.kit.setting import MOULD
from inspect_tui.model.words import Estimate


@frozen_by_name
class Play:
    """The clearance (total, mm, tooling scale) that one fit leaves to `core` along `axis`.

    `rise` is for play that goes one way from the seat (lift): 0 to the whole clearance toward +axis. `off` is how far
    the seat stands from where the print is, by the places that were read.
    """

    core: str
    into: str
    axis: str
    clearance: Estimate
    rise: bool = False
    name: str = ""
    off: Estimate = Estimate(0.0, 0.0)


@frozen_by_name
class Float:
    """How far a core may stand from its place along one axis, mm; `via` names the fits from the core to the mould."""

    core: str
    axis: str
    low: Estimate
    high: Estimate
    low_via: tuple[str, ...]
    high_via: tuple[str, ...]

    @property
    def total(self) -> float:
        """From one end of the float to the other, mm."""
        return self.high.value - self.low.value


def floats(plays: Iterable[Play], order: Sequence[str]) -> dict[tuple[str, str], Float]:
    """Float of every core along every axis in which a fit holds it, keyed (core, axis).

    `order` is a setting order: what a core sits in comes before it. Raises DataError when it doesn't. A core's own
    clearance below zero gives no float (it does not go in; `fits` says so). A direction that no fit holds is absent,
    and so is every direction of a core whose seat belongs to a core that is itself not held in it.
    """
    plays = list(plays)
    place = {core: i for i, core in enumerate(order)}
    floats: dict[tuple[str, str], Float] = {}
    for core in order:
        for axis in "xyz":
            lows, highs = [], []
            for p in plays:
                if p.core != core or p.axis != axis:
                    continue
                if p.into not in MOULD and place.get(p.into, len(order)) >= place[core]:
                    raise DataError(f"core {core} comes before core {p.into}, which it sits in: give the setting order")
                parent = None if p.into in MOULD else floats.get((p.into, axis))
                if p.into not in MOULD and parent is None:
                    continue
                c, u = max(p.clearance.value, 0.0), p.clearance.u
                down, up = (0.0, c) if p.rise else (c / 2, c / 2)
                u_down, u_up = (0.0, u) if p.rise else (u / 2, u / 2)
                base = parent or Float(
                    core=core, axis=axis, low=Estimate(0.0, 0.0), high=Estimate(0.0, 0.0), low_via=(), high_via=()
                )
                label = (p.name or f"{core} in {p.into}",)
                down, up = down - p.off.value, up + p.off.value
                u_low, u_high = hypot(base.low.u, u_down, p.off.u), hypot(base.high.u, u_up, p.off.u)
                lows.append((Estimate(base.low.value - down, u_low), label + base.low_via))
                highs.append((Estimate(base.high.value + up, u_high), label + base.high_via))
            if lows:
                low, low_via = max(lows, key=lambda item: item[0].value)
                high, high_via = min(highs, key=lambda item: item[0].value)
                if low.value > high.value:  # it does not go in: where it would be eased to
                    middle = (low.value + high.value) / 2
                    low, high = low._replace(value=middle), high._replace(value=middle)
                floats[core, axis] = Float(core=core, axis=axis, low=low, high=high, low_via=low_via, high_via=high_via)
    return floats


def pushed(place: Float, toward: int) -> Estimate:
    """Where the core stands when metal or weight pushes it toward + (1), toward - (-1), or nothing does (0), mm.

    Unpushed it may stand anywhere in its float: the middle, with the standard uncertainty of a rectangular spread.
    """
    if toward > 0:
        return place.high
    if toward < 0:
        return place.low
    u = hypot(place.total / 12**0.5, (place.low.u + place.high.u) / 2)
    return Estimate((place.low.value + place.high.value) / 2, u)
