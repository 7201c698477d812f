"""Gauges and people that read off, looked for over all sizes of tools and castings at once, from everyday readings.

A recorded bias is taken off before, so that it is not found twice. What is found stays with the summaries of trends and
is taken out of their wear lines: one change of gauge is one line, not a jump of every size.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from inspect_tui.frozen import frozen, frozen_by_name, replace
from inspect_tui.metrology.typed.show import MM, Style, count
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.words import Estimate, Id
from inspect_tui.record.ask import evidence as corrected
from inspect_tui.record.ask import pooled as rows
from inspect_tui.record.ask.evidence import ToPutRight
from inspect_tui.record.ask.pooled import PooledReading, UsedBy
from inspect_tui.shop.common import judging, lineage
from inspect_tui.shop.common.evidence import Evidence

if TYPE_CHECKING:
    from typing import Any

    import numpy as np
    from numpy.typing import NDArray

    from inspect_tui.metrology.gauges.offsets import Offset, Offsets, Party
    from inspect_tui.record.read import Reader

    Row = tuple[object, float, object, object, float, float]
    Taken = tuple[int, Id, UsedBy, float, float]  # day, reading, whose, value and its standard uncertainty, mm

GAUGE, PERSON = "gauge", "person"
MOST = 30_000  # readings, the newest: an offset of a tenth of the scatter shows in far fewer
STRETCH = 40  # readings of a size that one straight drift is asked to follow; longer ones are cut
SHIFTS = 4  # places, in turn from size to size, at which long series are cut
SLIP = 30.0  # median distances from the middle of a stretch, beyond which a reading is no reading of that size
LEAST_SPREAD = 0.01  # mm: of readings that all agree
FEW_NEW = 0.01  # share of new readings up to which what was found before stands
CLEARER = 6.0  # twice a log likelihood: from 20 times as likely on, a change goes with the sizes and not with a gauge
SAME = 0.002  # mm: the figure of an offset stays until it has changed by more than this, or than its uncertainty
EPOCH_DAY = 719_163  # the ordinal of 1970-01-01
DAY_US = 86_400_000_000


@frozen
class Hand:
    """A gauge between two adjustments, or a person: whose readings are compared.

    A gauge's days (ISO): `after` the day of one adjusting, `until` that of the next; None without. A person has none.
    """

    kind: str
    of_id: Id
    after: str | None = None
    until: str | None = None


@frozen_by_name
class PooledOffset:
    """Somebody or something that reads off: who, how much, and from which day to which it was seen (ISO dates).

    `changed_on` is the day from which others took over for good, or it from others: one change, whoever is off.
    """

    hand: Hand
    label: str  # what the gauge or the person is called, whenever it was
    offset: Offset
    first_day: str
    last_day: str
    changed_on: str | None = None

    def said(self, style: Style = MM, *, short: bool = False) -> str:
        """One sentence that blames nobody."""
        from inspect_tui.metrology.gauges.offsets import said

        return said(self.offset, style, short=short)


@frozen_by_name
class Pooled:
    """What stands out, the largest first. `looked_at` counts what could be compared, `readings` what was there."""

    named: tuple[PooledOffset, ...] = ()
    looked_at: int = 0
    readings: int = 0
    untold: tuple[str, ...] = ()

    def of(self, instrument: Instrument) -> list[PooledOffset]:
        """The offsets of one instrument."""
        return [found for found in self.named if found.hand.kind == GAUGE and found.hand.of_id == instrument.of_id]

    def summary(self, style: Style = MM) -> str:
        """One sentence for all."""
        if self.named:
            return "; ".join(found.said(style, short=True) for found in self.named)
        if self.looked_at:
            looked = count(self.looked_at, "gauge or person", "gauges and people")
            return f"nothing stands out over all sizes: {looked} compared with the others"
        return "no size was read with two gauges or by two people: nothing can be compared"


NOTHING = Pooled()


# ------------------------------------------------------------------------------ looking
def look(reader: Reader) -> Pooled:
    """Look through the newest readings of lengths for gauges and people that read off."""
    if not rows.several_hands(reader):
        return Pooled(readings=rows.count_of_readings(reader))
    from inspect_tui.metrology.gauges.offsets import offsets

    gathered = _Gathered(reader)
    read_off = gathered.pooled(offsets(gathered.rows), rows.count_of_readings(reader))
    return replace(read_off, named=tuple(named for named in read_off.named if not gathered.grows_with_size(named)))


class _Gathered:
    """The readings as the search wants them, and who is meant by the names in its answer."""

    def __init__(self, reader: Reader) -> None:
        taken = rows.readings(reader, MOST)
        self.hands = Hands(reader)
        setups = rows.used_by(reader, {reading.setup_id for reading in taken})
        sizes = _Sizes(reader)
        made: Mapping[Id, Any] = {}
        evidence = Evidence(reader)
        if corrected.anything_to_put_right(reader):
            made = evidence.corrections_of([ToPutRight(*reading[:7]) for reading in taken])
        reworked = frozenset().union(*(evidence.reworked(reader.job(job)) for job in reader.jobs_reworked()))
        series: dict[tuple[object, Id], list[Taken]] = {}
        for reading in taken:
            if reading.id in reworked:
                continue
            used, how, value = setups[reading.setup_id], made.get(reading.id), reading.value
            u = used.u or judging.DEFAULT_U95 / 2.0
            if how is not None:
                value = how.of(value)
                u = hypot(u, how.u(value))
            day = EPOCH_DAY + (reading.at_us + reading.tz_min * 60_000_000) // DAY_US
            series.setdefault(sizes.key(reading), []).append((day, reading.id, used, value, u))
        repairs = sizes.repairs
        parts: list[tuple[tuple[object, ...], Sequence[Taken]]] = []
        self.rows: list[Row] = []
        self.days: dict[tuple[str, str], list[int]] = {}
        self.seen: dict[tuple[object, ...], set[tuple[str, str]]] = {}  # who read each stretch
        self.nominal: dict[object, float] = {}
        for number, ((where, root), series_rows) in enumerate(series.items()):
            series_rows.sort(key=lambda row: row[:2])
            for i, part in enumerate(_stretches(series_rows, repairs.get(where, ()), number % SHIFTS / SHIFTS)):
                parts.append(((where, root, i), part))
                self.nominal[where, root, i] = sizes.nominal(root)
        for size, part in _without_slips(parts):
            self.rows += [self._row(size, *row) for row in part]

    def grows_with_size(self, found: PooledOffset) -> bool:
        """Whether a change for good is clearly a share of each size rather than so many mm.

        Contraction, moulding and warmth make such changes, no gauge and no person does.
        """
        if found.changed_on is None:
            return False
        import numpy as np

        place = 2 if found.hand.kind == GAUGE else 3
        of_size: dict[tuple[object, ...], list[Row]] = {}
        for row in self.rows:
            of_size.setdefault(row[0], []).append(row)  # type: ignore[arg-type]
        steps, rest, free = [], 0.0, 0
        for size, read in of_size.items():
            mine = np.array([row[place] == found.offset.party.name for row in read], dtype=float)
            days, values = (np.array([row[i] for row in read], dtype=float) for i in (1, 4))
            design = np.column_stack([np.ones(len(read)), days - days.mean(), mine])
            if len(read) < 4 or np.linalg.matrix_rank(design) < 3:
                continue
            fit = np.linalg.lstsq(design, values, rcond=None)[0]
            rest += float(np.square(values - design @ fit).sum())
            free += len(read) - 3
            steps.append((self.nominal[size], float(fit[2]), float(np.linalg.inv(design.T @ design)[2, 2])))
        if len(steps) < 3 or rest <= 0.0:
            return False
        nominal, step, factor = np.array(steps).T

        def left(shape: NDArray[np.float64]) -> float:
            """What remains of the steps when they are so much times a shape, in variances of the readings."""
            share = (shape * step / factor).sum() / (shape * shape / factor).sum()
            return float(np.square(step - share * shape).dot(1.0 / factor)) / (rest / free)

        return left(np.ones(len(step))) - left(nominal) > CLEARER

    def _row(self, size: tuple[object, ...], day: int, _: Id, used: UsedBy, value: float, u: float) -> Row:
        gauge, person = self.hands.gauge(used), self.hands.person(used)
        for named in ((GAUGE, gauge), (PERSON, person)):
            span = self.days.setdefault(named, [day, day])
            span[0], span[1] = min(span[0], day), max(span[1], day)
            self.seen.setdefault(size, set()).add(named)
        return size, float(day), gauge, person, value, u

    def pooled(self, answer: Offsets, readings: int) -> Pooled:
        """The answer with hands for names."""
        return Pooled(
            named=tuple(
                PooledOffset(
                    hand=(hand := self.hands.of[offset.party.kind, offset.party.name]),
                    label=self.hands.called[hand.of_id],
                    offset=replace(offset, sizes=self._sizes_of(offset.party)),
                    first_day=date.fromordinal(self.days[offset.party][0]).isoformat(),
                    last_day=date.fromordinal(self.days[offset.party][1]).isoformat(),
                    changed_on=self._changed_on(offset),
                )
                for offset in answer.named
            ),
            looked_at=answer.looked_at,
            readings=readings,
            untold=tuple(party.said for party in answer.untold),
        )

    def _sizes_of(self, party: Party) -> int:
        """Sizes, in however many stretches, that it read beside others of its kind."""
        return len(
            {
                size[:-1]
                for size, read_by in self.seen.items()
                if party in read_by and any(kind == party.kind and name != party.name for kind, name in read_by)
            }
        )

    def _changed_on(self, offset: Offset) -> str | None:
        if not offset.against_it:
            return None
        mine, theirs = self.days[offset.party], [self.days[party] for party in offset.against_it]
        start, stop = min(first for first, _ in theirs), max(last for _, last in theirs)
        if mine[1] < start or stop < mine[0]:
            return date.fromordinal(max(mine[0], start)).isoformat()
        return None


class Hands:
    """What gauges and people are called: each name once; a gauge that was adjusted is another one after it."""

    def __init__(self, reader: Reader) -> None:
        self._adjusted = rows.adjusted(reader)
        self.called: dict[Id, str] = {}
        for kind in (reader.people_by_id().values(), reader.instruments_by_id().values()):
            taken: dict[str, Id] = {}
            for version in kind:  # of several versions the last
                label = version.label if isinstance(version, Instrument) else version.initials
                other = taken.setdefault(label, version.of_id)
                self.called[version.of_id] = label if other == version.of_id else f"{label} ({version.of_id.hex()[:6]})"
        self.of: dict[tuple[str, str], Hand] = {}
        self._known: dict[tuple[Id, str | None], str] = {}

    def hand(self, used: UsedBy) -> Hand:
        """The gauge of a setup between the adjustments that it was used between."""
        days = self._adjusted.get(used.instrument_of_id, ())
        after = max((day for day in days if _done(day, used)), default=None)
        return Hand(
            GAUGE, used.instrument_of_id, after, min((day for day in days if not _done(day, used)), default=None)
        )

    def gauge(self, used: UsedBy) -> str:
        """The name of the gauge of a setup."""
        hand = self.hand(used)
        key = (hand.of_id, hand.after)
        if key not in self._known:
            name = self.called[hand.of_id]
            name += f" until {hand.until}" if hand.until else f" since {hand.after}" if hand.after else ""
            self._known[key] = name
            self.of[GAUGE, name] = hand
        return self._known[key]

    def person(self, used: UsedBy) -> str:
        """The initials of the person of a setup."""
        name = self.called[used.person_of_id]
        self.of.setdefault((PERSON, name), Hand(PERSON, used.person_of_id))
        return name


def _done(adjusted_on: str, used: UsedBy) -> bool:
    """Whether a gauge had been adjusted when it was used: on the day itself its certificate tells."""
    return adjusted_on < used.day or (adjusted_on == used.day and (used.calibrated_on or "") >= adjusted_on)


class _Sizes:
    """Which readings are of one series: one size of one tool, or of the castings, in all editions of the drawing."""

    def __init__(self, reader: Reader) -> None:
        self._reader = reader
        self._rows = rows.feature_rows(reader)
        self._items = rows.made_by(reader)
        self._lines: dict[Id, lineage.Lines] = {}
        self.repairs: dict[object, list[int]] = {}
        for repair in reader.tool_repairs():
            self.repairs.setdefault(repair.tool_of_id, []).append(date.fromisoformat(repair.done_on).toordinal())

    def key(self, reading: PooledReading) -> tuple[object, Id]:
        """The tool (or the kind of item and its cavity), and the first row of the size."""
        where = reading.tool_of_id if reading.item_id is None else self._items[reading.item_id]
        return where, self._first(reading.feature_id)

    def nominal(self, feature_id: Id) -> float:
        """How large a size is to be, mm."""
        return self._rows[feature_id].nominal

    def _first(self, feature_id: Id) -> Id:
        row = self._rows[feature_id]
        if row.same_as_id is None:
            return feature_id
        if row.job_of_id not in self._lines:
            self._lines[row.job_of_id] = lineage.of_job(self._reader, self._reader.job(row.job_of_id))
        return self._lines[row.job_of_id].first(feature_id, limits=False)


def _stretches(series: Sequence[Taken], repairs: Collection[int], shift: float = 0.0) -> list[Sequence[Taken]]:
    """A series cut at repairs of its tool, and longer stretches into equal parts, each with a drift of its own.

    `shift` (a share of a part) moves the cuts: what changed just at a cut of one size lies within a part of another.
    """
    edges = [0]
    edges += [i for i in range(1, len(series)) if any(series[i - 1][0] <= on < series[i][0] for on in repairs)]
    parts = []
    for start, stop in pairwise([*edges, len(series)]):
        long = stop - start
        pieces = -(-long // STRETCH)
        inner = {start + int((k + shift) * long / pieces) for k in range(pieces + 1)} if pieces > 1 else set()
        cuts = sorted({start, stop} | {cut for cut in inner if start < cut < stop})
        parts += [series[a:b] for a, b in pairwise(cuts)]
    return parts


def _without_slips(
    parts: Sequence[tuple[tuple[object, ...], Sequence[Taken]]],
) -> list[tuple[tuple[object, ...], list[Taken]]]:
    """The stretches without readings in another unit or of another size, which lie far from all that is usual."""
    from statistics import median

    middles = [median(row[3] for row in part) for _, part in parts]
    off = [[abs(row[3] - middle) for row in part] for (_, part), middle in zip(parts, middles, strict=True)]
    own = [median(far) for far in off]
    usual = median([far for far, distances in zip(own, off, strict=True) if len(distances) > 2] or [0.0])
    kept = []
    for (size, part), distances, spread in zip(parts, off, own, strict=True):
        most = SLIP * max(spread, usual, LEAST_SPREAD)
        kept.append((size, [row for row, far in zip(part, distances, strict=True) if far <= most]))
    return kept


# ------------------------------------------------------------------------------ keeping
_MEMO: WeakKeyDictionary[Any, tuple[object, Pooled]] = WeakKeyDictionary()


def current(reader: Reader) -> Pooled:
    """What is found as the record stands now: as it is kept, where nothing was written since."""
    mark = reader.trend_mark()
    if mark is not None and reader.entered_since(mark[0], 0) is not None:
        known = from_text(mark[1])
        if known is not None:
            return known
    return _looked(reader)


def in_sight(reader: Reader) -> Pooled:
    """What the summaries keep, at once; nothing where they were never made."""
    mark = reader.trend_mark()
    return (from_text(mark[1]) if mark is not None else None) or NOTHING


def in_force(reader: Reader) -> Pooled:
    """What is taken out of the wear lines: as the summaries have it, so that a chart agrees with the list."""
    mark = reader.trend_mark()
    known = from_text(mark[1]) if mark is not None else None
    return known if known is not None else _looked(reader)


def again(reader: Reader, known: Pooled | None) -> Pooled:
    """What is found now, for summaries that are brought up to date; those named as `known` while that stands."""
    if known is None:
        return look(reader)
    new = rows.count_of_readings(reader) - known.readings
    if 0 <= new <= FEW_NEW * min(known.readings, MOST):
        return known
    now_pooled = look(reader)
    if {f.hand: f for f in now_pooled.named}.keys() == {f.hand: f for f in known.named}.keys():
        before = {f.hand: f.offset.estimate for f in known.named}
        now = {f.hand: f.offset.estimate for f in now_pooled.named}
        if all(abs(now[h].value - before[h].value) <= max(SAME, before[h].u) for h in now):
            return replace(now_pooled, named=known.named)
    return now_pooled


def _looked(reader: Reader) -> Pooled:
    frontier = reader.frontier()
    if (held := _MEMO.get(reader)) is None or held[0] != frontier:
        held = _MEMO[reader] = (frontier, look(reader))
    return held[1]


def to_text(found: Pooled) -> str:
    """As it is kept beside the summaries."""
    kept = {
        "looked_at": found.looked_at,
        "readings": found.readings,
        "untold": list(found.untold),
        "named": [_to_json(offset) for offset in found.named],
    }
    return json.dumps(kept, sort_keys=True)


def from_text(rules: str) -> Pooled | None:
    """What `to_text` kept, behind the first blank of the rules that summaries were made by; None where nothing is."""
    _, _, text = rules.partition(" ")
    if not text:
        return None
    kept = json.loads(text)
    return Pooled(
        named=tuple(_from_json(offset) for offset in kept["named"]),
        looked_at=kept["looked_at"],
        readings=kept["readings"],
        untold=tuple(kept["untold"]),
    )


_FIGURES = ("dof", "lower", "upper", "p", "p_all", "readings", "sizes", "days", "stands_out")
_OTHERS = ("with_it", "against_it", "or_else")


def _to_json(found: PooledOffset) -> dict[str, Any]:
    hand, offset = found.hand, found.offset
    return {
        "hand": [hand.kind, hand.of_id.hex(), hand.after, hand.until],
        "label": found.label,
        "party": list(offset.party),
        "offset": [offset.estimate.value, offset.estimate.u],
        "days_seen": [found.first_day, found.last_day, found.changed_on],
        **{name: getattr(offset, name) for name in _FIGURES},
        **{name: [list(party) for party in getattr(offset, name)] for name in _OTHERS},
    }


def _from_json(kept: Mapping[str, Any]) -> PooledOffset:
    from inspect_tui.metrology.gauges.offsets import Offset, Party

    def parties(listed: Iterable[Sequence[str]]) -> tuple[Party, ...]:
        return tuple(Party(kind, name) for kind, name in listed)

    kind, of_id, after, until = kept["hand"]
    figures: dict[str, Any] = {name: kept[name] for name in _FIGURES}
    others: dict[str, Any] = {name: parties(kept[name]) for name in _OTHERS}
    return PooledOffset(
        hand=Hand(kind, bytes.fromhex(of_id), after, until),
        label=kept["label"],
        offset=Offset(
            party=Party(*kept["party"]),
            estimate=Estimate(*kept["offset"]),
            sentence="",
            **figures,
            **others,
        ),
        first_day=kept["days_seen"][0],
        last_day=kept["days_seen"][1],
        changed_on=kept["days_seen"][2],
    )


# ------------------------------------------------------------------------------ whose readings
def levels(reader: Reader, found: Pooled) -> dict[Id, tuple[float, tuple[int, ...]]]:
    """How much higher what was read in a setup is than what the others read, mm; and by which offsets (places).

    Setups whose readings agree with the others' are not in it.
    """
    if not found.named:
        return {}
    place = {offset.hand: i for i, offset in enumerate(found.named)}
    hands = Hands(reader)
    moved = {}
    for setup, used in rows.used_by(reader).items():
        mine = [place[hand] for hand in (hands.hand(used), Hand(PERSON, used.person_of_id)) if hand in place]
        if mine:
            moved[setup] = (sum(found.named[i].offset.estimate.value for i in mine), tuple(mine))
    return moved
