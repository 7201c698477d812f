"""One feature seen whole: its summary made from the readings, the one kept beside them, and the chart asked for.

Made from `Material`, which comes from the record or from a plain file, so that screen and command line say the same.
"""

from __future__ import annotations

from array import array
from collections.abc import Sequence

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.spread import chart_memory as charts_memory
from inspect_tui.metrology.spread import charts, statistics
from inspect_tui.metrology.spread.chart_rules import DEFAULT
from inspect_tui.metrology.spread.charts import Break, ControlChart
from inspect_tui.metrology.spread.statistics import Summary
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.feature.material import Material

CHARTS = {
    "individuals": "single readings with their moving ranges",
    "means": "means of subgroups, limits from their ranges",
    "means-s": "means of subgroups, limits from their standard deviations",
    "ewma": "smoothed readings (EWMA), for small lasting shifts",
    "cusum": "summed deviations (CUSUM), for when a shift began",
}
KEPT_AGREES = 1e-6  # of the spread: further apart, the kept summary is to be made again
SUBGROUP = 5  # consecutive readings to a subgroup when nothing else is said: common practice
STALE = "the summary kept in the record differs from the one made from the readings: have it made again"


@frozen
class Subgroups:
    """Readings put together, what each subgroup is called, where segments start, and what was left over."""

    groups: tuple[array[float], ...]
    names: tuple[str, ...]
    breaks: tuple[Break, ...]
    remark: str


@frozen_by_name
class FeatureView:
    """What the readings of one feature come to. `names` call the points of a chart of subgroups; else it is empty."""

    material: Material
    summary: Summary
    lag1: float | None
    kept_agrees: bool | None  # None when no summary is kept for this choice
    chart_kind: str
    chart: ControlChart
    names: tuple[str, ...]
    remarks: tuple[str, ...]


def view(
    material: Material,
    kind: str = "individuals",
    *,
    tests: Sequence[str] = DEFAULT,
    group: int | str = SUBGROUP,
    baseline: int | None = None,
    segments: bool = True,
    median: bool = False,
    style: Style = MM,
) -> FeatureView:
    """Summary and chart of the readings.

    `group` makes subgroups: so many consecutive readings, or a label such as lot. `baseline`: limits from the first so
    many points of each segment; `segments` False draws all as one; `median`: limits from the median moving range, which
    a few wild readings do not widen (individuals). `style` is for readings in mm; others are written as they are.
    Errors: DataError for a kind, a test or a grouping that there is not.
    """
    values, own = material.values, style.readings_in(material.unit)[0]
    summary = statistics.from_values(values)
    breaks = material.breaks if segments else ()
    names: tuple[str, ...] = ()
    remarks = list(material.remarks)
    if kind == "individuals":
        chart = charts.individuals(values, breaks, tests, baseline=baseline, median=median, style=own)
    elif kind == "ewma":
        chart = charts_memory.ewma(values, breaks=breaks, baseline=baseline, style=own)
    elif kind == "cusum":
        chart = charts_memory.cusum(values, breaks=breaks, baseline=baseline, style=own)
    elif kind in ("means", "means-s"):
        made = subgroups(material, group, breaks)
        draw = charts.means_range if kind == "means" else charts.means_s
        chart, names = draw(made.groups, made.breaks, tests, baseline=baseline, style=own), made.names
        remarks += [made.remark] if made.remark else []
    else:
        raise DataError(f"There is no chart called {kind}; there are: {', '.join(CHARTS)}.")
    agrees = None if material.kept is None else same_summary(summary, material.kept)
    if agrees is False:
        remarks.append(STALE)
    return FeatureView(
        material=material,
        summary=summary,
        lag1=statistics.lag1(values),
        kept_agrees=agrees,
        chart_kind=kind,
        chart=chart,
        names=names,
        remarks=tuple(remarks),
    )


def same_summary(made: Summary, kept: Summary) -> bool:
    """Whether a running summary still is that of the readings, to a millionth of their spread."""
    if made.n != kept.n or made.n == 0:
        return made.n == kept.n
    slack = KEPT_AGREES * (made.s or 1e-3 * max(abs(made.mean), 1.0))
    near = abs(made.mean - kept.mean) <= slack and abs((made.s or 0.0) - (kept.s or 0.0)) <= slack
    return near and (made.min, made.max) == (kept.min, kept.max)


def subgroups(material: Material, group: int | str, breaks: Sequence[Break] = ()) -> Subgroups:
    """Readings put into subgroups within each segment; what is left over is counted in the remark.

    A number takes so many consecutive readings, a label (lot, casting, person ...) all of a segment that carry it.
    Errors: DataError for a label that is not known and for subgroups of fewer than 2 or more than 100.
    """
    values, left_over = material.values, 0
    groups: list[array[float]] = []
    names: list[str] = []
    starts: list[Break] = []
    known = material.labels or {}
    if isinstance(group, str) and group not in known:
        raise DataError(
            f"There is nothing called {group} to make subgroups by; there is: {', '.join(known) or 'a number only'}."
        )
    if isinstance(group, int) and not 2 <= group <= 100:
        raise DataError(f"Subgroups of {group} readings cannot be charted: give 2 to 100.")
    for start, stop, reason in charts.segments_of(len(values), breaks):
        before = len(groups)
        if isinstance(group, str):
            parts: dict[str, array[float]] = {}
            for label, value in zip(known[group][start:stop], values[start:stop], strict=True):
                if label is None:
                    left_over += 1
                else:
                    parts.setdefault(label, array("d")).append(value)
            left_over += sum(len(part) for part in parts.values() if len(part) < 2)
            groups += [part for part in parts.values() if len(part) > 1]
            names += [label for label, part in parts.items() if len(part) > 1]
        else:
            firsts = range(start, stop - group + 1, group)
            groups += [values[i : i + group] for i in firsts]
            names += [f"{i + 1} to {i + group}" for i in firsts]
            left_over += (stop - start) % group
        if before < len(groups) and before:
            starts.append(Break(before, reason))
    remark = f"subgroups {'by' if isinstance(group, str) else 'of'} {group}: {left_over} readings left over"
    return Subgroups(tuple(groups), tuple(names), tuple(starts), remark if left_over else "")
