"""One size over cores or dates: the wear line and what it leaves, the castings made from it, and honest words.

The wear line is fitted to what was measured most since the last repair, box checks or sample cores. Castings are not
fitted for wear: too much else moves them. For them steps and lasting alarms are looked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from math import isfinite, sqrt
from typing import TYPE_CHECKING, Any

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.sizes import chain, movement
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.cores_left import CoresLeft, cores_left, left_words
from inspect_tui.metrology.wear.line import DIRECTION, WearFit
from inspect_tui.metrology.wear.visits import fit_readings
from inspect_tui.metrology.wear.weeks import LONGEST_WEEKS, UNKNOWN_SCATTER, Ahead, Making, ahead
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Feature, Tool
from inspect_tui.record.ask import trends as rows
from inspect_tui.shop.common.sizes import Sizes, unit_of
from inspect_tui.shop.trends import alarms as alarms_
from inspect_tui.shop.trends import instruments_apart, residuals
from inspect_tui.shop.trends import jumps as jumps_
from inspect_tui.shop.trends import remarks as remarks_
from inspect_tui.shop.trends import tracks as tracks_
from inspect_tui.shop.trends.counts import today as clock
from inspect_tui.shop.trends.counts.counter import Counter
from inspect_tui.shop.trends.job_view import JUMP, JobView, Mark, WearLimits
from inspect_tui.shop.trends.tracks import CASTING, CORE, EVERYTHING, TOOL, ReadingFilter, Segments, Track

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


HORIZON_WEEKS = 4.0
U_READING = 0.01 / sqrt(12.0)  # mm: nothing is read better than to a hundredth
MAYBE_SLIP = 2.0  # standard deviations from which it is looked up whether a reading was asked about
SEASON, ALPHA = 6.0, 11.5e-6  # degC that a shop swings by with the year, iron and steel at least; likewise no source
SEEN_LEAST, SEEN_LAST = 8, 60  # castings from which, and of which, the difference from the tool is taken


@frozen_by_name
class Trend:
    """One size of one tool (`tool` None: of the castings) with all that its readings come to. mm, at the tool.

    `main` is the track the wear line was fitted to, `others` stand beside it. `why_not` says why there is no line.
    """

    view: JobView
    feature: Feature
    tool: Tool | None
    sizes: Sizes
    counter: Counter
    limits: WearLimits
    marks: tuple[Mark, ...]
    main: Track
    others: tuple[Track, ...]
    segments: Segments
    fit: WearFit | None
    left: CoresLeft | None
    why_not: str
    now: float | None  # cores since the last repair
    per_week: float | None
    risk: float | None  # of the limit within the horizon, from today
    ahead: Ahead | None  # what is left from today
    making: Making | None
    alarms: tuple[alarms_.Alarm, ...]
    remarks: tuple[str, ...]
    only: ReadingFilter = EVERYTHING
    read_off: tuple[str, ...] = ()  # gauges and people that read off: one line of a list, however many sizes they moved

    @property
    def title(self) -> str:
        """Balloon and name."""
        return f"{self.feature.balloon} {self.feature.name}"

    @property
    def where(self) -> str:
        """The tool, or castings."""
        return self.tool.label if self.tool else "castings"

    @property
    def unit(self) -> str:
        """mm or deg."""
        return unit_of(self.feature)

    @property
    def castings(self) -> Track | None:
        """The castings of the same size, where some were measured."""
        return next((t for t in self.others if t.of == CASTING and len(t)), None)

    def as_tool(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Sizes of castings as the size of the tool that gives them: by the planned chain."""
        if self.tool is None or self.feature.scale == "tool":
            return values
        steps = [s for s in self.sizes.steps if s.kind not in ("stock", "draft")]
        zero = chain.forward(0.0, steps).value
        return values * (chain.forward(1.0, steps).value - zero) + zero

    @property
    def weeks(self) -> tuple[float | None, float | None, float | None]:
        """Weeks from today to the limit: as it stands, at worst, at best; None where not known or without end."""
        return weeks_of(self.ahead)

    @property
    def due(self) -> str | None:
        """The day on which the limit comes as it stands or was passed, ISO date; None beyond ten years."""
        if self.ahead is None or self.left is None or self.fit is None:
            return None
        over = None if self.left.limit is None else self.fit.at(self.left.now).value - self.left.limit
        today = clock.later(self.view.today, self.counter.day[-1] if self.counter.day else None)
        return due_day(self.ahead, today, over, self.fit.rate_now)

    @property
    def sentence(self) -> str:
        """The one line that the list shows."""
        if self.left is None or self.ahead is None or self.fit is None:
            return self.why_not
        left = self.left
        if left.limit is None or self.ahead.kind == "unknown":
            return left.sentence
        return forecast_words(
            self.ahead,
            limit=left.limit,
            now=max(self.fit.reach, left.now),
            here=self.fit.at(left.now + self.ahead.made).value,
            rate=self.fit.rate.value if left.kind == "backward" else self.fit.rate_now,
            unit=self.unit,
            style=self.view.style,
            per_week=self.per_week,
            due=self.due,
            counted=self.counter.day[-1] if self.counter.day else None,
        )

    def residuals(self) -> NDArray[np.float64]:
        """The main track less its wear line, segment by segment (less the segment's median where there is no line)."""
        return residuals.residuals(self.main, self.segments, self.fit)

    @property
    def jumps(self) -> tuple[Mark, ...]:
        """Jumps that no repair explains."""
        return tuple(mark for mark in self.marks if mark.kind == JUMP)

    def unexplained(self) -> NDArray[np.float64]:
        """The residuals with what nobody explained put back: jumps stay in them, wear and repairs are out."""
        return self.residuals() + residuals.jumped(self.segments, self.fit)


