"""Linear least squares with the uncertainties and the analysis of variance of the fit, exact where that is affordable.

Doubles are fractions, so the normal equations of a few coefficients are solved in whole numbers without any rounding:
high powers of nearly equal values, where orthogonal decomposition in doubles loses half its digits, come out right.

Source: ordinary least squares of any textbook.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import fsum, inf, sqrt
from operator import mul
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.spread.statistics import finite

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.spread.statistics import Values

APART = 1e-13  # a column whose part off the others is a smaller share of it than this is rounding, not information
EXACT_P, EXACT_WORK = 12, 200_000  # up to so many coefficients, and readings times coefficients squared: whole numbers
ALIKE = "the predictors cannot be told apart (one follows from the others); leave one out"


@frozen_by_name
class LinearFit:
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
        """Fitted value and its standard uncertainty at one row of predictors (1 first, where there is an intercept).

        In the unit of y.
        """
        value = fsum(b * x for b, x in zip(self.b, row, strict=True))
        leaning = [fsum(c * y for c, y in zip(cs, row, strict=True)) for cs in self.covariance]
        return value, sqrt(max(fsum(x * v for x, v in zip(row, leaning, strict=True)), 0.0))


def least_squares(columns: Sequence[Values], y: Values, intercept: bool = True) -> LinearFit:
    """Least-squares fit of y on the columns: exact for few coefficients, else by QR with one step of refinement.

    R squared is about the mean with an intercept and about zero without one, as the NIST StRD linear sets have it.
    Refuses with DataError when there are not more rows than coefficients or when columns cannot be told apart.
    Coefficients in units of y over those of their column.
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
    if p <= EXACT_P and n * p * p <= EXACT_WORK:
        try:
            return _exact([part.tolist() for part in parts], right.tolist(), intercept)
        except OverflowError:
            raise DataError("the readings are so large that no fit can be told; these are no measured sizes") from None
    return _by_qr(parts, right, intercept)


def _by_qr(parts: list[NDArray[np.float64]], right: NDArray[np.float64], intercept: bool) -> LinearFit:
    import numpy as np

    n, p = int(right.size), len(parts)
    x = np.column_stack(parts)
    scale = np.sqrt(np.square(x).sum(axis=0))
    if (scale == 0).any():
        raise DataError("a predictor is zero everywhere; leave it out")
    q, r = np.linalg.qr(x / scale)
    diagonal = np.abs(np.diag(r))
    if float(diagonal.min()) < APART * float(diagonal.max()):
        raise DataError(ALIKE)

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
    return LinearFit(
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


# ------------------------------------------------------------------------------ in whole numbers
def _whole(column: list[float]) -> tuple[list[int], int]:
    """The doubles as integers over a common power of two."""
    pairs = [v.as_integer_ratio() for v in column]
    den = max(d for _, d in pairs)
    return [m * (den // d) for m, d in pairs], den


def _exact(columns: list[list[float]], y: list[float], intercept: bool) -> LinearFit:
    """The fit from the normal equations in integers; each figure is rounded once, at the end."""
    n, p = len(y), len(columns)
    x, dens = zip(*(_whole(column) for column in columns), strict=True)
    w, den_y = _whole(y)
    gram = [[_dot(a, b) for b in x] for a in x]
    if any(gram[j][j] == 0 for j in range(p)):
        raise DataError("a predictor is zero everywhere; leave it out")
    right = [_dot(a, w) for a in x]
    solved, det = _solve(gram, right)
    # in the integers' own scale: coefficients solved[j][0] / det, inverse of the normal matrix solved[j][1 + i] / det
    left = [v * det - sum(x[j][i] * solved[j][0] for j in range(p)) for i, v in enumerate(w)]
    ww = _dot(w, w)
    rest_ss = Fraction(ww * det - sum(r * s[0] for r, s in zip(right, solved, strict=True)), det * den_y * den_y)
    total = Fraction(ww * n - sum(w) ** 2, n * den_y * den_y) if intercept else Fraction(ww, den_y * den_y)
    dof, k = n - p, p - 1 if intercept else p
    explained = max(total - rest_ss, Fraction(0))
    variance = rest_ss / dof
    covariance = tuple(
        tuple(float(Fraction(solved[i][1 + j] * dens[i] * dens[j], det) * variance) for j in range(p)) for i in range(p)
    )
    return LinearFit(
        b=tuple(solved[j][0] * dens[j] / (det * den_y) for j in range(p)),
        u=tuple(sqrt(covariance[j][j]) for j in range(p)),
        covariance=covariance,
        residual_sd=sqrt(variance),
        dof=dof,
        r_squared=float(explained / total) if total > 0 else 0.0,
        f=float(explained / k / variance) if k and rest_ss > 0 else inf,
        ss_regression=float(explained),
        ss_residual=float(rest_ss),
        residuals=tuple(r / (det * den_y) for r in left),
    )


def _dot(a: Sequence[int], b: Sequence[int]) -> int:
    return sum(map(mul, a, b))


def _solve(gram: list[list[int]], right: list[int]) -> tuple[list[list[int]], int]:
    """gram^-1 (right, unit matrix) times the determinant, and the determinant, by Bareiss elimination (no fractions).

    Every pivot over the one before it is the squared length of a column off the columns before it.
    """
    p = len(right)
    rows = [[*gram[i], right[i], *(int(i == j) for j in range(p))] for i in range(p)]
    before = 1
    for k in range(p):
        pivot = rows[k][k]
        if pivot / (before * gram[k][k]) < APART * APART:
            raise DataError(ALIKE)
        for i in range(p):
            if i != k:
                lead = rows[i][k]
                rows[i] = [(pivot * a - lead * b) // before for a, b in zip(rows[i], rows[k], strict=True)]
        before = pivot
    return [row[p:] for row in rows], before
