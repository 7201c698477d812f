"""Wear: size against cores made since the last repair, and how many cores are left before a limit.

size = level after each repair + rate x cores since it + noise. A cavity grows, a pattern loses: which way is wear
follows from the ends. Where no wear can be seen the answer is "at least so many left", never a date.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, inf, isfinite, log, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.metrology.uncertainty import f_tail, t_cdf, t_quantile
from inspect_tui.model import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HUBER = 1.345  # 95 % efficiency for normal noise (Huber 1981)
RATE_SCATTER = 0.5  # how far the rates of one box may differ before and after a repair; common practice, no source
APART = 0.05  # rates are kept apart when a shared one would scatter more, at this level of the F test
DIRECTION = {"space": 1, "metal": -1, "face": 0}  # what wear does to a size by its sense on the tool


@dataclass(frozen=True, slots=True)
class Line:
    """One way to read the readings since the last repair: size = level + rate x (cores - `centre`), with covariance.

    `weight` is the probability of this reading: with one rate for all segments, or with one of its own.
    """

    level: Estimate
    rate: Estimate
    cov: float
    centre: float
    dof: float
    weight: float = 1.0

    def at(self, cores: float) -> Estimate:
        """Size after so many cores since the last repair: of the line, without a reading's noise (mm)."""
        d = cores - self.centre
        variance = self.level.u**2 + 2 * d * self.cov + (d * self.rate.u) ** 2
        return Estimate(self.level.value + self.rate.value * d, sqrt(max(variance, 0.0)))

    def p_beyond(self, cores: float, limit: float, direction: int) -> float:
        """Probability that the line is at or beyond the limit after so many cores."""
        e = self.at(cores)
        gap = direction * (e.value - limit)
        return t_cdf(gap / e.u, self.dof) if e.u > 0 else float(gap >= 0)

    def p_moves(self, direction: int) -> float:
        """Probability that the rate has this sign."""
        if self.rate.u <= 0:
            return float(self.rate.value * direction > 0)
        return t_cdf(direction * self.rate.value / self.rate.u, self.dof)


@dataclass(frozen=True, slots=True)
class WearFit:
    """A wear line and what it rests on. `line` is the one shown, `lines` all that the readings leave open, weighted.

    `rates` are per segment (equal when `shared`), `p_shared` is the F test's p-value (1 when only one segment has a
    rate), `afters` the size just after each repair (first: when new), `flagged` the readings too far off to be
    believed, `reach` the largest count measured since the last repair, `sd` the noise of one reading.
    """

    line: Line
    lines: tuple[Line, ...]
    reach: float
    sd: float
    dof: float
    n: int
    shared: bool
    p_shared: float
    rates: tuple[float | None, ...]
    afters: tuple[Estimate | None, ...]
    flagged: tuple[int, ...]
    direction: int
    borrowed: bool = False  # too few readings since the repair for a rate of its own: the earlier ones' mean

    @property
    def rate(self) -> Estimate:
        """Wear per core (mm, signed) and its standard uncertainty."""
        return self.line.rate

    @property
    def toward(self) -> int:
        """The way it wears: as said, or as the line goes."""
        return self.direction or (1 if self.line.rate.value >= 0 else -1)

    def at(self, cores: float) -> Estimate:
        """Size after so many cores since the last repair, by the line shown (mm)."""
        return self.line.at(cores)

    def p_beyond(self, cores: float, limit: float) -> float:
        """Probability that the tool is at or beyond the limit after so many cores since the last repair."""
        return sum(line.weight * line.p_beyond(cores, limit, self.toward) for line in self.lines)

    @property
    def seen(self) -> bool:
        """Whether the size clearly moves the way wear does (two-sided 95 %)."""
        return sum(line.weight * line.p_moves(self.toward) for line in self.lines) > 0.975

    @property
    def backward(self) -> bool:
        """Whether it clearly moves the other way: a repair nobody logged, a new box, or something that builds up."""
        return bool(self.direction) and sum(line.weight * line.p_moves(-self.toward) for line in self.lines) > 0.975


