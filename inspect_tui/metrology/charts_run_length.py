"""How long charts that remember (EWMA, CUSUM) run on average until they give a signal, by their integral equations.

For normal, independent points about known limits; a shift counts in standard deviations and is there from the start.
"""

from __future__ import annotations

from functools import lru_cache
from math import sqrt

from inspect_tui.errors import DataError


@lru_cache(maxsize=128)
def ewma_run_length(weight: float, width: float, shift: float = 0.0) -> float:
    """Average run length of an EWMA chart with constant limits, started at its centre.

    `weight` is lambda, `width` the limits in standard deviations of the EWMA. Fredholm equation of Crowder (1987)
    solved by Gauss-Legendre; Lucas and Saccucci (1990) tabulate it.
    """
    import numpy as np

    if not (0.0 < weight <= 1.0 and width > 0.0):
        raise DataError(f"an EWMA with weight {weight:g} and limits of {width:g} standard deviations cannot be")
    limit = width * sqrt(weight / (2.0 - weight))
    # the kernel is a normal density of spread `weight`: some nodes must fall within it
    nodes, weights = np.polynomial.legendre.leggauss(min(400, 40 + int(30 * limit / weight)))
    y, w = nodes * limit, weights * limit

    def kernel(start: np.ndarray) -> np.ndarray:
        step = (y[None, :] - (1.0 - weight) * start[:, None]) / weight - shift
        return w * np.exp(-step * step / 2.0) / (sqrt(2.0 * np.pi) * weight)

    length = np.linalg.solve(np.eye(y.size) - kernel(y), np.ones(y.size))
    return float(1.0 + (kernel(np.zeros(1)) @ length)[0])


@lru_cache(maxsize=128)
def cusum_run_length(k: float, h: float, shift: float = 0.0, head_start: float = 0.0) -> float:
    """Average run length of a two-sided tabular CUSUM; k, h and `head_start` in standard deviations.

    One side by the integral equation of Page (1954), both sides together as Lucas and Crosier (1982): exact as long as
    the two sums cannot both be far out, which holds for k above 0.
    """
    if not (k > 0.0 and h > 0.0 and 0.0 <= head_start < h):
        raise DataError(f"a CUSUM with k = {k:g}, h = {h:g} and head start {head_start:g} cannot be")
    up, up0 = _one_sided(k, h, shift, head_start)
    down, down0 = _one_sided(k, h, -shift, head_start)
    return (up * down0 + up0 * down - up0 * down0) / (up0 + down0)


def _one_sided(k: float, h: float, shift: float, start: float) -> tuple[float, float]:
    """Average run length of one side from `start` and from zero."""
    import numpy as np
    from scipy.special import ndtr

    nodes, weights = np.polynomial.legendre.leggauss(max(40, int(12 * h)))
    y, w = (nodes + 1.0) * h / 2.0, weights * h / 2.0

    def row(u: np.ndarray) -> np.ndarray:
        """Chance of falling back to zero, and density of ending at each node, from the sums u."""
        step = y[None, :] + k - u[:, None] - shift
        return np.column_stack([ndtr(k - u - shift), w * np.exp(-step * step / 2.0) / sqrt(2.0 * np.pi)])

    points = np.concatenate([[0.0], y])
    length = np.linalg.solve(np.eye(points.size) - row(points), np.ones(points.size))
    return float(1.0 + (row(np.array([start])) @ length)[0]), float(length[0])
