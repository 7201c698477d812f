"""The fleet: all boxes ranked by risk and by date, and what to measure next.

Source: own derivation.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isfinite

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style, number
from inspect_tui.metrology.wear.cores_left import CoresLeft, cores_left
from inspect_tui.metrology.wear.line import WearFit


@frozen_by_name
class Watched:
    """One size of one tool with its limits and how many cores are made in a week; `now` as in `cores_left`."""

    label: str
    fit: WearFit
    lower: float | None
    upper: float | None
    per_week: float | None
    now: float | None = None


@frozen_by_name
class Ranked:
    """One size in the list: weeks to its limit (None: no forecast), the 95 % interval, risk within the horizon."""

    label: str
    left: CoresLeft
    weeks: float | None
    weeks_low: float | None  # None when cores per week are not known
    weeks_high: float | None
    risk: float | None
    sentence: str


@frozen
class MeasureNext:
    """What to measure next and why; `label` is None when nothing would change a decision."""

    label: str | None
    sentence: str


def rank(watched: Sequence[Watched], horizon_weeks: float = 4.0, style: Style = MM) -> list[Ranked]:
    """All sizes, most urgent first: by the risk of reaching the limit within the horizon, then by the earliest date.

    Sizes past their limit come first; those without cores per week have no date and follow, fewest cores first.
    Weeks and dates. DataError for a horizon not above 0.
    """
    if horizon_weeks <= 0:
        raise DataError("the horizon has to be above 0 weeks")
    return sorted((_ranked(w, horizon_weeks, style) for w in watched), key=_urgency)


def _urgency(r: Ranked) -> tuple[float, float, float, str]:
    return (-round(r.risk or 0.0, 4), r.weeks_low if r.weeks_low is not None else inf, r.left.low, r.label)


def _ranked(w: Watched, horizon: float, style: Style) -> Ranked:
    left = cores_left(w.fit, w.lower, w.upper, w.now, style)
    if not w.per_week or left.limit is None:
        why = "" if left.limit is None else "; no cores per week, so no date"
        risk = 1.0 if left.kind == "past" else None
        return Ranked(
            label=w.label,
            left=left,
            weeks=None,
            weeks_low=None,
            weeks_high=None,
            risk=risk,
            sentence=f"{w.label}: {left.sentence}{why}",
        )
    weeks = None if left.left is None else left.left / w.per_week
    low, high = left.low / w.per_week, left.high / w.per_week
    risk = float(left.kind == "past")
    if left.kind in ("left", "at least"):
        risk = w.fit.p_beyond(left.now + horizon * w.per_week, left.limit)
    text = f"{w.label}: {left.sentence}"
    if weeks is not None and left.kind == "left":
        span = f"{number(low)} to {number(high)}" if isfinite(high) else f"at least {number(low)}"
        text += f"; about {number(weeks)} weeks ({span})"
    elif left.kind == "at least":
        text += f", {number(low)} weeks"
    return Ranked(label=w.label, left=left, weeks=weeks, weeks_low=low, weeks_high=high, risk=risk, sentence=text)


def measure_next(ranked: Sequence[Ranked], horizon_weeks: float = 4.0, style: Style = MM) -> MeasureNext:
    """The widest interval that matters: where it is most open whether the limit comes within the horizon.

    Openness is min(p, 1 - p) of the risk; of equals the wider interval. Below one in fifty nothing is worth a trip.
    """

    def openness(r: Ranked) -> tuple[float, float]:
        p = r.risk if r.risk is not None else 0.0
        width = (r.weeks_high or 0.0) - (r.weeks_low or 0.0)
        return round(min(p, 1 - p), 3), width

    known = [r for r in ranked if r.risk is not None and r.weeks_low is not None]
    best = max(known, key=openness, default=None)
    if best is None or openness(best)[0] < 0.02:
        blind = next((r for r in ranked if r.left.kind == "unknown" and r.left.limit is not None), None)
        if blind is not None:
            return MeasureNext(blind.label, f"measure {blind.label}: {blind.left.sentence}")
        return MeasureNext(None, f"no measurement would change what is due within {style.figures(horizon_weeks)} weeks")
    high = number(best.weeks_high or inf)
    return MeasureNext(
        best.label,
        f"measure {best.label} next: its limit may come in {number(best.weeks_low or 0.0)} weeks or in {high}, "
        f"so it is open whether it lasts {style.figures(horizon_weeks)} weeks ({style.percent(best.risk or 0.0)} risk)",
    )


def rate_from_new(cores: Sequence[float], growth: Sequence[float]) -> tuple[float, float, float]:
    """Wear per core by a line through the origin, when the size when new is known exactly: slope, its u, dof.

    slope = sum(x y) / sum(x^2). Cores to a limit = limit / slope. Source: regression through the origin. mm a core.
    DataError for fewer than two readings at counts above 0.
    """
    xx = sum(x * x for x in cores)
    if len(cores) < 2 or len(cores) != len(growth) or xx <= 0:
        raise DataError("a line through the origin needs two readings at counts above 0")
    slope = sum(x * y for x, y in zip(cores, growth, strict=True)) / xx
    dof = len(cores) - 1
    rss = sum((y - slope * x) ** 2 for x, y in zip(cores, growth, strict=True))
    return slope, (rss / dof / xx) ** 0.5, float(dof)
