"""What the readings of every day tell about people and instruments, without a study: spreads and biases.

Pieces differ and tools wear, so everything rests on differences of readings that follow each other in one series (a
feature on one kind of piece): a trend drops out, a repair or a slip spoils one difference, which is then set aside.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import exp, inf, isfinite, log, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen_by_name
from inspect_tui.metrology.gauges.people import PersonSpread, stand_out, times
from inspect_tui.metrology.gauges.variance_components import Ratio
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.words import Estimate

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FEWEST = 4  # readings of one series by one person, for a spread
FEWEST_PAIRS = 6  # differences between two instruments, for a bias
MEDIAN_OF_NORMAL = 0.6744897501960817  # median of |x| of a standard normal x
FAR = 4.5  # successive differences further out than this many of their spreads are set aside, and counted
HUBER = 1.5  # beyond this many spreads a difference counts less (Huber 1964; usual choice)


@frozen_by_name
class BiasBetween:
    """How much higher instrument `b` reads than `a` in daily readings, with its interval.

    `mixed_with_people` is True when each instrument was in the hands of other people: then these readings cannot tell
    the instrument from the person.
    """

    a: str
    b: str
    estimate: Estimate
    lower: float
    upper: float
    p: float
    pairs: int
    differs: bool
    mixed_with_people: bool
    sentence: str


def instrument_bias_between(
    readings: Iterable[tuple[float, object, object, object, float]],
    a: str,
    b: str,
    level: float = 0.95,
    style: Style = MM,
) -> BiasBetween:
    """How much higher `b` reads than `a`: rows (order, series, instrument, person, value).

    Readings of one series that follow each other and were taken with the two instruments give a difference each;
    those between the same two orders (one lot and the next) are averaged over the series, weighted by their spread,
    for pieces of one lot err together. A going trend counts once up and once down. Huber's estimate of the mean;
    its uncertainty allows for neighbouring differences that share a reading (Newey and West 1987, one lag). Unit of
    the readings. Errors: DataError for too few pairs and for values that are not finite.
    """
    import numpy as np
    from scipy.special import stdtr, stdtrit

    rows = sorted((row for row in readings if str(row[2]) in (a, b)), key=lambda row: row[0])
    hands: dict[str, set[str]] = {a: set(), b: set()}
    last: dict[str, tuple[float, str, float]] = {}
    differences: dict[str, list[tuple[tuple[float, float], float]]] = {}
    for order, series, instrument, person, value in rows:
        if not isfinite(value):
            raise DataError(f"{series}, {instrument}: {value} is not a size; void it or leave it out")
        hands[str(instrument)].add(str(person))
        before = last.get(str(series))
        if before is not None and before[1] != str(instrument):
            step = value - before[2] if str(instrument) == b else before[2] - value
            differences.setdefault(str(series), []).append(((before[0], order), step))
        last[str(series)] = (order, str(instrument), value)
    weighted: dict[tuple[float, float], tuple[float, float]] = {}
    for of_series in differences.values():
        values = np.array([x for _, x in of_series])
        spread = _robust_sd(values - np.median(values)) if values.size >= FEWEST else 0.0
        if spread <= 0:
            continue
        for key, x in of_series:
            weight, total = weighted.get(key, (0.0, 0.0))
            weighted[key] = (weight + 1.0 / spread**2, total + x / spread**2)
    keys = sorted(weighted)
    if len(keys) < FEWEST_PAIRS:
        raise DataError(
            f"{a} and {b} followed each other on one feature {len(keys)} time(s) with a spread to judge by; "
            f"at least {FEWEST_PAIRS} are needed. Read one piece with both"
        )
    y = np.array([weighted[k][1] / weighted[k][0] for k in keys])
    weights = np.array([weighted[k][0] for k in keys])
    linked = np.array([k1[1] == k2[0] for k1, k2 in pairwise(keys)])
    bias, u = _huber_mean(y, weights / weights.mean(), linked)
    dof = max(1.0, len(keys) / 2.0)  # neighbours share a reading: half as many are free
    half = float(stdtrit(dof, 0.5 + level / 2)) * u
    p = 2.0 * float(stdtr(dof, -abs(bias) / u)) if u > 0 else 0.0
    differs = p < 1.0 - level
    mixed = not hands[a] & hands[b]
    way = "higher" if bias > 0 else "lower"
    by = style.significant(abs(bias), 3, unit=False)
    low, high = (style.significant(mm, 3, unit=False, signed=True) for mm in (bias - half, bias + half))
    say = f"{b} reads {by} {way} than {a} " if differs else f"no bias of {b} against {a} is shown "
    say += f"({low} to {high}, {len(keys)} differences)"
    if mixed:
        say += f"; {' and '.join(sorted(hands[b]))} used {b} only, so person and instrument cannot be told apart here"
    return BiasBetween(
        a=a,
        b=b,
        estimate=Estimate(bias, u),
        lower=bias - half,
        upper=bias + half,
        p=p,
        pairs=len(keys),
        differs=differs,
        mixed_with_people=mixed,
        sentence=say,
    )


def _robust_sd(x: NDArray[np.float64]) -> float:
    import numpy as np

    return float(np.median(np.abs(x))) / MEDIAN_OF_NORMAL


def _huber_mean(y: NDArray[np.float64], w: NDArray[np.float64], linked: NDArray[np.bool_]) -> tuple[float, float]:
    """Weighted Huber mean and its standard uncertainty; `linked[i]`: y[i] and y[i+1] share a reading."""
    import numpy as np

    root = np.sqrt(w)
    mean = float(np.median(y))
    scale = _robust_sd((y - mean) * root) or float(np.std(y * root)) or 1e-12
    for _ in range(50):
        r = (y - mean) * root / scale
        pull = w * np.minimum(1.0, HUBER / np.maximum(np.abs(r), 1e-12))
        new = float((pull * y).sum() / pull.sum())
        if abs(new - mean) < 1e-12:
            break
        mean = new
    r = (y - mean) * root / scale
    influence = np.clip(r, -HUBER, HUBER) * root * scale
    bread = float((w * (np.abs(r) <= HUBER)).sum())
    own = float(influence @ influence)
    shared = 2.0 * float((influence[1:] * influence[:-1])[linked].sum())
    return mean, sqrt(max(own + shared, 0.5 * own)) / bread


def person_spreads(
    readings: Iterable[tuple[object, object, float]],
    others_s: float | Mapping[str, float] = 0.0,
    level: float = 0.95,
    style: Style = MM,
) -> tuple[PersonSpread, ...]:
    """Whose spread differs in daily readings: rows (person, series, value) in the order of taking.

    A series is one feature on one kind of piece. Spreads come from successive differences of a person's own readings
    within a series (von Neumann), so trends and single steps do no harm; differences far out are set aside and counted.
    Within a series both people measure pieces that vary alike, so the difference of the variances is what the person
    adds: s^2 = excess + (spread of the others' own measuring)^2, the last given as `others_s` (from a gauge study or
    the instrument's budget; with 0 the answer is a lower bound). Intervals by the normal approximation. Unit of the
    readings. DataError where fewer than two people have enough of them.
    """
    from scipy.special import ndtr, ndtri

    by_person = _series(readings)
    people = sorted(by_person)
    if len(people) < 2:
        who = people[0] if people else "nobody"
        raise DataError(f"only {who} has enough readings ({FEWEST} or more of one series): nobody to compare with")
    z = float(ndtri(0.5 + level / 2))

    def pairs(i: int, others: Sequence[int]) -> list[tuple[_Spread, float, float]]:
        """Own spread, the others' variance and its degrees of freedom, for every series that both sides read."""
        rows = []
        for name, own in by_person[people[i]].items():
            rest = [by_person[people[j]][name] for j in others if name in by_person[people[j]]]
            dof = sum(x.dof for x in rest)
            variance = sum(x.variance * x.dof for x in rest) / dof if dof else 0.0
            if own.variance > 0 and variance > 0:
                rows.append((own, variance, dof))
        return rows

    def against(i: int, others: Sequence[int]) -> Ratio:
        rows = [(log(own.variance / v), 1.0 / (2.0 / own.dof + 2.0 / dof)) for own, v, dof in pairs(i, others)]
        weight = sum(w for _, w in rows)
        if not weight:
            return Ratio(1.0, 0.0, inf, 1.0)
        mean, se = sum(x * w for x, w in rows) / weight, sqrt(1.0 / weight)
        low, high = exp((mean - z * se) / 2), exp((mean + z * se) / 2)
        return Ratio(exp(mean / 2), low, high, 2.0 * float(ndtr(-abs(mean) / se)))

    out = []
    for i, (ratio, named, others) in enumerate(stand_out(len(people), against, lambda x: x.value)):
        person = people[i]
        known = others_s if isinstance(others_s, float | int) else others_s.get(person, 0.0)
        rows = []
        for own, v, dof in pairs(i, others):
            rows.append((own.variance - v, 1.0 / (2.0 * own.variance**2 / own.dof + 2.0 * v * v / dof)))
        weight = sum(w for _, w in rows)
        s = low = high = None
        say = f"{person}'s readings spread {times(ratio, style)}"
        if weight and named:
            excess, se = sum(x * w for x, w in rows) / weight, sqrt(1.0 / weight)
            s, low, high = (sqrt(max(0.0, x + known * known)) for x in (excess, excess - z * se, excess + z * se))
            least = "" if known else "at least "
            mine, lowest, highest = (style.significant(mm, 2, unit=False) for mm in (s, low, high))
            say += f"; the person's own measuring has s = {least}{mine} ({lowest} to {highest})"
        aside = sum(x.aside for x in by_person[person].values())
        if aside:
            say += f"; {aside} jump(s) far out set aside"
        n = sum(x.n for x in by_person[person].values())
        out.append(
            PersonSpread(
                person=person,
                n=n,
                s=s,
                lower=low,
                upper=high,
                ratio=ratio.value,
                ratio_lower=ratio.lower,
                ratio_upper=ratio.upper,
                p=ratio.p,
                stands_out=named,
                sentence=say,
                set_aside=aside,
            )
        )
    return tuple(out)


class _Spread(NamedTuple):
    """Variance of one person's readings of one series, from successive differences."""

    variance: float
    dof: float
    n: int
    aside: int


def _series(readings: Iterable[tuple[object, object, float]]) -> dict[str, dict[str, _Spread]]:
    """Variances by person and series; series with too few readings are left out."""
    import numpy as np

    rows: dict[tuple[str, str], list[float]] = {}
    for person, series, value in readings:
        if not isfinite(value):
            raise DataError(f"{person}, {series}: {value} is not a size; void it or leave it out")
        rows.setdefault((str(person), str(series)), []).append(value)
    out: dict[str, dict[str, _Spread]] = {}
    for (person, series), values in rows.items():
        if len(values) < FEWEST:
            continue
        d = np.diff(np.asarray(values))
        typical = float(np.median(np.abs(d))) / MEDIAN_OF_NORMAL
        kept = d[np.abs(d) <= FAR * typical] if typical > 0 else d
        m = int(kept.size)
        # differences that share a reading are not independent: von Neumann (1941) for the degrees of freedom
        dof = 2.0 * m * m / (3.0 * m - 1.0)
        spread = _Spread(float(kept @ kept) / (2.0 * m), dof, len(values), int(d.size) - m)
        out.setdefault(person, {})[series] = spread
    return out
