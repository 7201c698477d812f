"""A look at form: the rigid motion that lays measured points on their nominal places best, in least squares.

It says nothing about machining (a best fit may leave one face bare): the set-up comes from `stock`.
Kabsch 1976; Arun, Huang and Blostein 1987.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


@frozen
class RigidFit:
    """Q = R P + t in least squares; residuals are the distances left over, point by point."""

    rotation: tuple[tuple[float, ...], ...]
    shift: tuple[float, ...]
    rms: float
    largest: float
    residuals: tuple[float, ...]


def rigid_fit(nominal: ArrayLike, measured: ArrayLike) -> RigidFit:
    """Best rigid motion of `nominal` onto `measured`, both n x 2 or n x 3, by singular values.

    A reflection is never taken: the sign of the weakest direction is turned so that the determinant is +1.
    Raises DataError for fewer points than dimensions or different shapes. Lengths in one unit, mm as used here; the
    rotation is a matrix.
    """
    import numpy as np

    p, q = np.asarray(nominal, dtype=float), np.asarray(measured, dtype=float)
    if p.ndim != 2 or p.shape != q.shape or p.shape[1] not in (2, 3):
        raise DataError("a best fit needs as many measured as nominal points, each with two or three coordinates")
    if len(p) < p.shape[1] or not (np.isfinite(p).all() and np.isfinite(q).all()):
        raise DataError(f"a best fit needs at least {p.shape[1]} points, all of them numbers")
    pc, qc = p.mean(axis=0), q.mean(axis=0)
    left, _, right = np.linalg.svd((p - pc).T @ (q - qc))
    sign = np.ones(p.shape[1])
    sign[-1] = np.sign(np.linalg.det(right.T @ left.T)) or 1.0
    r = right.T @ np.diag(sign) @ left.T
    t = qc - r @ pc
    distance = np.linalg.norm(q - p @ r.T - t, axis=1)
    return RigidFit(
        tuple(tuple(float(v) + 0.0 for v in row) for row in r),
        tuple(float(v) for v in t),
        float(np.sqrt((distance**2).mean())),
        float(distance.max()),
        tuple(float(d) for d in distance),
    )
