"""Tests that say whether an interval, index or chart may be believed: normality, equal spreads, equal means, drift.

Each answers with its statistic, its p-value and a sentence; none of them throws a reading away.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, inf, log, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.spread.statistics import Summary, finite, from_values
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.spread.statistics import Values

FEWEST_NORMALITY = 8  # below this the p-value formula of Anderson-Darling is not given


@frozen_by_name
class Normality:
    """Answer of the Anderson-Darling test; `normal` is None when the readings cannot tell."""

    n: int
    a2: float | None
    a2_adjusted: float | None
    p: float | None
    normal: bool | None
    sentence: str


@frozen_by_name
class OneWay:
    """One-way analysis of variance; `f` is infinite when nothing varies within the groups."""

    df_between: int
    ss_between: float
    ms_between: float
    df_within: int
    ss_within: float
    ms_within: float
    f: float
    p: float
    r_squared: float
    residual_sd: float


@frozen
class SignificanceTest:
    """A test statistic with its p-value and what it says."""

    statistic: float
    p: float
    sentence: str


@frozen_by_name
class OrderEffects:
    """Whether the readings depend on the order they were taken in: trend per reading and neighbours' likeness."""

    slope: float
    u_slope: float
    p_slope: float
    lag1: float
    p_lag1: float
    drifting: bool
    correlated: bool
    sentence: str


def normality(values: Values, alpha: float = 0.05, style: Style = MM) -> Normality:
    """Anderson-Darling test of normality with mean and sd estimated from the readings.

    Statistic as Stephens (1974); adjusted statistic and p-value as D'Agostino and Stephens (1986), table 4.9.
    `alpha` is the risk of calling normal readings not normal. Below 8 readings, or when all are equal, the answer
    is None with the reason. Unit of the readings free: the statistic is dimensionless.
    """
    import numpy as np
    from scipy.special import log_ndtr

    a = np.sort(finite(values))
    n = int(a.size)
    if n < FEWEST_NORMALITY:
        say = f"of {n} readings nothing can be said about normality; at least {FEWEST_NORMALITY} are needed"
        return Normality(n=n, a2=None, a2_adjusted=None, p=None, normal=None, sentence=say)
    summary = from_values(a)
    if not summary.s:
        say = f"all {n} readings are equal: the instrument's steps are too coarse to judge normality"
        return Normality(n=n, a2=None, a2_adjusted=None, p=None, normal=None, sentence=say)
    z = (a - summary.mean) / summary.s
    weights = 2.0 * np.arange(1, n + 1) - 1.0
    a2 = float(-n - (weights * (log_ndtr(z) + log_ndtr(-z[::-1]))).sum() / n)
    adjusted = a2 * (1.0 + 0.75 / n + 2.25 / n**2)
    p = _p_anderson_darling(adjusted)
    normal = p >= alpha
    say = (
        f"nothing speaks against a normal distribution (Anderson-Darling p = {style.figures(p, 2)}, n = {n})"
        if normal
        else f"not normal (Anderson-Darling p = {style.figures(p, 2)}, n = {n})"
    )
    steps = float(np.diff(np.unique(a)).min()) / summary.s
    if not normal and steps > 0.5:
        say += "; the instrument's steps are coarse against the spread, which alone can cause this"
    return Normality(n=n, a2=a2, a2_adjusted=adjusted, p=p, normal=normal, sentence=say)


def _p_anderson_darling(a: float) -> float:
    if a >= 0.6:
        a = min(a, 150.0)  # the fitted parabola turns round beyond; p is nothing by then
        return exp(1.2937 - 5.709 * a + 0.0186 * a * a)
    if a >= 0.34:
        return exp(0.9177 - 4.279 * a - 1.38 * a * a)
    if a >= 0.2:
        return 1.0 - exp(-8.318 + 42.796 * a - 59.938 * a * a)
    return 1.0 - exp(-13.436 + 101.14 * a - 223.73 * a * a)


def shapiro_wilk(values: Values, style: Style = MM) -> SignificanceTest:
    """Shapiro-Wilk W and its p-value (Royston 1995, AS R94), for 3 to 5000 readings that are not all equal.

    Both dimensionless. DataError for other numbers of readings, or when all are equal.
    """
    from scipy.stats import shapiro

    a = finite(values, fewest=3)
    if a.size > 5000:
        raise DataError(f"Shapiro-Wilk is given for 5000 readings at most, here are {a.size}; use Anderson-Darling")
    if float(a.min()) == float(a.max()):
        raise DataError(f"all {a.size} readings are equal: normality cannot be judged")
    w, p = shapiro(a)
    return SignificanceTest(float(w), float(p), f"Shapiro-Wilk W = {style.figure(w, 4)}, p = {style.figures(p, 2)}")


def one_way(groups: Sequence[Values]) -> OneWay:
    """One-way analysis of variance of two or more groups; sums of squares from exact totals, so nothing cancels.

    The total is summarised as one, and what is within the groups taken off: constant leading digits do no harm
    (NIST StRD sets SmLs01 to SmLs09). F and p are dimensionless. DataError for one group, or where no group holds
    two readings.
    """
    import numpy as np
    from scipy.special import fdtrc

    arrays = [finite(g, fewest=1) for g in groups]
    if len(arrays) < 2:
        raise DataError(f"{len(arrays)} group: at least two are needed to compare")
    n = sum(g.size for g in arrays)
    df1, df2 = len(arrays) - 1, n - len(arrays)
    if df2 < 1:
        raise DataError("every group holds one reading: the spread within groups is unknown; repeat the readings")
    within = sum(from_values(g).m2 for g in arrays)
    total = from_values(np.concatenate(arrays)).m2
    between = max(total - within, 0.0)
    ms1, ms2 = between / df1, within / df2
    f = ms1 / ms2 if ms2 > 0 else (inf if ms1 > 0 else 0.0)
    p = float(fdtrc(df1, df2, f)) if f < inf else 0.0
    share = between / total if total > 0 else 0.0
    return OneWay(
        df_between=df1,
        ss_between=between,
        ms_between=ms1,
        df_within=df2,
        ss_within=within,
        ms_within=ms2,
        f=f,
        p=p,
        r_squared=share,
        residual_sd=sqrt(ms2),
    )


