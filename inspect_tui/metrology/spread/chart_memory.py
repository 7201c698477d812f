"""Charts that remember what came before, for small lasting shifts: EWMA and CUSUM.

EWMA as ISO 7870-6, CUSUM (tabular) as ISO 7870-4. Both restart at every segment. Their false-alarm rate is one over the
average run length with nothing changed, from the integral equation, not from a table.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from itertools import accumulate
from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import replace
from inspect_tui.metrology.spread.chart_rules import rules
from inspect_tui.metrology.spread.charts import (
    INDEPENDENT,
    NORMAL,
    Break,
    ControlChart,
    Segment,
    SegmentLimits,
    assemble,
    doubts_of,
    individual_parts,
)
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.spread.statistics import Values


def smooth(values: NDArray[np.float64], weight: float, start: float) -> NDArray[np.float64]:
    """EWMA of the last axis, z = (1 - weight) z + weight x, begun at `start`. Unit of the values; shape as `values`."""
    import numpy as np

    if not values.shape[-1]:
        return values.astype(np.float64)
    if values.ndim == 1:
        run = accumulate(values.tolist(), lambda z, x: z + weight * (x - z), initial=start)
        next(run)
        return np.fromiter(run, np.float64, values.size)
    first = np.full(values.shape[:-1], start)
    steps = accumulate(np.moveaxis(values, -1, 0), lambda z, x: z + weight * (x - z), initial=first)
    next(steps)
    return np.stack(list(steps), axis=-1)


def sums(z: NDArray[np.float64], k: float, head_start: float = 0.0) -> NDArray[np.float64]:
    """One-sided CUSUM along the last axis, S = max(0, S + z - k) begun at `head_start`; mirror z for the other side.

    Without a loop: S is the walk of z - k less its lowest point so far (Lindley), where that is below 0. In
    standard deviations; shape as `z`.
    """
    import numpy as np

    walk = head_start + np.cumsum(z - k, axis=-1)
    return walk - np.minimum(np.minimum.accumulate(walk, axis=-1), 0.0)


def ewma(
    values: Values,
    weight: float = 0.2,
    width: float = 2.962,
    breaks: Iterable[Break] = (),
    centre: float | None = None,
    sigma: float | None = None,
    baseline: int | None = None,
    constant_limits: bool = False,
    style: Style = MM,
) -> ControlChart:
    """EWMA of single readings with limits that widen to their final value (`constant_limits`: the final value at once).

    The default design has an average run length of 500 with nothing changed (Lucas and Saccucci 1990); the rate stated
    is that of constant limits, widening ones cry a little oftener at the start. Centre and sigma as for
    `individuals`. Unit of the readings; `width` in standard deviations of the EWMA. DataError for a weight outside
    0 to 1.
    """
    import numpy as np

    if not 0.0 < weight <= 1.0:
        raise DataError(f"the weight of an EWMA lies between 0 and 1, not at {MM.figures(weight)}")
    x, parts = individual_parts(values, breaks, centre, sigma, baseline)
    points = np.empty(x.size)
    limits: list[SegmentLimits | None] = []
    for part in parts:
        at = slice(part.start, part.stop)
        middle = part.centre if part.centre is not None else 0.0
        points[at] = smooth(x[at], weight, middle)
        if part.sigma is None:
            limits.append(None)
            continue
        count = np.arange(1, part.stop - part.start + 1)
        grown = np.ones(count.size) if constant_limits else 1.0 - (1.0 - weight) ** (2 * count)
        limits.append(SegmentLimits(middle, part.sigma * np.sqrt(weight / (2.0 - weight) * grown), width))
    rate = 1.0 / ewma_run_length(weight, width)
    what = f"weight {style.figures(weight)}, limits at {style.figures(width)} standard deviations of the EWMA"
    doubts, only = doubts_of(x, parts, style), rules(("beyond_limits",))
    return assemble("EWMA", points, parts, limits, only, None, 0, doubts, rate, _rests_on(what), style)


def cusum(
    values: Values,
    k: float = 0.5,
    h: float = 5.0,
    head_start: float = 0.0,
    breaks: Iterable[Break] = (),
    centre: float | None = None,
    sigma: float | None = None,
    baseline: int | None = None,
    style: Style = MM,
) -> ControlChart:
    """Two-sided tabular CUSUM; k, h and `head_start` count in sigma, points and limits are in the readings' unit.

    The chart holds the sum upward, its `companion` the sum downward (drawn below zero). A signal tells since when the
    sum has been growing: that is where the shift began, as near as the readings know.
    """
    import numpy as np

    x, parts = individual_parts(values, breaks, centre, sigma, baseline)
    rate = 1.0 / cusum_run_length(k, h, 0.0, head_start)
    doubts, only = doubts_of(x, parts, style), rules(("beyond_limits",))
    both: list[ControlChart] = []
    limits: list[SegmentLimits | None]
    for sign, side in ((1.0, "upward"), (-1.0, "downward")):
        points = np.zeros(x.size)
        limits = []
        for part in parts:
            if part.sigma is None or part.centre is None:
                limits.append(None)
                continue
            at = slice(part.start, part.stop)
            points[at] = sign * part.sigma * sums(sign * (x[at] - part.centre) / part.sigma, k, head_start) + 0.0
            limits.append(SegmentLimits(0.0, part.sigma, h))
        design = (("reference value", k), ("decision interval", h), ("head start", head_start))
        what = _rests_on(", ".join(f"{name} {style.figures(of)} sigma" for name, of in design))
        chart = assemble(f"CUSUM {side}", points, parts, limits, only, None, 0, doubts, rate, what, style)
        both.append(_with_onsets(chart, sign, k, parts, style))
    up, down = both
    return replace(up, companion=down)


def _with_onsets(chart: ControlChart, sign: float, k: float, parts: tuple[Segment, ...], style: Style) -> ControlChart:
    """Tell with each signal where the sum last stood at zero and how large the shift since then is on average."""
    said = []
    for signal in chart.signals:
        part = next(p for p in parts if p.start <= signal.index < p.stop)
        began = signal.index
        while began > part.start and chart.points[began - 1]:
            began -= 1
        steps = signal.index - began + 1
        shift = sign * k * (part.sigma or 0.0) + (chart.points[signal.index] or 0.0) / steps
        by = style.significant(shift, 3, unit=False, signed=True)
        say = f"{signal.sentence}; shifted by about {by} since point {began + 1}"
        said.append(signal._replace(sentence=say))
    return replace(chart, signals=tuple(said))


def _rests_on(design: str) -> tuple[str, ...]:
    return (INDEPENDENT, NORMAL, design)


# ------------------------------------------------------------------------------ average run lengths
# For normal, independent points about known limits; a shift counts in standard deviations and is there from the start.
@lru_cache(maxsize=128)
def ewma_run_length(weight: float, width: float, shift: float = 0.0) -> float:
    """Average run length of an EWMA chart with constant limits, started at its centre.

    `weight` is lambda, `width` the limits in standard deviations of the EWMA. Fredholm equation of Crowder (1987)
    solved by Gauss-Legendre; Lucas and Saccucci (1990) tabulate it. A number of points. DataError for a design that
    cannot be.
    """
    import numpy as np

    if not (0.0 < weight <= 1.0 and width > 0.0):
        raise DataError(f"an EWMA of weight {MM.figures(weight)} and limits at {MM.figures(width)} sigma cannot be")
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
    the two sums cannot both be far out, which holds for k above 0. A number of points. DataError for a design that
    cannot be.
    """
    if not (k > 0.0 and h > 0.0 and 0.0 <= head_start < h):
        raise DataError(
            f"a CUSUM with k = {MM.figures(k)}, h = {MM.figures(h)} and head start {MM.figures(head_start)} cannot be"
        )
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
