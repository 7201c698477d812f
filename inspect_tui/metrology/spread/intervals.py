"""Intervals for the mean, the spread, the next readings and the share of all readings, each with what it assumes.

Normal-theory factors are exact (integration and the noncentral t, not the usual approximations). Every result says
what it rests on and whether the readings speak against that; one that does not hold is marked, not hidden.
Terms as ISO 3534-1, ISO 16269-6 and ISO 16269-8.
"""

from __future__ import annotations

from functools import lru_cache
from math import ceil, inf, isfinite, log, log1p, pi, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.spread.checks import Normality, normality
from inspect_tui.metrology.spread.statistics import Summary, finite, from_values
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.spread.statistics import Values

INDEPENDENT = "readings taken independently of each other"
NORMAL = "normally distributed"


@frozen_by_name
class Interval:
    """An interval in the unit of the readings (infinite on an open side) and what it rests on.

    `holds` is False when the readings speak against an assumption, None when that could not be looked into.
    """

    lower: float
    upper: float
    level: float
    assumptions: tuple[str, ...]
    holds: bool | None
    sentence: str


def mean_interval(values: Values | Summary, level: float = 0.95, style: Style = MM) -> Interval:
    """Two-sided confidence interval of the mean by Student's t; needs two readings. Unit of the readings."""
    from scipy.special import stdtrit

    summary, look = _look(values, style)
    _spread(summary, level)
    half = float(stdtrit(summary.n - 1, 0.5 + level / 2)) * (summary.u_mean or 0.0)
    # the mean of thirty or more readings is close to normal whatever they are themselves (central limit)
    look = None if summary.n >= 30 else look
    holds = True if summary.n >= 30 else (_normal(look))
    return _interval(summary.mean - half, summary.mean + half, level, "the mean lies in it", holds, look, style)


def sd_interval(values: Values | Summary, level: float = 0.95, style: Style = MM) -> Interval:
    """Two-sided confidence interval of the standard deviation by chi-square; leans hard on normality."""
    summary, look = _look(values, style)
    _spread(summary, level)
    lower, upper = sd_bounds(summary.s or 0.0, summary.n - 1, level)
    return _interval(lower, upper, level, "the standard deviation lies in it", _normal(look), look, style)


def sd_bounds(s: float, dof: float, level: float = 0.95) -> tuple[float, float]:
    """Two-sided confidence limits of a standard deviation estimated with `dof` degrees of freedom."""
    from scipy.special import chdtri

    tail = (1.0 - level) / 2.0
    return s * sqrt(dof / float(chdtri(dof, tail))), s * sqrt(dof / float(chdtri(dof, 1.0 - tail)))


def prediction_factor(n: int, level: float = 0.95, future: int = 1, dof: float | None = None) -> float:
    """Factor r: all of the next `future` readings lie in mean +- r s (Bonferroni for more than one, so a little wide).

    Hahn and Meeker, Statistical Intervals.
    """
    from scipy.special import stdtrit

    dof = n - 1 if dof is None else dof
    return float(stdtrit(dof, 1.0 - (1.0 - level) / (2 * future))) * sqrt(1.0 + 1.0 / n)


def prediction_factor_of_mean(n: int, level: float = 0.95, future: int = 1) -> float:
    """Factor r: the mean of the next `future` readings lies in mean +- r s."""
    from scipy.special import stdtrit

    return float(stdtrit(n - 1, 0.5 + level / 2)) * sqrt(1.0 / future + 1.0 / n)


def prediction_interval(values: Values | Summary, level: float = 0.95, future: int = 1, style: Style = MM) -> Interval:
    """Interval for the next reading, or for every one of the next `future` readings.

    Unit of the readings. DataError for fewer than one reading to come. Source: ISO 16269-8.
    """
    summary, look = _look(values, style)
    _spread(summary, level)
    if future < 1:
        raise DataError(f"{future} future readings: give one or more")
    half = prediction_factor(summary.n, level, future) * (summary.s or 0.0)
    what = "the next reading falls in it" if future == 1 else f"all of the next {future} readings fall in it"
    return _interval(summary.mean - half, summary.mean + half, level, what, _normal(look), look, style)


