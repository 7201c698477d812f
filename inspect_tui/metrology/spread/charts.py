"""Control charts of single readings and of subgroups: centre, limits, segments and what the points say.

Terms and limits as ISO 7870-2; EWMA and CUSUM are in `charts_memory`. A new segment starts where something was changed
on purpose (a repair, a new revision, another instrument): limits and runs never reach across.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from itertools import chain
from typing import TYPE_CHECKING

from inspect_tui.errors import DataError
from inspect_tui.frozen import NamedTuple, frozen, frozen_by_name
from inspect_tui.metrology.spread.chart_constants import constants, d2, median_moving_range, range_tail, sd_tail
from inspect_tui.metrology.spread.chart_rules import DEFAULT, Rule, false_alarms, rules
from inspect_tui.metrology.spread.checks import likeness, normality, resemble
from inspect_tui.metrology.spread.statistics import finite
from inspect_tui.metrology.typed.show import MM, Style, count

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.spread.statistics import Values

Column = tuple[float | None, ...]
ENOUGH = 20  # points (or subgroups) from which limits are taken as settled
DOUBT = 0.01  # risk of doubting limits that are right
MOST_NORMALITY = 5000  # beyond, the mere steps of the instrument look like a fault of the distribution
INDEPENDENT = "points independent of each other"
NORMAL = "normally distributed"


@frozen
class Break:
    """A new segment starts with the point at `index`, and why."""

    index: int
    reason: str


class Signal(NamedTuple):
    """A test found its pattern complete at point `index` (from 0) and at every point up to `last`."""

    index: int  # type: ignore[assignment]  # the word of the trade, over tuple's method that nobody needs here
    last: int
    rule: str
    sentence: str
    found: str = ""  # the end of the sentence: what the test found, without where


@frozen_by_name
class Segment:
    """Points start..stop-1 with their own centre and sigma (None where they cannot be known)."""

    start: int
    stop: int
    reason: str
    centre: float | None
    sigma: float | None
    provisional: bool
    sentence: str


@frozen_by_name
class ControlChart:
    """A control chart: per point its value, centre and limits (None where there are none), and what stands out.

    `companion` is the chart of the spread (moving range, range, s) or the other side of a CUSUM. `false_alarm` is at
    most the share of points that give a signal though nothing changed. `doubts` say what speaks against the limits.
    """

    kind: str
    points: Column
    centre: Column
    lower: Column
    upper: Column
    segments: tuple[Segment, ...]
    signals: tuple[Signal, ...]
    provisional: bool
    false_alarm: float
    assumptions: tuple[str, ...]
    doubts: tuple[str, ...]
    sentence: str
    companion: ControlChart | None = None


class SegmentLimits(NamedTuple):
    """What a chart's own arithmetic hands over for one segment: per-point arrays and the standard error of a point."""

    centre: NDArray[np.float64] | float
    error: NDArray[np.float64] | float  # standard deviation of what is plotted
    width: float = 3.0  # limits at centre +- width * error
    floor: float | None = None  # what is plotted cannot be less than this


def individuals(
    values: Values,
    breaks: Iterable[Break] = (),
    tests: Iterable[str] = DEFAULT,
    centre: float | None = None,
    sigma: float | None = None,
    baseline: int | None = None,
    median: bool = False,
    style: Style = MM,
) -> ControlChart:
    """Chart of single readings with its chart of moving ranges (of two neighbours) as `companion`.

    `centre` and `sigma` (mm) when they are pre-specified; otherwise each segment's own mean and mean moving range / d2
    (`median`: median moving range, which a few wild readings do not widen). `baseline`: limits from the first so many
    points of each segment only.
    """
    import numpy as np

    x, parts = individual_parts(values, breaks, centre, sigma, baseline, median)
    two = constants(2)
    moving = np.abs(np.diff(x, prepend=x[:1]))
    limits = [None if s.sigma is None else SegmentLimits(s.centre or 0.0, s.sigma) for s in parts]
    moves = [None if s.sigma is None else SegmentLimits(two.d2 * s.sigma, two.d3 * s.sigma, floor=0.0) for s in parts]
    ranges_chart = assemble(
        "moving ranges",
        moving,
        parts,
        moves,
        rules(("beyond_limits",)),
        first=1,
        rate=range_tail(2, two.D1, two.D2),
        style=style,
    )
    doubts = doubts_of(x, parts, style)
    return assemble("individuals", x, parts, limits, rules(tests), ranges_chart, doubts=doubts, style=style)


