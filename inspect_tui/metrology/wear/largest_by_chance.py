"""How large the largest of many contrasts gets by chance: p-values for a change searched for at every place.

A change at any of K places is the largest of K unit contrasts of a series. The chance that any one of them exceeds r is
the sum of the single chances (Student's t) times the mean of 1 / (how many exceed together), which is drawn from
series in which one does (Naiman and Priebe 2001). Good to a few percent far into the tail.
"""

from __future__ import annotations

from functools import lru_cache
from math import exp, floor, lgamma, log, pi, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

KINDS = ("step", "bend", "step on a line")
TRIM = 3  # a step has at least so many readings on either side
TRIM_BEND = 5
LEAST = 12  # fewer readings than this are not searched
LEVELS = (0.3, 1.0, 2.0, 3.0, 4.5, 7.0, 10.0, 14.0)  # -log10 of the single chances at which the ratio is drawn
DRAWS = 1000


def contrasts(rows: NDArray[np.float64], kind: str, x: NDArray[np.float64] | None = None) -> NDArray[np.float64]:
    """All contrasts of each row: (m, n) centred rows of length 1 -> (m, K) values from -1 to 1, + is up later.

    "step": mean after against before, split after TRIM .. n - TRIM readings. "bend": level, then a straight rise from
    reading k on, k = 0 .. n - TRIM_BEND - 1. "step on a line": a step in rows with their line against `x` taken out.
    """
    import numpy as np

    n = rows.shape[1]
    if kind == "bend":
        later = np.cumsum(rows[:, ::-1], axis=1)[:, ::-1]  # sum from i on
        rise = np.cumsum(later[:, :0:-1], axis=1)[:, ::-1]  # sum over i > k of (i - k) row_i, k = 0 .. n - 2
        return np.asarray(rise[:, : n - TRIM_BEND] / _bend_norm(n)[: n - TRIM_BEND])
    before = np.cumsum(rows, axis=1)[:, TRIM - 1 : n - TRIM]
    return np.asarray(-before / _step_norm(n, kind, x))


def _step_norm(n: int, kind: str, x: NDArray[np.float64] | None) -> NDArray[np.float64]:
    import numpy as np

    k = np.arange(TRIM, n - TRIM + 1, dtype=float)
    square = k * (n - k) / n
    if kind == "step on a line":
        at = np.arange(n, dtype=float) if x is None else np.asarray(x, dtype=float)
        z = at - at.mean()
        on_line = np.cumsum(z)[TRIM - 1 : n - TRIM]
        square = square - on_line**2 / (z @ z)
    return np.sqrt(np.maximum(square, 1e-12))


def _bend_norm(n: int) -> NDArray[np.float64]:
    """Length of max(i - k, 0) about its mean over i = 0 .. n - 1, for k = 0 .. n - 2."""
    import numpy as np

    m = n - 1 - np.arange(n - 1, dtype=float)  # readings that rise
    first, second = m * (m + 1) / 2, m * (m + 1) * (2 * m + 1) / 6
    spread: NDArray[np.float64] = np.sqrt(second - first**2 / n)
    return spread


def count(n: int, kind: str) -> int:
    """How many places are searched in a series of n."""
    return n - TRIM_BEND if kind == "bend" else n - 2 * TRIM + 1


def scan_p(largest: NDArray[np.float64], n: int, kind: str) -> NDArray[np.float64]:
    """Chance that the largest contrast of n readings without any change is at least `largest` in size (array).

    Exact but for the drawn ratio when readings are independent and normal (or normal scores). Raises DataError below
    LEAST readings.
    """
    import numpy as np

    if n < LEAST:
        raise DataError(f"{n} readings are too few to search for a change: {LEAST} are the least")
    single = single_log10(np.abs(largest), n - (2 if kind == "step on a line" else 1))
    levels, ratios = _ratio(_round(n), kind)
    ratio = np.interp(-single, levels, ratios)
    p: NDArray[np.float64] = np.minimum(1.0, np.power(10.0, single + ratio) * count(n, kind))
    return p


