"""Whose readings spread more, and who reads high, in a crossed study; and how a person is picked out at all.

A person is named only when a test says so; one person at a time is set aside before the rest are compared again, so
that one wide spread does not make the others look narrow.

Source: own derivation; the risk is shared out over the people as by Bonferroni.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf, sqrt
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.gauges.variance_components import Ratio, sd_ratio
from inspect_tui.metrology.spread.intervals import sd_bounds
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.typed.words import called

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RISK = 0.05  # of naming anybody although all are alike; shared out over the people (Bonferroni)


@frozen_by_name
class PersonSpread:
    """A person's standard deviation against that of the others, with intervals (unit of the readings).

    From a study `s` is the person's repeatability. From daily readings it is given for a person who stands out only,
    worked out from what that person's readings spread more than the others', for the work itself varies under both.
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


@frozen_by_name
class PersonBias:
    """How much higher a person reads than the others on the same parts, with its interval."""

    person: str
    bias: float
    lower: float
    upper: float
    p: float
    stands_out: bool
    sentence: str


def study_spreads(
    people: tuple[str, ...], y: NDArray[np.float64], level: float = 0.95, style: Style = MM
) -> tuple[PersonSpread, ...]:
    """Each person's repeatability in a crossed study (parts x people x trials, nan where one lacks), by F tests.

    Standard deviations in the unit of the readings.
    """
    import numpy as np

    _, o, r = y.shape
    if r < 2:
        return ()
    there = np.isfinite(y).sum(axis=2)
    count, dof = there.sum(axis=0).tolist(), (there - 1).sum(axis=0).tolist()
    ss = np.nansum(np.square(y - np.nanmean(y, axis=2, keepdims=True)), axis=(0, 2))
    s = [sqrt(float(v) / f) for v, f in zip(ss, dof, strict=True)]
    if o < 2:
        low, high = sd_bounds(s[0], dof[0], level)
        say = f"{called('person', people[0])} repeats with s = {style.significant(s[0], 3, unit=False)}"
        return (
            PersonSpread(
                person=people[0],
                n=count[0],
                s=s[0],
                lower=low,
                upper=high,
                ratio=1.0,
                ratio_lower=1.0,
                ratio_upper=1.0,
                p=1.0,
                stands_out=False,
                sentence=say,
            ),
        )

    def against(i: int, others: Sequence[int]) -> Ratio:
        free = sum(dof[j] for j in others)
        return sd_ratio(s[i], dof[i], sqrt(float(ss[list(others)].sum()) / free), free, level)

    out = []
    for i, (ratio, named, _) in enumerate(stand_out(o, against, lambda x: x.value)):
        low, high = sd_bounds(s[i], dof[i], level)
        own = style.significant(s[i], 3, unit=False)
        say = f"{called('person', people[i])} repeats with s = {own}, {times(ratio, style)}"
        out.append(
            PersonSpread(
                person=people[i],
                n=count[i],
                s=s[i],
                lower=low,
                upper=high,
                ratio=ratio.value,
                ratio_lower=ratio.lower,
                ratio_upper=ratio.upper,
                p=ratio.p,
                stands_out=named,
                sentence=say,
            )
        )
    return tuple(out)


def study_biases(
    people: tuple[str, ...], y: NDArray[np.float64], level: float = 0.95, style: Style = MM
) -> tuple[PersonBias, ...]:
    """How each person reads against the mean of the others, part by part (paired t over the parts).

    `y` is parts x people x trials, nan where one lacks; unit of the readings. Empty where nobody can be compared.
    """
    import numpy as np

    p, o, r = y.shape
    if o < 2 or p * r < 2:
        return ()
    # over parts, so that an interaction counts as noise; with one part over the repeats
    table = np.nanmean(y, axis=2) if p > 1 else y[0].T
    table = table[np.isfinite(table).all(axis=1)]

    def against(i: int, others: Sequence[int]) -> Ratio:
        d = table[:, i] - table[:, list(others)].mean(axis=1)
        return _paired(d, level)

    out = []
    for i, (ratio, named, _) in enumerate(stand_out(o, against, lambda x: abs(x.value))):
        person, others = people[i], "the others" if o > 2 else called("person", people[1 - i])
        way = "higher" if ratio.value > 0 else "lower"
        who = called("person", person)
        low, high = (style.significant(mm, 3, unit=False, signed=True) for mm in (ratio.lower, ratio.upper))
        by = style.significant(abs(ratio.value), 3, unit=False)
        say = f"{who} reads {by} {way} than {others} ({low} to {high})"
        out.append(
            PersonBias(
                person=person,
                bias=ratio.value,
                lower=ratio.lower,
                upper=ratio.upper,
                p=ratio.p,
                stands_out=named,
                sentence=say,
            )
        )
    return tuple(out)


# ------------------------------------------------------------------------------ tools
def stand_out(
    count: int, against: Callable[[int, Sequence[int]], Ratio], size: Callable[[Ratio], float]
) -> list[tuple[Ratio, bool, list[int]]]:
    """For each: the comparison, whether named, and with whom compared: all that are named with the same others.

    The one furthest off is tested first, then the rest among themselves. Who is furthest goes by size, not by p: one
    person off pulls the mean of the others, and beside a restless reader a quiet one would be blamed more clearly.
    """
    left = list(range(count))
    everybody = {i: [j for j in left if j != i] for i in left}
    named: set[int] = set()
    while len(left) > 1:
        looks = {i: against(i, [j for j in left if j != i]) for i in left}
        furthest = max(left, key=lambda i: size(looks[i]))
        if looks[furthest].p * len(left) >= RISK:
            break
        left.remove(furthest)
        named.add(furthest)
    # whoever stands out is compared with those who do not: one of two who are off is no measure for the other
    with_whom = [left if i in named else everybody[i] for i in range(count)]
    return [(against(i, others), i in named, others) for i, others in enumerate(with_whom)]


def _paired(d: NDArray[np.float64], level: float) -> Ratio:
    """Mean of paired differences with its t interval and p-value."""
    from scipy.special import stdtr, stdtrit

    n = int(d.size)
    mean, se = float(d.mean()), float(d.std(ddof=1)) / sqrt(n)
    if se <= 1e-12 * max(1.0, abs(mean)):
        return Ratio(mean, mean, mean, 1.0 if abs(mean) < 1e-12 else 0.0)
    t = float(stdtrit(n - 1, 0.5 + level / 2))
    return Ratio(mean, mean - t * se, mean + t * se, 2.0 * float(stdtr(n - 1, -abs(mean) / se)))


def times(ratio: Ratio, style: Style = MM) -> str:
    """A ratio of spreads in words."""
    if ratio.value == inf:
        return "where the others show no spread at all"
    value, low, high = (style.figures(x, 2) for x in (ratio.value, ratio.lower, ratio.upper))
    return f"{value} times the others' ({low} to {high})"
