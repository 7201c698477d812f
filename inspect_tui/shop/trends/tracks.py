"""One size on one tool, on its sample cores, on castings: values with the day and the count they belong to, as arrays.

A sample core or casting belongs to its lot: to the day the lot was poured and to the count after it. A reading on a
tool belongs to the day it was logged. Ids carry that day and never run back, so a clock that ran back does no harm;
where one ran ahead, the entries' own times are looked at, and readings that don't fit keep their place in the order.
"""

from __future__ import annotations

import time
from array import array
from collections.abc import Sequence
from typing import TYPE_CHECKING

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.record.ask import trends as rows
from inspect_tui.record.ask.trends import Points
from inspect_tui.shop.trends.counts.counter import Counter, longest_rising
from inspect_tui.shop.trends.job_view import JobView, Mark

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.model.words import Id
    from inspect_tui.model.work import Tool
    from inspect_tui.shop.gauges.pooled import PooledOffset

TOOL, CORE, CASTING = "tool", "core", "casting"
DAY_MS = 86_400_000
FIRST_DAY = 719_163  # the ordinal of 1970-01-01


@frozen
class ReadingFilter:
    """Leave out what is not of this person, lot or item; None takes all."""

    person: str | None = None
    lot: str | None = None
    item: str | None = None

    @property
    def words(self) -> str:
        """`only by AB, lot L310`; empty when nothing is left out."""
        named = (("by", self.person), ("lot", self.lot), ("on", self.item))
        said = [f"{word} {value}" for word, value in named if value is not None]
        return "only " + ", ".join(said) if said else ""


EVERYTHING = ReadingFilter()


@frozen_by_name
class Track:
    """Readings that count, in order: mm (degrees), days (ordinals, with the time of day), counts (nan: none known).

    `value` is what each stands for; `read` what was read, None where nothing had to be put right. `lot` and `item` are
    what they are called, None on a tool. `doubtful` ones were logged by a clock that was wrong. `level` is how much
    higher each was read than the others would have read it, by the gauges and people in `off`; None where nobody is.
    """

    of: str
    label: str
    ids: Sequence[bytes]
    value: NDArray[np.float64]
    day: NDArray[np.float64]
    count: NDArray[np.float64]
    item: Sequence[bytes] | None = None
    lot: Sequence[str | None] | None = None
    doubtful: int = 0
    read: NDArray[np.float64] | None = None
    level: NDArray[np.float64] | None = None
    off: tuple[PooledOffset, ...] = ()

    @property
    def even(self) -> NDArray[np.float64]:
        """The values as if all gauges and people read alike: what lines, jumps and alarms are made from."""
        return self.value if self.level is None else self.value - self.level

    def __len__(self) -> int:
        return len(self.value)

    @property
    def uncounted(self) -> int:
        """Readings that no count is known for."""
        import numpy as np

        return int(np.isnan(self.count).sum())

    def take(self, keep: NDArray[np.bool_]) -> Track:
        """The readings where `keep` is true."""
        import numpy as np

        at = np.flatnonzero(keep).tolist()
        return replace(
            self,
            ids=[self.ids[i] for i in at],
            value=self.value[keep],
            read=None if self.read is None else self.read[keep],
            level=None if self.level is None else self.level[keep],
            day=self.day[keep],
            count=self.count[keep],
            item=None if self.item is None else [self.item[i] for i in at],
            lot=None if self.lot is None else [self.lot[i] for i in at],
        )

    def words(self, at: int) -> str:
        """Where a reading is, in words: its lot, else nothing."""
        return f"lot {self.lot[at]}" if self.lot is not None and self.lot[at] else ""


# ------------------------------------------------------------------------------ reading them
def on_tool(view: JobView, tool: Tool, root: Id, points: Points | None = None) -> Track:
    """A feature on a tool; `points` where they were read already."""
    points = rows.on_tool(view.reader, tool.of_id, view.line(root)) if points is None else points
    return _levelled(view, root, _of_tool(view, tool, points))


def _of_tool(view: JobView, tool: Tool, points: Points) -> Track:
    import numpy as np

    day, doubtful = days(view, points.id)
    value, read = put_right(view, points)
    track = Track(
        of=TOOL,
        label=tool.label,
        ids=points.id,
        value=value,
        read=read,
        day=day,
        count=counts_at(view.counter(tool), day),
        doubtful=doubtful,
    )
    return track if (np.diff(day) >= 0).all() else _ordered(track, np.argsort(day, kind="stable"))


def on_cores(view: JobView, tool: Tool, root: Id, points: Points | None = None) -> Track:
    """The same on the sample cores that came out of this box."""
    if points is None:
        points = rows.on_items(view.reader, view.job.of_id, CORE, view.line(root))
    core = view.core_of(tool.core_id)
    mine = {
        item
        for item in set(points.item or ())
        if view.core_of(view.items[item].core_id) == core
        and (box := view.box_of_item(view.items[item])) is not None
        and box.of_id == tool.of_id
    }
    return _levelled(
        view, root, _of_items(view, CORE, f"sample cores of {tool.label}", points, mine, view.counter(tool))
    )


