"""From cores left to weeks from today: how many were made since the last count, how many will be, and how surely.

Production scatters from week to week; that scatter, and that of its mean, go into the interval and into the risk. The
cores left have an interval of their own; both are put together as independent normal parts (JCGM 100:2008, 5.1.2).

How often the 95 % interval of the weeks left holds, and that of the weekly rate (`tests/benchmarks/weeks_worlds.py`,
2000 futures each of seed 20261211, never looked at before: one standard error is 0.5 %; a week scatters by 5 to 50 % of
the mean, the cores left are known to 10 %):

                                      weeks     rate
    counted each week for 2 weeks     94.0 %    93.2 %
    3 weeks                           95.2 %    93.3 %
    5 weeks                           95.9 %    94.0 %
    12 weeks                          96.5 %    97.1 %
    a year                            95.7 %    96.8 %
    every other week, 12 weeks        96.9 %    97.4 %
    on any day, 12 weeks              96.7 %    96.2 %
    lots of 100 on any day            94.2 %    96.4 %
    busy weeks follow busy ones, 12   94.5 %    90.0 %
    the same, half a year             94.2 %    92.8 %
    the same, a year                  95.5 %    93.6 %

Busy weeks that follow each other (0.5) twelve weeks cannot show: room is left for them. The interval of the rate is
told nowhere by itself. Of the risks between 0.05 and 0.95, 0.49 in the mean, 0.44 came true.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import hypot, inf, isfinite, sqrt

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.judge._dist import normal_cdf, normal_quantile, t_quantile
from inspect_tui.metrology.wear.cores_left import NO_END

RATE_WEEKS = 12  # cores a week are those of the last so many weeks that were counted
UNKNOWN_SCATTER = (
    0.5  # of one week's production, as a share, where too few weeks were counted; common practice, no source
)
# whether busy weeks follow each other: from so many stretches, of at most so many weeks each, in so many weeks, and the
# most that is believed of it; so many standard errors are allowed for what few weeks cannot show; ours, no source
LEANING_LEAST, LEANING_STEP, LEANING_WEEKS, LEANING_MOST, LEANING_ROOM = 6, 4.0, 52, 0.7, 0.75
OLD_WEEKS = 6.0  # a count older than this is said to be old; ours, no source
LONGEST_WEEKS = 520.0  # ten years: beyond, no date is given
Z95 = normal_quantile(0.975)
Z_NO_END = normal_quantile(NO_END)


@frozen
class Making:
    """Cores made in a week: the mean, its standard uncertainty, and the standard deviation of one week."""

    per_week: float
    u: float
    scatter: float

    def made(self, weeks: float) -> tuple[float, float]:
        """Cores made in so many weeks, and their standard uncertainty."""
        weeks = max(weeks, 0.0)
        return self.per_week * weeks, hypot(self.scatter * sqrt(weeks), self.u * weeks)


def making(days: Sequence[float], made: Sequence[float], weeks: float = RATE_WEEKS) -> Making | None:
    """What is made in a week, from the running count `made` at the end of `days` (ordinals, ascending).

    Over the last so many weeks that were counted; None before two counts a week apart, or where nothing was made. The
    scatter is that of stretches of a week or more, as if weeks were independent; small numbers of them widen it.
    """
    if len(days) < 2 or days[-1] - days[0] < 7:
        return None
    steps = _steps(days, made, weeks)
    span, total = sum(w for w, _ in steps), sum(n for _, n in steps)
    if total <= 0:
        return None
    rate, free = total / span, len(steps) - 1
    if free < 1:
        scatter = UNKNOWN_SCATTER * rate
    else:
        past = [step for step in _steps(days, made, max(LEANING_WEEKS, weeks)) if step[0] <= LEANING_STEP]
        leaning = _leaning(_off(past))
        seen = sqrt(sum(one * one for one in _off(steps)) / free * leaning)
        scatter = min(seen * t_quantile(0.975, free) / Z95, max(UNKNOWN_SCATTER * rate, seen))
    return Making(rate, scatter / sqrt(span), scatter)


def _steps(days: Sequence[float], made: Sequence[float], weeks: float) -> list[tuple[float, float]]:
    """Stretches of a week or more in the last so many weeks that were counted: their weeks, and what was made."""
    since = max(days[-1] - 7 * weeks, days[0])
    ends, counts = [since], [_at(days, made, since)]
    for day, count in zip(days, made, strict=True):
        if day >= ends[-1] + 7 and (day + 7 <= days[-1] or day == days[-1]):
            ends.append(day)
            counts.append(count)
    if ends[-1] != days[-1]:
        ends.append(days[-1])
        counts.append(made[-1])
    return [((b - a) / 7, d - c) for a, b, c, d in zip(ends, ends[1:], counts, counts[1:], strict=False)]


def _off(steps: Sequence[tuple[float, float]]) -> list[float]:
    """How far each stretch lies off the mean rate, in cores of one week's scatter."""
    rate = sum(n for _, n in steps) / sum(w for w, _ in steps) if steps else 0.0
    return [(n - rate * w) / sqrt(w) for w, n in steps]