def individual_parts(
    values: Values,
    breaks: Iterable[Break],
    centre: float | None,
    sigma: float | None,
    baseline: int | None,
    median: bool = False,
) -> tuple[NDArray[np.float64], tuple[Segment, ...]]:
    """Single readings as an array, and each segment's centre and sigma (from moving ranges unless given).

    Unit of the readings.
    """
    import numpy as np

    x = finite(values)
    spans = segments_of(x.size, breaks)
    centres: list[tuple[float | None, float | None]] = []
    for start, stop, _ in spans:
        used = x[start : stop if baseline is None else min(stop, start + baseline)]
        spread = sigma
        if spread is None and used.size > 1:
            ranges = np.abs(np.diff(used))
            spread = float(np.median(ranges)) / median_moving_range() if median else float(ranges.mean()) / d2(2)
        centres.append((float(used.mean()) if centre is None else centre, spread))
    return x, _segments(spans, centres, centre is not None and sigma is not None, baseline, "reading")


def means_range(
    subgroups: Sequence[Values],
    breaks: Iterable[Break] = (),
    tests: Iterable[str] = DEFAULT,
    centre: float | None = None,
    sigma: float | None = None,
    baseline: int | None = None,
    style: Style = MM,
) -> ControlChart:
    """Chart of subgroup means with limits from the mean range; `companion` is the chart of ranges.

    Unit of the readings.
    """
    import numpy as np

    return _means("range", lambda a: float(np.ptp(a)), subgroups, breaks, tests, centre, sigma, baseline, style)


def means_s(
    subgroups: Sequence[Values],
    breaks: Iterable[Break] = (),
    tests: Iterable[str] = DEFAULT,
    centre: float | None = None,
    sigma: float | None = None,
    baseline: int | None = None,
    style: Style = MM,
) -> ControlChart:
    """Chart of subgroup means with limits from the mean standard deviation; `companion` is the chart of s."""
    import numpy as np

    return _means("s", lambda a: float(np.std(a, ddof=1)), subgroups, breaks, tests, centre, sigma, baseline, style)


def _means(
    kind: str,
    spread_of: Callable[[NDArray[np.float64]], float],
    subgroups: Sequence[Values],
    breaks: Iterable[Break],
    tests: Iterable[str],
    centre: float | None,
    sigma: float | None,
    baseline: int | None,
    style: Style,
) -> ControlChart:
    """Subgroups may differ in size: each point then has its own limits."""
    import numpy as np

    for i, group in enumerate(subgroups, 1):
        if len(group) < 2:
            raise DataError(f"subgroup {i} has {count(len(group), 'reading')}: chart single readings as individuals")
    n = np.array([len(group) for group in subgroups], dtype=np.int64)
    if n.size and (n == n[0]).all():  # the usual case, all at once
        grid = finite(np.asarray(subgroups, dtype=np.float64).ravel()).reshape(n.size, int(n[0]))
        mean = grid.mean(axis=1)
        spread = np.ptp(grid, axis=1) if kind == "range" else grid.std(axis=1, ddof=1)
    else:
        groups = [finite(group) for group in subgroups]
        mean = np.array([float(g.mean()) for g in groups])
        spread = np.array([spread_of(g) for g in groups])
    sizes = {int(size): constants(int(size)) for size in n}
    factor = np.array([sizes[int(i)].d2 if kind == "range" else sizes[int(i)].c4 for i in n])
    noise = np.array([sizes[int(i)].d3 if kind == "range" else np.sqrt(1 - sizes[int(i)].c4 ** 2) for i in n])
    spans = segments_of(int(n.size), breaks)
    given = centre is not None and sigma is not None
    centres: list[tuple[float | None, float | None]] = []
    for start, stop, _ in spans:
        used = slice(start, stop if baseline is None else min(stop, start + baseline))
        middle = float(np.average(mean[used], weights=n[used])) if centre is None else centre
        centres.append((middle, float((spread[used] / factor[used]).mean()) if sigma is None else sigma))
    parts = _segments(spans, centres, given, baseline, "subgroup")
    limits: list[SegmentLimits | None] = []
    spreads: list[SegmentLimits | None] = []
    for s in parts:
        at = slice(s.start, s.stop)
        sd = s.sigma or 0.0
        limits.append(SegmentLimits(s.centre or 0.0, sd / np.sqrt(n[at])))
        spreads.append(SegmentLimits(factor[at] * sd, noise[at] * sd, floor=0.0))
    name = "ranges" if kind == "range" else "standard deviations"
    if kind == "range":
        rate = max((range_tail(size, c.D1, c.D2) for size, c in sizes.items()), default=0.0)
    else:
        rate = max((sd_tail(size, c.B5, c.B6) for size, c in sizes.items()), default=0.0)
    inner = assemble(name, spread, parts, spreads, rules(("beyond_limits",)), rate=rate, style=style)
    doubts = doubts_of(mean, parts, style)
    return assemble(f"means with {name}", mean, parts, limits, rules(tests), inner, doubts=doubts, style=style)


