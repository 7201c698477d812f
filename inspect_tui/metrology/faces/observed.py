"""Faces of castings, readings taken on them, and a feature as the tools promise it and the castings show it.

Lengths are mm at casting scale, contraction is a fraction of the casting, `axis` is "x", "y", "z" or "none".

Source: own derivation.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM

if TYPE_CHECKING:
    from collections.abc import Mapping


@frozen
class Face:
    """One surface of the casting: which part of the mould makes it and where it lies along the feature's axis.

    `part` is "drag", "cope" or "core 4". `coord_mm` is the as-cast place along the axis, counted from the datum, so
    that 0 on the reference part is the datum itself. `facing` is the outward normal of the metal (+1 along the axis,
    -1 against it), 0 for a centre, which no growth of a tool can move. `spot` tells apart places that share part and
    coordinate but are not the same surface.
    """

    part: str
    coord_mm: float
    facing: int = 0
    spot: str = ""

    def __post_init__(self) -> None:
        if self.facing not in (-1, 0, 1):
            at = MM.given(self.coord_mm, unit=False)
            raise DataError(f"{self.part} at {at}: facing is +1, -1 or 0 for a centre, not {self.facing}")


@frozen
class Read:
    """One reading on one casting, mm at 20 degC, with its standard uncertainty; `text` as typed, if it is known."""

    mm: float
    u: float
    instrument: str = ""
    text: str = ""


@frozen_by_name
class Observed:
    """One feature with what the tools promise for it and what the castings show.

    `predicted_mm` is the casting that the measured tools should give (from nominal tools where none were measured,
    with their band inside `u_predicted`); `u_predicted` is shared by all castings. `a` is None when the size starts
    at the datum itself. `cast_size_mm` is the as-cast nominal, end B minus end A; `contraction` is what the tool was
    made with (fraction of the casting). `target_mm` and the limits are as-cast sizes. `station_mm` is where along the
    length of the casting a height was taken. `readings` maps the serial of the casting to its reading; a feature that
    could be measured next has none.
    """

    balloon: str
    axis: str
    a: Face | None
    b: Face
    predicted_mm: float
    u_predicted: float = 0.0
    cast_size_mm: float
    contraction: float = 0.0
    target_mm: float | None = None
    lower_mm: float | None = None
    upper_mm: float | None = None
    readings: Mapping[str, Read]
    tool_known: bool = True
    station_mm: float | None = None

    @property
    def faces(self) -> tuple[Face, ...]:
        """End B, and end A before it when there is one."""
        return (self.b,) if self.a is None else (self.a, self.b)