def weeks_of(left: Ahead | None) -> tuple[float | None, float | None, float | None]:
    """Weeks from today to the limit: as it stands, at worst, at best; None where not known or without end."""
    if left is None:
        return None, None, None
    high = left.weeks_high
    return left.weeks, left.weeks_low, high if high is not None and isfinite(high) else None


def due_day(left: Ahead, today: str, over: float | None = None, rate: float | None = None) -> str | None:
    """The day (ISO date) on which a limit comes or was passed; None where not known or beyond ten years.

    `over` is how far the size is beyond it at the last count and `rate` what a core takes, both in its unit.
    """
    weeks = left.weeks
    if weeks is None or weeks > LONGEST_WEEKS:
        return None
    if left.kind == "past" and not left.carried and over is not None and rate and left.per_week:
        weeks = -left.idle - max(over / rate, 0.0) / left.per_week
    return day_after(today, max(weeks, -LONGEST_WEEKS))


def day_after(today: str, weeks: float | None) -> str | None:
    """The day so many weeks from today, ISO date; None where they are not known or beyond ten years."""
    if weeks is None or weeks > LONGEST_WEEKS:
        return None
    return (date.fromisoformat(today) + timedelta(weeks=weeks)).isoformat()


def forecast_words(
    left: Ahead,
    *,
    limit: float,
    now: float,
    here: float,
    rate: float,
    unit: str,
    style: Style,
    per_week: float | None,
    due: str | None,
    counted: int | None,
) -> str:
    """What a trend says of today, by its figures: as `left_words`, with weeks, days passed and how old the count is."""
    if left.carried:
        text = f"limit passed about {due}, by what was made since the last count: measure it"
    else:
        text = left_words(
            left.kind,
            left=left.left,
            low=left.low,
            high=left.high,
            limit=limit,
            now=now,
            here=here,
            rate=rate,
            unit=unit,
            style=style,
        )
        text += weeks_words(left.kind, limit, per_week, weeks_of(left), style)
    if left.old and counted is not None and per_week and left.kind != "backward":
        day = date.fromordinal(counted).isoformat()
        text += f"; the last count is of {day}, carried forward at {style.figure(per_week, 0)} a week"
    return text