@dataclass(frozen=True, slots=True)
class CoresLeft:
    """Cores left before the wear line reaches the limit, with a 95 % interval; `high` is inf without clear wear.

    `left` None: no forecast (no wear seen, or no way to have one). `kind`: left, at least, past, backward, unknown.
    """

    left: float | None
    low: float
    high: float
    limit: float | None
    now: float
    kind: str
    sentence: str


def since_repair(counts: Sequence[float], repairs: Sequence[float]) -> tuple[list[float], list[int]]:
    """Cores since the last repair, and which segment each reading falls in; a reading at a repair's count is before it.

    `counts` and `repairs` are the tool's running count. Raises DataError for a count or repair below 0.
    """
    marks = sorted(repairs)
    if any(c < 0 for c in counts) or any(m < 0 for m in marks):
        raise DataError("a count of cores cannot be below 0")
    segments = [sum(m < c for m in marks) for c in counts]
    return [c - (marks[s - 1] if s else 0.0) for c, s in zip(counts, segments, strict=True)], segments


def fit_wear(
    cores: Sequence[float], sizes: Sequence[float], segments: Sequence[int] | None = None, direction: int = 1,
    current: int | None = None,
) -> WearFit:
    """Fit the wear line. `cores` since the last repair, `sizes` mm, `segments` 0, 1, 2 ... as repairs cut them.

    Readings that lie far off a Huber fit are flagged and left out of the line (they stay on the chart). One rate for
    all segments unless the F test asks for one each. `direction` +1 grows, -1 shrinks, 0 either; `current` is the
    segment now in force (the last with readings, unless a later repair has none yet).

    Raises DataError with fewer than 3 readings, all at one count, or none since the last repair.
    Source: linear regression; Huber (1981) for the weights; F test for equal slopes as in analysis of covariance.
    """
    import numpy as np

    x, y = np.asarray(cores, dtype=float), np.asarray(sizes, dtype=float)
    seg = np.zeros(len(x), dtype=int) if segments is None else np.asarray(segments, dtype=int)
    if not len(x) == len(y) == len(seg):
        raise DataError("counts, sizes and segments must be equally many")
    if not (np.isfinite(x).all() and np.isfinite(y).all()):
        raise DataError("a count or a size is missing: leave readings without counts out")
    if len(x) < 3 or np.ptp(x) <= 0:
        raise DataError(f"wear needs at least 3 readings at different counts; there are {len(x)}")
    last = int(seg.max()) if current is None else current
    if not (seg == last).any():
        raise DataError("nothing was measured since the last repair: measure the box once to start its line again")

    flagged = _flag(x, y, seg)
    keep = ~flagged
    if not (keep & (seg == last)).any():  # never throw away all that is known of the line in force
        flagged[seg == last] = False
        keep = ~flagged
    shared_fit = _least_squares(*_design(x, seg, keep, apart=False), y[keep])
    own = _with_rate(x, seg, keep)
    if len(own) < 2:
        return _result([(shared_fit, 1.0)], x, seg, keep, flagged, last, own, False, 1.0, direction)
    apart_fit = _least_squares(*_design(x, seg, keep, apart=True), y[keep])
    extra, p_shared = len(own) - 1, 1.0
    if apart_fit.dof > 0 and apart_fit.rss > 0:
        ratio = (shared_fit.rss - apart_fit.rss) / extra / (apart_fit.rss / apart_fit.dof)
        p_shared = f_tail(ratio, extra, apart_fit.dof)
    apart = p_shared < APART
    weight = _p_one_rate(shared_fit, apart_fit, own)
    both = [(shared_fit, weight), (apart_fit, 1.0 - weight)]
    return _result(both[::-1] if apart else both, x, seg, keep, flagged, last, own, apart, p_shared, direction)


