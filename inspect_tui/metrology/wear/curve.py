"""Where wear bends: the count at which wear-in ends, or at which a hard skin is worn through."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.judge._dist import f_tail

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CLOSE = 4  # spots whose squares are summed exactly
AT_ONCE = 1_000_000  # numbers in memory at once


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

    spots = np.concatenate([np.unique(xs)[1:-1], _meetings(xs, ys)])
    best = spots[np.argsort(-_gains(xs, ys, spots))[:CLOSE]].tolist()  # quick sums first, then exactly
    at = float(min(best, key=lambda s: joined(s)[0]))
    rss, beta = joined(at)
    line = float(np.sum((ys - np.polyval(np.polyfit(xs, ys, 1), xs)) ** 2))
    dof = len(xs) - 4
    p = f_tail((line - rss) / 2 / (rss / dof), 2, dof) if rss > 1e-12 * max(line, 1e-300) and dof > 0 else 0.0
    start = float(beta[0] - beta[1] * at)
    return Bend(x=at, start=start, slope_before=float(beta[1]), slope_after=float(beta[1] + beta[2]), rss=rss, p=p)


def _meetings(xs: NDArray[np.float64], ys: NDArray[np.float64]) -> NDArray[np.float64]:
    """Where the free lines through the readings before a gap and behind it meet, for each gap in which they do."""
    import numpy as np

    x, y = xs - xs.mean(), ys - ys.mean()
    sums = np.cumsum([np.ones_like(x), x, y, x * x, x * y], axis=1)
    before = sums[:, 1:-2]  # of two readings and more, with two and more behind them
    with np.errstate(divide="ignore", invalid="ignore"):  # readings of one count have no line, and parallels no meeting
        (level1, slope1), (level2, slope2) = (_line(*part) for part in (before, sums[:, -1:] - before))
        meet = (level2 - level1) / (slope1 - slope2) + xs.mean()
        inside = (xs[1:-2] < meet) & (meet < xs[2:-1])
    return np.asarray(meet[inside], dtype=np.float64)


def _line(n: Any, x: Any, y: Any, xx: Any, xy: Any) -> tuple[Any, Any]:
    """Level at 0 and slope of the least-squares line, from sums."""
    slope = (n * xy - x * y) / (n * xx - x * x)
    return (y - slope * x) / n, slope


def _gains(xs: NDArray[np.float64], ys: NDArray[np.float64], spots: NDArray[np.float64]) -> NDArray[np.float64]:
    """How much less the squares are than those about one line, with a bend at each of the spots."""
    import numpy as np

    q, _ = np.linalg.qr(np.column_stack([np.ones_like(xs), xs - xs.mean()]))
    rest = ys - q @ (q.T @ ys)
    gains = []
    for part in np.array_split(spots, 1 + len(spots) * len(xs) // AT_ONCE):
        turn = np.maximum(xs - part[:, None], 0.0)
        turn -= (turn @ q) @ q.T
        gains.append(np.square(turn @ rest) / np.square(turn).sum(axis=1))
    return np.concatenate(gains)
