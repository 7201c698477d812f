"""Where a size is taken: who makes its two ends, where they stand along its axis and across it; and that in words.

Places are mm of the casting as drawn. How a place is said is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Id
from inspect_tui.model.work import End, Feature

AXES = ("x", "y", "z")


@frozen_by_name
class Place:
    """Who makes the ends of a size (core 4, drag, cope, or empty) and where they stand along its axis, mm.

    `at` has where across its axis it is taken, as far as that was said. `tool`: a print, key or seat, which has a size
    on its tool and no place in the casting.
    """

    balloon: str
    axis: str
    makers: tuple[str, str]
    ends: tuple[float | None, float | None]
    at: Mapping[str, float] = {}
    tool: bool = False


def place(feature: Feature, numbers: Mapping[Id, str]) -> Place | None:
    """Where a size is taken; `numbers` has the number of every version of a core. None for a size along no axis."""
    if feature.axis not in AXES or not feature.ends:
        return None
    ends = sorted(feature.ends, key=lambda end: end.which)
    low, high = ends[0], ends[-1] if len(ends) > 1 else None
    tool = feature.scale == "tool"
    return Place(
        balloon=feature.balloon,
        axis=feature.axis,
        makers=(_maker(low, numbers), _maker(high, numbers)),
        ends=(None, None) if tool else (low.coord_mm, high.coord_mm if high else None),
        at={axis: at for axis in AXES if axis != feature.axis and (at := getattr(feature, f"at_{axis}")) is not None},
        tool=tool,
    )


def _maker(end: End | None, numbers: Mapping[Id, str]) -> str:
    if end is None:
        return ""
    return f"core {numbers.get(end.core_id, '?')}" if end.core_id is not None else end.half or ""


def where(taken: Place, style: Style = MM, *, figures: bool = True) -> str:
    """Where a size is taken, in words: `core 3, y 47 to 129 at x 300`; without `figures` only who makes its ends."""
    first, last = taken.makers

    def end(maker: str, stands: float | None) -> str:
        at = "" if stands is None or not figures else f"{taken.axis} {style.given(stands, unit=False)}"
        return ", ".join(part for part in (maker, at) if part)

    a, b = (end(maker, stands) for maker, stands in zip(taken.makers, taken.ends, strict=True))
    if first == last and figures and None not in taken.ends:
        words = f"{a} to {style.given(taken.ends[1], unit=False)}"
    elif first == last:
        words = f"both faces {first}" if first else ""
    else:
        words = " to ".join(part for part in (a, b) if part)
    across = ", ".join(f"{axis} {style.given(at, unit=False)}" for axis, at in taken.at.items())
    return f"{words} at {across}" if across else words