def _p_one_rate(shared: _Solved, apart: _Solved, own: Sequence[int]) -> float:
    """Probability that all segments wear at one rate, against rates that scatter by `RATE_SCATTER` of it; even odds before.

    A test that sees no difference has not shown that there is none: the forecast has to leave both open.
    """
    at = [apart.columns["rate", s] for s in own]
    rates, variances = [float(apart.beta[i]) for i in at], [float(apart.cov[i, i]) for i in at]
    scatter = (RATE_SCATTER * float(shared.beta[shared.columns["rate", -1]])) ** 2
    if min(variances) <= 0:
        return 0.5

    def evidence(between: float) -> float:
        weights = [1 / (v + between) for v in variances]
        mean = sum(w * r for w, r in zip(weights, rates, strict=True)) / sum(weights)
        misfit = sum(w * (r - mean) ** 2 for w, r in zip(weights, rates, strict=True))
        return 0.5 * (sum(log(w) for w in weights) - log(sum(weights)) - misfit)

    odds = evidence(0.0) - evidence(scatter)
    return 1 / (1 + exp(-odds)) if odds > -500 else 0.0


class _Solved:
    """Least squares with its covariance; a plain holder."""

    def __init__(self, columns: dict[tuple[str, int], int], beta: Any, cov: Any, rss: float, dof: int) -> None:
        self.columns, self.beta, self.cov, self.rss, self.dof = columns, beta, cov, rss, dof


def _with_rate(x: NDArray[np.float64], seg: NDArray[np.int_], keep: NDArray[np.bool_]) -> list[int]:
    """Segments that can have a rate of their own: three kept readings at different counts."""
    import numpy as np

    return [int(s) for s in np.unique(seg[keep]) if (keep & (seg == s)).sum() > 2 and np.ptp(x[keep & (seg == s)]) > 0]


def _design(
    x: NDArray[np.float64], seg: NDArray[np.int_], keep: NDArray[np.bool_], apart: bool
) -> tuple[NDArray[np.float64], dict[tuple[str, int], int]]:
    """A level column for each segment (at its middle), then one rate or one for each; short segments take no rate."""
    import numpy as np

    xs, ss = x[keep], seg[keep]
    groups = [int(s) for s in np.unique(ss)]
    own = _with_rate(x, seg, keep) if apart else []
    columns: dict[tuple[str, int], int] = {("level", s): i for i, s in enumerate(groups)}
    for s in own or [-1]:
        columns["rate", s] = len(columns)
    matrix = np.zeros((len(xs), len(columns)))
    for s in groups:
        rows = ss == s
        matrix[rows, columns["level", s]] = 1.0
        rate = columns.get(("rate", s), columns.get(("rate", -1)))
        if rate is not None:
            matrix[rows, rate] = xs[rows] - xs[rows].mean()
    return matrix, columns


def _least_squares(matrix: NDArray[np.float64], columns: dict[tuple[str, int], int], y: NDArray[np.float64]) -> _Solved:
    import numpy as np

    # levels sit at the middles of their segments, so the normal equations are nearly diagonal and safe to solve
    scale = np.maximum(np.abs(matrix).max(axis=0), 1e-300)
    m = matrix / scale
    inverse = np.linalg.pinv(m.T @ m)
    beta = inverse @ (m.T @ y)
    rest = y - m @ beta
    rss, dof = float(rest @ rest), len(y) - matrix.shape[1]
    variance = rss / dof if dof > 0 else 0.0
    return _Solved(columns, beta / scale, inverse * variance / np.outer(scale, scale), rss, dof)


