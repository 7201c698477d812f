"""All the ways in which readings may be read as wear, each with the probability that the readings leave to it.

A way is: the clock on which wear goes straight, how much each reading leans on the one before (lag), whether a yearly
swing runs through them, whether each repair left a rate of its own, and which doubtful readings are slips. Each is a
normal linear model whose probability is exact (Student's t after the noise is integrated out); nothing is picked, so
that the doubt about what was not picked stays in the interval.

Source: own derivation on the normal linear model of any textbook.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import copysign, exp, lgamma, log, pi, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.frozen import NamedTuple, frozen_by_name
from inspect_tui.metrology.wear.clock import STRAIGHT, Clock, clocks
from inspect_tui.metrology.wear.curve import bend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

# correlation of neighbours and its odds, the same however many readings there are; one below 0 (two gauges by turns)
# stands against those above, so that the interval is neither too wide nor too narrow where there is none; ours
LAGS = ((0.0, 0.25), (-0.4, 0.25), (0.4, 0.2), (0.75, 0.15), (0.92, 0.15))
# of fewer degrees of freedom nobody can tell how much readings lean on each other; one below 0, which makes an answer
# surer, is not tried then, and straight lines are those without a lag; ours
ALONE = 11
RATE_SCATTER = 0.5  # how far rates of one box differ before and after a repair, as a share; common practice, no source
P_APART = 0.5  # odds that a repair left another rate
YEAR, P_SEASON, SEASON = 365.25, 0.2, 1.5  # a swing over the year: days, odds, its size in standard deviations
SEASON_SPAN, SEASON_LEAST = 300.0, 12  # days and readings from which a swing over the year is looked for
FEW = 5  # readings beyond the levels from which bent clocks and lag are looked for
KEPT, MOST = 0.998, 32  # of the probability kept, in at most so many ways
P_SLIP = {False: 0.02, True: 0.5}  # odds that a reading is a slip: of any, of one that was called in question; ours
SLIP_SPAN = 30.0  # a slip lies anywhere within so many standard deviations; ours, no source
BEND_LEAST, BEND_ALPHA, BEND_CLOSE = 8, 0.001, 0.4  # counts, chance and relative u from which a bend is tried closely
SURE_SLIP = 8.0  # beyond so many a reading is a slip without question


@frozen_by_name
class Readings:
    """What is fitted, in order of days: cores since the repair, sizes, segments, days, and which may be slips.

    `suspects`: places of readings that may be slips, the most doubtful first, and whether somebody asked.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    segment: NDArray[np.int_]
    day: NDArray[np.float64]
    suspects: tuple[tuple[int, bool], ...] = ()


class Kind(NamedTuple):
    """What distinguishes a way from the others."""

    clock: Clock
    lag: float = 0.0
    season: bool = False
    apart: bool = False
    slips: tuple[int, ...] = ()


@frozen_by_name
class Way:
    """One way with its coefficients: a level for each segment at the middle of its clock, the rate, and what is extra.

    `centre`: what the clock shows in the middle of each segment. `extra`: columns of rates of single segments.
    """

    kind: Kind
    weight: float
    beta: NDArray[np.float64]
    cov: NDArray[np.float64]
    dof: float
    sd: float
    levels: tuple[int, ...]
    centre: dict[int, float]
    extra: dict[int, int]