# ------------------------------------------------------------------------------ what every chart shares
def segments_of(n: int, breaks: Iterable[Break]) -> list[tuple[int, int, str]]:
    """(start, stop, reason) of each segment of n points; a break at 0 names the first segment.

    DataError for a break outside the points.
    """
    reasons = {0: "start"}
    for b in breaks:
        if not 0 <= b.index <= n:
            raise DataError(f"a break ({b.reason}) at point {b.index + 1} lies outside the {n} points")
        known = reasons.get(b.index)
        reasons[b.index] = b.reason if known in (None, "start") else f"{known}; {b.reason}"
    starts = sorted(i for i in reasons if i < n) if n else []
    return [(a, b, reasons[a]) for a, b in zip(starts, [*starts[1:], n], strict=False)]


def _segments(
    spans: list[tuple[int, int, str]],
    centres: list[tuple[float | None, float | None]],
    given: bool,
    baseline: int | None,
    what: str,
) -> tuple[Segment, ...]:
    out = []
    for (start, stop, reason), (centre, sigma) in zip(spans, centres, strict=True):
        used = stop - start if baseline is None else min(baseline, stop - start)
        provisional = not given and used < ENOUGH
        say = ""
        if centre is None or sigma is None:
            sigma, say = None, f"{count(used, what)}: no limits can be drawn yet"
        elif sigma == 0.0 and not given:
            sigma, say = None, f"all {count(used, what)} are equal: no limits can be drawn"
        elif provisional:
            say = f"limits from {count(used, what)}, fewer than {ENOUGH}: they are provisional"
        out.append(
            Segment(
                start=start, stop=stop, reason=reason, centre=centre, sigma=sigma, provisional=provisional, sentence=say
            )
        )
    return tuple(out)


