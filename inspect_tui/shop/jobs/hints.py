"""What the handbooks print for what the form of a feature leaves open: stock, limits, draft; a line each.

Only what stands in a source that is not weak: the rest is for those who look it up.
"""

from __future__ import annotations

from collections.abc import Sequence

from inspect_tui.errors import TableError
from inspect_tui.metrology.sizes import chain, contraction, handbook
from inspect_tui.metrology.sizes.handbook import Printed
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import LENGTH_QUANTITIES
from inspect_tui.model.work import Feature, Job

SIZES = frozenset(LENGTH_QUANTITIES) - {"position", "flatness"}


def hints(job: Job, feature: Feature, style: Style = MM) -> list[str]:
    """Lines for people; none for what is no size of a casting, and for an alloy that no table knows."""
    alloy, size = job.alloy or "", abs(chain.as_cast(feature))
    if feature.scale != "cast" or feature.quantity not in SIZES or not size or contraction.group(alloy) is None:
        return []
    lines = []
    if not feature.machined:
        lines.append(_stock(alloy, feature, size, style))
    if feature.lower is None and feature.upper is None:
        lines.append(_grades(alloy, size, style))
    if feature.axis == "z" and not feature.draft_deg:
        lines.append(_draft(size))
    return [f"handbook: {line}" for line in lines if line]


def _sure(printed: Sequence[Printed]) -> tuple[float, float] | None:
    return handbook.span([one for one in printed if not one.weak])


def _stock(alloy: str, feature: Feature, size: float, style: Style) -> str:
    """`stock 2.4 to 3.0 mm a machined face, 5.5 mm where cast uppermost`."""
    space = len(feature.ends) == 2 and feature.ends[0].facing > feature.ends[1].facing
    bore = space and feature.quantity in ("diameter", "radius")
    usual = _sure(handbook.stock(size, alloy, "bore" if bore else "surface"))
    if usual is None:
        return ""
    text = f"stock {handbook.stock_span(usual, style)} a machined face"
    uppermost = None if bore else _sure(handbook.stock(size, alloy, "cope"))
    return text if uppermost is None else f"{text}, {handbook.stock_span(uppermost, style)} where cast uppermost"


def _grades(alloy: str, size: float, style: Style) -> str:
    """`DCTG 8 to 12 machine, 11 to 15 hand moulded: ±0.7 to ±6 mm`."""
    by = {how: _sure(handbook.grades(alloy, "DCTG", how)) for how in handbook.MOULDING}
    known = {how: of for how, of in by.items() if of is not None}
    if not known:
        return ""
    said = ", ".join(f"{handbook.grade_span('', of)} {how}" for how, of in known.items())
    text = f"DCTG {said} moulded"
    try:
        low, high = handbook.grade_halves(
            min(lo for lo, _ in known.values()), max(hi for _, hi in known.values()), size
        )
    except TableError:  # a dash of the table
        return text
    return f"{text}: ±{style.given(low, unit=False)} to ±{style.given(high)}"


def _draft(size: float) -> str:
    """`draft at this height 1° outside, 1.5° inside (wooden pattern)`."""
    sides = {side: _sure(handbook.draft(size, "wood", side == "inside")) for side in ("outside", "inside")}
    said = [f"{handbook.draft_span(of)} {side}" for side, of in sides.items() if of is not None]
    return f"draft at this height {', '.join(said)} (wooden pattern)" if said else ""
