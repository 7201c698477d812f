"""Linear least squares by orthogonal decomposition, with the uncertainties and the analysis of variance of the fit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, inf, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.metrology.statistics import finite

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.statistics import Values


@dataclass(frozen=True, slots=True)
class Fit:
    """Coefficients (the intercept first, where there is one) with standard uncertainties and what is left over."""

    b: tuple[float, ...]
    u: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    residual_sd: float
    dof: int
    r_squared: float
    f: float
    ss_regression: float
    ss_residual: float
    residuals: tuple[float, ...]

    def at(self, row: Sequence[float]) -> tuple[float, float]:
        """Fitted value and its standard uncertainty at one row of predictors (1 first, where there is an intercept)."""
        value = fsum(b * x for b, x in zip(self.b, row, strict=True))
        leaning = [fsum(c * y for c, y in zip(cs, row, strict=True)) for cs in self.covariance]
        return value, sqrt(max(fsum(x * v for x, v in zip(row, leaning, strict=True)), 0.0))


def least_squares(columns: Sequence[Values], y: Values, intercept: bool = True) -> Fit:
    """Least-squares fit of y on the columns, by QR of columns scaled to unit length and one step of refinement.

    R squared is about the mean with an intercept and about zero without one, as the NIST StRD linear sets have it.
    Refuses with DataError when there are not more rows than coefficients or when columns cannot be told apart.
    """
    import numpy as np

    right = finite(y)
    n = int(right.size)
    parts = [np.ones(n)] if intercept else []
    for column in columns:
        x = finite(column)
        if x.size != n:
            raise DataError(f"{x.size} predictor values for {n} readings: each reading needs one")
        parts.append(x)
    p = len(parts)
    if n <= p:
        raise DataError(f"{n} readings for {p} coefficients: take more than {p}")
    x = np.column_stack(parts)
    scale = np.sqrt(np.square(x).sum(axis=0))
    if (scale == 0).any():
        raise DataError("a predictor is zero everywhere; leave it out")
    q, r = np.linalg.qr(x / scale)
    diagonal = np.abs(np.diag(r))
    if float(diagonal.min()) < 1e-13 * float(diagonal.max()):
        raise DataError("the predictors cannot be told apart (one follows from the others); leave one out")

    def left_over(b: NDArray[np.float64]) -> NDArray[np.float64]:
        terms = np.column_stack([right, -x * b]).tolist()
        return np.array([fsum(row) for row in terms])

    b = np.zeros(p)
    for _ in range(2):  # the second round mends the rounding of the first, on residuals summed without loss
        b = b + np.linalg.solve(r, q.T @ left_over(b)) / scale
    rest = left_over(b)
    rest_ss = float(rest @ rest)
    dof = n - p
    inverse = np.linalg.solve(r, np.eye(p)) / scale[:, None]
    covariance = inverse @ inverse.T * (rest_ss / dof)
    about = right - right.mean() if intercept else right
    total = float(about @ about)
    explained = max(total - rest_ss, 0.0)
    k = p - 1 if intercept else p
    f = explained / k / (rest_ss / dof) if k and rest_ss > 0 else inf
    return Fit(
        b=tuple(b.tolist()),
        u=tuple(np.sqrt(np.diag(covariance)).tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        residual_sd=sqrt(rest_ss / dof),
        dof=dof,
        r_squared=explained / total if total > 0 else 0.0,
        f=f,
        ss_regression=explained,
        ss_residual=rest_ss,
        residuals=tuple(rest.tolist()),
    )