def assemble(
    kind: str,
    points: NDArray[np.float64],
    parts: tuple[Segment, ...],
    limits: Sequence[SegmentLimits | None],
    tests: tuple[Rule, ...],
    companion: ControlChart | None = None,
    first: int = 0,
    doubts: tuple[str, ...] = (),
    rate: float | None = None,
    assumptions: tuple[str, ...] = (INDEPENDENT, NORMAL),
    style: Style = MM,
) -> ControlChart:
    """Draw the limits, run the tests within each segment and put it all into words.

    `first` points of each segment have no value (a moving range needs a neighbour). `rate` replaces the sum of the
    tests' false-alarm rates where the points are not independent by design.
    """
    import numpy as np

    values: list[float | None] = points.tolist()
    columns: tuple[list[Column], list[Column], list[Column]] = ([], [], [])  # centre, lower, upper by segment
    signals: list[Signal] = []
    for part, limit in zip(parts, limits, strict=True):
        size = part.stop - part.start
        values[part.start : part.start + first] = [None] * min(first, size)
        if limit is None:
            for column, level in zip(columns, (part.centre if first == 0 else None, None, None), strict=True):
                column.append((level,) * size)
            continue
        low, high = limit.centre - limit.width * limit.error, limit.centre + limit.width * limit.error
        if limit.floor is not None:
            low = np.maximum(low, limit.floor)
        for column, line in zip(columns, (limit.centre, low, high), strict=True):
            column.append(tuple(line.tolist()) if isinstance(line, np.ndarray) and line.ndim else (float(line),) * size)
        at = slice(part.start + first, part.stop)
        own = [v[first:] if isinstance(v, np.ndarray) and v.ndim else v for v in (limit.centre, limit.error)]
        with np.errstate(divide="ignore", invalid="ignore"):
            z = np.nan_to_num((points[at] - own[0]) / own[1], nan=0.0)
        z = z * (3.0 / limit.width)  # the tests know limits at three standard deviations
        for rule in tests:
            signals += _signals(rule, z, values, at.start, style)
    signals.sort()
    alarm = false_alarms(tests) if rate is None else rate
    centre, lower, upper = (c[0] if len(c) == 1 else tuple(chain.from_iterable(c)) for c in columns)
    return ControlChart(
        kind=kind,
        points=tuple(values),
        centre=centre,
        lower=lower,
        upper=upper,
        segments=parts,
        signals=tuple(signals),
        provisional=any(p.provisional for p in parts),
        false_alarm=alarm,
        assumptions=assumptions,
        doubts=doubts,
        sentence=_sentence(kind, parts, signals, alarm),
        companion=companion,
    )


def doubts_of(x: NDArray[np.float64], parts: tuple[Segment, ...], style: Style = MM) -> tuple[str, ...]:
    """What the points themselves say against the chart's assumptions, looked at within the segments.

    `x` in the unit of the readings; sentences out.
    """
    import numpy as np

    known = [(x[p.start : p.stop] - p.centre) / p.sigma for p in parts if p.sigma and p.centre is not None]
    z = np.concatenate(known) if known else np.empty(0)
    if z.size < ENOUGH:
        return ()
    out = []
    r, p = likeness(z - z.mean())
    if p < DOUBT:
        out.append(f"{resemble(r, p, style)}: the points are not independent, so the limits and the tests mislead")
    if z.size <= MOST_NORMALITY:
        look = normality(z, DOUBT, style)
        if look.normal is False:
            out.append(f"{look.sentence}: the stated rate of false alarms does not hold")
    return tuple(out)


def _signals(rule: Rule, z: NDArray[np.float64], values: list[float | None], offset: int, style: Style) -> list[Signal]:
    """Signals of one test; points that follow each other are told once."""
    import numpy as np

    hit = np.flatnonzero(rule.hits(z))
    if not hit.size:
        return []
    cut = np.flatnonzero(np.diff(hit) > 1)
    firsts = hit[np.concatenate([[0], cut + 1])] + offset
    lasts = hit[np.append(cut, hit.size - 1)] + offset
    out = []
    for a, b in zip(firsts.tolist(), lasts.tolist(), strict=True):
        value = style.significant(values[a], 6, unit=False)
        where = f"point {a + 1} ({value})" if a == b else f"points {a + 1} to {b + 1}"
        out.append(Signal(a, b, rule.name, f"{where}: {rule.found}", rule.found))
    return out


def _sentence(kind: str, parts: tuple[Segment, ...], signals: list[Signal], alarm: float) -> str:
    n = parts[-1].stop if parts else 0
    if n == 0:
        return "no points: nothing to chart"
    said = dict.fromkeys(p.sentence for p in parts if p.sentence)
    say = f"{count(n, 'point')} of {kind}: "
    say += "; ".join(s.sentence for s in signals[:3]) if signals else "no signal"
    if len(signals) > 3:
        say += f"; and {len(signals) - 3} more"
    if alarm > 0:
        say += f" (without cause at most one point in {MM.figure(1 / alarm, 0)})"
    return "; ".join([say, *said])
