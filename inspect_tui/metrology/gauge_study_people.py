"""Whose readings spread more, and who reads high: from a crossed study and from the readings of every day.

A person is named only when a test says so; one person at a time is set aside before the rest are compared again, so
that one wide spread does not make the others look narrow.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, inf, log, sqrt
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.metrology.gauge_study_intervals import Ratio, sd_ratio
from inspect_tui.metrology.intervals import sd_bounds

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RISK = 0.05  # of naming anybody although all are alike; shared out over the people (Bonferroni)
FAR = 4.5  # successive differences further out than this many of their spreads are set aside, and counted


@dataclass(frozen=True, slots=True)
class PersonSpread:
    """A person's standard deviation against that of the others, with intervals (unit of the readings).

    From a study `s` is the person's repeatability. From daily readings it is worked out from what the person's
    readings spread more than the others' (`excess`, a variance), for the work itself varies under both.
    """

    person: str
    n: int
    s: float | None
    lower: float | None
    upper: float | None
    ratio: float
    ratio_lower: float
    ratio_upper: float
    p: float
    stands_out: bool
    sentence: str
    set_aside: int = 0


@dataclass(frozen=True, slots=True)
class PersonBias:
    """How much higher a person reads than the others on the same parts, with its interval."""

    person: str
    bias: float
    lower: float
    upper: float
    p: float
    stands_out: bool
    sentence: str


def study_spreads(people: tuple[str, ...], y: NDArray[np.float64], level: float = 0.95) -> tuple[PersonSpread, ...]:
    """Each person's repeatability in a crossed study (parts x people x trials), compared by F tests."""
    import numpy as np

    p, o, r = y.shape
    if r < 2:
        return ()
    dof = p * (r - 1)
    ss = np.square(y - y.mean(axis=2, keepdims=True)).sum(axis=(0, 2))
    s = [sqrt(float(v) / dof) for v in ss]
    if o < 2:
        low, high = sd_bounds(s[0], dof, level)
        say = f"{people[0]} repeats with s = {s[0]:.3g}"
        return (PersonSpread(people[0], p * r, s[0], low, high, 1.0, 1.0, 1.0, 1.0, False, say),)

    def against(i: int, others: Sequence[int]) -> Ratio:
        pooled = sqrt(float(ss[list(others)].sum()) / (dof * len(others)))
        return sd_ratio(s[i], dof, pooled, dof * len(others), level)

    out = []
    for i, (ratio, named) in enumerate(_stand_out(o, against, lambda x: x.value > 1.0)):
        low, high = sd_bounds(s[i], dof, level)
        say = f"{people[i]} repeats with s = {s[i]:.3g}, {_times(ratio)}"
        out.append(PersonSpread(people[i], p * r, s[i], low, high, *ratio, named, say))
    return tuple(out)


def study_biases(people: tuple[str, ...], y: NDArray[np.float64], level: float = 0.95) -> tuple[PersonBias, ...]:
    """How each person reads against the mean of the others, part by part (paired t over the parts)."""
    p, o, r = y.shape
    if o < 2 or p * r < 2:
        return ()
    # over parts, so that an interaction counts as noise; with one part over the repeats
    table = y.mean(axis=2) if p > 1 else y[0].T

    def against(i: int, others: Sequence[int]) -> Ratio:
        d = table[:, i] - table[:, list(others)].mean(axis=1)
        return _paired(d, level)

    out = []
    for person, (ratio, named) in zip(people, _stand_out(o, against, lambda _: True), strict=True):
        way = "higher" if ratio.value > 0 else "lower"
        say = f"{person} reads {abs(ratio.value):.3g} {way} than the others ({ratio.lower:+.3g} to {ratio.upper:+.3g})"
        out.append(PersonBias(person, *ratio, named, say))
    return tuple(out)


