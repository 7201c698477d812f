"""Control charts of counts and fractions, for what is judged by eye: inclusions on a casting, cores scrapped of a lot.

Limits as ISO 7870-2 (c chart, p chart); a lower limit below zero is zero.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_rules import rules
from inspect_tui.metrology.spread.charts import (
    INDEPENDENT,
    Break,
    ControlChart,
    Segment,
    SegmentLimits,
    assemble,
    segments_of,
)
from inspect_tui.metrology.spread.statistics import finite

if TYPE_CHECKING:
    from inspect_tui.metrology.spread.statistics import Values

ENOUGH = 20


def counts_chart(counts: Values, breaks: Iterable[Break] = ()) -> ControlChart:
    """Chart of counts of faults on pieces of one kind; centre is the mean count, spread its root (Poisson).

    Counts are dimensionless. DataError for a count below 0.
    """
    import numpy as np

    x = finite(counts, "count")
    if (x < 0).any():
        raise DataError("a count is negative; counts start at zero")
    parts, limits = [], []
    for start, stop, reason in segments_of(x.size, breaks):
        mean = float(x[start:stop].mean())
        parts.append(_segment(start, stop, reason, mean, mean**0.5))
        limits.append(SegmentLimits(mean, mean**0.5, floor=0.0) if mean > 0 else None)
    what = (INDEPENDENT, "counts of rare faults (Poisson)", "false-alarm rate as for normal points, so a rough one")
    return assemble("counts", np.asarray(x), tuple(parts), limits, rules(("beyond_limits",)), assumptions=what)


def fractions_chart(bad: Sequence[float], sizes: Sequence[int], breaks: Iterable[Break] = ()) -> ControlChart:
    """Chart of the fraction bad in lots of the given sizes (binomial); each lot has its own limits.

    DataError where counts and sizes do not match.
    """
    import numpy as np

    x, n = finite(bad, "count"), finite(sizes, "lot size")
    if x.size != n.size:
        raise DataError(f"{x.size} counts for {n.size} lots: give each lot its size")
    if (n < 1).any() or (x < 0).any() or (x > n).any():
        raise DataError("a lot has no pieces, or more bad ones than pieces")
    parts, limits = [], []
    for start, stop, reason in segments_of(x.size, breaks):
        at = slice(start, stop)
        p = float(x[at].sum() / n[at].sum())
        error = np.sqrt(p * (1.0 - p) / n[at])
        parts.append(_segment(start, stop, reason, p, float(error.mean())))
        limits.append(SegmentLimits(np.full(error.size, p), error, floor=0.0) if 0 < p < 1 else None)
    what = (INDEPENDENT, "each piece bad with the same chance (binomial)", "false-alarm rate as for normal points")
    return assemble("fractions", x / n, tuple(parts), limits, rules(("beyond_limits",)), assumptions=what)


def _segment(start: int, stop: int, reason: str, centre: float, error: float) -> Segment:
    n = stop - start
    few = n < ENOUGH
    say = f"limits from {n} points, fewer than {ENOUGH}: they are provisional" if few else ""
    return Segment(
        start=start, stop=stop, reason=reason, centre=centre, sigma=error or None, provisional=few, sentence=say
    )
