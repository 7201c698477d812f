"""The wrong hand: a box or stick made as its mirror image, told by sizes that read what others of it should.

Two offsets that read each other's targets, or one that reads what is left of the whole, are far likelier a hand
reversed (or two readings changed over) than two errors that happen to match. Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import hypot

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

CLOSE = 3.0  # standard uncertainties within which a reading is another's target
APART = 4.0  # times that close the two targets have to stand apart before a change can be seen
LAYOUT_MM = 0.05  # how true a size is made by hand: a judgement, no source
FLAT_MM = 0.01  # places are written down to the hundredth


@frozen_by_name
class MadeSize:
    """One size of a tool: wanted and read, mm. `half_band`: how far it may be off by its limits.

    `low` and `high` are the places of its ends along its axis, where they are known.
    """

    name: str
    axis: str
    target: float
    reading: Estimate
    half_band: float = 0.0
    low: float | None = None
    high: float | None = None

    @property
    def near(self) -> float:
        """How far from a target a reading of it may be that still is that size, mm."""
        return max(CLOSE * hypot(self.reading.u, LAYOUT_MM), self.half_band)


@frozen_by_name
class WrongHand:
    """Sizes that read each other's targets, in pairs, or (`of_whole`) one that reads what is left of the whole."""

    pairs: tuple[tuple[str, str], ...]
    of_whole: bool
    sentence: str


def wrong_hand(tool: str, sizes: Sequence[MadeSize], style: Style = MM) -> WrongHand | None:
    """Was this tool made the wrong hand? None where no size reads what another should and misses its own."""
    pairs = [(a, b) for a, b in combinations(sizes, 2) if _changed_over(a, b)]
    if pairs:
        return WrongHand(
            pairs=tuple((a.name, b.name) for a, b in pairs), of_whole=False, sentence=_changed(tool, pairs, style)
        )
    for size in sizes:
        whole = _whole(size, sizes)
        if whole is not None and _what_is_left(size, whole):
            left = style.length(whole.target - size.target, unit=False)
            text = (
                f"{tool} may be the wrong hand along {size.axis}: {_reads(size, style)}, and {left} is what is left of "
                f"{whole.name}; see from which end it was read"
            )
            return WrongHand(pairs=((size.name, whole.name),), of_whole=True, sentence=text)
    return None


def _changed_over(a: MadeSize, b: MadeSize) -> bool:
    near = max(a.near, b.near)
    if abs(a.target - b.target) < APART * near:
        return False
    return abs(a.reading.value - b.target) <= near and abs(b.reading.value - a.target) <= near


def _whole(size: MadeSize, sizes: Sequence[MadeSize]) -> MadeSize | None:
    """The size over everything along the axis, of which this one begins or ends at an outer face."""
    along = [(s, s.low, s.high) for s in sizes if s.axis == size.axis and s.low is not None and s.high is not None]
    if size.low is None or size.high is None:
        return None
    low, high = min(lo for _, lo, _ in along), max(hi for _, _, hi in along)
    at_low, at_high = abs(size.low - low) <= FLAT_MM, abs(size.high - high) <= FLAT_MM
    if at_low == at_high:
        return None
    return next((s for s, lo, hi in along if abs(lo - low) <= FLAT_MM and abs(hi - high) <= FLAT_MM), None)


def _what_is_left(size: MadeSize, whole: MadeSize) -> bool:
    near = max(size.near, whole.near)
    left = whole.target - size.target
    whole_right = abs(whole.reading.value - whole.target) <= near
    return whole_right and abs(left - size.target) >= APART * near and abs(size.reading.value - left) <= near


def _reads(size: MadeSize, style: Style) -> str:
    read, wanted = (style.length(mm, unit=False) for mm in (size.reading.value, size.target))
    return f"{size.name} reads {read} where {wanted} is wanted"


def _changed(tool: str, pairs: Sequence[tuple[MadeSize, MadeSize]], style: Style) -> str:
    a, b = pairs[0]
    axes = " and ".join(dict.fromkeys((a.axis, b.axis)))
    more = f" (and {len(pairs) - 1} more such pair{'s' if len(pairs) > 2 else ''})" if len(pairs) > 1 else ""
    return (
        f"{tool} may be the wrong hand along {axes}: {_reads(a, style)} and {_reads(b, style)}, each what the other "
        f"should be{more}; or the two readings are changed over: measure them again"
    )
