"""The chance that a normal quantity with rectangular ones on top stays within limits, in closed form.

Play is even over its range and has no tails: taken for normal, a core that can lie anywhere in 0.6 mm would be said to
leave limits that it cannot reach. Each rectangle integrates the distribution once and takes the difference over its
width, so that the sum is made of repeated integrals of the normal distribution.

Source: repeated integrals by their recurrence, Abramowitz and Stegun, Handbook of Mathematical Functions, 7.2.5;
without a normal part it is the Irwin-Hall distribution.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot, pi, prod, sqrt

from inspect_tui.metrology.judge._dist import normal_cdf

MOST = 6  # rectangles that are taken as they are, the widest; the others are many and small, and count as normal
SLIGHT = 0.1  # of the normal part: a narrower rectangle is lost in it
FAR = 9.0  # standard deviations beyond the rectangles: nothing is there


def chance_between(mean: float, sd: float, widths: Sequence[float], lower: float | None, upper: float | None) -> float:
    """The probability that the sum lies within its limits (None: no limit); all in one unit, mm as used here.

    `sd` is the standard deviation of what is normal, `widths` the full widths of the rectangles about `mean`. What
    spreads by nothing is compared, with a limit counting as inside.
    """
    below = 0.0 if lower is None else _below(lower - mean, sd, widths, inside=False)
    upto = 1.0 if upper is None else _below(upper - mean, sd, widths, inside=True)
    return min(max(upto - below, 0.0), 1.0)


def _below(x: float, sd: float, widths: Sequence[float], inside: bool) -> float:
    """P(sum <= x), or P(sum < x) where x itself is not counted: it matters only where nothing spreads."""
    ranked = sorted((w for w in widths if w > 0.0), reverse=True)
    kept = ranked[:MOST]
    sd = hypot(sd, *(w / sqrt(12.0) for w in ranked[MOST:]))
    while kept and kept[-1] < SLIGHT * sd:
        sd = hypot(sd, kept.pop() / sqrt(12.0))
    reach = sum(kept) / 2.0
    if sd == 0.0 and not kept:
        return 1.0 if x > 1e-9 or (inside and x >= -1e-9) else 0.0
    if abs(x) >= reach + FAR * sd:
        return 1.0 if x > 0 else 0.0
    corners = {0.0: 1.0}  # corners at one place are one corner: of equal widths 7 are left of 64
    for width in kept:
        further: dict[float, float] = {}
        for at, sign in corners.items():
            for side in (1.0, -1.0):
                place = round(at + side * width / 2.0, 12)
                further[place] = further.get(place, 0.0) + sign * side
        corners = further
    total = sum(sign * _integral(x + at, sd, len(kept)) for at, sign in corners.items())
    return min(max(total / prod(kept), 0.0), 1.0)


def _integral(x: float, sd: float, times: int) -> float:
    """The normal distribution function integrated so many times up to x; with sd 0 a step, integrated."""
    if sd == 0.0:
        power = 1.0
        for n in range(1, times + 1):
            power *= max(x, 0.0) / n
        return power if times or x >= 0.0 else 0.0
    z = x / sd
    before, now = exp(-0.5 * z * z) / sqrt(2.0 * pi), normal_cdf(z)
    for n in range(1, times + 1):
        before, now = now, (z * now + before) / n
    return now * sd**times
