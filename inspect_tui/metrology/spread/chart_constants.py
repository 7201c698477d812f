"""Constants of the control charts and of ranges, by integration of the distribution of the range of normal readings.

Definitions as ISO 7870-2 and ASTM MNL 7; nothing is typed off a table.
"""

from __future__ import annotations

from functools import lru_cache
from math import exp, lgamma, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name

LARGEST = 1000  # readings in a subgroup; the integrals are good far beyond any subgroup in use


@frozen_by_name
class Constants:
    """All constants for subgroups of n readings; lower limits that would be negative are 0."""

    n: int
    d2: float  # mean range / sigma
    d3: float  # standard deviation of the range / sigma
    c4: float  # mean of s / sigma
    A: float  # limits of the mean from a given sigma
    A2: float  # ... from the mean range
    A3: float  # ... from the mean s
    B3: float  # limits of s from the mean s
    B4: float
    B5: float  # limits of s from a given sigma
    B6: float
    D1: float  # limits of the range from a given sigma
    D2: float
    D3: float  # limits of the range from the mean range
    D4: float
    E2: float  # limits of single readings from the mean range


def c4(n: int) -> float:
    """Mean of the standard deviation of n normal readings over sigma."""
    _check(n)
    return sqrt(2.0 / (n - 1)) * exp(lgamma(n / 2.0) - lgamma((n - 1) / 2.0))


@lru_cache(maxsize=256)
def range_moments(n: int) -> tuple[float, float]:
    """Mean and standard deviation (d2, d3) of the range of n standard normal readings.

    E W = integral of 1 - F(x)^n - (1 - F(x))^n dx (Tippett 1925, Biometrika 17) and E W^2 = integral of 2 w P(W > w) dw
    with P(W <= w) = n integral of phi(x) (F(x + w) - F(x))^(n-1) dx. Over x the trapezium rule converges to rounding,
    for the integrands and all their derivatives vanish at both ends.
    """
    import numpy as np
    from scipy.special import ndtr

    _check(n)
    step, reach = 0.05, 9.0 + 0.002 * n
    x = np.arange(-reach, reach + step / 2, step)
    f = ndtr(x)
    d2 = float((1.0 - f**n - ndtr(-x) ** n).sum()) * step
    nodes, weights = np.polynomial.legendre.leggauss(80)
    w = (nodes + 1.0) * 7.5  # a range beyond 15 sigma has no weight
    density = n * np.exp(-x * x / 2.0) / sqrt(2.0 * np.pi) * step
    inside = density @ (ndtr(x[:, None] + w) - f[:, None]) ** (n - 1)
    second = float((weights * 7.5) @ (2.0 * w * (1.0 - inside)))
    return d2, sqrt(second - d2 * d2)


def d2(n: int) -> float:
    """Mean range of n normal readings over sigma. Dimensionless."""
    return range_moments(n)[0]


def d3(n: int) -> float:
    """Standard deviation of the range of n normal readings over sigma. Dimensionless."""
    return range_moments(n)[1]


def d2_star(n: int, ranges: int) -> float:
    """Divisor for the mean of `ranges` ranges of n readings whose square estimates the variance without bias.

    sqrt(d2^2 + d3^2 / ranges), Patnaik (1950), Biometrika 37. Dimensionless. DataError for no range.
    """
    mean, sd = range_moments(n)
    if ranges < 1:
        raise DataError(f"{ranges} ranges: give one or more")
    return sqrt(mean * mean + sd * sd / ranges)


def range_dof(n: int, ranges: int) -> float:
    """Degrees of freedom of sigma estimated as mean range / d2, matched by relative spread (Patnaik 1950).

    Dimensionless, not whole.
    """
    mean, sd = range_moments(n)
    return ranges * (mean / sd) ** 2 / 2.0


@lru_cache(maxsize=256)
def range_tail(n: int, low: float, high: float) -> float:
    """Chance that the range of n standard normal readings lies below `low` or above `high`.

    A probability; limits in standard deviations.
    """
    import numpy as np
    from scipy.special import ndtr

    x = np.arange(-10.0, 10.0, 0.05)
    density = n * np.exp(-x * x / 2.0) / sqrt(2.0 * np.pi) * 0.05

    def up_to(w: float) -> float:
        return float(density @ (ndtr(x + w) - ndtr(x)) ** (n - 1)) if w > 0 else 0.0

    return up_to(low) + 1.0 - up_to(high)


@lru_cache(maxsize=256)
def sd_tail(n: int, low: float, high: float) -> float:
    """Chance that the standard deviation of n standard normal readings lies below `low` or above `high`."""
    from scipy.special import chdtr, chdtrc

    return float(chdtr(n - 1, (n - 1) * low * low) + chdtrc(n - 1, (n - 1) * high * high))


@lru_cache(maxsize=1)
def median_moving_range() -> float:
    """Median range of two normal readings over sigma: sqrt(2) times the upper quartile of the normal. Dimensionless."""
    from scipy.special import ndtri

    return sqrt(2.0) * float(ndtri(0.75))


@lru_cache(maxsize=256)
def constants(n: int) -> Constants:
    """Every chart constant for subgroups of n readings (2 to 1000)."""
    mean, sd = range_moments(n)
    c = c4(n)
    spread = 3.0 * sqrt(max(1.0 - c * c, 0.0))
    return Constants(
        n=n,
        d2=mean,
        d3=sd,
        c4=c,
        A=3.0 / sqrt(n),
        A2=3.0 / (mean * sqrt(n)),
        A3=3.0 / (c * sqrt(n)),
        B3=max(0.0, 1.0 - spread / c),
        B4=1.0 + spread / c,
        B5=max(0.0, c - spread),
        B6=c + spread,
        D1=max(0.0, mean - 3.0 * sd),
        D2=mean + 3.0 * sd,
        D3=max(0.0, 1.0 - 3.0 * sd / mean),
        D4=1.0 + 3.0 * sd / mean,
        E2=3.0 / mean,
    )


def _check(n: int) -> None:
    if not 2 <= n <= LARGEST:
        raise DataError(f"chart constants are for subgroups of 2 to {LARGEST} readings, not {n}")