# ------------------------------------------------------------------------------ tolerance intervals
@lru_cache(maxsize=512)
def tolerance_factor(n: int, proportion: float, confidence: float, dof: float | None = None) -> float:
    """Exact two-sided normal factor k: mean +- k s holds `proportion` of all with `confidence`.

    Solves the defining integral (Eberhardt, Mee and Reeve 1989; ISO 16269-6) by Gauss-Legendre and bisection of k.
    `dof` is that of s when it is pooled from elsewhere (n - 1 otherwise).
    """
    import numpy as np
    from scipy.optimize import brentq
    from scipy.special import chdtrc, ndtri

    _shares(n, proportion, confidence)
    nu = n - 1 if dof is None else dof
    nodes, weights = np.polynomial.legendre.leggauss(96)
    reach = 9.0 / sqrt(n)  # the mean is never further from the truth than nine of its standard deviations
    z = (nodes + 1.0) * reach / 2.0
    r = _half_width(z, proportion)
    density = weights * reach / 2.0 * 2.0 * sqrt(n / (2.0 * pi)) * np.exp(-n * z * z / 2.0)

    def short(k: float) -> float:
        return float(density @ chdtrc(nu, nu * (r / k) ** 2)) - confidence

    start = float(ndtri((1 + proportion) / 2))
    return float(brentq(short, start * 1e-3, start * 1e5, xtol=1e-12, rtol=1e-13))


def tolerance_factor_one_sided(n: int, proportion: float, confidence: float) -> float:
    """Exact one-sided normal factor k: mean + k s lies above `proportion` of all with `confidence` (noncentral t).

    Dimensionless.
    """
    from scipy.special import nctdtrit, ndtri

    _shares(n, proportion, confidence)
    return float(nctdtrit(n - 1, float(ndtri(proportion)) * sqrt(n), confidence)) / sqrt(n)


def tolerance_interval(
    values: Values | Summary,
    proportion: float = 0.95,
    confidence: float = 0.95,
    side: str = "both",
    style: Style = MM,
) -> Interval:
    """Limits that hold at least `proportion` of all readings with `confidence`; `side` is both, lower or upper.

    Unit of the readings. DataError for another side. Source: ISO 16269-6.
    """
    summary, look = _look(values, style)
    _spread(summary, confidence)
    s = summary.s or 0.0
    lower, upper = -inf, inf
    if side == "both":
        k = tolerance_factor(summary.n, proportion, confidence)
        lower, upper = summary.mean - k * s, summary.mean + k * s
    elif side in ("lower", "upper"):
        k = tolerance_factor_one_sided(summary.n, proportion, confidence)
        lower, upper = (summary.mean - k * s, inf) if side == "lower" else (-inf, summary.mean + k * s)
    else:
        raise DataError(f"side is both, lower or upper, not {side!r}")
    what = f"at least {style.figures(proportion, 4)} of all readings lie in it"
    return _interval(lower, upper, confidence, what, _normal(look), look, style)


def distribution_free_interval(
    values: Values, proportion: float = 0.95, confidence: float = 0.95, style: Style = MM
) -> Interval:
    """Tolerance interval from the smallest to the largest reading (Wilks 1941): no distribution is assumed.

    Its confidence is 1 - n p^(n-1) + (n-1) p^n, given back as `level`; `holds` says whether it reaches `confidence`.
    """
    a = finite(values, fewest=2)
    n = int(a.size)
    _shares(n, proportion, confidence)
    reached = _extremes_confidence(n, proportion, 2)
    enough = reached >= confidence
    say = f"with {style.figures(100 * reached, 3)} % confidence "
    say += f"at least {style.figures(proportion, 4)} of all readings lie in it"
    if not enough:
        more = fewest_for_extremes(proportion, confidence, 2)
        say += f"; for {style.figures(100 * confidence, 3)} % take {more} readings, here are {n}"
    return Interval(
        lower=float(a.min()),
        upper=float(a.max()),
        level=reached,
        assumptions=(INDEPENDENT, "a continuous distribution"),
        holds=enough,
        sentence=say,
    )


