"""The wear line: size against cores made since the last repair, by all the ways that the readings leave open.

size = level after each repair + rate x clock of the cores since it + noise (`ways`). A cavity grows, a pattern loses:
which way is wear follows from the ends. Where no wear can be seen the answer is "at least so many left", never a date.

How often the 95 % interval for the cores left holds, in simulated boxes looked at after 40 to 80 % of their life
(`tests/benchmarks/wear_worlds.py`, 600 boxes each of seed 20261205, never looked at before the odds were settled: one
standard error is 0.9 % at 95 %, 0.6 % at 98 %; noise 7 to 20 % of the growth to the limit, 15 to 60 visits). Few
readings show whether wear stays straight, begins at nothing or all but stops: the answer then says that it cannot tell,
gives the interval that leaves it open, and beside it that of the straight lines, which holds if wear does go straight
on; of fewer than 13 visits, if besides no reading leans on the one before, which so few cannot tell either. Without an
end it is said that at least so many are left, which claims 97.5 %, in the share of boxes that stands under "said".
Rates of bent wear are from new to the limit, as shares of the mean.

                               cannot  straight  left open  no end  at least
                               tell    holds     holds      said    holds
    straight                    99 %      95.9 %    98.5 %       2 %    100.0 %
    3 visits                     0 %                           100 %     98.0 %
    4 visits                     0 %      94.4 %                13 %    100.0 %
    6 visits                   100 %      95.6 %    99.0 %      12 %    100.0 %
    10 visits                  100 %      93.1 %    99.6 %       6 %    100.0 %
    repeats, day effects       100 %      97.1 %    97.9 %      14 %    100.0 %
    lag 0.3                     98 %      96.0 %    98.9 %       9 %    100.0 %
    lag 0.6                     93 %      94.8 %    97.8 %      22 %    100.0 %
    lag 0.8                     96 %      94.4 %    97.1 %      20 %    100.0 %
    swing, two years            97 %      96.9 %    98.4 %       9 %    100.0 %
    swing, one year             96 %      94.7 %    97.2 %      12 %    100.0 %
    swing known, half a year    90 %      95.9 %    99.3 %      51 %    100.0 %
    a good reading flagged      96 %      94.8 %    98.0 %      17 %    100.0 %
    a slip flagged              97 %      93.4 %    98.5 %      24 %    100.0 %
    speeds up, 0.7 to 1.3      100 %                97.8 %       4 %    100.0 %
    speeds up, 0.4 to 1.6       99 %                97.0 %       6 %    100.0 %
    speeds up, 0 to 2           99 %                97.4 %      16 %    100.0 %
    slows down, 1.3 to 0.7      99 %                96.3 %       2 %    100.0 %
    slows down, 1.6 to 0.4      98 %                95.0 %       2 %    100.0 %
    wear-in, then steady        98 %                99.0 %       3 %    100.0 %
    late                       100 %                82.2 %      42 %     94.5 %
    late, 11 visits            100 %                95.1 %      86 %     99.4 %
    a small jump, 11 visits     89 %                99.7 %      51 %    100.0 %

"Straight holds" is of straight wear with an end: 93 to 97 %; repeats with day effects, once more over 1,200 boxes of
seed 20261212, 96.2 %. Where it is left open the interval holds more often than
it claims, since it leaves room for all of these at once; and it holds less for wear that goes with the third power of
the count ("late"), of which nothing can be seen in time: in those boxes, too, the answer says that it cannot tell. "At
least" mostly holds more often than it claims: where no end is seen, the doubt is wide. Wear is said to bend only beyond
doubt: in five of these 13,800 boxes.

Of 3 and 4 visits only straight lines are tried; of 3 no end is said, since one difference alone tells the noise. A
swing with the season over less than a year is told from wear only where its size is known: that of the temperature is
(the material's expansion), that of wood is said to be open.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.judge._dist import f_tail, t_quantile
from inspect_tui.metrology.judge.t_table import t_probability
from inspect_tui.metrology.wear.clock import STRAIGHT, Clock
from inspect_tui.metrology.wear.ways import ALONE, Readings, Way, ways
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

HUBER = 1.345  # 95 % efficiency for normal noise (Huber 1981)
APART = 0.05  # rates are shown apart when a shared one scatters more than this level of the F test allows
# probability from which wear is said to speed up or to slow down: what barely shows was picked with its noise, and its
# interval is then too sure, so that nothing short of no doubt will do
BENT = 0.9999
JUDGE_ONE = 6  # degrees of freedom from which a reading is called too far off to be believed; ours, by simulation
LEANS = 0.9  # probability from which readings are said to lean on the ones before
BLOCKS = 600  # beyond so many readings, neighbours are taken together
DIRECTION = {"space": 1, "metal": -1, "face": 0}  # what wear does to a size by its sense on the tool


@frozen_by_name
class WearLine:
    """One way to read the readings: size = level + rate x (clock of the cores since the repair - `centre`).

    With the covariance of the two, the degrees of freedom, and the `weight`: the probability of this way.
    """

    level: Estimate
    rate: Estimate
    cov: float
    centre: float
    dof: float
    weight: float = 1.0
    clock: Clock = Clock()
    lag: float = 0.0
    season: bool = False

    def at(self, cores: float) -> Estimate:
        """Size after so many cores since the last repair: of the line, without a reading's noise (mm)."""
        return self.shown(self.clock.reads(cores))

    def shown(self, clock: float) -> Estimate:
        """The same, in mm, when the clock shows this much."""
        d = clock - self.centre
        variance = self.level.u**2 + 2 * d * self.cov + (d * self.rate.u) ** 2
        return Estimate(self.level.value + self.rate.value * d, sqrt(max(variance, 0.0)))

    def rate_at(self, cores: float) -> float:
        """Wear per core there (mm, signed)."""
        return self.rate.value * self.clock.rate(cores)

    def p_beyond(self, cores: float, limit: float, direction: int) -> float:
        """Probability that the line is at or beyond the limit after so many cores."""
        e = self.at(cores)
        gap = direction * (e.value - limit)
        return t_probability(gap / e.u, self.dof) if e.u > 0 else float(gap >= 0)

    def p_moves(self, direction: int) -> float:
        """Probability that the rate has this sign. `direction` is +1 or -1."""
        if self.rate.u <= 0:
            return float(self.rate.value * direction > 0)
        return t_probability(direction * self.rate.value / self.rate.u, self.dof)


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
        """Wear per core (mm, signed) in the mean of the readings; its standard uncertainty is of all that is open."""
        return _open([line.rate for line in self.like_shown], [line.weight for line in self.like_shown], self.line.rate)

    @property
    def like_shown(self) -> tuple[WearLine, ...]:
        """The lines that go as the one shown does: straight, or not."""
        straight = self.line.clock.kind == STRAIGHT
        return tuple(line for line in self.lines if (line.clock.kind == STRAIGHT) == straight)

    @property
    def rate_now(self) -> float:
        """Wear per core at the last reading (mm, signed)."""
        return self.line.rate_at(self.reach)

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

    @property
    def p_straight(self) -> float:
        """Probability that wear goes straight with the cores made."""
        return sum(line.weight for line in self.lines if line.clock.kind == STRAIGHT)

    @property
    def bent(self) -> str:
        """`speeds up`, `slows down`, or empty where the readings do not show that it does."""
        faster = sum(line.weight for line in self.lines if line.clock.speeds_up)
        slower = sum(line.weight for line in self.lines if line.clock.slows)
        return "speeds up" if faster > BENT else "slows down" if slower > BENT else ""

    @property
    def lag(self) -> float:
        """How much neighbouring readings lean on each other (a correlation, no unit) where they clearly do; else 0."""
        if sum(line.weight for line in self.lines if line.lag > 0) <= LEANS:
            return 0.0
        return sum(line.weight * line.lag for line in self.lines)

    @property
    def season(self) -> bool:
        """Whether a swing with the year is likelier than none."""
        return sum(line.weight for line in self.lines if line.season) > 0.5

    @property
    def alone(self) -> bool:
        """Whether so few readings cannot tell if they lean on each other: straight lines are then those without."""
        return self.dof < ALONE

    @property
    def straight(self) -> tuple[WearLine, ...]:
        """The lines that go straight, with their probabilities made up to 1; none where it is said to bend."""
        lines = [line for line in self.lines if line.clock.kind == STRAIGHT and not (self.alone and line.lag)]
        total = sum(line.weight for line in lines)
        if self.bent or total <= 0:
            return ()
        return tuple(replace(line, weight=line.weight / total) for line in lines)


