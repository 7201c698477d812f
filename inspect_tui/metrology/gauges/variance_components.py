"""Standard deviations from mean squares: estimates of variance components with intervals and degrees of freedom.

Intervals by the modified large-sample method: Graybill and Wang (1980) for sums, Ting et al. (1990) where something is
taken off; Burdick and Larsen (1997), J. Quality Technology 29, apply it to gauge studies. Degrees of freedom by
Satterthwaite.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import inf, sqrt

from inspect_tui.frozen import NamedTuple, frozen
from inspect_tui.metrology.spread.intervals import sd_bounds


class Square(NamedTuple):
    """A mean square with its degrees of freedom and the factor it enters a variance with."""

    factor: float
    mean: float
    dof: float


@frozen
class Sd:
    """A standard deviation with its confidence limits and effective degrees of freedom; None where not knowable."""

    value: float | None
    lower: float | None = None
    upper: float | None = None
    dof: float | None = None


UNKNOWN = Sd(None)


def component(squares: Sequence[Square], value: float | None = None, level: float = 0.95) -> Sd:
    """Standard deviation of the variance sum(factor * mean square); `value` overrides the variance (parts set to 0).

    A negative variance counts as 0. The interval always holds the value shown. Unit of the readings, from squares
    in its square.
    """
    variance = max(sum(s.factor * s.mean for s in squares), 0.0) if value is None else value
    used = [s for s in squares if s.factor]
    dof = satterthwaite(used)
    if len(used) == 1:
        low, high = sd_bounds(sqrt(variance), used[0].dof, level)
    else:
        low2, high2 = mls(used, level)
        low, high = sqrt(max(min(low2, variance), 0.0)), sqrt(max(high2, variance))
    return Sd(sqrt(variance), low, high, dof)


def satterthwaite(squares: Sequence[Square]) -> float | None:
    """Effective degrees of freedom of a sum of mean squares; None where something is taken off or nothing varies."""
    if any(s.factor < 0 for s in squares):
        return None
    total = sum(s.factor * s.mean for s in squares)
    spread = sum((s.factor * s.mean) ** 2 / s.dof for s in squares)
    return total * total / spread if spread > 0 else None


def mls(squares: Sequence[Square], level: float = 0.95) -> tuple[float, float]:
    """Two-sided confidence limits of the variance sum(factor * expected mean square); they may be negative.

    In the square of the unit of the readings. Source: Graybill and Wang (1980), Ting et al. (1990).
    """
    from scipy.special import chdtri, fdtri

    tail = (1.0 - level) / 2.0
    plus = [s for s in squares if s.factor > 0]
    minus = [s for s in squares if s.factor < 0]

    def g(dof: float) -> float:
        return 1.0 - dof / float(chdtri(dof, tail))

    def h(dof: float) -> float:
        return dof / float(chdtri(dof, 1.0 - tail)) - 1.0

    def star(a: Square, b: Square, count: int) -> float:
        both = a.dof + b.dof
        whole = g(both) ** 2 * both**2 / (a.dof * b.dof)
        return (whole - g(a.dof) ** 2 * a.dof / b.dof - g(b.dof) ** 2 * b.dof / a.dof) / (count - 1)

    def size(s: Square) -> float:
        return abs(s.factor) * s.mean

    below = sum((g(s.dof) * size(s)) ** 2 for s in plus) + sum((h(s.dof) * size(s)) ** 2 for s in minus)
    above = sum((h(s.dof) * size(s)) ** 2 for s in plus) + sum((g(s.dof) * size(s)) ** 2 for s in minus)
    for a in plus:
        for b in minus:
            f = float(fdtri(a.dof, b.dof, 1.0 - tail))
            below += ((f - 1.0) ** 2 - (g(a.dof) * f) ** 2 - h(b.dof) ** 2) / f * size(a) * size(b)
            f = float(fdtri(a.dof, b.dof, tail))
            above += ((1.0 - f) ** 2 - (h(a.dof) * f) ** 2 - g(b.dof) ** 2) / f * size(a) * size(b)
    if minus:
        below += sum(star(a, b, len(plus)) * size(a) * size(b) for a, b in combinations(plus, 2))
        above += sum(star(a, b, len(minus)) * size(a) * size(b) for a, b in combinations(minus, 2))
    value = sum(s.factor * s.mean for s in squares)
    return value - sqrt(max(below, 0.0)), value + sqrt(max(above, 0.0))


class Ratio(NamedTuple):
    """Ratio of two standard deviations with its interval and the two-sided p-value of their being equal."""

    value: float
    lower: float
    upper: float
    p: float


def sd_ratio(s1: float, dof1: float, s2: float, dof2: float, level: float = 0.95) -> Ratio:
    """s1 / s2 of two independent standard deviations of normal readings, by the F distribution."""
    from scipy.special import fdtr, fdtrc, fdtri

    if s2 <= 0.0:
        return Ratio(inf, 0.0, inf, 0.0 if s1 > 0 else 1.0)
    f = (s1 / s2) ** 2
    p = 2.0 * min(float(fdtr(dof1, dof2, f)), float(fdtrc(dof1, dof2, f)))
    tail = (1.0 - level) / 2.0
    low, high = float(fdtri(dof1, dof2, 1.0 - tail)), float(fdtri(dof1, dof2, tail))
    return Ratio(sqrt(f), sqrt(f / low), sqrt(f / high), min(1.0, p))