def _leaning(off: Sequence[float]) -> float:
    """What the variance of a sum is more by, where busy weeks follow busy ones: (1 + r) / (1 - r), 1 without.

    r is the correlation of neighbours, made good for what few of them hide, (1 + 3 r) / n (Kendall 1954; Marriott and
    Pope 1954: from memory), with room for its own standard error, the root of (1 - r^2) / n (Bartlett 1946: from
    memory), and not below 0.
    """
    square, n = sum(one * one for one in off), len(off)
    if n < LEANING_LEAST or square <= 0:
        return 1.0
    r = sum(a * b for a, b in pairwise(off)) / square
    r += (1 + 3 * r) / n
    r = min(max(r + LEANING_ROOM * sqrt(max(1 - r * r, 0.0) / n), 0.0), LEANING_MOST)
    return (1 + r) / (1 - r)


def _at(days: Sequence[float], made: Sequence[float], day: float) -> float:
    for i, here in enumerate(days):
        if here >= day:
            if i == 0 or here == day:
                return made[i]
            return made[i - 1] + (made[i] - made[i - 1]) * (day - days[i - 1]) / (here - days[i - 1])
    return made[-1]


@frozen_by_name
class Ahead:
    """What is left from today: cores and weeks, each as it stands, at worst and at best, and the risk within a horizon.

    `kind` as of `CoresLeft`, but `past` also where the count carried forward reached the limit; `weeks` is then below 0
    by how long ago. None is not known, inf is without end. `made` cores were carried forward over `idle` weeks.
    """

    kind: str
    left: float | None
    low: float
    high: float
    weeks: float | None
    weeks_low: float | None
    weeks_high: float | None
    risk: float | None
    made: float
    idle: float
    per_week: float | None = None

    @property
    def old(self) -> bool:
        """Whether the count is so old that it is to be said."""
        return self.idle > OLD_WEEKS

    @property
    def carried(self) -> bool:
        """Whether the limit was reached only by what was carried forward."""
        return self.kind == "past" and self.weeks is not None and self.weeks < 0


