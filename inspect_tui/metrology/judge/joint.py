"""The chance that several uncertain quantities all hold at once, when they hang together: normal orthant probability.

Source: A. Genz, Numerical computation of multivariate normal probabilities, Journal of Computational and Graphical
Statistics 1 (1992) 141-149: one variable after the other along the Cholesky factor, the unit cube by a lattice of
square roots of primes (Richtmyer). Exact where the quantities are independent.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Array = NDArray[np.float64]

POINTS = 4096  # of the lattice: the answer is good to about 0.0003
SURE = 8.0  # standard deviations above nought from which a quantity cannot fail and is left out
LOST = 1e-7  # standard deviations: what is left of one that the others tell wholly
NOTHING = 1e-9  # mm: less than this is no spread, and what lacks no more than this lacks nothing


def p_all_above(mean: ArrayLike, cov: ArrayLike, at: float = 0.0) -> float:
    """The probability that every one of n normal quantities is at least `at`.

    `mean` has n entries, `cov` is n x n (it may be singular: sums and differences of each other), both in one unit;
    the answer is a fraction. No quantity: 1. What does not spread is compared. DataError for shapes that do not fit,
    for what is no number and for a variance below nought.
    """
    import numpy as np

    m = np.asarray(mean, dtype=float).reshape(-1) - at
    c = np.asarray(cov, dtype=float)
    if c.shape != (len(m), len(m)) or not (np.isfinite(m).all() and np.isfinite(c).all()):
        raise DataError("a joint chance needs a mean each and their covariance, all of them numbers")
    u = np.diag(c)
    if (u < -NOTHING).any():
        raise DataError("a variance is below nought: the covariance is none")
    u = np.sqrt(np.maximum(u, 0.0))
    if (m[u <= NOTHING] < -NOTHING).any():
        return 0.0
    kept = np.flatnonzero((u > NOTHING) & (m < SURE * u))
    if not len(kept):
        return 1.0
    # the leanest first: what decides is not left to the last, roughest steps
    kept = kept[np.argsort(m[kept] / u[kept], kind="stable")]
    return _cube(m[kept] / u[kept], c[np.ix_(kept, kept)] / np.outer(u[kept], u[kept]))


def _cube(low: Array, correlation: Array) -> float:
    """P(z >= -low) of standard normal variables with this correlation."""
    import numpy as np
    from scipy.special import ndtr, ndtri

    factor, n = _factor(correlation), len(low)
    chance = np.ones(1)
    made: dict[int, Array] = {}  # the drawn variables so far, a point of the lattice each
    lattice = _lattice(n - 1)
    for i in range(n):
        shift = sum((factor[i, j] * drawn for j, drawn in made.items()), np.zeros(1))
        if factor[i, i] < LOST:  # wholly told by those before it
            chance = chance * (low[i] + shift >= -LOST)
            continue
        least = ndtr(-(low[i] + shift) / factor[i, i])
        chance = chance * (1.0 - least)
        if i < n - 1:
            made[i] = ndtri(np.clip(least + lattice[len(made)] * (1.0 - least), 1e-300, 1.0 - 1e-16))
    return float(min(max(chance.mean(), 0.0), 1.0))


def _factor(correlation: Array) -> Array:
    """A lower triangle L with L L' = the correlation, also where that is singular (columns of nought)."""
    import numpy as np

    n = len(correlation)
    lower = np.zeros((n, n))
    for i in range(n):
        rest = correlation[i, i] - float(lower[i, :i] @ lower[i, :i])
        if rest <= 1e-12:
            continue
        lower[i, i] = rest**0.5
        lower[i + 1 :, i] = (correlation[i + 1 :, i] - lower[i + 1 :, :i] @ lower[i, :i]) / lower[i, i]
    return lower


def _lattice(dimensions: int) -> Array:
    """Points of the unit cube (dimensions x POINTS): multiples of roots of primes, folded so that no edge jumps."""
    import numpy as np

    primes: list[int] = []
    k = 2
    while len(primes) < dimensions:
        if all(k % p for p in primes):
            primes.append(k)
        k += 1
    steps = np.sqrt(np.array(primes, dtype=float))[:, None] * (np.arange(POINTS) + 1.0)
    folded: Array = np.abs(2.0 * (steps % 1.0) - 1.0)
    return folded