def ways(
    readings: Readings, own: Sequence[int], last: int, u_reading: float = 0.0, season_mm: float = 0.0
) -> list[Way]:
    """The ways with their probabilities, the likeliest first.

    `own`: segments that can show a rate of their own; `last`: the one in force. `season_mm`: how far sizes are known to
    swing with the year where the temperature was not measured (mm, standard deviation of either phase).
    """
    sets = _slip_sets(readings)
    kinds = _first(readings, sets[0][0], own, last, u_reading, season_mm)
    tried: dict[Kind, tuple[float, Any]] = {}
    for kind, prior in kinds:
        for slips, p_slips in sets:
            for apart, p_apart in _apart(own, last):
                whole = kind._replace(slips=slips, apart=apart)
                if whole in tried:
                    continue
                solved = _solve(readings, whole, own, last, u_reading, season_mm)
                if solved is not None:
                    tried[whole] = (solved[0] + log(prior * p_apart) + p_slips, solved[1])
    likely = sorted(tried.items(), key=lambda item: -item[1][0])
    best = likely[0][1][0]
    total = sum(exp(value - best) for value, _ in tried.values())
    kept: list[tuple[Kind, float, Any]] = []
    sum_, straight, alone = 0.0, False, False
    for kind, (value, made) in likely:
        full = sum_ >= KEPT * total or len(kept) >= MOST
        if full and ((straight and alone) or kind.clock.kind != STRAIGHT or (straight and kind.lag)):
            continue
        kept.append((kind, exp(value - best), made))
        sum_ += kept[-1][1]
        # however unlikely, with a lag and without: what it would come to is said until bent wear is
        straight |= kind.clock.kind == STRAIGHT
        alone |= kind.clock.kind == STRAIGHT and not kind.lag
    return [Way(kind=kind, weight=weight / sum_, **made) for kind, weight, made in kept]


# ------------------------------------------------------------------------------ what there is to try
def _apart(own: Sequence[int], last: int) -> list[tuple[bool, float]]:
    """Whether rates of single segments are to be tried: where two show one, or where the last one cannot yet."""
    if len(own) > 1 or (own and last not in own):
        return [(False, 1 - P_APART), (True, P_APART)]
    return [(False, 1.0)]


def _slip_sets(readings: Readings) -> list[tuple[tuple[int, ...], float]]:
    """Which suspects are left out, with the logarithm of the odds and of the chance to lie where they do."""
    if not readings.suspects:
        return [((), 0.0)]
    few = Readings(x=readings.x, y=readings.y, segment=readings.segment, day=readings.day)
    every = tuple(sorted(at for at, _ in readings.suspects))
    solved = _solve(few, Kind(Clock(), slips=every), [], int(readings.segment.max()), 0.0, 0.0)
    if solved is None:
        return [((), 0.0)]
    spread = max(solved[1]["sd"], 1e-9)
    rest = _off(few, solved[1])
    far = sorted(readings.suspects, key=lambda one: -abs(rest[one[0]]))
    sure = [one for one in far if abs(rest[one[0]]) > SURE_SLIP * spread]
    open_ = [one for one in far if one not in sure][-4:]
    always = [one for one in far if one not in open_]
    slips = []
    for k in range(len(open_), -1, -1):
        out = [*always, *open_[:k]]
        odds = sum(log(P_SLIP[asked] / (SLIP_SPAN * spread)) for _, asked in out)
        odds += sum(log(1 - P_SLIP[asked]) for _, asked in open_[k:])
        slips.append((tuple(sorted(at for at, _ in out)), odds))
    return slips


def _off(readings: Readings, made: dict[str, Any]) -> NDArray[np.float64]:
    """Readings less a straight way of all segments."""
    import numpy as np

    levels = dict(zip(made["levels"], made["beta"], strict=False))
    middle = float(np.median(readings.y))
    level = np.array([levels.get(int(s), middle) for s in readings.segment])
    centre = np.array([made["centre"].get(int(s), 0.0) for s in readings.segment])
    return np.asarray(readings.y - level - made["beta"][len(made["levels"])] * (readings.x - centre))