def weeks_words(
    kind: str,
    limit: float | None,
    per_week: float | None,
    weeks: tuple[float | None, float | None, float | None],
    style: Style = MM,
) -> str:
    """What follows the cores left: the weeks to the limit as it stands, at worst, at best; or that none are known.

    Beyond ten years it says no more than that.
    """
    stands, low, high = weeks
    if stands is not None and kind == "left":
        if low is not None and low > LONGEST_WEEKS:
            return "; more than ten years"
        worst = style.figure(low, 0)
        ends = high is not None and high <= LONGEST_WEEKS
        span = f"{worst} to {style.figure(high, 0)}" if ends else f"at least {worst}"
        return (
            f"; more than ten years ({span} weeks)"
            if stands > LONGEST_WEEKS
            else f"; about {style.figure(stands, 0)} weeks ({span})"
        )
    if kind == "at least" and low is not None:
        if not isfinite(low):
            return ""
        return ", more than ten years" if low > LONGEST_WEEKS else f", {style.figure(low, 0)} weeks"
    return "; no cores per week, so no date" if limit is not None and not per_week else ""


def making_at(making: Making | None, per_week: float | None) -> Making | None:
    """What is made in a week, as if so many were (None: as it was); its scatter grows along."""
    if per_week is None or (making is not None and abs(making.per_week - per_week) < 1e-9):
        return making
    share = making.scatter / making.per_week if making is not None else UNKNOWN_SCATTER
    return Making(per_week, 0.0, share * per_week)


def weeks_since(day: int | None, today: str) -> float:
    """Weeks from the last count (an ordinal) to today; 0 for a count from the future."""
    return max(date.fromisoformat(today).toordinal() - day, 0) / 7 if day is not None else 0.0


# ------------------------------------------------------------------------------ putting it together
def trend(
    view: JobView,
    feature: Feature,
    tool: Tool | None,
    only: ReadingFilter = EVERYTHING,
    per_week: float | None = None,
    bare: bool = False,
) -> Trend:
    """One size of a tool, or of the castings where no tool is named. NotFound where the tool does not make it.

    `bare`: the readings and marks alone, without wear line, jumps and alarms; for a first look at very many of them.
    """
    root = view.root.get(feature.id, feature.id)
    if tool is None:
        return _filtered(view, feature, None, [tracks_.on_castings(view, root)], only, per_week, bare)
    view.sizes(tool, feature)  # says so where the tool does not make it
    counter = view.counter(tool)
    tracks = [tracks_.on_tool(view, tool, root)]
    elsewhere = not rows.alone(view.reader, tool.of_id, view.line(root))
    if elsewhere:
        tracks.append(tracks_.on_cores(view, tool, root))
    if elsewhere and feature.scale == "cast":
        tracks.append(tracks_.on_castings(view, root, counter))
    return _filtered(view, feature, tool, tracks, only, per_week, bare)


def _filtered(
    view: JobView,
    feature: Feature,
    tool: Tool | None,
    tracks: Sequence[Track],
    only: ReadingFilter,
    per_week: float | None,
    bare: bool,
) -> Trend:
    if only.words:
        tracks = [_only(view, track, only) for track in tracks]
    return replace(analyse(view, feature, tool, tracks, per_week, bare=bare), only=only)


def _only(view: JobView, track: Track, only: ReadingFilter) -> Track:
    import numpy as np

    keep = np.ones(len(track), dtype=bool)
    if only.person is not None:
        who = view.reader.who_of(track.ids)
        keep &= np.array([who[reading].person == only.person for reading in track.ids], dtype=bool)
    if track.lot is not None and only.lot is not None:
        keep &= np.array([lot == only.lot for lot in track.lot], dtype=bool)
    if track.item is not None and only.item is not None:
        keep &= np.array([view.items[item].serial == only.item for item in track.item], dtype=bool)
    return track.take(keep)


