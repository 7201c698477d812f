"""Wild readings in place of a cause: whether a few readings gone wrong explain as well what a cause is named for.

Readings have heavy tails: each may be a slip, with an error of its own, wide. A cause is weighed against its rival, no
such cause and some of its readings wild: every wild one costs its prior probability and gains what it explains. A job
in which readings were set aside already has more of them than most, and they are as far off as its own are.

Source: own derivation, the mixture of a narrow and a wide normal distribution for readings with outliers (Box and
Tiao 1968); shares and widths are common practice, no source; the bounds were tried on planted causes (causes.md).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from math import exp, log, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes import search as searching
from inspect_tui.metrology.causes.problem import Noise

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

LIKE_READINGS = 250  # what is believed of slips beforehand weighs as much as so many readings ...
LIKE_SLIPS = 1  # ... and what is believed of how far off they are as much as so many slips


def learned(noise: Noise, off_mm: Collection[float], readings: int) -> Noise:
    """Share and width of slips, from those set aside in this job (how far off each, mm) among so many `readings`.

    Never fewer than believed beforehand: that no slip was seen does not make the next one less likely.
    """
    if not off_mm:
        return noise
    share = (noise.odd_share * LIKE_READINGS + len(off_mm)) / (LIKE_READINGS + readings)
    square = (LIKE_SLIPS * noise.odd_mm**2 + sum(v * v for v in off_mm)) / (LIKE_SLIPS + len(off_mm))
    return replace(noise, odd_share=max(share, noise.odd_share), odd_mm=sqrt(square))


@frozen_by_name
class Weighed:
    """What was weighed: the readings, their system, and the candidates with the best explanation among them.

    `x` (readings x candidates) in mm per unit, `sd` the believable sizes, `odds` the prior log odds, `best` the numbers
    of the candidates in the likeliest explanation.
    """

    table: noise_model.ReadingTable
    system: noise_model.System
    x: Array
    sd: Array
    odds: Array
    best: Sequence[int]


@frozen
class WildRival:
    """A cause against wild readings in its place: `odds` log odds of the cause (natural), and the rows that would be
    wild, each with how far off it would be (mm)."""

    odds: float
    rows: tuple[tuple[int, float], ...]


def rival(w: Weighed, noise: Noise, odd: Collection[int], k: int) -> WildRival:
    """Candidate `k` beside the others of the best explanation, weighed against wild readings and no `k`.

    `odd` are rows that are set aside already.
    """
    import numpy as np

    system, sd = w.system, w.sd
    rest = [j for j in w.best if j != k]
    h, g = searching.standardise(system.gram, system.rhs, sd)
    gain = sum(
        sign * float(searching.score(h, g, w.odds, np.array([model], dtype=np.intp).reshape(1, -1))[0])
        for sign, model in ((1.0, sorted([*rest, k])), (-1.0, rest))
    )
    rows = np.array([int(r) for r in np.flatnonzero(w.x[:, k]) if int(r) not in set(odd)], dtype=np.intp)
    if not len(rows):
        return WildRival(gain, ())
    among = noise_model.precision(w.table, noise, tuple(odd), rows)
    without, wild = _wild(among, system, sd, noise, rest, rows)
    beside, _ = _wild(among, system, sd, noise, [*rest, k], rows)
    return WildRival(gain + beside - without, tuple((int(rows[i]), off) for i, off in wild))


def _wild(
    among: Array, system: noise_model.System, sd: Array, noise: Noise, model: Sequence[int], rows: Index
) -> tuple[float, list[tuple[int, float]]]:
    """What wild readings gain (log odds), the worst taken first, beside the causes of `model`; and which, how far off.

    `among` is V^-1 of these rows.
    """
    import numpy as np

    m = np.array(model, dtype=np.intp)
    q = system.py[rows].copy()
    p = among.copy()
    if len(m):
        loads = system.px[np.ix_(rows, m)]
        inner = system.gram[np.ix_(m, m)] + np.diag(1.0 / sd[m] ** 2)
        q -= loads @ np.linalg.solve(inner, system.rhs[m])
        p -= loads @ np.linalg.solve(inner, loads.T)
    wide = noise.odd_mm**2
    prior = log(noise.odd_share / (1 - noise.odd_share))
    total, out = 0.0, []
    left = np.ones(len(rows), dtype=bool)
    while left.any():
        variance = 1.0 / np.maximum(np.diag(p), 1e-12)
        off = q * variance
        odds = prior - 0.5 * np.log1p(wide / variance) + 0.5 * off**2 * wide / (variance * (variance + wide))
        worst = int(np.argmax(np.where(left, odds, -np.inf)))
        if odds[worst] <= 0:
            break
        total += float(odds[worst])
        out.append((worst, float(off[worst])))
        left[worst] = False
        share = wide / (1.0 + wide * p[worst, worst])
        column = p[:, worst].copy()
        q -= column * (share * q[worst])
        p -= np.outer(column, column) * share
    return total, out


def rests_on_one(w: Weighed) -> dict[int, tuple[float, float]]:
    """Readings that carry a cause of the best explanation all alone: row -> (mm off, odds).

    The reading is taken out. If the others then no longer speak for the cause (odds below one) and either do not
    show it at 2.5 of its standard deviations or contradict the reading by three, it was that reading and no cause.
    """
    import numpy as np

    out: dict[int, tuple[float, float]] = {}
    system, x, sd, odds, best = w.system, w.x, w.sd, w.odds, w.best
    if not best:
        return out
    h, g = searching.standardise(system.gram, system.rhs, sd)
    mean, _ = searching.sizes(h, g, sd, best)
    model = np.array([best])
    for place, k in enumerate(best):
        rows = np.flatnonzero(x[:, k])
        rest = [c for c in best if c != k]
        without_k = np.array([rest], dtype=np.intp).reshape(1, -1)
        # what each reading gives to this cause's right-hand side, other causes taken off
        residual = system.py - system.px[:, rest] @ mean[[i for i in range(len(best)) if i != place]]
        weight = system.px[rows, k] * residual[rows] / system.p_diag[rows]
        for row in rows[np.argsort(-np.abs(weight), kind="stable")[:3]]:
            gram, rhs = system.without(int(row))
            h1, g1 = searching.standardise(gram, rhs, sd)
            gain = float(searching.score(h1, g1, odds, model)[0] - searching.score(h1, g1, odds, without_k)[0])
            if gain >= 0:
                continue
            m1, c1 = searching.sizes(h1, g1, sd, best)
            shown = abs(m1[place]) / sqrt(max(c1[place, place], 1e-300))
            p_row, px_row = system.p_diag[row], system.px[row, list(best)]
            off = float((system.py[row] - px_row @ m1) / p_row)
            wild = abs(off) / sqrt(1.0 / p_row + float(px_row @ c1 @ px_row) / p_row**2)
            if shown < 2.5 or wild > 3.0:
                m0, _ = searching.sizes(h1, g1, sd, rest)
                alone = float((system.py[row] - system.px[row, rest] @ m0) / p_row)  # off what the others make of it
                out[int(row)] = (alone, float(np.exp(min(-gain, 50.0))))
                break
    return out


def rather_wild(w: Weighed, noise: Noise, odd: Mapping[int, tuple[float, float]]) -> dict[int, tuple[float, float]]:
    """Readings that are likelier wild than a cause of the best explanation is there: row -> (mm off, odds)."""
    known = learned(noise, [off for off, _ in odd.values()], len(w.table.rows))
    for k in w.best:
        against = rival(w, known, odd, k)
        if against.odds < 0 and against.rows:
            return {row: (off, exp(min(-against.odds, 50.0))) for row, off in against.rows}
    return {}
