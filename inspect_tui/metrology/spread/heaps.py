"""One heap or two: the dip test of unimodality, and where two heaps lie when the readings make two.

Two heaps are two things measured as one: two boxes, two set-ups, before and after. Their common mean and spread
describe neither.
"""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.spread.statistics import Summary, finite, from_values
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.spread.statistics import Values

FEWEST = 10  # below this the test says next to nothing
MOST = 2000  # of more readings so many evenly spaced quantiles are taken: the shape is theirs
RISK = 0.01  # of seeing two heaps where there is one, whatever its shape

# sqrt(n) times the dip of n evenly distributed readings, by the share of samples below it; computed here from 20,000 to
# 100,000 samples each (evenly distributed readings dip most of all that make one heap: Hartigan and Hartigan 1985)
SHARES = (0.5, 0.9, 0.95, 0.99, 0.995, 0.999)
QUANTILES = {
    10: (0.3089, 0.4121, 0.4408, 0.5039, 0.5282, 0.5714),
    15: (0.3236, 0.4263, 0.4596, 0.5249, 0.5502, 0.6030),
    20: (0.3280, 0.4357, 0.4701, 0.5382, 0.5637, 0.6140),
    30: (0.3371, 0.4471, 0.4842, 0.5565, 0.5850, 0.6438),
    50: (0.3457, 0.4589, 0.4963, 0.5711, 0.5999, 0.6594),
    100: (0.3546, 0.4715, 0.5104, 0.5877, 0.6192, 0.6820),
    200: (0.3621, 0.4814, 0.5214, 0.6044, 0.6347, 0.7020),
    500: (0.3672, 0.4869, 0.5275, 0.6099, 0.6449, 0.7111),
    2000: (0.3721, 0.4983, 0.5398, 0.6225, 0.6512, 0.7156),
}


@frozen
class Dip:
    """The dip, its p-value under one heap (at least, where it is small), how many readings it is taken of."""

    dip: float
    p: float
    n: int


@frozen_by_name
class Heaps:
    """Whether the readings make two heaps; `low` and `high` are these, parted at `between` (unit of the readings).

    `two` is None where the readings are too few or too alike to tell.
    """

    two: bool | None
    dip: Dip | None
    low: Summary | None
    high: Summary | None
    between: float | None
    sentence: str


def heaps(values: Values, alpha: float = RISK, style: Style = MM) -> Heaps:
    """Dip test of the readings (Hartigan and Hartigan 1985, Annals of Statistics 13), and the two heaps it tells of.

    Equal readings are spread evenly over the step they were rounded to, for steps alone would make many heaps. The
    heaps are parted where their sums of squares are least (Fisher 1958). Unit of the readings.
    """
    import numpy as np

    a = np.sort(finite(values))
    n = int(a.size)
    if n < FEWEST:
        say = f"of {n} readings nothing can be said of heaps; at least {FEWEST} are needed"
        return Heaps(two=None, dip=None, low=None, high=None, between=None, sentence=say)
    if a[0] == a[-1]:
        say = f"all {n} readings are equal"
        return Heaps(two=None, dip=None, low=None, high=None, between=None, sentence=say)
    made = dip_test(_between_steps(a))
    if made.p >= alpha:
        say = f"nothing speaks against one heap (dip test p = {style.figures(made.p, 2)})"
        return Heaps(two=False, dip=made, low=None, high=None, between=None, sentence=say)
    at = _part(a)
    low, high = from_values(a[:at]), from_values(a[at:])
    say = f"two heaps: {low.n} about {_about(low, style)} and {high.n} about {_about(high, style)} "
    say += f"(dip test p {_rare(made.p, style)}); mean and spread of all describe neither: look for what parts them"
    return Heaps(two=True, dip=made, low=low, high=high, between=float(a[at - 1] + a[at]) / 2.0, sentence=say)


def _about(heap: Summary, style: Style) -> str:
    return style.length(heap.mean, 3, unit=False)


def _rare(p: float, style: Style) -> str:
    least = 1.0 - SHARES[-1]
    return f"< {style.figures(least, 1)}" if p <= least * (1 + 1e-9) else f"= {style.figures(p, 1)}"


