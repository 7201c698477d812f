"""The wear line: size against cores made since the last repair, one rate or one for each repair as the readings ask.

size = level after each repair + rate x cores since it + noise. A cavity grows, a pattern loses: which way is wear
follows from the ends. Where no wear can be seen the answer is "at least so many left", never a date.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, hypot, log, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail, t_cdf, t_quantile
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HUBER = 1.345  # 95 % efficiency for normal noise (Huber 1981)
APART = 0.05  # rates are shown apart when a shared one scatters more than this level of the F test allows
RATE_SCATTER = 0.5  # how far rates of one box differ before and after a repair, as a share; common practice, no source
DIRECTION = {"space": 1, "metal": -1, "face": 0}  # what wear does to a size by its sense on the tool


@frozen_by_name
class WearLine:
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
        """Probability that the rate has this sign. `direction` is +1 or -1."""
        if self.rate.u <= 0:
            return float(self.rate.value * direction > 0)
        return t_cdf(direction * self.rate.value / self.rate.u, self.dof)


@frozen_by_name
class WearFit:
    """A wear line and what it rests on. `line` is the one shown, `lines` all that the readings leave open, weighted.

    `rates` are per segment (equal when `shared`), `p_shared` is the F test's p-value (1 when only one segment has a
    rate), `afters` the size just after each repair (first: when new), `flagged` the readings too far off to be
    believed, `reach` the largest count measured since the last repair, `sd` the noise of one reading.
    """

    line: WearLine
    lines: tuple[WearLine, ...]
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
    cores: Sequence[float],
    sizes: Sequence[float],
    segments: Sequence[int] | None = None,
    direction: int = 1,
    current: int | None = None,
    u_reading: float = 0.0,
) -> WearFit:
    """Fit the wear line. `cores` since the last repair, `sizes` mm, `segments` 0, 1, 2 ... as repairs cut them.

    Readings that lie far off a Huber fit are flagged and left out of the line (they stay on the chart). One rate for
    all segments unless the F test asks for one each. `direction` +1 grows, -1 shrinks, 0 either; `current` is the
    segment now in force (the last with readings, unless a later repair has none yet). `u_reading` is what a reading is
    uncertain by at best (mm, such as resolution / sqrt(12)): the noise is never taken for less.

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
    shared_fit = _least_squares(*_design(x, seg, keep, apart=False), y[keep], u_reading)
    own = _with_rate(x, seg, keep)
    flags = tuple(int(k) for k in np.flatnonzero(flagged))
    if len(own) < 2:
        # where a rate was seen before the repair only, the repair may have left it or not
        known = last in own or not own
        open_ways = [(shared_fit, 1.0, False)] if known else [(shared_fit, 0.5, free) for free in (False, True)]
        return _result(open_ways, x, seg, keep, flags, last, own, 1.0, direction)
    apart_fit = _least_squares(*_design(x, seg, keep, apart=True), y[keep], u_reading)
    extra, p_shared = len(own) - 1, 1.0
    if apart_fit.dof > 0 and apart_fit.rss > 0:
        ratio = (shared_fit.rss - apart_fit.rss) / extra / (apart_fit.rss / apart_fit.dof)
        p_shared = f_tail(ratio, extra, apart_fit.dof)
    weight = _p_one_rate(shared_fit, apart_fit, own)
    ways = [(shared_fit, weight, False), (apart_fit, 1.0 - weight, True)]
    return _result(ways[::-1] if p_shared < APART else ways, x, seg, keep, flags, last, own, p_shared, direction)