def _gaps(day: NDArray[np.float64]) -> NDArray[np.float64]:
    """Steps between readings in units of the usual one: readings close in time lean on each other more."""
    import numpy as np

    steps = np.diff(day)
    ahead = np.sort(steps[steps > 0])
    usual = float(ahead[(len(ahead) - 1) // 2] + ahead[len(ahead) // 2]) / 2 if len(ahead) else 1.0  # their median
    return np.clip(steps / usual, 0.05, 1e3)


def _first(
    readings: Readings, slips: tuple[int, ...], own: Sequence[int], last: int, u_reading: float, season_mm: float
) -> list[tuple[Kind, float]]:
    """Clocks, lags and the swing over the year that are worth a closer look, with their odds beforehand."""
    import numpy as np

    keep = np.ones(len(readings.x), dtype=bool)
    keep[list(slips)] = False
    x, y, day = readings.x[keep], readings.y[keep], readings.day[keep]
    seg = readings.segment[keep]
    groups = np.unique(seg)
    spare = len(x) - len(groups)
    all_clocks = [Clock()]
    if spare >= FEW - 1 and len(np.unique(x)) >= FEW:
        all_clocks = clocks(x.tolist(), _gain(x, y, seg), _bend(x, y, seg, last))
    lags = ((0.0, 1.0),) if spare < FEW - 1 else _lags(spare - 1)
    if season_mm > 0:
        seasons = [(True, 1.0)]
    elif len(x) >= SEASON_LEAST and np.ptp(day) >= SEASON_SPAN:
        seasons = [(False, 1 - P_SEASON), (True, P_SEASON)]
    else:
        seasons = [(False, 1.0)]
    levels = (seg[:, None] == groups[None, :]).astype(float)
    shown = np.column_stack([clock.many(x) for clock in all_clocks])
    shown -= levels @ ((levels.T @ shown) / levels.sum(axis=0)[:, None])  # each segment about its own middle
    nu = max(len(x) - len(groups) - 1, 1)
    floor = nu * u_reading**2 + 1e-24 * float(y @ y) + 1e-30
    best: dict[Kind, tuple[float, float]] = {}
    for apart, _ in _apart(own, last):
        extra, priors = _rates_apart(own, last, seg, shown[:, 0], levels, y, u_reading) if apart else (None, [])
        for season, p_season in seasons:
            free = shown[:, :1] if extra is None else np.column_stack([shown[:, 0], extra])
            sd = _sd(levels, free, y, u_reading, day if season else None)
            for lag, p_lag in lags:
                parts = shown if extra is None else np.column_stack([extra, shown])
                base, g, right, log_det, log_prior = _whitened(levels, parts, y, day, lag, season, sd, season_mm)
                if extra is not None:
                    rows = np.zeros((len(priors), base.shape[1] + len(priors)))
                    rows[:, base.shape[1] :] = np.diag([sd * one for one in priors])
                    base = np.vstack([np.column_stack([base, g[:, : len(priors)]]), rows])
                    g = np.vstack([g[:, len(priors) :], np.zeros((len(priors), g.shape[1] - len(priors)))])
                    right = np.concatenate([right, np.zeros(len(priors))])
                    log_prior += sum(log(sd * one) for one in priors)
                q, r = np.linalg.qr(base)
                g = g - q @ (q.T @ g)
                right = right - q @ (q.T @ right)
                gg, gy = np.maximum((g * g).sum(axis=0), 1e-300), g.T @ right
                rss = np.maximum(float(right @ right) - gy * gy / gg, floor)
                value = log_prior - log_det - float(np.log(np.abs(np.diag(r))).sum()) - 0.5 * np.log(gg)
                value -= 0.5 * nu * np.log(rss)
                for i, clock in enumerate(all_clocks):
                    prior = clock.prior * p_lag * p_season
                    kind, worth = Kind(clock, lag, season), float(value[i]) + log(prior)
                    if kind not in best or worth > best[kind][0]:
                        best[kind] = worth, prior
    top = max(worth for worth, _ in best.values())
    near = sorted(((worth, kind, prior) for kind, (worth, prior) in best.items()), key=lambda one: -one[0])
    worth_it = [(kind, prior) for worth, kind, prior in near[: 2 * MOST] if worth > top + log(0.003)]
    straight = [(kind, prior) for _, kind, prior in near if kind.clock.kind == STRAIGHT]
    alone = [way for way in straight if not way[0].lag]
    return list(dict.fromkeys([*worth_it, straight[0], alone[0]]))


def _lags(dof: int) -> tuple[tuple[float, float], ...]:
    """The lags to be tried with their odds; none below 0 where so few degrees of freedom cannot tell them."""
    if dof >= ALONE:
        return LAGS
    above = [(lag, p) for lag, p in LAGS if lag >= 0]
    return tuple((lag, p / sum(p for _, p in above)) for lag, p in above)


def _gain(x: Any, y: Any, seg: Any) -> tuple[float, float] | None:
    """How much the rate gains over the readings, as a share of its mean (see `Clock`), and its standard uncertainty."""
    import numpy as np

    span, middle = float(np.ptp(x)), float(x.max() + x.min()) / 2
    groups = np.unique(seg)
    levels = (seg[:, None] == groups[None, :]).astype(float)
    d = x - middle
    design = np.column_stack([levels, d, d * d / span])
    if len(x) <= design.shape[1] + 1 or np.linalg.matrix_rank(design / np.abs(design).max(axis=0)) < design.shape[1]:
        return None
    beta = np.linalg.lstsq(design, y, rcond=None)[0]
    rest = y - design @ beta
    cov = np.linalg.pinv(design.T @ design) * float(rest @ rest) / (len(x) - design.shape[1])
    rate = abs(float(beta[-2]))
    if rate < 3 * sqrt(cov[-2, -2]):
        return None
    sign = 1 if beta[-2] > 0 else -1
    return sign * float(beta[-1]) / rate, max(sqrt(cov[-1, -1]) / rate, 1e-4)


def _bend(x: Any, y: Any, seg: Any, last: int) -> tuple[float, float, float] | None:
    """The bend of the segment in force, where it is clear and goes the same way on both sides: place, ratio, its u."""
    import numpy as np

    here = seg == last
    if len(np.unique(x[here])) < BEND_LEAST:
        return None
    bent = bend(x[here].tolist(), y[here].tolist())
    if bent.p > BEND_ALPHA or bent.slope_before * bent.slope_after <= 0:
        return None
    at = x[here]
    design = np.column_stack([np.ones_like(at), np.minimum(at - bent.x, 0), np.maximum(at - bent.x, 0)])
    variance = bent.rss / max(len(at) - 4, 1)
    cov = np.linalg.pinv(design.T @ design) * variance
    u = sqrt(cov[1, 1] / bent.slope_before**2 + cov[2, 2] / bent.slope_after**2)
    return (bent.x, bent.slope_after / bent.slope_before, u) if u < BEND_CLOSE else None


def _rates_apart(
    own: Sequence[int], last: int, seg: Any, column: Any, levels: Any, y: Any, u_reading: float
) -> tuple[Any, list[float]]:
    """Columns of the rates that single segments have beside the common one, and one over their spread beforehand."""
    import numpy as np

    which = list(dict.fromkeys([*own, last]))
    square = float(column @ column)
    sd = _sd(levels, column, y, u_reading, None)
    spread = RATE_SCATTER * sqrt((float(column @ y) / square) ** 2 + sd**2 / square)
    if len(own) > 2:
        spread = max(_scatter(own, seg, column, y), 0.1 * spread)
    return np.column_stack([np.where(seg == s, column, 0.0) for s in which]), [1.0 / spread] * len(which)


def _sd(levels: Any, columns: Any, y: Any, u_reading: float, day: Any) -> float:
    """The noise about levels and columns, with a swing over the year where days are given."""
    import numpy as np

    parts = [levels, columns]
    if day is not None and len(y) > levels.shape[1] + 5:
        parts += [np.cos(2 * pi * day / YEAR), np.sin(2 * pi * day / YEAR)]
    matrix = np.column_stack(parts)
    beta, _, rank, _ = np.linalg.lstsq(matrix, y, rcond=None)
    rest = y - matrix @ beta
    least = max(u_reading, 1e-12 * float(np.abs(y).max()), 1e-15)
    return max(sqrt(float(rest @ rest) / max(len(y) - int(rank), 1)), least)


def _whitened(
    levels: Any, columns: Any, y: Any, day: Any, lag: float, season: bool, sd: float, season_mm: float
) -> tuple[Any, Any, Any, float, float]:
    """Levels (with the swing), further columns and sizes with the lag taken out, and two parts of the evidence.

    A size known beforehand is a row of its own: the amplitude of the swing is 0 give or take.
    """
    import numpy as np

    log_prior = 0.0
    base, g, right, log_det = levels, columns, y, 0.0
    if season:
        turn = 2 * pi * day / YEAR
        base = np.column_stack([base, np.cos(turn), np.sin(turn)])
    if lag:
        phi = copysign(1.0, lag) * abs(lag) ** _gaps(day)
        scale = np.sqrt(1 - phi**2)
        log_det = float(np.log(scale).sum())
        base, g = (np.vstack([a[:1], (a[1:] - phi[:, None] * a[:-1]) / scale[:, None]]) for a in (base, g))
        right = np.concatenate([right[:1], (right[1:] - phi * right[:-1]) / scale])
    if season:
        known = sd / (season_mm if season_mm > 0 else SEASON * sd)
        rows = np.zeros((2, base.shape[1]))
        rows[0, -2] = rows[1, -1] = known
        base, g = np.vstack([base, rows]), np.vstack([g, np.zeros((2, g.shape[1]))])
        right = np.concatenate([right, np.zeros(2)])
        log_prior = 2 * log(known)
    return base, g, right, log_det, log_prior


# ------------------------------------------------------------------------------ one of them
def _solve(
    readings: Readings, kind: Kind, own: Sequence[int], last: int, u_reading: float, season_mm: float
) -> tuple[float, dict[str, Any]] | None:
    """Logarithm of the evidence of one way, and its coefficients; None where nothing is left to judge noise by."""
    import numpy as np

    keep = np.ones(len(readings.x), dtype=bool)
    keep[list(kind.slips)] = False
    x, y, day = readings.x[keep], readings.y[keep], readings.day[keep]
    seg = readings.segment[keep]
    groups = [int(s) for s in np.unique(seg)]
    if len(x) < len(groups) + 1 or last not in groups:
        return None
    shown = kind.clock.many(x)
    levels = (seg[:, None] == np.array(groups)[None, :]).astype(float)
    means = (levels.T @ shown) / levels.sum(axis=0)
    column = shown - levels @ means
    if float(column @ column) <= 0:
        return None
    columns = column[:, None]
    extra: dict[int, int] = {}
    priors: list[float] = []
    if kind.apart:
        own_rates, priors = _rates_apart(own, last, seg, column, levels, y, u_reading)
        columns = np.column_stack([column, own_rates])
        extra = {s: len(groups) + 1 + i for i, s in enumerate(dict.fromkeys([*own, last]))}
    sd = _sd(levels, columns, y, u_reading, day if kind.season else None)
    priors = [sd * one for one in priors]
    base, g, right, log_det, log_prior = _whitened(levels, columns, y, day, kind.lag, kind.season, sd, season_mm)
    p_base, p_g = base.shape[1], g.shape[1]
    matrix = np.column_stack([base, g])
    if priors:
        rows = np.zeros((len(priors), p_base + p_g))
        rows[np.arange(len(priors)), p_base + 1 + np.arange(len(priors))] = priors
        matrix, right = np.vstack([matrix, rows]), np.concatenate([right, np.zeros(len(priors))])
        log_prior += sum(map(log, priors))
    # the swing stands behind the rates in what follows
    order = [*range(len(groups)), *range(p_base, p_base + p_g), *range(len(groups), p_base)]
    matrix = matrix[:, order]
    scale = np.maximum(np.abs(matrix).max(axis=0), 1e-300)
    m = matrix / scale
    gram = m.T @ m
    inverse = np.linalg.pinv(gram)
    beta = inverse @ (m.T @ right)
    rest = right - m @ beta
    nu = len(x) - len(groups) - 1
    rss = float(rest @ rest)
    variance = max(rss / nu if nu > 0 else 0.0, u_reading**2)
    sign, log_gram = np.linalg.slogdet(gram)
    value = -log_det + log_prior - 0.5 * (log_gram if sign > 0 else 0.0) - float(np.log(scale).sum())
    floor = nu * u_reading**2 + 1e-24 * float(y @ y) + 1e-30
    value += lgamma(0.5 * max(nu, 1)) - 0.5 * nu * (log(max(rss, floor)) + log(pi))
    return value, {
        "beta": beta / scale,
        "cov": inverse * variance / np.outer(scale, scale),
        "dof": float(nu),
        "sd": sqrt(variance),
        "levels": tuple(groups),
        "centre": dict(zip(groups, (float(v) for v in means), strict=True)),
        "extra": extra,
    }


def _scatter(own: Sequence[int], seg: Any, column: Any, y: Any) -> float:
    """How far the rates of single segments lie apart, standard deviation."""
    rates = []
    for s in own:
        here = seg == s
        c = column[here]
        rates.append(float(c @ y[here]) / float(c @ c))
    mean = sum(rates) / len(rates)
    return sqrt(sum((r - mean) ** 2 for r in rates) / (len(rates) - 1))
