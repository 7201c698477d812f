"""What the readings of one feature tell beyond summary and chart: histogram, intervals, capability, who and with what.

Nothing is left out because it stands out, and nothing is claimed that the readings are too few or too odd for: every
answer is a sentence, with figures where they hold.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import isfinite, sqrt
from typing import TYPE_CHECKING, TypeVar

from inspect_tui.errors import DataError, InspectError
from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.judge.global_risk import GlobalRisk, global_risk
from inspect_tui.metrology.spread import capability as capability_
from inspect_tui.metrology.spread import checks as statistics_checks
from inspect_tui.metrology.spread import heaps as heaps_
from inspect_tui.metrology.spread import intervals, outliers, statistics
from inspect_tui.metrology.spread.capability import Capability
from inspect_tui.metrology.spread.checks import Normality
from inspect_tui.metrology.spread.heaps import Heaps
from inspect_tui.metrology.spread.intervals import Interval
from inspect_tui.metrology.spread.outliers import Outliers
from inspect_tui.metrology.spread.statistics import Summary
from inspect_tui.metrology.typed.show import MM, Style, count
from inspect_tui.model.words import LIMIT_SLACK_MM
from inspect_tui.shop.feature.material import Material

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Thing = TypeVar("Thing")
Told = TypeVar("Told", Normality, Outliers, Heaps)

BINS = 14  # rows that a histogram gets at most unless more are asked for
PLACES = 4  # decimal places tried when looking for the instrument's step
WIDE = 8.0  # interquartile ranges from the median: what lies further is counted at the ends, not drawn to scale
MOST_GROUPS = 200  # groups of one kind (people, lots ...) that are listed


@frozen_by_name
class Histogram:
    """Readings counted in bins of equal width; `below` and `above` lie outside the bins, `out_*` outside the band.

    `heaps` says that they make two heaps and where; empty where they do not.
    """

    counts: tuple[int, ...]
    edges: tuple[float, ...]
    below: int
    above: int
    out_low: int
    out_high: int
    sentence: str
    heaps: str = ""


@frozen
class Group:
    """The readings of one person, instrument, lot or casting.

    `s_short` is the spread of neighbouring readings alone (mean moving range / d2), which a drift does not widen.
    `difference` is its mean less the mean of all others, with its 95 % expanded uncertainty; None where unknown.
    """

    name: str
    summary: Summary
    s_short: float | None
    difference: float | None
    u95: float | None


@frozen
class Breakdown:
    """One way to split the readings; sentences say what differs by more than chance."""

    by: str
    groups: tuple[Group, ...]
    unnamed: int  # readings without that label
    left_out: int  # groups beyond those listed
    sentences: tuple[str, ...]


@frozen_by_name
class Findings:
    """Intervals, capability, normality and outliers; None where the readings cannot tell, and then `why` says so.

    `spoiled` says why no line may be believed as it stands (neighbours resemble each other, or they drift): every line
    that takes the readings as independent is marked with it. Empty where nothing speaks against that.
    """

    mean: Interval | None
    sd: Interval | None
    following: Interval | None  # where the next reading falls
    tolerance: Interval | None
    distribution_free: Interval | None
    capability: Capability | None
    normality: Normality
    outliers: Outliers
    order: str
    why: tuple[str, ...]
    heaps: Heaps
    risks: Risks | None = None
    spoiled: str = ""


@frozen
class Risks:
    """How often pieces are judged wrongly, read with standard uncertainty `u`: at the limits, and U inside them."""

    u: float
    s_true: float
    at_limits: GlobalRisk
    guarded: GlobalRisk
    sentence: str


# ------------------------------------------------------------------------------ histogram
def histogram(material: Material, most: int = BINS, style: Style = MM) -> Histogram:
    """Counts in at most `most` bins whose edges are round and fall between the steps of the instrument."""
    import numpy as np

    a = statistics.finite(material.values)
    low_out, high_out = _outside(material, a)
    if not a.size:
        return Histogram(
            counts=(), edges=(), below=0, above=0, out_low=0, out_high=0, sentence="no readings: nothing to count"
        )
    quarters = np.quantile(a, [0.25, 0.5, 0.75])
    reach = WIDE * float(quarters[2] - quarters[0])
    inner = a[np.abs(a - quarters[1]) <= reach] if reach > 0 else a
    low, high = float(inner.min()), float(inner.max())
    place = step_of(a)
    step = max(_nice(max(high - low, place or 1e-6) / max(most - 1, 1)), place)
    first = np.floor(low / step + 1e-9) * step
    shift = place / 2.0 if place else 0.0  # a reading never falls on an edge
    bins = min(int((high - first) / step + 1e-9) + 1, 10 * most)
    edges = first - shift + step * np.arange(bins + 1)
    counts, _ = np.histogram(a, edges)
    two = heaps_.heaps(a, style=style.readings_in(material.unit)[0])
    below, above = int((a < edges[0]).sum()), int((a > edges[-1]).sum())
    return Histogram(
        counts=tuple(counts.tolist()),
        edges=tuple(edges.tolist()),
        below=below,
        above=above,
        out_low=low_out,
        out_high=high_out,
        sentence=_band_words(material, int(a.size), low_out, high_out),
        heaps=two.sentence if two.two else "",
    )


def step_of(a: NDArray[np.float64]) -> float:
    """The last decimal place of the readings, 0 when they have none."""
    import numpy as np

    for places in range(PLACES + 1):
        power = 10.0**places
        if bool((np.abs(np.rint(a * power) / power - a) < 1e-9).all()):
            return 1.0 / power
    return 0.0


def _nice(step: float) -> float:
    """The next of 1, 2, 5 times a power of ten."""
    from math import floor, log10

    power = 10.0 ** floor(log10(step))
    return next(m * power for m in (1, 2, 5, 10) if m * power >= step * (1 - 1e-9))


def _outside(material: Material, a: NDArray[np.float64]) -> tuple[int, int]:
    band = material.band
    if band is None:
        return 0, 0
    low = 0 if band.lower is None else int((a < band.lower - LIMIT_SLACK_MM).sum())
    high = 0 if band.upper is None else int((a > band.upper + LIMIT_SLACK_MM).sum())
    return low, high


def _band_words(material: Material, n: int, low: int, high: int) -> str:
    if material.band is None:
        return "no limits are stated"
    if not n:
        return "no readings: nothing can be said"
    if not low and not high:
        return f"all {n} inside the band" if n > 1 else "inside the band"
    parts = [f"{low} below the lower limit"] if low else []
    parts += [f"{high} above the upper limit"] if high else []
    return f"{' and '.join(parts)}, of {count(n, 'reading')}"


# ------------------------------------------------------------------------------ what they tell
def findings(material: Material, style: Style = MM, u: float | None = None) -> Findings:
    """Intervals, capability, normality and outliers of the readings; readings in mm are written in `style`.

    With `u`, the standard uncertainty of one reading, also how often pieces are judged wrongly with it.
    """
    values, own = material.values, style.readings_in(material.unit)[0]
    why: list[str] = []

    def tried(make: Callable[[], Thing]) -> Thing | None:
        try:
            return make()
        except InspectError as problem:
            if str(problem) not in why:
                why.append(str(problem))
            return None

    summary = statistics.from_values(values)
    spread = summary.n > 1 and summary.min < summary.max
    if not spread:
        why.append(summary.sentence)
    capable = None
    if material.band is None:
        why.append("no limits are stated: there is no capability to speak of")
    else:
        band = material.band
        capable = tried(lambda: capability_.capability(values, band, style=own, target=material.target))
    order, spoiled = "too few readings to see an order in them", ""
    if spread and summary.n >= 4:
        effects = statistics_checks.order_effects(values, style=own)
        order = effects.sentence
        spoiled = effects.sentence if effects.correlated or effects.drifting else ""

    wrongly = None
    if u is not None and capable is not None:
        wrongly = tried(lambda: risks(material, summary, u, own, spoiled))

    def marked(made: Interval | None) -> Interval | None:
        if made is None or not spoiled:
            return made
        return replace(made, holds=False, sentence=f"{made.sentence}; but {spoiled}: this does not hold")

    def said(thing: Told) -> Told:
        return replace(thing, sentence=f"{thing.sentence}; {spoiled}: do not rely on it") if spoiled else thing

    return Findings(
        mean=marked(tried(lambda: intervals.mean_interval(values, style=own)) if spread else None),
        sd=marked(tried(lambda: intervals.sd_interval(values, style=own)) if spread else None),
        following=marked(tried(lambda: intervals.prediction_interval(values, style=own)) if spread else None),
        tolerance=marked(tried(lambda: intervals.tolerance_interval(values, style=own)) if spread else None),
        distribution_free=marked(
            tried(lambda: intervals.distribution_free_interval(values, style=own)) if spread else None
        ),
        capability=capable,
        normality=said(statistics_checks.normality(values, style=own)),
        outliers=said(outliers.flag_outliers(values, style=own)),
        order=order,
        why=tuple(why),
        heaps=said(heaps_.heaps(values, style=own)),
        risks=wrongly,
        spoiled=spoiled,
    )


def risks(material: Material, summary: Summary, u: float, style: Style = MM, spoiled: str = "") -> Risks:
    """Global risks of a process that makes what these readings show, read with the standard uncertainty `u`.

    The readings spread by pieces and reading together, so u^2 is taken off. DataError with too few readings, or where
    they spread no more than u.
    """
    band = material.band
    if band is None or summary.n < capability_.FEWEST:
        few = f"of {count(summary.n, 'reading')} no risk over all pieces is claimed (at least {capability_.FEWEST})"
        raise DataError(few if band is not None else "no limits are stated: nothing is accepted or refused")
    true2 = (summary.s or 0.0) ** 2 - u * u
    if not true2 > 0.0:
        raise DataError("the readings spread no more than their uncertainty: what the pieces vary cannot be told")
    s = sqrt(true2)
    plain, guarded = global_risk(summary.mean, s, u, band), global_risk(summary.mean, s, u, band, 2.0 * u)
    say = f"judged at the limits, {style.percent(plain.consumer, 2)} of all pieces are accepted though outside and "
    say += f"{style.percent(plain.producer, 2)} refused though inside; U inside them, "
    say += f"{style.percent(guarded.consumer, 2)} and {style.percent(guarded.producer, 2)}"
    say += f" (u {style.significant(u, 2, unit=False)}; a normal process as it was)"
    if spoiled:
        say += f"; {spoiled}: do not rely on it"
    return Risks(u, s, plain, guarded, say)


# ------------------------------------------------------------------------------ who, with what, which lot
def breakdown(material: Material, by: str, style: Style = MM) -> Breakdown:
    """The readings split by a label of the material, in the order in which the groups first come.

    People and instruments are compared: each with all the others, means by Welch's t, spreads by Levene's test.
    """
    labels = (material.labels or {}).get(by) or [None] * len(material.values)
    places: dict[str, list[int]] = {}
    for i, label in enumerate(labels):
        if label is not None:
            places.setdefault(label, []).append(i)
    unnamed = len(labels) - sum(map(len, places.values()))
    values = material.values
    parts = {name: [values[i] for i in rows] for name, rows in places.items()}
    whole = statistics.from_values([x for part in parts.values() for x in part])
    groups = []
    for name, part in list(parts.items())[:MOST_GROUPS]:
        summary = statistics.from_values(part)
        difference, u95 = _against_others(summary, whole)
        short = None if len(part) < 3 else capability_.spread_within(part)[0]
        groups.append(Group(name, summary, short, difference, u95))
    say = _compared(by, groups, parts, style.readings_in(material.unit)[0])
    return Breakdown(by, tuple(groups), unnamed, max(len(parts) - MOST_GROUPS, 0), tuple(say))


def _against_others(group: Summary, whole: Summary) -> tuple[float | None, float | None]:
    """Mean of a group less the mean of all others, with U at 95 % by Welch's degrees of freedom."""
    n = whole.n - group.n
    if n < 1 or group.n < 1:
        return None, None
    mean = (whole.mean * whole.n - group.mean * group.n) / n
    difference = group.mean - mean
    m2 = whole.m2 - group.m2 - (group.mean - mean) ** 2 * group.n * n / whole.n
    if group.n < 2 or n < 2:
        return difference, None
    a, b = group.m2 / (group.n - 1) / group.n, max(m2, 0.0) / (n - 1) / n
    if a + b <= 0.0:
        return difference, None
    dof = (a + b) ** 2 / (a * a / (group.n - 1) + b * b / (n - 1))
    return difference, t_quantile(0.975, dof) * sqrt(a + b)