def on_castings(view: JobView, root: Id, counter: Counter | None = None, points: Points | None = None) -> Track:
    """The same on castings; counted by the lots, or by what a tool had made for their lots."""
    if points is None:
        points = rows.on_items(view.reader, view.job.of_id, CASTING, view.line(root))
    return _levelled(view, root, _of_items(view, CASTING, "castings", points, None, counter or view.castings_made))


def _of_items(view: JobView, of: str, label: str, points: Points, mine: set[bytes] | None, counter: Counter) -> Track:
    import numpy as np

    items = points.item or []
    some = mine is not None and len(mine) < len(set(items))
    if some or view.reworked:
        keep = [i for i, item in enumerate(items) if mine is None or item in mine]
        keep = [i for i in keep if points.id[i] not in view.reworked]
        items = [items[i] for i in keep]
        points = Points([points.id[i] for i in keep], array("d", [points.value[i] for i in keep]), items)
    logged, doubtful = days(view, points.id)
    lots = [view.items[item].lot_id if item in view.items else None for item in items]
    poured = np.array([view.lot_day.get(lot, np.nan) if lot else np.nan for lot in lots], dtype=float)
    day = np.where(np.isnan(poured), logged, poured) if len(items) else logged
    count = counts_at(counter, day)
    of_lot = np.array([counter.lots.get(lot, np.nan) if lot else np.nan for lot in lots], dtype=float)
    count = np.where(np.isnan(of_lot), count, of_lot) if len(items) else count
    names = [view.lots[lot].label if lot in view.lots else None for lot in lots]
    value, read = put_right(view, points)
    track = Track(
        of=of,
        label=label,
        ids=points.id,
        value=value,
        read=read,
        day=day,
        count=count,
        item=items,
        lot=names,
        doubtful=doubtful,
    )
    order = np.argsort(day, kind="stable")  # castings are measured in another order than they were poured
    return track if (np.diff(order) == 1).all() else _ordered(track, order)


def _levelled(view: JobView, root: Id, track: Track) -> Track:
    """The track with what gauges and people read more or less than the others."""
    feature = view.kit.feature.get(root)
    if not view.levels or feature is None or feature.quantity in ("angle", "attribute", "temperature"):
        return track
    import numpy as np

    setups = view.reader.setups_of(view.line(root), track.ids)
    moved = [view.levels.get(setups[reading], (0.0, ())) for reading in track.ids]
    places = sorted({place for _, mine in moved for place in mine})
    if not places:
        return track
    return replace(
        track, level=np.array([level for level, _ in moved]), off=tuple(view.pooled.named[place] for place in places)
    )


def _ordered(track: Track, order: NDArray[np.int_]) -> Track:
    at = order.tolist()
    return replace(
        track,
        ids=[track.ids[i] for i in at],
        value=track.value[order],
        read=None if track.read is None else track.read[order],
        level=None if track.level is None else track.level[order],
        day=track.day[order],
        count=track.count[order],
        item=[track.item[i] for i in at] if track.item else track.item,
        lot=[track.lot[i] for i in at] if track.lot else track.lot,
    )


def of_core_items(view: JobView, tool: Tool) -> dict[Id, Track]:
    """All that was measured on the sample cores of a box, by root."""
    core = view.core_of(tool.core_id)
    if core is None:
        return {}
    of_sizes = _by_root(view, rows.all_on_items(view.reader, view.job.of_id, CORE, core))
    return {root: on_cores(view, tool, root, points) for root, points in of_sizes.items()}


def of_tool_all(view: JobView, tool: Tool) -> dict[Id, Track]:
    """All that was measured on a tool, by root."""
    return {
        root: _levelled(view, root, _of_tool(view, tool, points))
        for root, points in _by_root(view, rows.all_on_tool(view.reader, tool.of_id)).items()
    }


def of_castings_all(view: JobView) -> dict[Id, Track]:
    """All that was measured on the castings of a job, by root."""
    of_sizes = _by_root(view, rows.all_on_items(view.reader, view.job.of_id, CASTING))
    return {root: on_castings(view, root, None, points) for root, points in of_sizes.items()}


def _by_root(view: JobView, of_features: dict[bytes, Points]) -> dict[Id, Points]:
    """The rows of one feature in several revisions put together, in the order they were logged."""
    groups: dict[Id, list[Points]] = {}
    for feature, points in of_features.items():
        groups.setdefault(view.root.get(feature, feature), []).append(points)
    joined = {}
    for root, parts in groups.items():
        if len(parts) == 1:
            joined[root] = parts[0]
            continue
        items = parts[0].item is not None
        together = sorted(
            row for p in parts for row in zip(p.id, p.value, p.item if p.item is not None else p.id, strict=True)
        )
        joined[root] = Points(
            [row[0] for row in together],
            array("d", [row[1] for row in together]),
            [row[2] for row in together] if items else None,
        )
    return joined