def _p_one_rate(shared: _Solved, apart: _Solved, own: Sequence[int]) -> float:
    """Probability that all segments wear at one rate, against rates that scatter by `RATE_SCATTER` of it.

    Even odds beforehand. A test that sees no difference has not shown that there is none: the forecast has to leave
    both open (with the tested one alone, simulated intervals covered 91 instead of 95 %).
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

    def __init__(
        self, columns: dict[tuple[str, int], int], beta: Any, cov: Any, rss: float, dof: int, sd: float
    ) -> None:
        self.columns, self.beta, self.cov, self.rss, self.dof, self.sd = columns, beta, cov, rss, dof, sd


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


def _least_squares(
    matrix: NDArray[np.float64], columns: dict[tuple[str, int], int], y: NDArray[np.float64], u_reading: float = 0.0
) -> _Solved:
    import numpy as np

    # levels sit at the middles of their segments, so the normal equations are nearly diagonal and well conditioned
    scale = np.maximum(np.abs(matrix).max(axis=0), 1e-300)
    m = matrix / scale
    inverse = np.linalg.pinv(m.T @ m)
    beta = inverse @ (m.T @ y)
    rest = y - m @ beta
    rss, dof = float(rest @ rest), len(y) - matrix.shape[1]
    variance = max(rss / dof if dof > 0 else 0.0, u_reading**2)
    cov = inverse * variance / np.outer(scale, scale)
    return _Solved(columns, beta / scale, cov, rss, dof, sqrt(variance))


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
    ways: Sequence[tuple[_Solved, float, bool]],
    x: NDArray[np.float64],
    seg: NDArray[np.int_],
    keep: NDArray[np.bool_],
    flagged: tuple[int, ...],
    last: int,
    own: Sequence[int],
    p_shared: float,
    direction: int,
) -> WearFit:
    """The ways that are open, the first to be shown: fit, its probability, whether each segment has its own rate."""
    import numpy as np

    fit, _, apart = ways[0]
    groups = [int(s) for s in np.unique(seg[keep])]
    middle = {s: float(x[keep & (seg == s)].mean()) for s in groups}
    afters: list[Estimate | None] = [None] * (max([*groups, last]) + 1)
    rates: list[float | None] = [None] * len(afters)
    for s in groups:
        line = _line(fit, s, middle[s], own, 1.0, apart)
        rates[s], afters[s] = line.rate.value, line.at(0.0)
    return WearFit(
        line=_line(fit, last, middle[last], own, 1.0, apart),
        lines=tuple(_line(f, last, middle[last], own, w, free) for f, w, free in ways if w > 1e-6),
        reach=float(x[seg == last].max()),
        sd=fit.sd,
        dof=float(fit.dof),
        n=len(x),
        shared=not apart,
        p_shared=p_shared,
        rates=tuple(rates),
        afters=tuple(afters),
        flagged=flagged,
        direction=direction,
        borrowed=bool(own) and last not in own,
    )


def _line(fit: _Solved, s: int, centre: float, own: Sequence[int], weight: float, free: bool) -> WearLine:
    """The line of one segment; `free` says that its rate is its own even where it has too few readings to show it."""
    i = fit.columns["level", s]
    level, dof = Estimate(float(fit.beta[i]), sqrt(max(float(fit.cov[i, i]), 0.0))), float(max(fit.dof, 1))
    j = fit.columns.get(("rate", s)) if free else None
    if j is None and not free:
        j = fit.columns[("rate", -1)]
    if j is not None:
        rate = Estimate(float(fit.beta[j]), sqrt(max(float(fit.cov[j, j]), 0.0)))
        return WearLine(level=level, rate=rate, cov=float(fit.cov[i, j]), centre=centre, dof=dof, weight=weight)
    # what the earlier segments did, and how far rates of one box are apart
    at = [fit.columns.get(("rate", e), fit.columns.get(("rate", -1))) for e in own]
    earlier = [(float(fit.beta[k]), float(fit.cov[k, k])) for k in at if k is not None]
    mean = sum(r for r, _ in earlier) / len(earlier)
    known = sum(v for _, v in earlier) / len(earlier) ** 2
    scatter = RATE_SCATTER * abs(mean)
    if len(earlier) > 2:
        scatter = sqrt(sum((r - mean) ** 2 for r, _ in earlier) / (len(earlier) - 1))
    return WearLine(
        level=level, rate=Estimate(mean, hypot(scatter, sqrt(known))), cov=0.0, centre=centre, dof=dof, weight=weight
    )