def single_log10(r: NDArray[np.float64], dimension: int) -> NDArray[np.float64]:
    """log10 of the two-sided chance that one contrast of a random direction in so many dimensions exceeds r."""
    import numpy as np

    grid, tail = _tail(dimension)
    t = r * sqrt(dimension - 1) / np.sqrt(np.maximum(1.0 - r * r, 1e-15))
    return np.asarray(np.interp(t, grid, tail))


@lru_cache(maxsize=64)
def _tail(dimension: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """log10 of the two-sided tail of Student's t with dimension - 1 degrees of freedom on a grid of t."""
    import numpy as np

    dof = dimension - 1
    t = np.concatenate([np.linspace(0, 12, 6001), np.geomspace(12, 3e7, 4001)[1:]])
    scale = lgamma((dof + 1) / 2) - lgamma(dof / 2) - 0.5 * log(dof * pi)
    density = np.exp(scale - (dof + 1) / 2 * np.log1p(t * t / dof))
    pieces = np.diff(t) * (density[1:] + density[:-1]) / 2
    area = np.concatenate([np.cumsum(pieces[::-1])[::-1], [0.0]]) + density[-1] * t[-1] / dof
    return t, np.log10(np.maximum(2 * area / (2 * area[0]), 1e-300))


def _round(n: int) -> int:
    """The next smaller of a ladder of lengths, 5 % apart: the ratio hardly changes with n."""
    return n if n < 30 else floor(exp(floor(log(n) / 0.05) * 0.05) + 1e-9)


@lru_cache(maxsize=256)
def _ratio(n: int, kind: str) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """-log10 single chance -> log10 of the mean of 1 / (contrasts that exceed together), by drawing."""
    import numpy as np

    rng = np.random.default_rng(20000 + n)
    dimension = n - (2 if kind == "step on a line" else 1)
    grid, tail = _tail(dimension)
    line = np.arange(n) - (n - 1) / 2
    line /= sqrt(float(line @ line))
    units = _units(n, kind)
    ratios_found = []
    for level in LEVELS:
        wanted = -level + np.log10(1.0 - rng.random(DRAWS))  # a chance below the level's, so beyond its contrast
        t = np.interp(-wanted, -tail, grid)
        z = (t / np.sqrt(t * t + dimension - 1)) * rng.choice([-1.0, 1.0], DRAWS)
        at = units[rng.integers(0, len(units), DRAWS)]
        rest = rng.standard_normal((DRAWS, n))
        rest -= rest.mean(axis=1, keepdims=True)
        if kind == "step on a line":
            rest -= (rest @ line)[:, None] * line
        rest -= np.einsum("ij,ij->i", rest, at)[:, None] * at
        rest /= np.sqrt(np.einsum("ij,ij->i", rest, rest))[:, None]
        drawn = z[:, None] * at + np.sqrt(1.0 - z * z)[:, None] * rest
        edge_t = float(np.interp(level, -tail, grid))
        edge = edge_t / sqrt(edge_t**2 + dimension - 1)
        together = (np.abs(contrasts(drawn, kind)) >= edge * (1 - 1e-9)).sum(axis=1)
        ratios_found.append(log(float(np.mean(1.0 / np.maximum(together, 1)))) / log(10))
    return np.array(LEVELS), np.array(ratios_found)


def _units(n: int, kind: str) -> NDArray[np.float64]:
    """The contrasts as rows of length 1 (K, n)."""
    import numpy as np

    i = np.arange(n, dtype=float)
    if kind == "bend":
        rows = np.maximum(i - np.arange(n - TRIM_BEND, dtype=float)[:, None], 0.0)
    else:
        rows = (i >= np.arange(TRIM, n - TRIM + 1)[:, None]).astype(float)
    rows -= rows.mean(axis=1, keepdims=True)
    if kind == "step on a line":
        line = i - i.mean()
        rows -= (rows @ line)[:, None] * line / (line @ line)
    return np.asarray(rows / np.sqrt(np.einsum("ij,ij->i", rows, rows))[:, None])