def _between_steps(a: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sorted readings with equal ones spread evenly over the step round them: half way to the neighbours at most."""
    import numpy as np

    places, first, counts = np.unique(a, return_index=True, return_counts=True)
    if places.size == a.size:
        return a
    step = float(np.diff(places).min())
    rank = np.arange(a.size) - np.repeat(first, counts)
    many = np.repeat(counts, counts)
    return np.asarray(a + step * ((rank + 0.5) / many - 0.5))


def _part(a: NDArray[np.float64]) -> int:
    """How many of the sorted readings make the lower of two groups with the least sum of squares."""
    import numpy as np

    centred = a - a.mean()
    k = np.arange(1, a.size)
    left = np.cumsum(centred)[:-1]
    return int(np.argmax(left**2 * a.size / (k * (a.size - k)))) + 1


# ------------------------------------------------------------------------------ the dip
def dip_test(values: Values) -> Dip:
    """Dip and its p-value against evenly distributed readings; both dimensionless."""
    import numpy as np

    a = np.sort(finite(values, fewest=4))
    if a.size > MOST:
        at = np.linspace(0, a.size - 1, MOST)
        a = np.interp(at, np.arange(a.size), a)
    d = dip(a)
    return Dip(d, p_of(d, int(a.size)), int(a.size))


def dip(a: NDArray[np.float64]) -> float:
    """Greatest distance of the empirical distribution of sorted, different readings from the nearest with one heap.

    Dimensionless, 1/(2n) to 1/4. The mode is closed in from both sides by the greatest convex minorant and the least
    concave majorant (P. M. Hartigan 1985, Applied Statistics 34).
    """
    import numpy as np

    n = int(a.size)
    before, after = np.arange(n) / n, np.arange(1, n + 1) / n  # the distribution just below and at each reading
    low, high, worst = 0, n - 1, 1.0 / n
    while high > low:
        g = low + _minorant(a[low : high + 1], before[low : high + 1])
        m = high - _minorant(-a[low : high + 1][::-1], -after[low : high + 1][::-1])[::-1]
        at_g = np.interp(a[g], a[m], after[m]) - before[g]
        at_m = after[m] - np.interp(a[m], a[g], before[g])
        i, j = int(np.argmax(at_g)), int(np.argmax(at_m))
        if max(at_g[i], at_m[j]) <= worst + 1e-12:
            break
        if at_g[i] >= at_m[j]:
            left = int(g[i])
            right = int(m[np.searchsorted(m, left)])
        else:
            right = int(m[j])
            left = int(g[np.searchsorted(g, right, side="right") - 1])
        on_left, on_right = np.arange(low, left + 1), np.arange(right, high + 1)
        worst = max(
            worst,
            float((after[on_left] - np.interp(a[on_left], a[g], before[g])).max()),
            float((np.interp(a[on_right], a[m], after[m]) - before[on_right]).max()),
        )
        if (left, right) == (low, high):
            break
        low, high = left, right
    return worst / 2.0


def _minorant(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.intp]:
    """Places of the corners of the greatest convex function below the points (x rising)."""
    import numpy as np

    xs, ys = x.tolist(), y.tolist()
    chain: list[int] = []
    for i in range(len(xs)):
        while len(chain) > 1:
            p, q = chain[-2], chain[-1]
            if (ys[q] - ys[p]) * (xs[i] - xs[q]) < (ys[i] - ys[q]) * (xs[q] - xs[p]):
                break
            chain.pop()
        chain.append(i)
    return np.array(chain, dtype=np.intp)


def p_of(d: float, n: int) -> float:
    """Probability of such a dip or a larger one of n evenly distributed readings, interpolated; dimensionless.

    Beyond the largest quantile kept it is that one's.
    """
    import numpy as np

    sizes = sorted(QUANTILES)
    # sqrt(n) dip changes slowly with n: straight between the sizes kept, in 1 / sqrt(n)
    rows = np.array([QUANTILES[size] for size in sizes[::-1]])
    at = [1.0 / sqrt(size) for size in sizes[::-1]]
    row = [float(np.interp(1.0 / sqrt(n), at, rows[:, k])) for k in range(len(SHARES))]
    return float(np.interp(sqrt(n) * d, [0.5 / sqrt(n), *row], [1.0, *(1.0 - share for share in SHARES)]))