def _flag(x: NDArray[np.float64], y: NDArray[np.float64], seg: NDArray[np.int_]) -> NDArray[np.bool_]:
    """Readings too far from a Huber line to be noise of this box: about one clean box in twenty loses one."""
    import numpy as np

    everything = np.ones(len(x), dtype=bool)
    matrix, columns = _design(x, seg, everything, apart=len(_with_rate(x, seg, everything)) > 1)
    weight, spread, p = np.ones(len(y)), 0.0, matrix.shape[1]
    if len(y) - p < 4:
        return np.zeros(len(y), dtype=bool)  # too few to call one of them wrong
    rest = y
    for _ in range(30):
        fit = _least_squares(matrix * np.sqrt(weight)[:, None], columns, y * np.sqrt(weight))
        rest = y - matrix @ fit.beta
        new = 1.4826 * float(np.median(np.abs(rest))) * sqrt(len(y) / (len(y) - p))
        if new <= 0:
            return np.zeros(len(y), dtype=bool)
        weight = np.minimum(1.0, HUBER * new / np.maximum(np.abs(rest), 1e-300))
        if abs(new - spread) < 1e-4 * new:
            break
        spread = new
    far = t_quantile(1.0 - 0.025 / len(y), len(y) - p)
    return np.asarray(np.abs(rest) > max(far, 3.5) * new)


def _result(
    fits: list[tuple[_Solved, float]], x: NDArray[np.float64], seg: NDArray[np.int_], keep: NDArray[np.bool_],
    flagged: NDArray[np.bool_], last: int, own: list[int], apart: bool, p_shared: float, direction: int,
) -> WearFit:
    import numpy as np

    fit = fits[0][0]
    groups = [int(s) for s in np.unique(seg[keep])]
    afters: list[Estimate | None] = [None] * (max([*groups, last]) + 1)
    rates: list[float | None] = [None] * len(afters)
    for s in groups:
        line = _line(fit, s, float(x[keep & (seg == s)].mean()), own, 1.0)
        rates[s], afters[s] = line.rate.value, line.at(0.0)
    middle = float(x[keep & (seg == last)].mean())
    lines = tuple(_line(f, last, middle, own, w) for f, w in fits if w > 1e-6)
    borrowed = ("rate", last) not in fit.columns and ("rate", -1) not in fit.columns
    return WearFit(
        _line(fit, last, middle, own, 1.0), lines, float(x[seg == last].max()),
        sqrt(fit.rss / fit.dof) if fit.dof > 0 else 0.0, float(fit.dof), len(x), not apart, p_shared,
        tuple(rates), tuple(afters), tuple(int(k) for k in np.flatnonzero(flagged)), direction, borrowed,
    )


def _line(fit: _Solved, s: int, centre: float, own: Sequence[int], weight: float) -> Line:
    i = fit.columns["level", s]
    j = fit.columns.get(("rate", s), fit.columns.get(("rate", -1)))
    level, dof = Estimate(float(fit.beta[i]), sqrt(max(float(fit.cov[i, i]), 0.0))), float(max(fit.dof, 1))
    if j is not None:
        rate = Estimate(float(fit.beta[j]), sqrt(max(float(fit.cov[j, j]), 0.0)))
        return Line(level, rate, float(fit.cov[i, j]), centre, dof, weight)
    # rates differ and this segment has none yet: what the earlier ones did, and how much they differ
    earlier = [float(fit.beta[fit.columns["rate", e]]) for e in own]
    mean = sum(earlier) / len(earlier)
    scatter = sqrt(sum((e - mean) ** 2 for e in earlier) / max(len(earlier) - 1, 1))
    return Line(level, Estimate(mean, scatter * sqrt(1 + 1 / len(earlier))), 0.0, centre, max(len(earlier) - 1.0, 1.0), weight)


