"""Tooling or foundry: box checks, sample cores and castings of one size side by side, and what the weight says.

Two stretches are compared. Without a date: the start and the end of the time since the last repair, wear included. With
one: what came before and after it, with the wear that is known taken out, so that a step stands alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, isfinite
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen
from inspect_tui.metrology.wear.change_causes import SeriesChange, WhoMoved, wall_from_weight, who_moved
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Feature, Tool
from inspect_tui.shop.trends import residuals
from inspect_tui.shop.trends import tracks as tracks_
from inspect_tui.shop.trends import trend as trends
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.tracks import CASTING, Track
from inspect_tui.shop.trends.trend import Trend

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LEAST = 4  # readings on either side
STEP_LEAST = 12  # readings on either side of a step that a verdict is asked for
WINDOW = 60  # readings on either side of a step, at most
IRON = 7100.0  # kg/m3


@frozen
class WhatMoved:
    """What moved, and everything it was told from; `weight` is what the castings' weight adds, or is empty."""

    who: WhoMoved
    moved: tuple[SeriesChange, ...]
    before: tuple[float, float]  # days (ordinals)
    after: tuple[float, float]
    weight: str

    @property
    def sentence(self) -> str:
        """The verdict in one sentence."""
        return self.who.sentence + (f"; {self.weight}" if self.weight else "")


def tell_apart(view: JobView, trend: Trend, at: float | None = None) -> WhatMoved | None:
    """Wear, foundry or seat, for the size of a trend; `at`: the day (ordinal) of a step, else since the last repair.

    None where nothing was measured often enough on both sides.
    """
    seen = _TracksBeside(view, trend, with_wear=at is None)
    spans = _around(trend, at, seen) if at is not None else _ends(trend)
    if spans is None:
        return None
    before, after = spans
    moved = [m for m in seen.moved(before, after) if m is not None]
    if not moved:
        return None
    a = trend.sizes.contraction if trend.tool else 0.0
    return WhatMoved(who_moved(moved, a, view.style), tuple(moved), before, after, _weight(view, before, after))


def tell_of(view: JobView, trend: Trend) -> WhatMoved | None:
    """The verdict that goes with what a trend shows: at the step of castings where they have one, else overall."""
    import numpy as np

    from inspect_tui.metrology.wear.steps import best_split

    here = np.flatnonzero((trend.segments.segment == trend.segments.current) & residuals.believable(trend.main.even))
    if trend.tool is None and trend.alarms and len(here) >= 2 * STEP_LEAST:
        values = trend.main.even[here]
        if np.ptp(values) > 0:
            split = best_split(values.tolist())
            if split.p < 0.01:
                told = tell_apart(view, trend, float(trend.main.day[here[split.before]]))
                if told is not None:
                    return told
    return tell_apart(view, trend)


