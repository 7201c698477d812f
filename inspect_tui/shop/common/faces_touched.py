"""The faces that an instrument touches when a size is read: what their roughness adds to its uncertainty."""

from __future__ import annotations

from math import hypot, sqrt

from inspect_tui.metrology.judge.uncertainty import BudgetLine
from inspect_tui.metrology.sizes import roughness
from inspect_tui.metrology.sizes.roughness import Roughness
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.work import Feature, Item, Tool

COUNTED = ("no face", "one face", "two faces")
ONE_FACE = ("position", "flatness", "radius")  # read from a datum, or of one face alone; all others lie between two


def surface(piece: Tool | Item | None) -> Roughness | None:
    """What the faces of a tool, casting or sand core are like; None where that is not known.

    A casting is as it was cast; a tool is what its material says, and one whose material is not stated says nothing.
    """
    if isinstance(piece, Tool):
        return roughness.of_material(piece.material)
    if isinstance(piece, Item):
        return roughness.of_surface(roughness.SAND_CORE if piece.kind == "core" else roughness.AS_CAST)
    return None


def u_rough(feature: Feature, piece: Tool | Item | None) -> float:
    """The standard uncertainty that rough faces add to a size, mm; 0 where there are none or they are not known."""
    return hypot(*(line.u for line in rough(feature, piece)))


def rough(
    feature: Feature, piece: Tool | Item | None, style: Style = MM, *, finished: bool = False
) -> tuple[BudgetLine, ...]:
    """The budget line of the faces that a size is read between; nothing for angles and what is no size, and unknowns.

    `finished`: the casting was machined, so the faces that carried stock are smooth. The line stays however often a
    size is read: the same spots are touched again, and what the size of a rough face is, is open by as much (common
    practice, no source).
    """
    if feature.quantity in ("angle", "temperature", "attribute"):
        return ()
    face = surface(piece)
    if face is None:
        return ()
    count = 1 if feature.quantity in ONE_FACE else 2
    smooth = _machined(feature, count) if finished else 0
    touched = [(count - smooth, face), (smooth, roughness.of_surface(roughness.MACHINED))]
    said = [
        f"{COUNTED[n]}, {one.surface}, {style.significant(one.height_mm, 2, unit=False)} from valleys to tops "
        f"({one.source})"
        for n, one in touched
        if n
    ]
    u = hypot(*(sqrt(n) * one.u_mm for n, one in touched))
    return (BudgetLine(name="roughness", u=u, how="; ".join(said)),)


def _machined(feature: Feature, count: int) -> int:
    """How many of the faces of a size were machined: those that carried stock, or all where the drawing says so."""
    stocked = [end.stock_mm > 0.0 for end in feature.ends]
    if not any(stocked):
        return count if feature.machined else 0
    return count if all(stocked) else min(sum(stocked), count)