def _compared(by: str, groups: Sequence[Group], parts: dict[str, list[float]], style: Style) -> list[str]:
    """What differs by more than chance; a caution that other things may differ with it."""
    some = [part for part in parts.values() if len(part) > 1]
    if len(parts) < 2:
        return [f"only one {by}: nothing to compare"] if parts else [f"no {by} is known of these readings"]
    if len(some) < 2 or len(some) > MOST_GROUPS:
        return []
    said, differ = [], False
    try:
        table = statistics_checks.one_way(some)
        if isfinite(table.f) and table.p < 0.01:
            furthest = max((g for g in groups if g.u95), key=lambda g: abs(g.difference or 0.0) / (g.u95 or 1.0))
            differ, way = True, "above" if (furthest.difference or 0.0) > 0 else "below"
            said.append(
                f"the means differ by {by} (p = {style.figures(table.p, 1)}): {furthest.name} reads "
                f"{style.plus_minus(abs(furthest.difference or 0.0), furthest.u95, 3, unit=False)} {way} the others"
            )
        else:
            said.append(f"the means do not differ by {by} more than chance explains (p = {style.figures(table.p, 2)})")
        spreads = statistics_checks.equal_spreads_robust(some)
        if spreads.p < 0.01:
            differ = True
            widest = max(groups, key=lambda g: g.summary.s or 0.0)
            near = style.uncertainty(widest.s_short, 3, unit=False)
            short = f", {near} from one to the next" if widest.s_short else ""
            said.append(
                f"the spreads differ by {by} (p = {style.figures(spreads.p, 1)}); widest: {widest.name}, "
                f"s {style.uncertainty(widest.summary.s or 0.0, 3, unit=False)}{short}"
            )
    except InspectError as problem:
        said.append(str(problem))
    if differ:
        said.append("other things (pieces, dates) may differ with it: a gauge study tells them apart")
    return said
