"""Summaries of readings that merge without a re-scan, and that are right to the last digit typed.

Readings are decimals that somebody typed, so sums are taken on the exact integers of the last decimal place where there
is one (12.34, 12.40 -> 1234, 1240); only values without a common last place go through a corrected two-pass sum.
This is what holds the reference data sets (NIST StRD) with many constant leading digits.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import fsum, inf, isfinite, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Values = Sequence[float] | NDArray[np.float64]

MOST_PLACES = 9  # decimal places tried when looking for the last place of the readings
EXACT = 2**53  # integers up to here are exact in a double
BLOCK = 32_768  # readings that are summarised together when there are many groups
SMALL = 300  # up to here plain Python is quicker than importing or entering numpy


@frozen
class Summary:
    """n readings by their mean, sum of squared deviations `m2` and extremes (mm); merges as Chan et al. (1983).

    An empty summary has n = 0; its mean is 0 and its extremes are infinite so that merging needs no special case.
    `shown()` is what people see, with None for what n readings cannot tell.
    """

    n: int = 0
    mean: float = 0.0
    m2: float = 0.0
    min: float = inf
    max: float = -inf

    @property
    def s(self) -> float | None:
        """Standard deviation with divisor n - 1; None below two readings. Unit of the readings."""
        return sqrt(max(self.m2, 0.0) / (self.n - 1)) if self.n > 1 else None

    @property
    def u_mean(self) -> float | None:
        """Standard uncertainty of the mean, s / sqrt(n); None below two readings. Unit of the readings."""
        return None if self.s is None else self.s / sqrt(self.n)

    @property
    def sentence(self) -> str:
        """What these readings can and cannot tell, in words; empty when nothing needs saying."""
        if self.n == 0:
            return "no readings: nothing can be said"
        if self.n == 1:
            return "one reading: its spread is unknown; read again or rely on the instrument's budget"
        if self.min == self.max:
            return f"all {self.n} readings are equal: the spread is below what the instrument shows, not zero"
        if self.n == 2:
            return "two readings: the spread is known to no better than a factor of about thirty"
        return ""

    def add(self, value: float) -> Summary:
        """The summary with one more reading; NaN and infinity are refused with DataError. Unit of the readings."""
        if not isfinite(value):
            raise DataError(f"{value} is not a size; it was not added to the summary")
        n = self.n + 1
        step = value - self.mean
        mean = self.mean + step / n
        return Summary(n, mean, self.m2 + step * (value - mean), min(self.min, value), max(self.max, value))

    def merge(self, other: Summary) -> Summary:
        """Both together, as if their readings had been summarised at once (pairwise formula of Chan et al.)."""
        if other.n == 0:
            return self
        if self.n == 0:
            return other
        n = self.n + other.n
        step = other.mean - self.mean
        mean = self.mean + step * other.n / n
        m2 = self.m2 + other.m2 + step * step * (self.n * other.n / n)
        return Summary(n, mean, m2, min(self.min, other.min), max(self.max, other.max))

    def remove(self, value: float) -> Summary | None:
        """The summary without one reading it holds (a voided one); None when only a re-scan can tell.

        None comes back when the reading is the smallest or largest kept, for the next one in is not known.
        DataError for a reading that cannot be among those it holds.
        """
        if self.n < 1 or not self.min <= value <= self.max:
            shown = MM.given(value, unit=False)
            raise DataError(f"{shown} is not among the {self.n} readings of this summary, so it cannot be taken out")
        if self.n == 1:
            return Summary()
        if value in (self.min, self.max) and self.min != self.max:
            return None
        n = self.n - 1
        mean = self.mean - (value - self.mean) / n
        m2 = self.m2 - (value - self.mean) * (value - mean)
        return Summary(n, mean, max(m2, 0.0), self.min, self.max)

    def shown(self) -> dict[str, Any]:
        """n, mean, s, min and max by name, None for what cannot be said, and the sentence."""
        known = self.n > 0
        return {
            "n": self.n,
            "mean": self.mean if known else None,
            "s": self.s,
            "min": self.min if known else None,
            "max": self.max if known else None,
            "sentence": self.sentence,
        }


def finite(values: Values, what: str = "reading", fewest: int = 0) -> NDArray[np.float64]:
    """The values as a one-dimensional float array, or a DataError that says which one is no number or how many lack."""
    import numpy as np

    try:
        array = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError):
        raise DataError(f"a {what} is missing or is not a number; leave it out or type it again") from None
    if array.ndim != 1:
        raise DataError(f"expected one list of {what}s, got an array of {array.ndim} dimensions")
    if not np.isfinite(array).all():
        where = int(np.flatnonzero(~np.isfinite(array))[0])
        raise DataError(f"{what} {where + 1} is {array[where]}, which is not a size; void it or leave it out")
    if array.size < fewest:
        have = f"{array.size} {what}" + ("" if array.size == 1 else "s")
        raise DataError(f"{have}: at least {fewest} are needed for this; take more")
    return array


def from_values(values: Values) -> Summary:
    """Summary of readings (any order, any unit, one unit); correctly rounded when they share a last decimal place.

    Otherwise a two-pass sum with correction (Chan, Golub and LeVeque 1983). Checked against the reference values of
    the NIST StRD univariate sets. NaN and infinity are refused with DataError.
    """
    if len(values) == 0:
        return Summary()
    try:
        made = _from_few(values) if len(values) <= SMALL else _from_many(values)
    except OverflowError:
        made = None
    if made is None or not (isfinite(made.mean) and isfinite(made.m2)):
        raise DataError("the readings are so large that their squares cannot be summed: these are no measured sizes")
    return made


def _from_many(values: Values) -> Summary:
    import numpy as np

    a = finite(values)
    low, high, n = float(a.min()), float(a.max()), int(a.size)
    if low == high:
        return Summary(n, low, 0.0, low, high)
    whole = _whole(a)
    if whole is not None:
        d, centre, places = whole
        s1, s2 = _exact_sum(d), _exact_dot(d, d)
        scale = 10**places
        mean = float(Fraction(centre * n + s1, n * scale))
        return Summary(n, mean, float(Fraction(n * s2 - s1 * s1, n * scale * scale)), low, high)
    with np.errstate(over="ignore", invalid="ignore"):  # the caller looks at the result
        mean = float(a.mean())
        rest = a - mean
        shift = float(rest.sum()) / n
        m2 = float(np.square(rest).sum()) - n * shift * shift
    return Summary(n, mean + shift, m2, low, high)


def from_stream(values: Iterable[float]) -> Summary:
    """Summary of readings that come one by one and are not kept (Welford's update).

    Unit of the readings; DataError for one that is not finite.
    """
    summary = Summary()
    for value in values:
        summary = summary.add(value)
    return summary


def lag1(values: Values) -> float | None:
    """Lag-1 autocorrelation: sum of neighbouring products about the overall mean over the whole sum of squares.

    None below two readings, when all are equal, or when their squares are too small or large for a sum. Definition as
    the NIST StRD univariate sets. Dimensionless, -1 to 1.
    """
    if len(values) < 2:
        return None
    import numpy as np

    a = finite(values)
    n = int(a.size)
    if float(a.min()) == float(a.max()):
        return None
    whole = _whole(a)
    if whole is not None:
        d, _, _ = whole
        s1, s2 = _exact_sum(d), _exact_dot(d, d)
        ends = 2 * s1 - int(d[0]) - int(d[-1])
        num = n * n * _exact_dot(d[:-1], d[1:]) - n * s1 * ends + (n - 1) * s1 * s1
        return float(Fraction(num, n * (n * s2 - s1 * s1)))
    with np.errstate(over="ignore", invalid="ignore"):
        rest = a - a.mean()
        rest -= rest.mean()
        products, squares = float((rest[:-1] * rest[1:]).sum()), float(np.square(rest).sum())
    return products / squares if squares > 0.0 and isfinite(squares) and isfinite(products) else None


def by_group(codes: NDArray[np.int64], values: NDArray[np.float64], groups: int) -> list[Summary]:
    """Summaries of many groups at once: `codes[i]` in 0..groups-1 says which group reading i belongs to.

    Two passes over the whole, so a group far from zero loses nothing; a group without readings is an empty Summary.
    Rows sorted by group, as an indexed read gives them, are quickest; the order of the rows changes no result. Unit
    of the readings. DataError where the two lists do not match or a number lies outside.
    """
    import numpy as np

    a = finite(values)
    c = np.asarray(codes)
    if c.shape != a.shape:
        raise DataError(f"{c.size} group numbers for {a.size} readings: each reading needs one")
    if a.size == 0:
        return [Summary()] * groups
    if int(c.min()) < 0 or int(c.max()) >= groups:
        raise DataError(f"a group number lies outside 0 to {groups - 1}")
    if (c[1:] < c[:-1]).any():
        # the narrowest type that holds the numbers sorts by radix, several times quicker
        order = np.argsort(c.astype(np.min_scalar_type(groups)), kind="stable")
        c, a = c[order], a[order]
    edges = np.searchsorted(c, np.arange(groups + 1))
    n = np.diff(edges)
    mean, m2 = np.zeros(groups), np.zeros(groups)
    low, high = np.full(groups, inf), np.full(groups, -inf)
    some = np.flatnonzero(n)  # groups that have readings
    starts = edges[some]
    i = 0
    while i < some.size:  # blocks of whole groups that stay in the processor's cache
        j = max(i + 1, int(np.searchsorted(starts, starts[i] + BLOCK)))
        stop = int(starts[j]) if j < some.size else a.size
        part, at, g = a[starts[i] : stop], starts[i:j] - starts[i], some[i:j]
        centre = np.add.reduceat(part, at) / n[g]
        rest = part - np.repeat(centre, n[g])
        shift = np.add.reduceat(rest, at) / n[g]
        mean[g] = centre + shift
        m2[g] = np.maximum(np.add.reduceat(rest * rest, at) - n[g] * shift * shift, 0.0)
        low[g], high[g] = np.minimum.reduceat(part, at), np.maximum.reduceat(part, at)
        i = j
    rows = (n, mean, m2, low, high)
    return [Summary(*row) for row in zip(*(r.tolist() for r in rows), strict=True)]


# ------------------------------------------------------------------------------ exact sums
def _from_few(given: Values) -> Summary:
    """`from_values` in plain Python, so that a short list on the warm way imports nothing."""
    try:
        values = [float(v) for v in given]
    except (TypeError, ValueError):
        raise DataError("a reading is missing or is not a number; leave it out or type it again") from None
    for i, value in enumerate(values, 1):
        if not isfinite(value):
            raise DataError(f"reading {i} is {value}, which is not a size; void it or leave it out")
    n, low, high = len(values), min(values), max(values)
    if low == high:
        return Summary(n, low, 0.0, low, high)
    for places in range(MOST_PLACES + 1):
        power = 10**places
        whole = [round(v * power) for v in values]
        if all(w / power == v for w, v in zip(whole, values, strict=True)):
            s1 = sum(whole)
            s2 = sum(w * w for w in whole)
            m2 = Fraction(n * s2 - s1 * s1, n * power * power)
            return Summary(n, float(Fraction(s1, n * power)), float(m2), low, high)
    mean = fsum(values) / n
    shift = fsum(v - mean for v in values) / n
    m2_ = fsum((v - mean) ** 2 for v in values) - n * shift * shift
    return Summary(n, mean + shift, m2_, low, high)


def _whole(a: NDArray[np.float64]) -> tuple[NDArray[np.float64], int, int] | None:
    """The readings as integers of their last decimal place, less a common integer; None if they have no such place.

    An integer w below 2**53 divided by 10**k is rounded correctly, so `w / 10**k == value` proves that the value is
    the double nearest to that decimal: the number that was typed.
    """
    import numpy as np

    if float(np.abs(a).max()) >= EXACT:
        return None
    first = 0
    for part in (a[:50], a):  # a few readings find the place or show that there is none; then all must agree
        for places in range(first, MOST_PLACES + 1):
            power = 10.0**places
            w = np.rint(part * power)
            if float(np.abs(w).max()) >= EXACT:
                return None
            if (w / power == part).all():
                first = places
                break
        else:
            return None
    centre = int(np.rint(w.mean()))
    return w - centre, centre, first


def _exact_sum(d: NDArray[np.float64]) -> int:
    """Sum of integers held as doubles, without rounding."""
    import numpy as np

    return int(d.sum()) if float(np.abs(d).max()) * d.size < EXACT else sum(map(int, d.tolist()))


def _exact_dot(a: NDArray[np.float64], b: NDArray[np.float64]) -> int:
    """Sum of products of integers held as doubles, without rounding."""
    import numpy as np

    largest = float(np.abs(a).max()) * float(np.abs(b).max()) * a.size
    if largest < EXACT:
        return int(np.einsum("i,i->", a, b))  # exact in any order; a dot product would wake the threads, 4 ms
    if largest < 2.0**62:
        return int(a.astype(np.int64) @ b.astype(np.int64))
    return sum(int(x) * int(y) for x, y in zip(a.tolist(), b.tolist(), strict=True))
