"""Which sets of causes explain the readings: every subset up to a size, weighed in closed form.

With Gaussian slabs of standard deviation sd a subset S has the marginal likelihood
-1/2 log|H_S| + 1/2 g_S' H_S^-1 g_S over that of no cause at all, H = I + sd X'V^-1 X sd, g = sd X'V^-1 y
(Gaussian linear model, O'Hagan, Bayesian Inference, normal-inverse results; variable selection by George and
McCulloch 1993). Subsets are grown one candidate at a time, so each costs one more row of a Cholesky factor, and
all subsets of a size are worked on together. Pure numbers in, pure numbers out.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import comb
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]
    Index = NDArray[np.intp]

MOST_SUBSETS = 600_000  # all subsets up to 4 of 60 candidates are 523,686
SCREENED = 40  # where there are more, these stay: the ones that gain most alone or one after the other


@frozen
class Posterior:
    """The likelier subsets with their weights (sum 1), best first, and the inclusion probability of each candidate."""

    models: tuple[tuple[int, ...], ...]
    weights: Array
    inclusion: Array
    weighed: int
    exact: bool

    @property
    def best(self) -> tuple[int, ...]:
        """The likeliest subset. Candidate numbers; empty for no cause."""
        return self.models[0]


def standardise(gram: Array, rhs: Array, sd: Array) -> tuple[Array, Array]:
    """H = I + sd G sd and g = sd b: the posterior precision and right-hand side in units of the slabs."""
    import numpy as np

    return np.eye(len(sd)) + gram * np.outer(sd, sd), rhs * sd


def score(h: Array, g: Array, odds: Array, models: Index) -> Array:
    """Log posterior weight of each row of `models` (n x k candidate numbers), relative to no cause.

    Natural logarithms; `h` and `g` as `standardise` gives them, in units of the prior standard deviations.
    """
    import numpy as np

    if models.shape[1] == 0:
        return np.zeros(len(models))
    sub = h[models[:, :, None], models[:, None, :]]
    low = np.linalg.cholesky(sub)
    rhs = g[models]
    z = np.linalg.solve(low, rhs[:, :, None])[:, :, 0]
    logdet = np.log(np.diagonal(low, axis1=1, axis2=2)).sum(axis=1)
    out: Array = 0.5 * (z * z).sum(axis=1) - logdet + odds[models].sum(axis=1)
    return out


def sizes(h: Array, g: Array, sd: Array, model: Sequence[int]) -> tuple[Array, Array]:
    """Posterior mean and covariance of the causes in one subset."""
    import numpy as np

    m = list(model)
    cov = np.linalg.inv(h[np.ix_(m, m)])
    scale = sd[m]
    return scale * (cov @ g[m]), cov * np.outer(scale, scale)


def all_subsets(h: Array, g: Array, odds: Array, most: int) -> list[tuple[Index, Array]]:
    """Every subset of 0 to `most` candidates: per size the candidate numbers (n x k) and the log weights (n).

    Level by level: each subset of size k-1 gets every candidate after its last one as a further row of its Cholesky
    factor. All arithmetic is on whole levels. Natural logarithms, relative to no cause.
    """
    import numpy as np

    count = len(g)
    index = np.zeros((1, 0), dtype=np.intp)
    weight = np.zeros(1)
    rows: list[list[Array]] = []  # lower Cholesky rows of the level, rows[i][j] is an array over the subsets
    tops: list[Array] = []  # the forward-solved right-hand side, one array per member
    out = [(index, weight)]
    last = np.full(1, -1, dtype=np.intp)
    for level in range(min(most, count)):
        room = count - 1 - last
        parent = np.repeat(np.arange(len(last)), room)
        if not len(parent):
            break
        first = np.cumsum(room) - room
        new = (np.arange(len(parent)) - first[parent]) + last[parent] + 1
        diagonal = np.diag(h)[new]
        top = g[new]
        row: list[Array] = []
        for i in range(level):
            value = h[new, index[parent, i]]
            for j in range(i):
                value = value - row[j] * rows[i][j][parent]
            value = value / rows[i][i][parent]
            diagonal = diagonal - value * value
            top = top - value * tops[i][parent]
            row.append(value)
        corner = np.sqrt(diagonal)
        top = top / corner
        weight = weight[parent] + odds[new] + 0.5 * top * top - np.log(corner)
        if level + 1 < most:
            rows = [[a[parent] for a in r] for r in rows] + [[*row, corner]]
            tops = [a[parent] for a in tops] + [top]
        index = np.concatenate([index[parent], new[:, None]], axis=1)
        last = new
        out.append((index, weight))
    return out


def _screen(h: Array, g: Array, odds: Array, keep: int) -> Index:
    """The candidates that gain most alone or on top of the best so far (forward selection), sorted."""
    import numpy as np

    best = np.full(len(g), -np.inf)
    path: list[int] = []
    for _ in range(min(12, len(g))):
        gain = _gains(h, g, odds, path)
        best = np.maximum(best, gain)
        step = int(np.argmax(gain))
        if not np.isfinite(gain[step]):
            break
        path.append(step)
    return np.sort(np.argsort(-best, kind="stable")[:keep])


def _gains(h: Array, g: Array, odds: Array, model: Sequence[int]) -> Array:
    """What each candidate would add to the log weight of `model`; minus infinity for its members."""
    import numpy as np

    m = list(model)
    diagonal, top = np.diag(h).copy(), g.copy()
    if m:
        solved = np.linalg.solve(h[np.ix_(m, m)], np.column_stack([h[m], g[m]]))
        diagonal = diagonal - np.einsum("ij,ij->j", h[m], solved[:, :-1])
        top = top - h[m].T @ solved[:, -1]
    diagonal = np.maximum(diagonal, 1.0)
    gain: Array = odds + 0.5 * top * top / diagonal - 0.5 * np.log(diagonal)
    gain[m] = -np.inf
    return gain


def _climb(
    h: Array,
    g: Array,
    odds: Array,
    start: Sequence[tuple[int, ...]],
    weight_of: dict[tuple[int, ...], float],
    width: int,
) -> None:
    """From the starting subsets add, drop and exchange single candidates as long as anything gets likelier.

    All neighbours that come within e^-12 of the best are kept in `weight_of`, so the sum over explanations is fair.
    """
    import numpy as np

    done: set[tuple[int, ...]] = set()
    front = list(start)
    top = max(weight_of.values())
    while front:
        fresh: dict[tuple[int, ...], float] = {}
        for model in front:
            done.add(model)
            base = weight_of[model]
            for member in (None, *model):  # drop none (then add), or drop one (then exchange)
                kept = tuple(m for m in model if m != member) if member is not None else model
                if member is not None:
                    if kept not in weight_of:
                        kept_weight = float(score(h, g, odds, np.array([kept], dtype=np.intp).reshape(1, -1))[0])
                        weight_of[kept] = kept_weight
                        fresh[kept] = kept_weight
                        top = max(top, kept_weight)
                    base = weight_of[kept]
                gain = _gains(h, g, odds, kept)
                for k in np.flatnonzero(base + gain > top - 12.0):
                    new = tuple(sorted((*kept, int(k))))
                    if new not in weight_of:
                        fresh[new] = weight_of[new] = float(base + gain[k])
                        top = max(top, weight_of[new])
        front = sorted((m for m in fresh if m not in done and fresh[m] > top - 6.0), key=lambda m: -fresh[m])[:width]
        if len(done) > 40 * width:
            break


def search(gram: Array, rhs: Array, sd: Array, odds: Array, *, most: int = 4, exact: bool = True) -> Posterior:
    """Weigh the sets of causes.

    `odds` are the prior log odds of each candidate. With `exact` every subset of up to `most` candidates is weighed
    (where there are more than the machine could do at once, of the 40 that gain most); sets beyond that are reached
    from the best ones by adding, dropping and exchanging. Without `exact` only that climb is done, starting
    from nothing. `gram` (m x m) and `rhs` (m) in 1/u^2, `sd` the prior standard deviation of each cause in its own
    unit.
    """
    import numpy as np

    h, g = standardise(gram, rhs, sd)
    count = len(g)
    weight_of: dict[tuple[int, ...], float] = {(): 0.0}
    weighed = 0
    complete = False
    levels: list[tuple[Index, Array]] = []
    if exact and count:
        complete = sum(comb(count, k) for k in range(most + 1)) <= MOST_SUBSETS
        keep = count if complete else SCREENED
        while sum(comb(keep, k) for k in range(most + 1)) > MOST_SUBSETS:
            keep -= 1
        chosen = np.arange(count) if complete else _screen(h, g, odds, keep)
        levels = all_subsets(h[np.ix_(chosen, chosen)], g[chosen], odds[chosen], most)
        top = max(float(w.max()) for _, w in levels)
        for index, weight in levels:
            weighed += len(weight)
            near = np.flatnonzero(weight > top - 12.0)
            near = near[np.argsort(-weight[near], kind="stable")[:3000]]
            for k in near:
                weight_of[tuple(int(c) for c in chosen[index[k]])] = float(weight[k])
    starts = sorted(weight_of, key=lambda m: -weight_of[m])[: 3 if exact else 1]
    before = set(weight_of)
    _climb(h, g, odds, starts, weight_of, width=3)
    weighed += len(weight_of) - len(before)
    best = max(weight_of.values())
    ordered = sorted((m for m in weight_of if weight_of[m] > best - 12.0), key=lambda m: -weight_of[m])[:2000]
    weights = np.exp(np.array([weight_of[m] for m in ordered]) - best)
    weights /= weights.sum()
    inclusion = np.zeros(count)
    for model, w in zip(ordered, weights, strict=True):
        inclusion[list(model)] += w
    return Posterior(tuple(ordered), weights, inclusion, weighed, complete)