def put_right(view: JobView, points: Points) -> tuple[NDArray[np.float64], NDArray[np.float64] | None]:
    """What readings stand for, and as they were read where that differs."""
    import numpy as np

    read = np.frombuffer(points.value) if len(points) else np.empty(0)
    made = view.corrections
    at = [i for i, id_ in enumerate(points.id) if id_ in made] if made else []
    if not at:
        return read, None
    value = read.copy()
    for i in at:
        value[i] = made[points.id[i]].of(float(read[i]))
    return value, read


# ------------------------------------------------------------------------------ days and counts
def days(view: JobView, ids: Sequence[bytes], now_us: int | None = None) -> tuple[NDArray[np.float64], int]:
    """The day (ordinal, UTC) of each reading, and how many were logged by a clock that was wrong.

    Where somebody said on which day it was measured, that day counts.
    """
    logged, doubtful = _logged_on(view, ids, now_us)
    said = view.measured_on
    at = [i for i, id_ in enumerate(ids) if id_ in said] if said else []
    if at:
        logged = logged.copy()
        logged[at] = [said[ids[i]] for i in at]
        doubtful += sum(ids[i] in view.clock_doubted for i in at)
    return logged, doubtful


def _logged_on(view: JobView, ids: Sequence[bytes], now_us: int | None = None) -> tuple[NDArray[np.float64], int]:
    import numpy as np

    if not len(ids):
        return np.empty(0), 0
    raw = np.frombuffer(b"".join(ids), dtype=np.uint8).reshape(len(ids), 16)[:, :6].astype(np.int64)
    ms = raw @ (256 ** np.arange(5, -1, -1, dtype=np.int64))
    latest_ms = (now_us if now_us is not None else time.time_ns() // 1000) // 1000 + DAY_MS
    if ms[-1] <= latest_ms:
        return ms / DAY_MS + FIRST_DAY, 0
    at = view.reader.written_on(ids)
    true = np.array([at[reading][0] / 1000 if reading in at else np.nan for reading in ids])
    possible = np.flatnonzero(true <= latest_ms)
    rising = longest_rising(true[possible].tolist())
    kept = possible[sorted(rising)]
    doubtful = len(ids) - len(kept)
    if not len(kept):
        return np.full(len(ids), latest_ms / DAY_MS + FIRST_DAY - 1), doubtful
    before = np.maximum(np.searchsorted(kept, np.arange(len(ids)), side="right") - 1, 0)
    return true[kept[before]] / DAY_MS + FIRST_DAY, doubtful


def counts_at(counter: Counter, day: NDArray[np.float64]) -> NDArray[np.float64]:
    """`Counter.at` for many days at once; nan where no count reaches."""
    import numpy as np

    from inspect_tui.shop.trends.counts.counter import STALE_DAYS

    if not counter.day or not len(day):
        return np.full(len(day), np.nan)
    whole = np.floor(day)
    at: NDArray[np.float64] = np.interp(whole, np.array(counter.day, dtype=float), np.array(counter.cum))
    at[whole < counter.day[0]] = 0.0 if counter.from_zero else np.nan
    at[whole > counter.day[-1] + STALE_DAYS] = np.nan
    return at


# ------------------------------------------------------------------------------ segments
@frozen
class Segments:
    """A track cut at repairs: which segment each reading is in, cores since the last repair, and where each begins."""

    segment: NDArray[np.int_]
    since: NDArray[np.float64]  # nan without a count
    marks: tuple[tuple[Mark, ...], ...]  # the repairs that begin segment 1, 2 ...: several of one day begin one
    starts: tuple[float, ...]  # the count at which each segment begins; the first at 0
    current: int  # the segment now in force


def segmented(track: Track, marks: Sequence[Mark]) -> Segments:
    """Cut a track at repairs; repairs of one day (or one count) begin one segment."""
    import numpy as np

    groups: list[list[Mark]] = []
    for mark in sorted(marks, key=lambda m: (m.day, m.count if m.count is not None else -1.0, m.entered)):
        same = groups and groups[-1][0].day == mark.day
        groups[-1].append(mark) if same else groups.append([mark])
    segment = np.zeros(len(track), dtype=int)
    starts = [0.0]
    for group in groups:
        first = group[0]
        counted = [m.count for m in group if m.count is not None]
        after = np.floor(track.day) > first.day
        today = np.floor(track.day) == first.day
        if track.of == TOOL:
            entered = max(m.entered for m in group)
            after |= today & np.array([reading > entered for reading in track.ids], dtype=bool)
        elif counted:
            known = ~np.isnan(track.count)
            after = np.where(known, track.count > min(counted), after)
        segment += after
        start = max(counted) if counted else float(np.nanmin(track.count[after], initial=np.inf))
        starts.append(start if np.isfinite(start) else starts[-1])
    base = np.array(starts)[segment]
    since = np.maximum(track.count - base, 0.0)
    return Segments(segment, since, tuple(tuple(g) for g in groups), tuple(starts), len(groups))
