"""Wear that does not go straight: a curve of degree 1 or 2 and its inverse, and a bend where wear-in ends."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail, t_quantile
from inspect_tui.metrology.typed.show import MM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@frozen_by_name
class CurveReach:
    """Where a fitted curve reaches a size: count, 95 % interval, coefficients (constant first), residual sd."""

    x: float
    low: float
    high: float
    coefficients: tuple[float, ...]
    sd: float
    dof: float


@frozen_by_name
class Bend:
    """Two lines that meet at `x`: fast wear-in, then steady. `p` is the F test's p-value against one line.

    That test counts the place of the bend as one more constant, which is not exact: take 0.01 as its 0.05.
    """

    x: float
    start: float
    slope_before: float
    slope_after: float
    rss: float
    p: float


def reach(x: Sequence[float], y: Sequence[float], size: float, degree: int = 2) -> CurveReach:
    """Count at which a polynomial of degree 1 or 2 through the readings reaches `size`, with its 95 % interval.

    Inverse prediction from the curve (not of a new reading): the interval is where the 95 % band of the curve holds
    `size`. Raises DataError when the curve never reaches it or there are too few readings. Source: NIST/SEMATECH
    e-Handbook, single-use calibration; band inverted as in Fieller's method.
    """
    import numpy as np

    xs, ys = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if degree not in (1, 2) or len(xs) != len(ys) or len(xs) < degree + 2 or np.ptp(xs) <= 0:
        raise DataError("a curve of degree 1 or 2 needs two readings more than its degree, at different counts")
    middle, half = (xs.max() + xs.min()) / 2, np.ptp(xs) / 2  # scaled to -1..1: powers of counts would lose digits
    powers = np.vander((xs - middle) / half, degree + 1, increasing=True)
    inverse = np.linalg.inv(powers.T @ powers)
    beta = inverse @ powers.T @ ys
    rest = ys - powers @ beta
    dof = len(xs) - degree - 1
    sd = sqrt(float(rest @ rest) / dof)
    t = t_quantile(0.975, dof)

    def at(z: float) -> tuple[float, float]:
        row = np.array([z**k for k in range(degree + 1)])
        return float(row @ beta) - size, t * sd * sqrt(max(float(row @ inverse @ row), 0.0))

    b0, b1, b2 = float(beta[0]) - size, float(beta[1]), float(beta[2]) if degree == 2 else 0.0
    root = _nearest_root(b0, b1, b2)
    if root is None:
        raise DataError(f"the curve through these readings never reaches {MM.given(size, unit=False)}")
    edges = [root, root]
    for k, way in enumerate((-1.0, 1.0)):
        near, far = root, root + way * 0.01
        while abs(at(far)[0]) <= at(far)[1]:
            near, far = far, root + (far - root) * 2
            if abs(far - root) > 1e6:
                break
        if abs(far - root) > 1e6:
            edges[k] = way * inf
            continue
        for _ in range(80):
            z = (near + far) / 2
            near, far = (z, far) if abs(at(z)[0]) <= at(z)[1] else (near, z)
        edges[k] = (near + far) / 2
    plain = [float(c) for c in np.polynomial.Polynomial(beta, domain=[xs.min(), xs.max()]).convert().coef]
    plain += [0.0] * (degree + 1 - len(plain))
    low, high = (middle + half * e for e in edges)
    return CurveReach(
        x=float(middle + half * root),
        low=float(low),
        high=float(high),
        coefficients=tuple(plain),
        sd=sd,
        dof=float(dof),
    )


def _nearest_root(b0: float, b1: float, b2: float) -> float | None:
    """The root nearest to the middle of the readings, where the curve is best known."""
    if abs(b2) < 1e-14 * max(abs(b1), abs(b0), 1e-300):
        return None if b1 == 0 else -b0 / b1
    disc = b1 * b1 - 4 * b2 * b0
    if disc < 0:
        return None
    q = -0.5 * (b1 + (1 if b1 >= 0 else -1) * sqrt(disc))
    roots = [q / b2] + ([b0 / q] if q else [])
    return min(roots, key=abs)


def curves(x: Sequence[float], y: Sequence[float]) -> float:
    """p-value of the F test that a curve (degree 2) fits no better than a line: small means wear speeds up or slows."""
    import numpy as np

    if len(x) < 5 or np.ptp(np.asarray(x)) <= 0:
        return 1.0
    z = (np.asarray(x, dtype=float) - np.mean(x)) / np.ptp(np.asarray(x, dtype=float))
    straight = float(np.sum((y - np.polyval(np.polyfit(z, y, 1), z)) ** 2))
    curved = float(np.sum((y - np.polyval(np.polyfit(z, y, 2), z)) ** 2))
    dof = len(x) - 3
    return f_tail((straight - curved) / (curved / dof), 1, dof) if curved > 0 else float(straight <= 0)


def bend(x: Sequence[float], y: Sequence[float]) -> Bend:
    """Best continuous pair of lines by least squares, at least two readings on either side (counts in order).

    For each gap between readings the two free lines either meet inside it (then that is the best there) or the bend
    sits on one of its ends. Raises DataError below 5 readings. Source: Hudson (1966), joined segments.
    """
    import numpy as np

    order = np.argsort(np.asarray(x, dtype=float), kind="stable")
    xs, ys = np.asarray(x, dtype=float)[order], np.asarray(y, dtype=float)[order]
    if len(xs) < 5 or len(np.unique(xs)) < 5:
        raise DataError("a bend needs readings at five counts or more")

    def joined(at: float) -> tuple[float, NDArray[np.float64]]:
        matrix = np.column_stack([np.ones_like(xs), xs - at, np.maximum(xs - at, 0.0)])
        beta, *_ = np.linalg.lstsq(matrix, ys, rcond=None)
        return float(np.sum((ys - matrix @ beta) ** 2)), beta

    spots = list(np.unique(xs)[1:-1])
    for k in range(2, len(xs) - 1):
        left, right = np.polyfit(xs[:k], ys[:k], 1), np.polyfit(xs[k:], ys[k:], 1)
        if left[0] != right[0]:
            meet = (right[1] - left[1]) / (left[0] - right[0])
            if xs[k - 1] < meet < xs[k]:
                spots.append(float(meet))
    at = float(min(spots, key=lambda s: joined(s)[0]))
    rss, beta = joined(at)
    line = float(np.sum((ys - np.polyval(np.polyfit(xs, ys, 1), xs)) ** 2))
    dof = len(xs) - 4
    p = f_tail((line - rss) / 2 / (rss / dof), 2, dof) if rss > 1e-12 * max(line, 1e-300) and dof > 0 else 0.0
    start = float(beta[0] - beta[1] * at)
    return Bend(x=at, start=start, slope_before=float(beta[1]), slope_after=float(beta[1] + beta[2]), rss=rss, p=p)
