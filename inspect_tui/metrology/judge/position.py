"""Position about true position: the diameter of the zone that the found place needs, its uncertainty and its verdict.

The deviation is given as a diameter, twice the distance from the true position, because the tolerance is one (ISO 1101;
ASME Y14.5). All lengths mm.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import asin, cos, exp, hypot, sin, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, replace
from inspect_tui.metrology.judge._dist import SQRT_2PI, normal_cdf
from inspect_tui.metrology.judge.verdict import _ASKED, Answer, Verdict, judge
from inspect_tui.model.words import LIMIT_SLACK_MM, Band

STEPS = 240  # of Simpson's rule across the zone: 1e-9 of a probability for any u that is met
FAR = 8.5  # standard uncertainties beyond which nothing counts


@frozen
class Position:
    """The zone's diameter that is needed (twice the distance from the true position) and its standard uncertainty."""

    diameter: float
    u: float


def position(off: Sequence[tuple[float, float]]) -> Position:
    """Diameter about true position from one to three coordinates: each (deviation from the true one, u), mm.

    D = 2 sqrt(dx^2 + dy^2). u by JCGM 100:2008, 5.1.2, coordinates taken as independent: 2 sqrt(dx^2 ux^2 + ...) / r.
    At the true position itself no direction is first: there it is twice the largest u. DataError for none or over
    three coordinates.
    """
    if not 1 <= len(off) <= 3:
        raise DataError(f"a position has one, two or three coordinates, not {len(off)}")
    r = hypot(*(d for d, _ in off))
    most = max(u for _, u in off)
    u = 2.0 * most if r == 0.0 else 2.0 * sqrt(sum((d * u) ** 2 for d, u in off)) / r
    return Position(2.0 * r, u)


def inside(off: Sequence[tuple[float, float]], diameter: float) -> float:
    """Probability that the true place lies within a round zone of that diameter, from two coordinates (JCGM 106, 7).

    Of one coordinate the zone is a strip, of three a ball of which the first two coordinates decide at each height.
    """
    known = hypot(*(d for d, u in off if u == 0.0))  # coordinates that are known narrow the zone for the others
    open_ = [(d, u) for d, u in off if u > 0.0]
    radius = diameter / 2.0 + (0.0 if open_ else LIMIT_SLACK_MM)
    if known > radius or radius <= 0.0:
        return 0.0
    return _within(open_, sqrt(radius * radius - known * known)) if open_ else 1.0


def _within(off: Sequence[tuple[float, float]], radius: float) -> float:
    d, u = off[-1]
    if len(off) == 1:
        return max(0.0, 1.0 - normal_cdf((-radius - d) / u) - normal_cdf((d - radius) / u))
    if radius <= 0.0:
        return 0.0
    low, high = (min(max(end / radius, -1.0), 1.0) for end in (d - FAR * u, d + FAR * u))
    # x = R sin t: the chord R cos t has no corner at the ends
    a, b = asin(low), asin(high)
    step = (b - a) / STEPS
    total = 0.0
    for n in range(STEPS + 1):
        t = a + n * step
        x, chord = radius * sin(t), radius * cos(t)
        z = (x - d) / u
        weight = 1.0 if n in (0, STEPS) else 4.0 if n % 2 else 2.0
        total += weight * exp(-0.5 * z * z) / (SQRT_2PI * u) * chord * _within(off[:-1], max(chord, 0.0))
    return min(max(total * step / 3.0, 0.0), 1.0)


def judged(off: Sequence[tuple[float, float]], tolerance: float, rule: str) -> Verdict:
    """Verdict of a position against its round tolerance: by the rule's guard, and by the probability in the zone.

    Near the true position, or with a u that is not small against the zone, the zone's other side counts too: *conforms*
    asks for the probability as well, as `verdict.judge` does between two limits.
    """
    found = position(off)
    verdict = judge(found.diameter, found.u, Band(None, tolerance, "position"), rule)
    chance = inside(off, tolerance)
    answer = verdict.answer
    if answer is Answer.CONFORMS and rule in _ASKED and found.u > 0.0 and chance < _ASKED[rule]:
        answer = Answer.UNDECIDED
    return replace(verdict, answer=answer, p_conform=chance)
