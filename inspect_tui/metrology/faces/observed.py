"""A size of castings as the tools promise it and the castings show it, and the readings taken on it.

Lengths are mm at casting scale, contraction is a fraction of the casting,
`axis` is "x", "y", "z" or a word like `round`.

Source: own derivation.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.faces.face import Face, Size

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence


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
    def axis(self) -> str:
        """The axis along which it is read; a word like `round` where it lies along none."""
        return self.b.axis

    @property
    def faces(self) -> tuple[Face, ...]:
        """End B, and end A before it when there is one."""
        return (self.b,) if self.a is None else (self.a, self.b)


def of_observed(features: Sequence[Observed]) -> tuple[Size, ...]:
    """Features of castings as sizes between their faces."""
    return tuple(Size(name=o.balloon, a=o.a, b=o.b, mm=o.cast_size_mm, contraction=o.contraction) for o in features)