def fewest_for_extremes(proportion: float, confidence: float, sides: int = 2) -> int:
    """Fewest readings whose extremes (sides=2) or whose one extreme (sides=1) hold `proportion` with `confidence`.

    A number of readings; proportion and confidence are fractions. Source: Wilks (1941).
    """
    _shares(2, proportion, confidence)
    if sides == 1:
        n = ceil(log1p(-confidence) / log(proportion) - 1e-12)
    else:
        n, step = 2, 1
        while _extremes_confidence(n + step, proportion, 2) < confidence:
            step *= 2
        while step:  # halving steps: the confidence grows with n
            if _extremes_confidence(n + step, proportion, 2) < confidence:
                n += step
            step //= 2
        n += _extremes_confidence(n, proportion, 2) < confidence
    return max(n, sides)


def _extremes_confidence(n: int, proportion: float, sides: int) -> float:
    at_n = proportion**n
    return 1.0 - at_n if sides == 1 else 1.0 - n * at_n / proportion + (n - 1) * at_n


def _half_width(z: NDArray[np.float64], proportion: float) -> NDArray[np.float64]:
    """R with Phi(z + R) - Phi(z - R) = proportion, by Newton's steps from above; z >= 0."""
    import numpy as np
    from scipy.special import ndtr, ndtri

    r = z + float(ndtri((1 + proportion) / 2))
    for _ in range(60):
        miss = ndtr(z + r) - ndtr(z - r) - proportion
        slope = (np.exp(-((z + r) ** 2) / 2) + np.exp(-((z - r) ** 2) / 2)) / sqrt(2 * pi)
        step = miss / slope
        r = r - step
        if float(np.abs(step).max()) < 1e-14:
            break
    return r


# ------------------------------------------------------------------------------ what an interval rests on
def _look(values: Values | Summary, style: Style) -> tuple[Summary, Normality | None]:
    """The summary and, where the readings themselves were given, their normality."""
    if isinstance(values, Summary):
        return values, None
    a = finite(values)
    return from_values(a), normality(a, style=style)


def _normal(look: Normality | None) -> bool | None:
    return None if look is None else look.normal


def _spread(summary: Summary, level: float) -> None:
    if summary.n < 2:
        raise DataError(f"{summary.sentence or 'one reading'}; at least 2 readings are needed for an interval")
    if not 0.0 < level < 1.0:
        raise DataError(f"a level of {MM.figures(level)} is no probability between 0 and 1")


def _shares(n: int, proportion: float, confidence: float) -> None:
    if n < 2:
        raise DataError(f"{n} readings: a tolerance interval needs at least 2")
    for share in (proportion, confidence):
        if not (isfinite(share) and 0.0 < share < 1.0):
            raise DataError(f"{MM.figures(share)} is no share between 0 and 1 (95 % is 0.95)")


def _interval(
    lower: float, upper: float, level: float, what: str, holds: bool | None, look: Normality | None, style: Style
) -> Interval:
    say = f"with {style.figures(100 * level, 4)} % confidence {what}"
    if holds is False:
        say += f"; but the readings are {look.sentence if look else 'not normal'}: these bounds do not hold"
    elif holds is None:
        say += "; whether the readings are normal could not be judged" + (f" ({look.sentence})" if look else "")
    return Interval(lower=lower, upper=upper, level=level, assumptions=(INDEPENDENT, NORMAL), holds=holds, sentence=say)