def equal_spreads(groups: Sequence[Values | Summary], style: Style = MM) -> SignificanceTest:
    """Bartlett's test that all groups have one standard deviation (normal readings); groups may be summaries.

    The statistic is dimensionless. DataError for fewer than two groups, fewer than two readings in one, or a group
    of equal ones.
    """
    from scipy.special import chdtrc

    parts = [g if isinstance(g, Summary) else from_values(g) for g in groups]
    if len(parts) < 2 or any(g.n < 2 for g in parts):
        raise DataError("to compare spreads, give at least two groups of at least two readings each")
    if any(g.m2 <= 0 for g in parts):
        raise DataError("a group has only equal readings: its spread is below the instrument's step and not comparable")
    dof = sum(g.n - 1 for g in parts)
    pooled = sum(g.m2 for g in parts) / dof
    raw = dof * log(pooled) - sum((g.n - 1) * log(g.m2 / (g.n - 1)) for g in parts)
    correction = 1.0 + (sum(1.0 / (g.n - 1) for g in parts) - 1.0 / dof) / (3.0 * (len(parts) - 1))
    t = raw / correction
    p = float(chdtrc(len(parts) - 1, t))
    say = f"Bartlett T = {style.figures(t, 4)}, p = {style.figures(p, 2)}: the spreads "
    return SignificanceTest(t, p, say + ("differ" if p < 0.05 else "may be one"))


def equal_spreads_robust(groups: Sequence[Values], style: Style = MM) -> SignificanceTest:
    """Levene's test about the medians (Brown and Forsythe 1974): equal spreads without needing normal readings.

    The statistic is dimensionless.
    """
    import numpy as np

    arrays = [finite(g, fewest=2) for g in groups]
    table = one_way([np.abs(a - np.median(a)) for a in arrays])
    say = f"Levene W = {style.figures(table.f, 4)}, p = {style.figures(table.p, 2)}: the spreads "
    return SignificanceTest(table.f, table.p, say + ("differ" if table.p < 0.05 else "may be one"))


def order_effects(values: Values, alpha: float = 0.01, style: Style = MM) -> OrderEffects:
    """Trend over the order of taking (least squares, t test) and lag-1 autocorrelation (normal approximation).

    Both tests are two-sided at `alpha`; the lag-1 test uses r + 1/n with standard error 1/sqrt(n) (Box and
    Jenkins). The slope is in the unit of the readings for one reading more.
    """
    import numpy as np
    from scipy.special import stdtr

    a = finite(values, fewest=4)
    n = int(a.size)
    if float(a.min()) == float(a.max()):
        return OrderEffects(
            slope=0.0,
            u_slope=0.0,
            p_slope=1.0,
            lag1=0.0,
            p_lag1=1.0,
            drifting=False,
            correlated=False,
            sentence=f"all {n} readings are equal: no drift is seen",
        )
    t = np.arange(n) - (n - 1) / 2.0
    stt = float(n * (n * n - 1) / 12)
    centred = a - a.mean()
    slope = float(np.einsum("i,i->", t, centred)) / stt
    rest = centred - slope * t
    u = sqrt(float(np.einsum("i,i->", rest, rest)) / (n - 2) / stt)
    p_slope = 0.0  # readings on a straight line leave nothing over: a trend beyond doubt
    if u > 1e-12 * abs(slope):
        p_slope = 2.0 * float(stdtr(n - 2, -abs(slope) / u))
    r, p_lag = likeness(centred)
    drifting, correlated = p_slope < alpha, p_lag < alpha
    say = []
    if drifting:
        by = style.significant(slope, 3, unit=False, signed=True)
        say.append(f"the readings drift by {by} per reading (p = {style.figures(p_slope, 2)})")
    if correlated:
        say.append(resemble(r, p_lag, style))
    sentence = "; ".join(say) or "no drift and no likeness of neighbours seen"
    return OrderEffects(
        slope=slope,
        u_slope=u,
        p_slope=p_slope,
        lag1=r,
        p_lag1=p_lag,
        drifting=drifting,
        correlated=correlated,
        sentence=sentence,
    )


def likeness(centred: NDArray[np.float64]) -> tuple[float, float]:
    """Lag-1 autocorrelation of readings less their mean, and the two-sided p-value of its being none (Box, Jenkins).

    Both dimensionless.
    """
    import numpy as np
    from scipy.special import ndtr

    # einsum: a dot product of this length would start the linear algebra's threads, 16 ms on a busy machine
    n, whole = int(centred.size), float(np.einsum("i,i->", centred, centred))
    if n < 2 or whole <= 0:
        return 0.0, 1.0
    r = float(np.einsum("i,i->", centred[1:], centred[:-1])) / whole
    return r, 2.0 * float(ndtr(-abs(r + 1.0 / n) * sqrt(n)))


def resemble(r: float, p: float, style: Style = MM) -> str:
    """Lag-1 autocorrelation in words."""
    lag = style.figure(r, 2, signed=True)
    how = "resemble each other" if r > 0.0 else "lie on opposite sides more often than by chance"
    return f"neighbouring readings {how} (lag-1 autocorrelation {lag}, p = {style.figures(p, 2)})"
