"""Readings that stand too far out for their neighbours: they are flagged with the reason, never dropped.

Grubbs' test asks about one reading, the generalised ESD test (Rosner 1983) about up to a stated number of them, so that
two bad readings cannot hide each other. Both take the other readings as normal.
"""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.spread.statistics import finite, from_values
from inspect_tui.metrology.typed.show import MM, Style

if TYPE_CHECKING:
    from inspect_tui.metrology.spread.statistics import Values

FEWEST_EXACT = 15  # Rosner: from here the critical values are good; below they are a rough guide


@frozen
class Outliers:
    """Positions (from 0, in the order given) of the readings flagged, with the statistic and limit of every step."""

    index: tuple[int, ...]
    r: tuple[float, ...]
    critical: tuple[float, ...]
    assumptions: tuple[str, ...]
    sentence: str


@frozen
class Grubbs:
    """The reading that stands out most, its distance from the mean in standard deviations, and the critical one."""

    index: int
    g: float
    critical: float
    outlier: bool
    sentence: str


def grubbs_critical(n: int, alpha: float = 0.05, sides: int = 2) -> float:
    """Critical value of Grubbs' statistic for n readings (Grubbs and Beck 1972, from Student's t).

    In standard deviations. DataError below three readings.
    """
    from scipy.special import stdtrit

    if n < 3:
        raise DataError(f"of {n} readings none can be told to be out; at least 3 are needed")
    t = float(stdtrit(n - 2, alpha / (sides * n)))
    return (n - 1) / sqrt(n) * sqrt(t * t / (n - 2 + t * t))


def grubbs(values: Values, alpha: float = 0.05, side: str = "both", style: Style = MM) -> Grubbs:
    """Grubbs' test of the reading furthest from the mean; `side` is both, upper or lower.

    The statistic is in standard deviations. DataError for another side, or when all readings are equal.
    """
    import numpy as np

    a = finite(values, fewest=3)
    summary = from_values(a)
    if side not in ("both", "upper", "lower"):
        raise DataError(f"side is both, upper or lower, not {side!r}")
    if not summary.s:
        raise DataError(f"all {a.size} readings are equal: none stands out")
    away = (a - summary.mean) / summary.s
    if side == "both":
        away = np.abs(away)
    elif side == "lower":
        away = -away
    at = int(np.argmax(away))
    g = float(away[at])
    critical = grubbs_critical(int(a.size), alpha, 2 if side == "both" else 1)
    out = g > critical
    say = f"reading {at + 1} ({style.given(float(a[at]), unit=False)}) lies {style.figure(g)} s from the mean; "
    say += f"more than {style.figure(critical)} is rarer than {style.percent(alpha, None)}"
    say += ": look at it" if out else ": it may belong"
    return Grubbs(at, g, critical, out, say)


def flag_outliers(values: Values, most: int | None = None, alpha: float = 0.05, style: Style = MM) -> Outliers:
    """Generalised ESD test for up to `most` outliers (Rosner 1983, Technometrics 25).

    By default up to a fifth of the readings and ten at most are looked at. `alpha` is the risk of flagging anything
    among normal readings. The reading furthest from the mean of what is left is always one of the two ends, so the
    sorted readings are cut from outside. Statistics in standard deviations. DataError for more outliers than n - 2.
    """
    import numpy as np
    from scipy.special import stdtrit

    assumptions = ("the other readings are normally distributed", "readings taken independently of each other")
    a = finite(values)
    n = int(a.size)
    if n < 3:
        return Outliers((), (), (), assumptions, f"of {n} readings none can be told to be out; at least 3 are needed")
    if most is None:
        most = min(10, max(1, n // 5))
    if not 1 <= most <= n - 2:
        raise DataError(f"looking for {most} outliers among {n} readings: give 1 to {n - 2}")
    order = np.argsort(a, kind="stable")
    rank = a[order]
    low, high = 0, n
    taken: list[int] = []
    r: list[float] = []
    critical: list[float] = []
    flagged = 0
    for i in range(1, most + 1):
        left = from_values(rank[low:high])
        if not left.s:
            break
        if rank[high - 1] - left.mean >= left.mean - rank[low]:
            high -= 1
            at = high
        else:
            at = low
            low += 1
        taken.append(int(order[at]))
        r.append(abs(float(rank[at]) - left.mean) / left.s)
        t = float(stdtrit(n - i - 1, 1.0 - alpha / (2.0 * (n - i + 1))))
        critical.append((n - i) * t / sqrt((n - i - 1 + t * t) * (n - i + 1)))
        if r[-1] > critical[-1]:
            flagged = i  # an earlier one that was masked counts as soon as a later one is out
    index = tuple(taken[:flagged])
    if not r:
        say = f"all {n} readings are equal: none stands out"
    elif not index:
        say = f"none of {n} readings stands out (generalised ESD, {style.percent(alpha, None)})"
    else:
        named = ", ".join(f"reading {j + 1} ({style.given(float(a[j]), unit=False)})" for j in index)
        say = f"{named} {'stands' if len(index) == 1 else 'stand'} out of {n} (generalised ESD, "
        say += f"{style.percent(alpha, None)}): flagged, still counted"
    if n < FEWEST_EXACT:
        say += f"; with fewer than {FEWEST_EXACT} readings this is a rough guide"
    return Outliers(index, tuple(r), tuple(critical), assumptions, say)