def cores_left(fit: WearFit, lower: float | None, upper: float | None, now: float | None = None) -> CoresLeft:
    """Cores left before the line reaches the limit on the side to which it wears, with a 95 % interval.

    `now` is the count since the last repair (the last reading's, unless more cores were made since). The interval is
    of the line, not of single cores: low where it is beyond the limit with 2.5 % probability, high where with 97.5 %,
    which never comes while the rate may be 0. With one line left open this is Fieller's interval (1954).
    """
    now = fit.reach if now is None else now
    limit = upper if fit.toward > 0 else lower
    made = f"{_count(max(fit.reach, now))} cores"
    if limit is None:
        return CoresLeft(None, 0.0, inf, None, now, "unknown", "no limit on the side to which it wears")
    if fit.dof < 1 or (fit.sd == 0 and fit.n - len(fit.flagged) < 4):
        return CoresLeft(None, 0.0, inf, limit, now, "unknown", f"too few readings in {made} to say how many are left")
    low, high = (max(_reach(fit, limit, p, now) - now, 0.0) for p in (0.025, 0.975))
    here = fit.at(now)
    if fit.backward:
        text = f"moves against wear ({fit.rate.value * 1000:+.3f} mm per 1000 cores): a repair not logged, or a build-up"
        return CoresLeft(None, low, inf, limit, now, "backward", text)
    if fit.toward * (here.value - limit) >= 0:
        sure = "" if high <= 0 else ", though not surely"
        text = f"at its limit or past it{sure}: {here.value:.2f} of {limit:.2f} mm"
        return CoresLeft(0.0, 0.0, high, limit, now, "past", text)
    if not fit.seen:
        text = f"no wear seen in {made}, at least {_count(low)} left"
        return CoresLeft(None, low, high, limit, now, "at least", text)
    left = (limit - here.value) / fit.rate.value
    bound = f"{_count(low)} to {_count(high)}" if isfinite(high) else f"at least {_count(low)}"
    text = f"{_count(left)} cores left ({bound}), wearing {abs(fit.rate.value) * 1000:.3f} mm per 1000"
    return CoresLeft(left, low, high, limit, now, "left", text)


def _reach(fit: WearFit, limit: float, p: float, now: float) -> float:
    """The first count from `now` on at which the line is at or beyond the limit with probability `p`; inf if never.

    Each line alone gives a quadratic; with several the answer lies between theirs.
    """
    ends = [_reach_line(line, limit, fit.toward, p, now) for line in fit.lines]
    near, far = min(ends), max(ends)
    if near == far or near == inf:
        return near
    if far == inf:
        far = max(2 * near, 1.0)
        while fit.p_beyond(far, limit) < p:
            near, far = far, far * 4
            if far > 1e9:
                return inf
    for _ in range(60):
        middle = (near + far) / 2
        if fit.p_beyond(middle, limit) < p:
            near = middle
        else:
            far = middle
        if far - near < 1e-6 * far:
            break
    return far


def _reach_line(line: Line, limit: float, direction: int, p: float, now: float) -> float:
    if line.p_beyond(now, limit, direction) >= p:
        return now
    t = t_quantile(p, line.dof)  # beyond with probability p: line - limit = t x its u, in the direction of wear
    # squared, a quadratic in the count: its roots are where either edge of the band crosses the limit
    gap = line.level.value - limit
    qa = line.rate.value**2 - (t * line.rate.u) ** 2
    qb, qc = 2 * (line.rate.value * gap - t * t * line.cov), gap * gap - (t * line.level.u) ** 2
    disc = qb * qb - 4 * qa * qc
    if disc < 0:
        return inf
    q = -0.5 * (qb + (1 if qb >= 0 else -1) * sqrt(disc))
    roots = [line.centre + r for r in ([q / qa] if qa else []) + ([qc / q] if q else [])]
    # of the two edges only the one on this side of the line counts: the other has the opposite sign of t
    slack = 1e-9 * max(abs(gap), line.level.u, 1e-9)
    ahead = [r for r in roots if r > now and (direction * (line.at(r).value - limit)) * t >= -slack * abs(t)]
    return min(ahead, default=inf)


def _count(cores: float) -> str:
    """A count as people say it: two or three figures are all that is known."""
    if not isfinite(cores):
        return "no end"
    step = 10 ** max(len(str(int(abs(cores)))) - 2, 0)
    return f"{round(cores / step) * step:,.0f}".replace(",", " ")
