"""Sizes off a sample casting: which drawing size a measured one most likely was, in mm or in fractions of an inch.

Drawings are made of round figures. A candidate is weighed by how round it is (coarse steps are rarer and each of
their figures likelier) times how well the measured mean agrees with it, casting scatter included.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import exp, floor, hypot, log, pi, sqrt

from inspect_tui.errors import DataError, TableError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.sizes.tolerance import iso8062_3
from inspect_tui.metrology.typed.show import MM, Style

INCH = 25.4
# step and the share of drawing sizes that are whole multiples of it and of no coarser one: a judgement, no source
MM_STEPS = ((10.0, 0.22), (5.0, 0.18), (2.0, 0.14), (1.0, 0.30), (0.5, 0.12), (0.1, 0.04))
INCH_STEPS = (
    (Fraction(1), 0.20),
    (Fraction(1, 2), 0.18),
    (Fraction(1, 4), 0.20),
    (Fraction(1, 8), 0.20),
    (Fraction(1, 16), 0.14),
    (Fraction(1, 32), 0.06),
    (Fraction(1, 64), 0.02),
)
GRADE = 9  # castings by hand moulding, ISO 8062-3 DCTG, where nothing better is known
SIGMAS = 6.0  # the grade's total tolerance as so many standard deviations of a casting
WIDE = 5.0  # candidates within so many standard uncertainties


@frozen
class DrawingSize:
    """A drawing size: mm, as people write it, its step, and its probability among all candidates of its system."""

    mm: float
    text: str
    step_mm: float
    p: float


@frozen
class Proposal:
    """What a measured size may have been on the drawing.

    `u` is of the mean as a statement about the drawing's size: reading, scatter and what a casting may be off.
    `evidence` is the log of how well the system (mm or inch) explains the size; sums of it tell the systems apart.
    """

    mean: float
    u: float
    system: str  # mm, in
    candidates: tuple[DrawingSize, ...]  # most likely first
    evidence: float

    @property
    def best(self) -> DrawingSize:
        """The likeliest one. In the system that was asked for."""
        return self.candidates[0]


def casting_u(size_mm: float, grade: int = GRADE) -> float:
    """Standard uncertainty of one casting's size about its drawing, mm, from the general tolerance of its grade.

    Source of the tolerance: ISO 8062-3; that a grade's total tolerance spans six standard deviations is common
    practice. A size beyond the table takes the table's nearest.
    """
    for size in (abs(size_mm), 10.0, 5000.0):
        try:
            band = iso8062_3(size, grade)
        except TableError:
            continue
        if band.width is not None:
            return band.width / SIGMAS
    return 0.5


def propose(
    mean_mm: float, u_mm: float, system: str = "mm", castings: int = 1, worn: int = 0, grade: int = GRADE
) -> Proposal:
    """Drawing sizes that may stand behind a measured mean (mm, standard uncertainty of the mean as read).

    `castings` samples average their scatter. `worn` is +1 where wear has made the size larger than it was (an opening),
    -1 where smaller (a body): the drawing's size then lies on the other side, up to two casting tolerances away.
    DataError for another system than mm and in, a size not above 0, an uncertainty below 0 or no casting.
    """
    if system not in ("mm", "in"):
        raise DataError(f"sizes are proposed in mm or in, not in {system}")
    if not mean_mm > 0 or u_mm < 0 or castings < 1:
        raise DataError("a proposal needs a size above 0, an uncertainty not below 0 and at least one casting")
    u = hypot(u_mm, casting_u(mean_mm, grade) / sqrt(castings))
    low, high = mean_mm - WIDE * u, mean_mm + WIDE * u
    if worn > 0:
        low -= SIGMAS * u
    elif worn < 0:
        high += SIGMAS * u
    weighed = []
    for mm, text, step, weight in _round_figures(max(low, 0.0), high, system):
        off = mm - mean_mm
        if worn * off < 0:  # on the side that wear has eaten: anywhere up to the worst is as likely
            off = 0.0
        weighed.append((weight * exp(-0.5 * (off / u) ** 2), mm, text, step))
    total = sum(w for w, *_ in weighed)
    if not weighed or total <= 0:
        text = MM.length(mean_mm, 1) if system == "mm" else Style("in", 3).length(mean_mm)
        return Proposal(mean_mm, u, system, (DrawingSize(mean_mm, text, 0.0, 1.0),), log(1e-300))
    sizes = sorted((DrawingSize(mm, text, step, w / total) for w, mm, text, step in weighed), key=lambda c: -c.p)
    return Proposal(mean_mm, u, system, tuple(sizes), log(total / (u * sqrt(2 * pi))))


def _round_figures(low: float, high: float, system: str) -> list[tuple[float, str, float, float]]:
    """(mm, text, step, weight) of every round figure from `low` to `high`; each under its coarsest step.

    The share of a step is spread over its figures: one for each step's width that coarser ones leave free.
    """
    seen: dict[int, tuple[float, str, float, float]] = {}
    steps = (
        [(s, share, s) for s, share in MM_STEPS]
        if system == "mm"
        else [(float(s) * INCH, share, s) for s, share in INCH_STEPS]
    )
    for step, share, exact in steps:
        for n in range(max(1, floor(low / step)), floor(high / step) + 2):
            mm = n * step
            key = round(mm * 1e6)
            if low <= mm <= high and key not in seen:
                text = MM.given(round(mm, 1)) if system == "mm" else inches(Fraction(exact) * n)
                seen[key] = (mm, text, step, share * step)
    return list(seen.values())


def inches(value: Fraction) -> str:
    """`12 3/16 in`. Inches in, as a shop writes them: whole number and the lowest fraction."""
    whole, rest = divmod(value, 1)
    if not rest:
        return f"{whole} in"
    return f"{whole} {rest} in" if whole else f"{rest} in"


def system_of(mm: Sequence[Proposal], inch: Sequence[Proposal]) -> tuple[str, float]:
    """Which system the drawing was made in and with what probability, from the same sizes proposed in both.

    Each size's evidence is limited to a factor of a hundred, so that one misread size does not decide. The chance
    is a probability. DataError where the two lists do not match.
    """
    if len(mm) != len(inch) or not mm:
        raise DataError("to tell mm from inches, propose the same sizes in both")
    limit = log(100.0)
    odds = sum(min(max(a.evidence - b.evidence, -limit), limit) for a, b in zip(mm, inch, strict=True))
    p_mm = 1.0 / (1.0 + exp(-max(min(odds, 500.0), -500.0)))
    return ("mm", p_mm) if p_mm >= 0.5 else ("in", 1.0 - p_mm)