def _open(each: Sequence[Estimate], weights: Sequence[float], shown: Estimate) -> Estimate:
    """What is shown, with the standard uncertainty that all of them together leave about it."""
    total = sum(weights)
    square = sum(w * (e.u**2 + (e.value - shown.value) ** 2) for e, w in zip(each, weights, strict=True))
    return Estimate(shown.value, sqrt(square / total)) if total > 0 else shown


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
    *,
    days: Sequence[float] | None = None,
    in_question: Sequence[bool] | None = None,
    u_shared: float = 0.0,
    season: float = 0.0,
) -> WearFit:
    """Fit the wear line, one point a visit (`visits`). `cores` since the last repair, `sizes` mm, `segments` 0, 1 ...

    Readings that lie far off a Huber fit, and those `in_question`, may be slips: how likely is weighed, so that leaving
    one out never narrows the answer by itself (they stay on the chart). One rate for all segments is shown unless the F
    test asks for one each. `direction` +1 grows, -1 shrinks, 0 either; `current` is the segment now in force (the last
    with readings, unless a later repair has none yet). `u_reading` is what a reading is uncertain by at best (mm, such
    as resolution / sqrt(12)): the noise is never taken for less. `days` (ordinals; the order as it stands where they
    are not known) tell how near readings lie in time. `u_shared` is what all readings may be off by together (mm, a
    standard uncertainty), `season` how far they swing with the year where no temperature was taken (mm, likewise).

    Raises DataError with fewer than 3 readings, all at one count, or none since the last repair.
    Source: linear regression with known prior odds (Gelman et al., Bayesian Data Analysis, ch. 14; model averaging as
    ch. 7); Huber (1981) for the weights; F test for equal slopes as in analysis of covariance.
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
    day = _days(x, seg, days)
    asked = np.zeros(len(x), dtype=bool) if in_question is None else np.asarray(in_question, dtype=bool)
    if not len(day) == len(asked) == len(x):
        raise DataError("counts, days and what is in question must be equally many")

    flagged = _flag(x, y, seg)
    keep = ~flagged
    if not (keep & (seg == last)).any():  # never throw away all that is known of the line in force
        flagged[seg == last] = False
        keep = ~flagged
    own = _with_rate(x, seg, keep)
    p_shared = _one_rate(x, y, seg, keep, own)
    shared = p_shared >= APART
    readings = _thinned(x, y, seg, day, flagged, asked)
    likely = ways(readings.readings, own, last, u_reading, season)
    slip = [sum(w.weight for w in likely if k in w.kind.slips) > 0.5 for k in range(len(readings.readings.x))]
    flags = tuple(int(k) for k in np.flatnonzero(flagged | asked) if slip[readings.place[k]])
    shown = _shown(likely, shared)
    shared = not shown.kind.apart
    groups = [*range(max([*shown.levels, last]) + 1)]
    per_segment = {s: _line(shown, s, u_shared) for s in shown.levels}
    return WearFit(
        line=_line(shown, last, u_shared),
        lines=tuple(_line(way, last, u_shared) for way in likely),
        reach=float(x[seg == last].max()),
        sd=shown.sd * readings.each**0.5,
        dof=shown.dof,
        n=len(x),
        shared=shared,
        p_shared=p_shared,
        rates=tuple(per_segment[s].rate.value if s in per_segment else None for s in groups),
        afters=tuple(per_segment[s].at(0.0) if s in per_segment else None for s in groups),
        flagged=flags,
        direction=direction,
        borrowed=bool(own) and last not in own,
    )


def _shown(likely: Sequence[Way], shared: bool) -> Way:
    """The likeliest way with one rate or several as the test has it, straight and without lag unless that is clear."""
    bent = sum(way.weight for way in likely if way.kind.clock.kind != STRAIGHT) > BENT
    leans = sum(way.weight for way in likely if way.kind.lag > 0) > LEANS
    for wanted in ((bent, not shared), (bent, shared), (not bent, not shared)):
        same = [way for way in likely if (way.kind.clock.kind != STRAIGHT, way.kind.apart) == wanted]
        if same:
            return next((way for way in same if (way.kind.lag > 0) == leans and (leans or not way.kind.lag)), same[0])
    return likely[0]


def _days(x: NDArray[np.float64], seg: NDArray[np.int_], days: Sequence[float] | None) -> NDArray[np.float64]:
    """The days of the readings; where they are not known, their order by segment and count."""
    import numpy as np

    if days is not None:
        return np.asarray(days, dtype=float)
    order = np.lexsort((x, seg))
    places = np.empty(len(x))
    places[order] = np.arange(len(x), dtype=float)
    return places / 1000.0  # too short for a year: only nearness counts


class _Thinned:
    """The readings in order of days, neighbours taken together where they are very many; a plain holder."""

    def __init__(self, readings: Readings, place: NDArray[np.int_], each: float) -> None:
        self.readings, self.place, self.each = readings, place, each


def _thinned(x: Any, y: Any, seg: Any, day: Any, flagged: Any, asked: Any) -> _Thinned:
    """Suspects stay by themselves: those flagged first, then those in question."""
    import numpy as np

    order = np.lexsort((x, day, seg))
    each = -(-len(x) // BLOCKS)
    suspect = flagged | asked
    block = np.empty(len(x), dtype=int)
    block[order] = _blocks(seg[order], suspect[order], each)
    count = np.bincount(block)
    means = [np.bincount(block, weights=v) / count for v in (x, y, seg, day)]
    at = [int(k) for k in np.flatnonzero(suspect)]
    made = Readings(
        x=means[0],
        y=means[1],
        segment=np.rint(means[2]).astype(int),
        day=means[3],
        suspects=tuple((int(block[k]), bool(asked[k])) for k in at),
    )
    return _Thinned(made, block, float(len(x)) / len(count))


def _blocks(seg: Any, suspect: Any, each: int) -> Any:
    """A running number for each block of neighbours: of one segment, at most `each`, a suspect alone."""
    import numpy as np

    n = len(seg)
    if each <= 1:
        return np.arange(n)
    begin = np.zeros(n, dtype=bool)
    begin[0] = True
    begin[1:] |= (np.diff(seg) != 0) | suspect[1:] | suspect[:-1]
    starts = np.maximum.accumulate(np.where(begin, np.arange(n), 0))
    begin |= (np.arange(n) - starts) % each == 0
    return np.cumsum(begin) - 1


def _one_rate(x: Any, y: Any, seg: Any, keep: Any, own: Sequence[int]) -> float:
    """p-value of the F test that one rate serves all segments; 1 where fewer than two show one."""
    if len(own) < 2:
        return 1.0
    together = _least_squares(*_design(x, seg, keep, apart=False), y[keep])
    each = _least_squares(*_design(x, seg, keep, apart=True), y[keep])
    if each.dof <= 0 or each.rss <= 0:
        return 1.0
    extra = len(own) - 1
    return f_tail((together.rss - each.rss) / extra / (each.rss / each.dof), extra, each.dof)


def _line(way: Way, s: int, u_shared: float) -> WearLine:
    """The line of one segment by one way."""
    i, r = way.levels.index(s), len(way.levels)
    at = [r] + ([way.extra[s]] if s in way.extra else [])
    rate = sum(float(way.beta[j]) for j in at)
    variance = sum(float(way.cov[j, k]) for j in at for k in at)
    return WearLine(
        level=Estimate(float(way.beta[i]), sqrt(max(float(way.cov[i, i]), 0.0) + u_shared**2)),
        rate=Estimate(rate, sqrt(max(variance, 0.0))),
        cov=sum(float(way.cov[i, j]) for j in at),
        centre=way.centre[s],
        dof=max(way.dof, 1.0),
        weight=way.weight,
        clock=way.kind.clock,
        lag=way.kind.lag,
        season=way.kind.season,
    )


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


def _least_squares(matrix: NDArray[np.float64], columns: dict[tuple[str, int], int], y: NDArray[np.float64]) -> _Solved:
    import numpy as np

    # levels sit at the middles of their segments, so the normal equations are nearly diagonal and well conditioned
    scale = np.maximum(np.abs(matrix).max(axis=0), 1e-300)
    m = matrix / scale
    inverse = np.linalg.pinv(m.T @ m)
    beta = inverse @ (m.T @ y)
    rest = y - m @ beta
    rss, dof = float(rest @ rest), len(y) - matrix.shape[1]
    variance = rss / dof if dof > 0 else 0.0
    cov = inverse * variance / np.outer(scale, scale)
    return _Solved(columns, beta / scale, cov, rss, dof, sqrt(variance))


def _flag(x: NDArray[np.float64], y: NDArray[np.float64], seg: NDArray[np.int_]) -> NDArray[np.bool_]:
    """Readings too far from a Huber line to be noise of this box: about one clean box in twenty loses one."""
    import numpy as np

    everything = np.ones(len(x), dtype=bool)
    matrix, columns = _design(x, seg, everything, apart=len(_with_rate(x, seg, everything)) > 1)
    weight, spread, p = np.ones(len(y)), 0.0, matrix.shape[1]
    if len(y) - p < JUDGE_ONE:
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
