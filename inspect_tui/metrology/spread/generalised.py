"""Generalised least squares with the test of single readings for slips, as it is done in geodesy.

A reading is judged by its residual over the residual's own standard deviation (standardised residual); how large a
slip must be to be noticed follows from its redundancy: what the other readings say of it.

Source: Aitken 1935 for the estimate; W. Baarda, A testing procedure for use in geodetic networks, 1968, for the test
(0.1 % false alarms and a power of 80 %: critical value 3.29, noncentrality 17.07).
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import NormalDist
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

FALSE_ALARM, POWER = 0.001, 0.80
SAME = 1e-10  # what is left of a column is rounding below this share of it


def critical(false_alarm: float = FALSE_ALARM) -> float:
    """From which standardised residual on a reading is taken for a slip, with this probability of a false alarm."""
    return NormalDist().inv_cdf(1.0 - false_alarm / 2.0)


def noncentrality(false_alarm: float = FALSE_ALARM, power: float = POWER) -> float:
    """Of the squared standardised residual under the smallest slip that is noticed with this probability."""
    return (critical(false_alarm) + NormalDist().inv_cdf(power)) ** 2


@frozen_by_name
class Solution:
    """Estimates with their covariance, and of each reading what the test needs; arrays in the units of what was given.

    `redundancy` is each reading's share in the degrees of freedom (0: nothing else tells of it, and no slip of it is
    noticed: `smallest_slip` is infinite then, `standardised` 0). `chi2` is the weighted sum of squares of residuals.
    """

    x: Array
    covariance: Array
    residuals: Array
    standardised: Array
    redundancy: Array
    smallest_slip: Array
    chi2: float
    dof: int


def solve(design: Array, y: Array, covariance: Array, names: Sequence[str] = ()) -> Solution:
    """x of y = design x + errors with this covariance (matrix, or the variances alone).

    `design` (n x m), `y` (n). Raises DataError where the readings leave some of x free (named by `names`), where
    something is not a number, and where the covariance is none.
    """
    import numpy as np

    v = np.diag(covariance) if covariance.ndim == 1 else covariance
    if not all(np.isfinite(part).all() for part in (design, y, v)):
        raise DataError("not a number among the readings or their uncertainties; leave it out or type it again")
    try:
        root = np.linalg.cholesky(v)
    except np.linalg.LinAlgError:
        raise DataError(
            "the uncertainties of the readings cannot be: one is nought, or two are tied too closely"
        ) from None
    a, b = np.linalg.solve(root, design), np.linalg.solve(root, y)
    loose = free_of(a)
    if loose:
        said = ", ".join(names[n] if names else str(n) for n in loose)
        raise DataError(f"these readings leave {said} free; read a size that ends there")
    inverse = np.linalg.inv(a.T @ a)
    x = inverse @ (a.T @ b)
    left = b - a @ x
    # P = V^-1 - V^-1 A (A' V^-1 A)^-1 A' V^-1: what each reading stands against
    white = np.linalg.inv(root)
    p = white.T @ (np.eye(len(y)) - a @ inverse @ a.T) @ white
    p_diag, weight = np.diag(p).copy(), np.diag(np.linalg.inv(v))
    p_diag[p_diag < SAME * weight] = 0.0
    told = p_diag > 0.0
    standard = np.zeros(len(y))
    slip = np.full(len(y), np.inf)
    standard[told] = (white.T @ left)[told] / np.sqrt(p_diag[told])
    slip[told] = np.sqrt(noncentrality() / p_diag[told])
    return Solution(
        x=x,
        covariance=inverse,
        residuals=y - design @ x,
        standardised=standard,
        redundancy=np.diag(v @ p),
        smallest_slip=slip,
        chi2=float(left @ left),
        dof=len(y) - design.shape[1],
    )


def free_of(design: Array) -> tuple[int, ...]:
    """The unknowns that are not fixed: columns that the others (of the null space) can stand in for. Sorted."""
    import numpy as np

    if design.shape[1] == 0:
        return ()
    _, s, vt = np.linalg.svd(design, full_matrices=True)
    rank = int((s > SAME * max(s.max(initial=0.0), 1e-300)).sum())
    null = vt[rank:]
    if not len(null):
        return ()
    return tuple(int(n) for n in np.flatnonzero((np.abs(null) > 1e-6).any(axis=0)))
