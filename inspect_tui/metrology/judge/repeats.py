"""Repeats of one size that lie further apart than the gauge can explain: one of them is no reading of that size."""

from __future__ import annotations

from collections.abc import Sequence
from math import fsum, inf, sqrt

from inspect_tui.frozen import NamedTuple
from inspect_tui.metrology.judge._dist import f_tail

RISK = 0.001  # of asking about repeats that are honest; common practice, no source
MANY = 1e7  # degrees of freedom that stand for a spread that is known


class Apart(NamedTuple):
    """Repeats that disagree: from the least to the most, and how far apart honest ones would hardly lie. mm."""

    range: float
    explained: float

    @property
    def u(self) -> float:
        """Standard uncertainty of their mean: the size lies anywhere between them, mm (JCGM 100:2008, 4.3.7).

        Student's t of a scatter that no gauge has would stand for something else: with two readings it gives 13.97
        times their scatter, more than they lie apart.
        """
        return self.range / sqrt(12.0)


def apart(values: Sequence[float], s: float, dof: float = inf) -> Apart | None:
    """How far repeats lie apart when the spread `s` of single readings (mm) does not explain it; None when it does.

    Variance of the repeats against s^2 with `dof` degrees of freedom, by the F test at 0.1 %; for two readings that is
    a difference of 3.29 * sqrt(2) s. A spread of 0 explains nothing, and asks nothing: it is not known.
    """
    n = len(values)
    if n < 2 or not s > 0.0:
        return None
    mean = fsum(values) / n
    ratio = fsum((x - mean) ** 2 for x in values) / (n - 1) / (s * s)
    known = min(dof, MANY)
    if f_tail(ratio, n - 1, known) >= RISK:
        return None
    low, high = 0.0, ratio
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if f_tail(middle, n - 1, known) >= RISK else (low, middle)
    reach = max(values) - min(values)
    return Apart(reach, reach * sqrt(high / ratio))