def analyse(
    view: JobView,
    feature: Feature,
    tool: Tool | None,
    tracks: Sequence[Track],
    per_week: float | None = None,
    horizon: float = HORIZON_WEEKS,
    bare: bool = False,
) -> Trend:
    """The same from tracks that were read already."""
    root = view.root.get(feature.id, feature.id)
    sizes = view.sizes(tool, feature)
    counter = view.counter(tool) if tool else view.castings_made
    marks = view.marks_on(tool, root) if tool else view.marks_for_castings(feature)
    main, others = _choose(tracks, marks)
    pieces = tracks_.segmented(main, marks)
    way, style, unit = DIRECTION.get(sizes.sense or "face", 0), view.style, unit_of(feature)
    own = style.of(unit)
    jumps = jumps_.jumps(main, marks, way, style, unit) if tool and not bare else []
    if jumps:  # taken for repairs until somebody says what they were
        marks = [*marks, *jumps]
        pieces = tracks_.segmented(main, marks)
    making = making_at(counter.making, per_week)
    rate = making.per_week if making is not None else None
    fit, why = (None, "castings: no wear line, look at the steps and alarms") if tool is None else (None, "")
    if bare:
        why = "the wear line is being worked out"
    elif tool is not None:
        fit, why = _fit(view, main, pieces, way, feature, tool)
    apart = instruments_apart.offsets(view, root, main, pieces, fit) if fit is not None else []
    if apart and tool is not None:
        value = main.value.astype(float).copy()
        for level in apart:
            value[list(level.at)] -= level.off
        fit, why = _fit(view, replace(main, value=value), pieces, way, feature, tool)
    now = counter.now - pieces.starts[-1] if counter.now is not None and counter.now >= pieces.starts[-1] else None
    if fit is not None and (now is None or now < fit.reach):
        now = fit.reach
    limits = WearLimits(sizes.band, sizes.band.source, False)
    if tool is not None:
        seen, scatter = _seen(fit, others, pieces, sizes) if fit is not None else (None, 0.0)
        limits = view.wear_limits(tool, feature, sizes, seen, scatter)
    marks = sorted(marks, key=lambda m: (m.day, m.entered))
    left, today = None, None
    if fit is not None:
        left = cores_left(fit, limits.band.lower, limits.band.upper, now, style, unit)
        idle = weeks_since(counter.day[-1] if counter.day else None, view.today)
        today = ahead(left.kind, left.left, left.low, left.high, making, idle, horizon, risk_then(fit, left, rate))
    alarms = alarms_.alarms(main, pieces) if tool is None and not bare else ()
    said = [*remarks_.remarks(main, pieces, counter, fit, jumps, own), *(level.words(own) for level in apart)]
    said += remarks_.of_the_season(main, tool) if fit is not None and tool is not None else []
    said += view.of_another_size(feature)
    said = [*(remarks_.open_words(left, counter.word) if left is not None else []), *said]
    what = "wear line" if tool else "steps and alarms"
    return Trend(
        view=view,
        feature=feature,
        tool=tool,
        sizes=sizes,
        counter=counter,
        limits=limits,
        marks=tuple(marks),
        main=main,
        others=others,
        segments=pieces,
        fit=fit,
        left=left,
        why_not=why,
        now=now,
        per_week=rate,
        risk=today.risk if today else None,
        ahead=today,
        making=making,
        alarms=alarms,
        remarks=tuple(said),
        read_off=tuple(f"{off.said(own, short=True)}: taken out of the {what}, not of the chart" for off in main.off),
    )


def _choose(tracks: Sequence[Track], marks: Sequence[Mark]) -> tuple[Track, tuple[Track, ...]]:
    """The track to fit: box checks or sample cores, whichever has more since the last repair; castings only alone."""
    own = [t for t in tracks if t.of in (TOOL, CORE)] or list(tracks)

    def worth(track: Track) -> tuple[int, int]:
        pieces = tracks_.segmented(track, marks)
        return int((pieces.segment == pieces.current).sum()), len(track)

    main = max(own, key=worth) if len(own) > 1 else own[0]
    return main, tuple(t for t in tracks if t is not main and len(t))


def risk_then(fit: WearFit, left: CoresLeft, per_week: float | None) -> tuple[float, float] | None:
    """The cores of four weeks, and the risk of the limit within them from the last count on."""
    if left.limit is None or not per_week or left.kind not in ("left", "at least"):
        return None
    return HORIZON_WEEKS * per_week, fit.p_beyond(left.now + HORIZON_WEEKS * per_week, left.limit)


