"""Where wear bends: the count at which wear-in ends, or at which a hard skin is worn through."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


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
