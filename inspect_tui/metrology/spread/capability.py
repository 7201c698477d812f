"""Process capability (stable spread) and performance (total spread) against a band, with lower confidence bounds.

Names as ISO 22514-1 and -2: C_p, C_pk from the spread within (what the process does at short term), P_p, P_pk from the
spread of all readings. An index without its bound is not given, few pieces claim none at all, and readings that drift,
resemble their neighbours or are not normal are marked as unfit for any index.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, inf, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.spread.chart_constants import c4, d2, range_dof
from inspect_tui.metrology.spread.checks import normality, order_effects
from inspect_tui.metrology.spread.statistics import finite, from_values
from inspect_tui.metrology.typed.show import MM, Style, count

if TYPE_CHECKING:
    from inspect_tui.metrology.spread.statistics import Values
    from inspect_tui.model.words import Band

FEWEST = 25  # common practice: no capability is claimed of fewer pieces
SETTLED = 100  # ISO 22514-2 asks for 100 and more; below, the answer is called preliminary


@frozen
class Index:
    """An index with the bound it exceeds at the stated one-sided confidence; None where the band has no such side."""

    value: float | None
    lower: float | None


@frozen_by_name
class Capability:
    """How the spread fits the band; all indices are None when too few pieces were measured.

    `fraction_out` is what a normal distribution with the mean and total spread would put outside the band (a
    fraction), `fraction_out_at_most` its bound at the same confidence, `counted_out` the readings seen outside.
    `p_m` counts the distance of the mean from `target`, which need not be in the middle, as spread.
    """

    n: int
    mean: float | None
    s_within: float | None
    dof_within: float
    s_total: float | None
    c_p: Index
    c_pk: Index
    p_p: Index
    p_pk: Index
    p_m: float | None
    fraction_out: float | None
    fraction_out_at_most: float | None
    counted_out: int
    confidence: float
    assumptions: tuple[str, ...]
    holds: bool | None
    sentence: str
    target: float | None = None


NONE = Index(None, None)


def ratio_cp(lower: float, upper: float, s: float) -> float:
    """Width of the band over 6 s. Dimensionless; limits and s in one unit."""
    return (upper - lower) / (6.0 * s)


def ratio_cpk(lower: float | None, upper: float | None, mean: float, s: float) -> float:
    """Distance from the mean to the nearer limit over 3 s; the one limit there is, if the other is open.

    Dimensionless. DataError for a band open on both sides.
    """
    sides = [side for side in (cpk_lower_side(lower, mean, s), cpk_upper_side(upper, mean, s)) if side is not None]
    if not sides:
        raise DataError("the band is open on both sides: there is nothing to be capable of")
    return min(sides)


def cpk_lower_side(lower: float | None, mean: float, s: float) -> float | None:
    """C_pkL: distance from the mean down to the lower limit over 3 s. Dimensionless; None without that limit."""
    return None if lower is None else (mean - lower) / (3.0 * s)


def cpk_upper_side(upper: float | None, mean: float, s: float) -> float | None:
    """C_pkU: distance from the mean up to the upper limit over 3 s. Dimensionless; None without that limit."""
    return None if upper is None else (upper - mean) / (3.0 * s)


def ratio_cpm(lower: float | None, upper: float | None, mean: float, s: float, target: float) -> float | None:
    """Distance from the target to the nearer limit over 3 root(s^2 + (mean - target)^2): C_pm where it is the middle.

    For a target out of the middle Chan, Cheng and Spiring (1988, J. Quality Technology 20) take the nearer limit: a
    wide side is no credit. Dimensionless; None for a target that is not inside the limits.
    """
    rooms = ([] if lower is None else [target - lower]) + ([] if upper is None else [upper - target])
    if not rooms or min(rooms) <= 0.0:
        return None
    return min(rooms) / (3.0 * hypot(s, mean - target))


def cp_bound(cp: float, dof: float, confidence: float) -> float:
    """Limit that C_p exceeds with `confidence`, exact by chi-square (Kane 1986); a small confidence gives the upper.

    Dimensionless.
    """
    from scipy.special import chdtri

    return cp * sqrt(float(chdtri(dof, confidence)) / dof)


def cpk_bound(cpk: float, n: int, confidence: float, dof: float | None = None) -> float:
    """Limit that C_pk exceeds with `confidence`: normal approximation of Bissell (1990), Applied Statistics 39.

    Dimensionless.
    """
    from scipy.special import ndtri

    dof = n - 1 if dof is None else dof
    return cpk - float(ndtri(confidence)) * sqrt(1.0 / (9.0 * n) + cpk * cpk / (2.0 * dof))


def one_sided_bound(cpk: float, n: int, confidence: float) -> float:
    """Exact limit that the index of a band with one side exceeds with `confidence` (noncentral t, s with n - 1).

    Dimensionless.
    """
    from scipy.optimize import brentq
    from scipy.special import nctdtr

    # 3 sqrt(n) * index is noncentral t with noncentrality 3 sqrt(n) * true index; bracketed by the approximation
    scale = 3.0 * sqrt(n)
    near = scale * cpk_bound(cpk, n, confidence)
    reach = 3.0 + 0.5 * abs(near - scale * cpk)

    def miss(nc: float) -> float:
        return float(nctdtr(n - 1, nc, scale * cpk)) - confidence

    return float(brentq(miss, near - reach, near + reach, xtol=1e-11)) / scale


def spread_within(
    values: Values | None = None, subgroups: Sequence[Values] | None = None, how: str = "pooled"
) -> tuple[float, float]:
    """Standard deviation within and its degrees of freedom.

    Subgroups: `pooled` variance, mean `range` / d2 or mean `s` / c4. Single readings in the order of taking: mean
    moving range / d2. Unit of the readings. DataError for another way, or without readings or subgroups.
    """
    import numpy as np

    if subgroups is None:
        if values is None:
            raise DataError("give readings or subgroups")
        a = finite(values, fewest=2)
        # moving ranges overlap: they are worth fewer degrees of freedom than separate ones (Wetherill and Brown 1991)
        return float(np.abs(np.diff(a)).mean()) / d2(2), 0.62 * (a.size - 1)
    groups = [finite(g, fewest=2) for g in subgroups]
    if not groups:
        raise DataError("no subgroups were given")
    dof = sum(g.size - 1 for g in groups)
    if how == "pooled":
        return sqrt(sum(from_values(g).m2 for g in groups) / dof), float(dof)
    if how == "range":
        mean = sum(float(np.ptp(g)) / d2(g.size) for g in groups) / len(groups)
        return mean, sum(range_dof(int(g.size), 1) for g in groups)
    if how == "s":
        mean = sum((from_values(g).s or 0.0) / c4(g.size) for g in groups) / len(groups)
        return mean, sum(c4(int(g.size)) ** 2 / (1.0 - c4(int(g.size)) ** 2) / 2.0 for g in groups)
    raise DataError(f"the spread within is taken by pooled, range or s, not by {how!r}")


def capability(
    values: Values | None,
    band: Band,
    subgroups: Sequence[Values] | None = None,
    how: str = "pooled",
    confidence: float = 0.95,
    style: Style = MM,
    target: float | None = None,
) -> Capability:
    """Capability and performance of readings (in the order of taking) or of subgroups against a band.

    Below 25 pieces no index is given. `confidence` is one-sided. Indices are dimensionless, spreads in the unit of
    the readings. `target` is the size aimed at, the middle of the band where it is None. DataError for a band open on
    both sides. Source: ISO 22514-2.
    """
    import numpy as np
    from scipy.special import ndtr

    if subgroups is not None:
        a = np.concatenate([finite(g) for g in subgroups]) if len(subgroups) else np.empty(0)
    else:
        a = finite(values if values is not None else [])
    lower, upper = band.lower, band.upper
    if lower is None and upper is None:
        raise DataError("the band is open on both sides: there is nothing to be capable of")
    n, whole = int(a.size), from_values(a)
    out = int(((a < (-inf if lower is None else lower)) | (a > (inf if upper is None else upper))).sum())
    assumptions = ("a stable process", "readings taken independently of each other", "normally distributed")
    s_total = whole.s

    def nothing(say: str, within: float | None = None, dof: float = 0.0) -> Capability:
        return Capability(
            n=n,
            mean=whole.mean if n else None,
            s_within=within,
            dof_within=dof,
            s_total=s_total,
            c_p=NONE,
            c_pk=NONE,
            p_p=NONE,
            p_pk=NONE,
            p_m=None,
            fraction_out=None,
            fraction_out_at_most=None,
            counted_out=out,
            confidence=confidence,
            assumptions=assumptions,
            holds=None,
            sentence=say,
        )

    if n < FEWEST:
        seen = f"{out} outside the band" if out else ("all inside the band" if n > 1 else "inside the band")
        say = f"of {count(n, 'piece')} no capability is claimed (at least {FEWEST})"
        return nothing(f"{say}; measured: {seen}" if n else say)
    s_within, dof = spread_within(a if subgroups is None else None, subgroups, how)
    if not s_total or not s_within:
        say = f"all {n} readings are equal within the instrument's step: no spread is seen, so no index is given"
        return nothing(say, s_within, dof)
    both = lower is not None and upper is not None

    def indices(s: float, nu: float) -> tuple[Index, Index]:
        k = ratio_cpk(lower, upper, whole.mean, s)
        if lower is not None and upper is not None:
            p = ratio_cp(lower, upper, s)
            return Index(p, cp_bound(p, nu, confidence)), Index(k, cpk_bound(k, n, confidence, nu))
        exact = nu == n - 1
        return NONE, Index(k, one_sided_bound(k, n, confidence) if exact else cpk_bound(k, n, confidence, nu))

    cp, cpk = indices(s_within, dof)
    pp, ppk = indices(s_total, n - 1)
    tails = [float(ndtr(-3.0 * side)) for side in _sides(lower, upper, whole.mean, s_total)]
    most = float(ndtr(-3.0 * (ppk.lower or 0.0))) * len(tails)
    aim = target
    if aim is None and lower is not None and upper is not None:
        aim = (lower + upper) / 2.0
    p_m = None if aim is None else ratio_cpm(lower, upper, whole.mean, s_total, aim)
    look, order = normality(a, style=style), order_effects(a, style=style)
    against = []
    if order.drifting or order.correlated:
        against.append(order.sentence)
    if look.normal is False:
        against.append(look.sentence)
    say = f"{'C_pk' if both else 'one-sided C_pk'} {style.figure(cpk.value)}, "
    say += f"at least {style.figure(cpk.lower)} with {style.percent(confidence, None)} confidence"
    if n < SETTLED:
        say += f"; of {n} pieces this is preliminary"
    if against:
        say = f"unfit for an index: {'; '.join(against)}. For what it is worth: {say}"
    return Capability(
        n=n,
        mean=whole.mean,
        s_within=s_within,
        dof_within=dof,
        s_total=s_total,
        c_p=cp,
        c_pk=cpk,
        p_p=pp,
        p_pk=ppk,
        p_m=p_m,
        fraction_out=sum(tails),
        fraction_out_at_most=min(1.0, most),
        counted_out=out,
        confidence=confidence,
        assumptions=assumptions,
        holds=not against,
        sentence=say,
        target=aim,
    )


def _sides(lower: float | None, upper: float | None, mean: float, s: float) -> list[float]:
    both = (cpk_lower_side(lower, mean, s), cpk_upper_side(upper, mean, s))
    return [side for side in both if side is not None]