def _swing(tool: Tool, feature: Feature) -> float:
    """How far a size of a tool swings with the temperature of the year (mm, standard deviation of either phase)."""
    known = movement.expansion_of(tool.material)
    return abs(feature.nominal) * max(ALPHA, known.value if known is not None else 0.0) * SEASON


def _fit(
    view: JobView, main: Track, pieces: Segments, direction: int, feature: Feature, tool: Tool
) -> tuple[WearFit | None, str]:
    import numpy as np

    known = ~np.isnan(pieces.since)
    if not len(main):
        return None, "not measured yet"
    if not known.any():
        return None, "no counts: type or import how many cores were made, or give the lots a quantity and a day"
    if not any(np.ptp(pieces.since[known & (pieces.segment == k)]) > 0 for k in np.unique(pieces.segment[known])):
        return None, f"too few readings to see wear: {int(known.sum())} with a count, never two between repairs"
    size = feature.quantity not in ("angle", "temperature", "attribute")
    made = view.corrections
    warm = any(made[id_].work_c is not None for id_ in main.ids if id_ in made)  # a bias alone tells no temperature
    swing = _swing(tool, feature) if size and not warm else 0.0
    columns: list[Any] = [pieces.since[known], main.even[known], pieces.segment[known], main.day[known]]
    since, values, segment, days = (column.tolist() for column in columns)
    how: dict[str, Any] = {
        "season": swing if swing > U_READING else 0.0,
        "u_shared": view.u_shared(main.ids[-1]) if size else 0.0,
    }
    u = U_READING if size else 0.0
    try:
        fit = fit_readings(since, values, segment, days, direction, pieces.current, u, **how)
        asked = _asked(view, main, pieces, fit, np.flatnonzero(known))
        if any(asked):
            fit = fit_readings(since, values, segment, days, direction, pieces.current, u, in_question=asked, **how)
    except DataError as problem:
        return None, str(problem)
    return fit, ""


def _asked(view: JobView, main: Track, pieces: Segments, fit: WearFit, at: NDArray[np.int_]) -> list[bool]:
    """Which readings with a count were asked about when they were typed and kept: looked up only where they lie off."""
    import numpy as np

    rest = np.abs(residuals.residuals(main, pieces, fit)[at])
    off = [main.ids[int(at[i])] for i in np.flatnonzero(rest > MAYBE_SLIP * fit.sd)]
    kept = view.reader.asked_and_kept(off)
    return [main.ids[int(i)] in kept for i in at]


def _seen(fit: WearFit, others: Sequence[Track], pieces: Segments, sizes: Sizes) -> tuple[Estimate | None, float]:
    """How castings since the last repair differ from what the wear line predicts, and their scatter (mm, casting)."""
    import numpy as np

    track = next((t for t in others if t.of == CASTING), None)
    if track is None or sizes.tool_feature is None:
        return None, 0.0
    since = track.count - pieces.starts[-1]
    last = np.flatnonzero((since > 0) & ~np.isnan(since))[-SEEN_LAST:]
    if len(last) < SEEN_LEAST:
        return None, 0.0
    cast = np.array([sizes.cast_from(fit.at(float(since[i])).value, 0.0).value for i in last])  # type: ignore[union-attr]
    rest = track.even[last] - cast
    middle = float(np.median(rest))
    sd = 1.4826 * float(np.median(np.abs(rest - middle)))
    u = sqrt((1.2533 * sd) ** 2 / len(last) + fit.at(float(since[last[-1]])).u ** 2)
    return Estimate(middle, u), sd


# ------------------------------------------------------------------------------ all of a tool
def core_tracks(view: JobView, tool: Tool) -> dict[Id, list[Track]]:
    """All that was measured on a tool and on the sample cores from it, by root."""
    by_root: dict[Id, list[Track]] = {}
    for part in (tracks_.of_tool_all(view, tool), tracks_.of_core_items(view, tool)):
        for root, track in part.items():
            if len(track):
                by_root.setdefault(root, []).append(track)
    return by_root