def _ends(trend: Trend) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The first and the last third of the time since the last repair."""
    here = trend.main.day[trend.segments.segment == trend.segments.current]
    if len(here) < 2 * LEAST:
        return None
    start, end = float(int(here.min())), float(int(here.max()) + 1)
    third = (end - start) / 3
    return (start, start + third), (end - third, end)


def _around(trend: Trend, at: float, seen: _TracksBeside) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """Before and after a day, no further than the next repair and than so many readings of the size itself."""
    days = trend.main.day
    earlier, later = days[days < at], days[days >= at]
    if len(earlier) < LEAST or len(later) < LEAST:
        return None
    edges = sorted(m.day for m in trend.marks)
    left = max([m for m in edges if m < at], default=float("-inf"))
    right = min([m for m in edges if m > at], default=float("inf"))
    start = max(float(earlier[-min(WINDOW, len(earlier))]), left + 1)
    stop = min(float(later[min(WINDOW, len(later)) - 1]) + 1, right + 1)
    return ((start, at), (at, stop)) if stop > at > start else None


class _TracksBeside:
    """The tracks that bear on a size: its own, those of the same core, those along the same axis."""

    def __init__(self, view: JobView, trend: Trend, with_wear: bool) -> None:
        self.view, self.trend, self.with_wear = view, trend, with_wear
        self.feature = trend.feature
        self.cores = {view.core_of(end.core_id) for end in trend.feature.ends if end.core_id}

    def moved(self, before: tuple[float, float], after: tuple[float, float]) -> list[SeriesChange | None]:
        """Every series that was measured on both sides, as the verdict wants it."""
        feature, changes = self.feature, []
        own = _true_size(feature, self.view)
        tool = self.trend.tool or self._box(own)
        if tool is not None:
            own_trend = self.trend if self.trend.tool else trends.trend(self.view, feature, tool)
            for track, values in self._of_tool(own_trend):
                same = own is not None or _is_position(feature)
                changes.append(self._change(track, values, before, after, feature, same))
        else:
            main = self.trend.main
            changes.append(self._change(main, self._plain(main), before, after, feature, _is_position(feature)))
        if own is None and self.cores:  # sizes of the same core tell whether it has grown
            for other in self._sizes_of_cores():
                box = self._box(_true_size(other, self.view))
                if box is not None:
                    for track, values in self._of_tool(trends.trend(self.view, other, box)):
                        changes.append(self._change(track, values, before, after, other, True))
        for other in self._along():
            box = self._box(_true_size(other, self.view))
            if box is not None and self.view.on_tool(box, self.view.root.get(other.id, other.id)) is not None:
                worn = trends.trend(self.view, other, box)  # another core wears too: out of it, or left away
                if worn.fit is not None:
                    tracks = [] if self.with_wear else self._of_tool(worn)
                    changes += [self._change(track, values, before, after, other, False) for track, values in tracks]
                    continue
            track = tracks_.on_castings(self.view, self.view.root.get(other.id, other.id))
            changes.append(self._change(track, self._plain(track), before, after, other, self._carried(other)))
        return changes

    def _of_tool(self, trend: Trend) -> list[tuple[Track, NDArray[np.float64]]]:
        """Tool, cores and castings of one size; without wear less the wear line, that of castings by the chain."""
        series = []
        for track in (trend.main, *trend.others):
            if not len(track):
                continue
            values = track.even.astype(float)
            if not self.with_wear and trend.fit is not None:
                pieces = tracks_.segmented(track, trend.marks)
                wear = values - residuals.residuals(track, pieces, trend.fit)
                scale = 1.0
                if track.of == CASTING:
                    # from the chain's offset only the growth is left: the level stays in the values
                    wear, scale = _growth(track, pieces, trend), 1.0 + trend.sizes.contraction
                values = values - wear / scale
            series.append((track, values))
        return series

    def _plain(self, track: Track) -> NDArray[np.float64]:
        return track.even.astype(float)

    def _box(self, core: Id | None) -> Tool | None:
        """The box of a core, where the size is measured on it."""
        boxes = self.view.boxes_of(core) if core else []
        return boxes[0] if boxes else None

    def _sizes_of_cores(self) -> list[Feature]:
        """Other sizes made by the same cores, along the same axis, that were measured on a box or on sample cores."""
        return [
            f
            for f in self.view.kit.features
            if f.id != self.feature.id
            and f.scale == "cast"
            and f.axis == self.feature.axis
            and _true_size(f, self.view) in self.cores
            and (box := self._box(_true_size(f, self.view))) is not None
            and self.view.on_tool(box, self.view.root.get(f.id, f.id)) is not None
        ]

    def _along(self) -> list[Feature]:
        """Sizes and positions of castings along the same axis that wear of this size does not change."""
        own = _true_size(self.feature, self.view)
        there = set()
        for f in self.view.kit.features:
            if f.id == self.feature.id or f.scale != "cast" or f.axis != self.feature.axis or f.axis not in "xyz":
                continue
            if self.view.root.get(f.id, f.id) not in self.view.on_castings:
                continue
            if f.quantity in ("wall", "step", "flatness") or _one_core_end(f, self.cores, self.view):
                continue  # a wall moves with both of its cores: it cannot tell them apart
            size = _true_size(f, self.view)
            if size is not None and (size in self.cores or size == own):
                continue
            there.add(f.id)
        return [f for f in self.view.kit.features if f.id in there]

    def _carried(self, other: Feature) -> bool:
        """Whether the same core makes or carries it: only then can its seat have moved it."""
        cores = {self.view.core_of(end.core_id) for end in other.ends if end.core_id}
        return bool(self.cores & cores)

    def _change(
        self,
        track: Track,
        values: NDArray[np.float64],
        before: tuple[float, float],
        after: tuple[float, float],
        feature: Feature,
        same_core: bool,
    ) -> SeriesChange | None:
        import numpy as np

        keep = residuals.believable(values)
        sides = [values[keep & (track.day >= low) & (track.day < high)] for low, high in (before, after)]
        if min(map(len, sides)) < LEAST:
            return None
        means = [float(np.mean(s)) for s in sides]
        u = hypot(*(float(np.std(s, ddof=1)) / len(s) ** 0.5 for s in sides))
        kind = "position" if _is_position(feature) else "size"
        name = f"{feature.balloon} on {track.label}"
        of = {"tool": "box", "core": "core", "casting": "casting"}[track.of]
        return SeriesChange(
            name=name,
            of=of,
            kind=kind,
            change=Estimate(means[1] - means[0], u),
            length=abs(self._length(feature)),
            same_core=same_core,
        )

    def _length(self, feature: Feature) -> float:
        return feature.nominal


def _growth(track: Track, pieces: tracks_.Segments, trend: Trend) -> NDArray[np.float64]:
    """What the tool had grown by when each casting was made, mm at the tool; 0 where that is not known."""
    import numpy as np

    assert trend.fit is not None
    grown = np.zeros(len(track))
    first = next((after for after in trend.fit.afters if after is not None), None)
    for segment in range(pieces.current + 1):
        here = pieces.segment == segment
        after = trend.fit.afters[segment] if segment < len(trend.fit.afters) else None
        rate = trend.fit.rates[segment] if segment < len(trend.fit.rates) else None
        if after is None or first is None:
            continue
        since = np.where(np.isnan(pieces.since[here]), 0.0, pieces.since[here])
        grown[here] = after.value - first.value + (rate or 0.0) * since
    return grown


def _is_position(feature: Feature) -> bool:
    return feature.quantity == "position"


def _true_size(feature: Feature, view: JobView) -> Id | None:
    """The core that makes both ends of a size, facing each other; None for positions, centre distances and walls."""
    if len(feature.ends) != 2 or feature.quantity == "position":
        return None
    cores = {view.core_of(end.core_id) for end in feature.ends}
    apart = feature.ends[0].facing != feature.ends[1].facing
    return next(iter(cores)) if apart and len(cores) == 1 and None not in cores else None


def _one_core_end(feature: Feature, cores: set[Id | None], view: JobView) -> bool:
    """A size with one end on one of these cores and the other elsewhere, which is no position."""
    if feature.quantity == "position" or len(feature.ends) != 2:
        return False
    on = [view.core_of(end.core_id) in cores for end in feature.ends if True]
    return on[0] != on[1]


# ------------------------------------------------------------------------------ the weight of castings
@frozen
class Weights:
    """Weights of castings by the day they were poured."""

    day: Sequence[float]
    kg: Sequence[float]


def weights(view: JobView) -> Weights:
    """The castings of the job that were weighed, by day."""
    rows = []
    for item, weighed in view.reader.item_weights(view.job.of_id).items():
        about = view.items.get(item)
        day = view.lot_day.get(about.lot_id) if about is not None and about.lot_id else None
        if about is not None and about.kind == CASTING and day is not None:
            rows.append((float(day), weighed.weight_kg))
    rows.sort()
    return Weights([day for day, _ in rows], [kg for _, kg in rows])


def _weight(view: JobView, before: tuple[float, float], after: tuple[float, float]) -> str:
    """What the castings weigh against before, and what that means for their walls."""
    from statistics import fmean, stdev

    known, style = weights(view), view.style
    sides = [
        [kg for day, kg in zip(known.day, known.kg, strict=True) if low <= day < high] for low, high in (before, after)
    ]
    if min(map(len, sides)) < LEAST:
        return ""
    change = fmean(sides[1]) - fmean(sides[0])
    u = hypot(*(stdev(s) / len(s) ** 0.5 for s in sides))
    if not isfinite(u) or abs(change) <= 2 * u:
        by = f"{style.figure(change, signed=True)} ± {style.weight(2 * u, 2)}"
        return f"castings weigh the same ({by}): the walls as a whole have not changed"
    by = f"{style.figure(abs(change))} ± {style.weight(2 * u, 2)}"
    way = "lighter" if change < 0 else "heavier"
    area = view.reader.wall_area(view.job.of_id)
    if area is None:
        return f"castings are {by} {way}: enter their wall area to see what that means"
    wall = wall_from_weight(change, area.area_m2 * 1e6, area.density)
    u_wall = abs(wall_from_weight(2 * u, area.area_m2 * 1e6, area.density))
    word = "thinner" if wall < 0 else "thicker"
    walls = f"walls {style.plus_minus(abs(wall), u_wall)} {word} in the mean"
    return f"castings are {by} {way}: {walls}"
