"""How often judging pieces of a process by their readings goes wrong: global consumer's and producer's risk (JCGM 106).

The specific risk (probability of conformity) is of one piece that was measured. The global ones are of all pieces that
will be: what the process makes is known from earlier ones, and every piece is read once and accepted or refused.
"""

from __future__ import annotations

from math import asin, copysign, hypot, inf, isfinite, pi, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import normal_cdf

if TYPE_CHECKING:
    from inspect_tui.model.words import Band


@frozen_by_name
class GlobalRisk:
    """Fractions of all pieces made: `accepted` by their reading, `outside` the limits in truth.

    `consumer` are outside and accepted all the same, `producer` inside and refused all the same (JCGM 106:2012, 9.5).
    """

    consumer: float
    producer: float
    accepted: float
    outside: float


def global_risk(mean: float, s: float, u: float, band: Band, guard: float = 0.0) -> GlobalRisk:
    """Risks of a process with that mean and true standard deviation `s`, read with `u`, accepted `guard` inside.

    Everything in one unit (mm); a guard below 0 accepts beyond the limits. Normal process and normal readings (JCGM
    106:2012, 9.5.2 and 9.5.3, as double integrals). Errors: DataError for spreads that are not above 0, or a band open
    on both sides.
    """
    if not (isfinite(mean) and s > 0.0 and u > 0.0 and isfinite(s) and isfinite(u) and isfinite(guard)):
        raise DataError("a process and readings need a spread above 0 to speak of risks over all pieces")
    if band.lower is None and band.upper is None:
        raise DataError("the band is open on both sides: nothing is accepted or refused")
    lower = -inf if band.lower is None else (band.lower - mean) / s
    upper = inf if band.upper is None else (band.upper - mean) / s
    seen = hypot(s, u)  # how readings spread
    low = -inf if band.lower is None else (band.lower + guard - mean) / seen
    high = inf if band.upper is None else (band.upper - guard - mean) / seen
    rho = s / seen  # a piece and its reading go together

    def both(h: float, k: float) -> float:
        return _both_below(h, k, rho)

    if high <= low:
        inside = normal_cdf(upper) - normal_cdf(lower)
        return GlobalRisk(consumer=0.0, producer=inside, accepted=0.0, outside=1.0 - inside)
    good = both(upper, high) - both(lower, high) - both(upper, low) + both(lower, low)
    accepted = normal_cdf(high) - normal_cdf(low)
    outside = normal_cdf(lower) + normal_cdf(-upper)
    return GlobalRisk(
        consumer=max(accepted - good, 0.0),
        producer=max(1.0 - outside - good, 0.0),
        accepted=accepted,
        outside=outside,
    )


def _both_below(h: float, k: float, rho: float) -> float:
    """Probability that two standard normals with correlation rho (0 to 1) lie below h and k (Owen 1956)."""
    from scipy.special import owens_t

    if min(h, k) == -inf:
        return 0.0
    if max(h, k) == inf:
        return normal_cdf(min(h, k))
    if h == k == 0.0:
        return 0.25 + asin(rho) / (2.0 * pi)
    root = sqrt(1.0 - rho * rho)

    def part(a: float, b: float) -> float:
        return float(owens_t(a, (b / a - rho) / root if a else copysign(inf, b)))

    apart = 0.5 if h * k < 0.0 or (h * k == 0.0 and h + k < 0.0) else 0.0
    return 0.5 * (normal_cdf(h) + normal_cdf(k)) - part(h, k) - part(k, h) - apart