def ahead(
    kind: str,
    left: float | None,
    low: float,
    high: float,
    making: Making | None,
    idle: float = 0.0,
    horizon: float = 4.0,
    known: tuple[float, float] | None = None,
) -> Ahead:
    """What `CoresLeft` says at the last count, carried forward over `idle` weeks to today, and on.

    `known`: a further count and its risk, such as that of four weeks' cores at the last count. Without cores a week
    nothing is carried forward and no week is told.
    """
    if making is None or kind not in ("left", "at least", "past"):
        risk = 1.0 if kind == "past" else None
        return _plain(kind, left, low, high, risk, idle)
    made, u = making.made(idle)
    if kind == "past":
        return Ahead(
            kind=kind,
            left=0.0,
            low=0.0,
            high=max(high - made, 0.0),
            weeks=0.0,
            weeks_low=0.0,
            weeks_high=_weeks(high, 0.0, 1, making, idle),
            risk=1.0,
            made=made,
            idle=idle,
            per_week=making.per_week,
        )
    far, u_far = making.made(idle + horizon)
    risk = _risk(far, u_far, left, low, high, known)
    if left is None and not isfinite(low):
        return replace(_plain(kind, None, inf, inf, 0.0, idle), weeks_low=inf, made=made, per_week=making.per_week)
    if left is None:
        low_left = max(2 * low - hypot(low, Z95 * u) - made, 0.0)
        return Ahead(
            kind=kind,
            left=None,
            low=low_left,
            high=high if not isfinite(high) else max(high - made, 0.0),
            weeks=None,
            weeks_low=_weeks(2 * low, low, -1, making, idle),
            weeks_high=None if not isfinite(high) else _weeks(high, 0.0, 1, making, idle),
            risk=risk,
            made=made,
            idle=idle,
            per_week=making.per_week,
        )
    weeks = left / making.per_week - idle
    now_low = max(left - hypot(left - low, Z95 * u) - made, 0.0)
    now_high = left + hypot(high - left, Z95 * u) - made if isfinite(high) else inf
    passed = left <= made
    return Ahead(
        kind="past" if passed else kind,
        left=max(left - made, 0.0),
        low=now_low,
        high=max(now_high, 0.0),
        weeks=weeks,
        weeks_low=_weeks(left, left - low, -1, making, idle),
        weeks_high=_weeks(left, high - left, 1, making, idle) if isfinite(high) else inf,
        risk=max(risk, 0.5) if passed else risk,
        made=made,
        idle=idle,
        per_week=making.per_week,
    )


def _plain(kind: str, left: float | None, low: float, high: float, risk: float | None, idle: float) -> Ahead:
    return Ahead(
        kind=kind,
        left=left,
        low=low,
        high=high,
        weeks=None,
        weeks_low=None,
        weeks_high=None,
        risk=risk,
        made=0.0,
        idle=idle,
    )


def _weeks(middle: float, half: float, way: int, making: Making, idle: float) -> float:
    """Weeks from today to one end of the interval: half widths of cores and of production added in squares."""
    if not isfinite(middle):
        return inf
    weeks = max(middle + way * half, 0.0) / making.per_week
    for _ in range(12):
        _, u = making.made(weeks)
        weeks = max(middle + way * hypot(half, Z95 * u), 0.0) / making.per_week
    return max(weeks - idle, 0.0)


def _risk(
    count: float, u: float, left: float | None, low: float, high: float, known: tuple[float, float] | None
) -> float:
    """Probability that the limit comes before this count, a count that is uncertain by `u`."""
    z, slope = _z(count, left, low, high, known)
    return normal_cdf(z / sqrt(1.0 + (slope * u) ** 2)) if isfinite(z) else float(z > 0)


def _z(
    count: float, left: float | None, low: float, high: float, known: tuple[float, float] | None
) -> tuple[float, float]:
    """The probability at a count as a normal deviate, and how fast that grows with the count.

    Straight between what is known: 2.5 % at `low` (`NO_END` without an end), a half at `left`, 97.5 % at `high`.
    """
    if left is None:
        if known is not None and 0 < known[1] < 1 and (low <= 0 or known[0] < low):
            at, z = known[0], normal_quantile(known[1])
        else:
            at, z = low, Z_NO_END
        if count <= 0 or at <= 0:
            return (-inf if at > 0 else z), 0.0
        return z * at / count, -z * at / count**2
    points = [(low, -Z95)] if low > 0 else []
    points.append((left, 0.0))
    if isfinite(high):
        points.append((high, Z95))
    if known is not None and 1e-12 < known[1] < 1 - 1e-12:
        points.append((known[0], normal_quantile(known[1])))
    points = sorted(set(points))
    points = [p for i, p in enumerate(points) if all(p[1] > q[1] and p[0] > q[0] for q in points[:i])] or points[:1]
    if len(points) == 1:
        at, z = points[0]
        slope = Z95 / max(at, 1e-9)
        return z + slope * (count - at), slope
    if count > points[-1][0] and not isfinite(high):
        at, z = points[-1]
        return z + (Z95 - z) * (1 - at / count), (Z95 - z) * at / count**2
    for (a, za), (b, zb) in pairwise(points):
        if count <= b or b == points[-1][0]:
            slope = (zb - za) / (b - a)
            return za + slope * (count - a), slope
    return points[-1][1], 0.0