def person_spreads(
    readings: Iterable[tuple[object, object, float]],
    others_s: float | Mapping[str, float] = 0.0,
    level: float = 0.95,
) -> tuple[PersonSpread, ...]:
    """Whose spread differs in daily readings: rows (person, series, value) in the order of taking.

    A series is one feature on one kind of piece. Spreads come from successive differences of a person's own readings
    within a series (von Neumann), so trends and single steps do no harm; differences far out are set aside and counted.
    Within a series both people measure pieces that vary alike, so the difference of the variances is what the person
    adds: s^2 = excess + (spread of the others' own measuring)^2, the last given as `others_s` (from a gauge study or
    the instrument's budget; with 0 the answer is a lower bound). Intervals by the normal approximation.
    """
    from scipy.special import ndtr, ndtri

    found = _series_variances(readings)
    people = sorted(found)
    if len(people) < 2:
        who = people[0] if people else "nobody"
        raise DataError(f"only {who} has enough readings (four or more of one series): there is nobody to compare with")
    z = float(ndtri(0.5 + level / 2))

    def pairs(i: int, others: Sequence[int]) -> list[tuple[float, float, float, float]]:
        """(own variance, dof, others' variance, dof) of every series that both sides read."""
        rows = []
        for name, (v, dof, _) in found[people[i]].items():
            rest = [found[people[j]][name] for j in others if name in found[people[j]]]
            total = sum(d for _, d, _ in rest)
            if total and v > 0 and any(x for x, _, _ in rest):
                rows.append((v, dof, sum(x * d for x, d, _ in rest) / total, total))
        return rows

    def against(i: int, others: Sequence[int]) -> Ratio:
        weight = total = 0.0
        for v, dof, w, rest in pairs(i, others):
            one = 1.0 / (2.0 / dof + 2.0 / rest)
            weight, total = weight + one, total + one * log(v / w)
        if not weight:
            return Ratio(1.0, 0.0, inf, 1.0)
        mean, se = total / weight, sqrt(1.0 / weight)
        p = 2.0 * float(ndtr(-abs(mean) / se))
        return Ratio(exp(mean / 2), exp((mean - z * se) / 2), exp((mean + z * se) / 2), p)

    out = []
    for i, (ratio, named) in enumerate(_stand_out(len(people), against, lambda x: x.value > 1.0)):
        person = people[i]
        weight = total = 0.0
        for v, dof, w, rest in pairs(i, [j for j in range(len(people)) if j != i]):
            one = 1.0 / (2.0 * v * v / dof + 2.0 * w * w / rest)
            weight, total = weight + one, total + one * (v - w)
        known = others_s if isinstance(others_s, float | int) else others_s.get(person, 0.0)
        s = low = high = None
        if weight:
            excess, se = total / weight, sqrt(1.0 / weight)
            s, low, high = (sqrt(max(0.0, x + known * known)) for x in (excess, excess - z * se, excess + z * se))
        n = sum(int(count) for _, _, count in found[person].values())
        aside = sum(int(_ASIDE(count)) for _, _, count in found[person].values())
        say = f"{person}'s readings spread {_times(ratio)}"
        if s is not None and named:
            least = "" if known else "at least "
            say += f"; the person's own measuring has s = {least}{s:.3g} ({low:.3g} to {high:.3g})"
        out.append(PersonSpread(person, n, s, low, high, *ratio, named, say, aside))
    return tuple(out)


# ------------------------------------------------------------------------------ tools
def _stand_out(
    count: int, against: Callable[[int, Sequence[int]], Ratio], wanted: Callable[[Ratio], bool]
) -> list[tuple[Ratio, bool]]:
    """Each against all others, and who is named: the clearest first, then the rest among themselves."""
    left = list(range(count))
    first = [against(i, [j for j in left if j != i]) for i in range(count)]
    named: dict[int, Ratio] = {}
    while len(left) > 1:
        looks = {i: against(i, [j for j in left if j != i]) for i in left}
        able = [i for i in left if wanted(looks[i]) and looks[i].p * len(left) < RISK]
        if not able:
            break
        clearest = min(able, key=lambda i: looks[i].p)
        named[clearest] = looks[clearest]
        left.remove(clearest)
    return [(named.get(i, first[i]), i in named) for i in range(count)]


def _paired(d: NDArray[np.float64], level: float) -> Ratio:
    """Mean of paired differences with its t interval and p-value."""
    from scipy.special import stdtr, stdtrit

    n = int(d.size)
    mean, se = float(d.mean()), float(d.std(ddof=1)) / sqrt(n)
    if se <= 1e-12 * max(1.0, abs(mean)):
        return Ratio(mean, mean, mean, 1.0 if abs(mean) < 1e-12 else 0.0)
    t = float(stdtrit(n - 1, 0.5 + level / 2))
    return Ratio(mean, mean - t * se, mean + t * se, 2.0 * float(stdtr(n - 1, -abs(mean) / se)))


def _times(ratio: Ratio) -> str:
    if ratio.value == inf:
        return "where the others show no spread at all"
    return f"{ratio.value:.2g} times the others' ({ratio.lower:.2g} to {ratio.upper:.2g})"
