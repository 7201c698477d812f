"""The evidence of a size: what was read and what it stands for, in visits; every room computes with it.

A reading is put right by its own setup (`corrections`): the bias of its gauge that held that day, its temperature, the
tilt of its casting. Repeats of one visit are one visit: they shrink only the part of the uncertainty that repeats.

What was done to a piece ends what its readings say. A face of a tool that was repaired begins a new life (`Lives`):
what was read of it before says nothing of what it makes after. A casting that was reworked is another one than its
tools made (`Reworks`): a reading that answers the rework stands for the casting, and for no tool, contraction or cause.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from math import fsum, sqrt

from inspect_tui.frozen import frozen_by_name
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.measuring import Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Item, Job, Tool
from inspect_tui.record.ask import evidence as rows
from inspect_tui.record.chain.ids import written_ms
from inspect_tui.shop.common import corrections, find, judging, lineage
from inspect_tui.shop.common.corrections import NOTHING, Corrected, Correction
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.gauges_then import GaugesThen
from inspect_tui.shop.common.judging import Judged, Means, Stands
from inspect_tui.shop.common.sizes import FINISHED, RAW, Sizes

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Protocol, TypeVar

    from inspect_tui.model.first_article import Realigned
    from inspect_tui.model.signed import Disposition, Geometry
    from inspect_tui.model.trends import ToolRepair
    from inspect_tui.record.ask.kit import ItemReading, ToolReading
    from inspect_tui.record.ask.readings import KeptSummary, WalkedReading
    from inspect_tui.record.read import Reader

    R = TypeVar("R", ItemReading, ToolReading)

    class Taken(Protocol):
        """A reading as the record gives it: mm (degrees), microseconds UTC, minutes from UTC."""

        @property
        def id(self) -> Id:
            """The reading's."""

        @property
        def setup_id(self) -> Id:
            """Who measured with what."""

        @property
        def value(self) -> float:
            """As it was read."""

        @property
        def at_us(self) -> int:
            """When."""

        @property
        def tz_min(self) -> int:
            """By which clock."""


@frozen_by_name
class Visit:
    """One visit of a size: everything that one person read of it with one instrument on one day. mm (degrees).

    `value` is the mean of `values`, each put right; `read` are the readings as read. `u_repeats` is the standard
    uncertainty that further repeats of the visit would shrink, `u_shared` what they would not.
    """

    day: str  # ISO date, by the clock of the bench
    at_us: int  # of the first reading, microseconds UTC
    ids: tuple[Id, ...]
    read: tuple[float, ...]
    values: tuple[float, ...]
    value: float
    u_repeats: float
    u_shared: float
    person: str
    instrument: str
    said: tuple[str, ...] = ()  # why value and read differ
    count: float | None = None  # cores or moulds made by then, where it is known
    lot: str | None = None
    in_question: bool = False


class Lives:
    """The lives of the sizes of tools: each repair of a size, or of the whole tool, begins a new one on its day."""

    def __init__(self, repairs: Iterable[ToolRepair], root: Callable[[Id], Id]) -> None:
        self._root = root
        self._begun: dict[tuple[Id, Id | None], list[str]] = {}
        for repair in repairs:
            size = root(repair.feature_id) if repair.feature_id is not None else None
            self._begun.setdefault((repair.tool_of_id, size), []).append(repair.done_on)

    def of(self, tool_of_id: Id, feature_id: Id, day: str | None) -> int:
        """Which life of a size on a tool a day (ISO date; None: now) lies in: so many repairs were done by then."""
        whole = self._begun.get((tool_of_id, None), ())
        own = self._begun.get((tool_of_id, self._root(feature_id)), ())
        return sum(day is None or begun <= day for begun in (*whole, *own))


class Reworks:
    """What was decided to be reworked of castings, and which readings answer that: those made later."""

    def __init__(
        self,
        said: Iterable[Disposition],
        asked: Iterable[Geometry],
        balloons: Mapping[str, Id],
        root: Callable[[Id], Id],
    ) -> None:
        """`said` of a job; `asked`: its geometrical tolerances, a rework of one touches its sizes by `balloons`."""
        self._root = root
        self._of: dict[tuple[Id, str], list[Disposition]] = {}
        sizes = {one.of_id: (one.sizes or "").split() for one in asked}
        for rework in said:
            if rework.decision != "rework":
                continue
            named = [find.balloon_key(balloon) for balloon in sizes.get(rework.geometry_of_id or b"", ())]
            touched = [balloons[balloon] for balloon in named if balloon in balloons]
            touched += [rework.feature_id] if rework.feature_id is not None else []
            for feature_id in touched:
                self._of.setdefault((root(feature_id), rework.state), []).append(rework)

    def __bool__(self) -> bool:
        return bool(self._of)

    def last(self, feature_id: Id, item: Item, state: str = RAW) -> Disposition | None:
        """The last rework that was decided for a size of a casting."""
        for said in reversed(self._of.get((self._root(feature_id), state), ())):
            if _is_of(said, item):
                return said
        return None

    def answered_by(self, reading: Taken, feature_id: Id, item: Item, state: str = RAW) -> bool:
        """Whether a reading was made of a casting after that: it was reworked by then."""
        said = self.last(feature_id, item, state)
        return said is not None and reading.id > said.of_id and day_of(reading.at_us, reading.tz_min) >= said.on_date


class Evidence:
    """Puts the readings of a record right; what it knows of gauges and setups is read once."""

    def __init__(self, reader: Reader, gauges: GaugesThen | None = None, until_us: int | None = None) -> None:
        """`until_us`: as things were known at that moment (microseconds UTC), for papers that are printed again."""
        self._reader, self._until_us = reader, until_us
        self.gauges = gauges or GaugesThen(reader, until_us)
        self._setups: dict[Id, Setup] = {}
        self._kept: dict[tuple[Id, str, Id, Id | None], Correction] = {}
        self._features: dict[Id, Feature] = {}
        self._pieces: dict[Id, Item | Tool] = {}
        self._turns: dict[Id, Sequence[Realigned]] = {}
        self._made_at: dict[Id, tuple[int, int]] = {}
        self._reworked: dict[Id, frozenset[Id]] = {}

    # ---------------------------------------------------------------- one reading
    def setups(self, setup_ids: Iterable[Id]) -> dict[Id, Setup]:
        """Setups by id, read where they are not known yet; people and gauges that came meanwhile are read too."""
        wanted = set(setup_ids)
        if missing := {setup_id for setup_id in wanted if setup_id not in self._setups}:
            new = self._reader.setups_by_id(missing)
            self._setups.update(new)
            if not all(self.gauges.knows(setup) for setup in new.values()):
                self.gauges.reload(new.values())
                self._kept.clear()  # biases may have come, too
        return {setup_id: self._setups[setup_id] for setup_id in wanted}

    def correction(
        self,
        setup: Setup,
        day: str,
        feature: Feature,
        piece: Item | Tool | None,
        turns: Sequence[Realigned] = (),
    ) -> Correction:
        """How what was read in a setup on a day (ISO date) is put right, of a feature on a piece.

        A machined casting stands on its machined faces: how it was re-aligned before (`turns`) says nothing of them.
        """
        turns = () if setup.state == FINISHED else turns
        key = (setup.id, day, feature.id, piece.id if piece else None)
        if not setup.id or turns or key not in self._kept:
            instrument = self.gauges.instruments[setup.instrument_id]
            bias = self.gauges.bias(setup, day)
            made = corrections.correction(instrument, bias, feature, piece, setup.work_c, setup.instrument_c, turns)
            if not setup.id or turns:
                return made
            self._kept[key] = made
        return self._kept[key]

    def put_right(
        self,
        readings: Sequence[Taken],
        feature: Feature,
        piece: Item | Tool | None,
        turns: Sequence[Realigned] = (),
        style: Style = MM,
    ) -> Corrected:
        """Readings of one feature on one piece as they are computed with."""
        setups = self.setups(reading.setup_id for reading in readings)
        made = [
            self.correction(setups[reading.setup_id], day_of(reading.at_us, reading.tz_min), feature, piece, turns)
            for reading in readings
        ]
        return corrections.together([reading.value for reading in readings], made, style)

    def stands(
        self,
        job: Job,
        subject: Subject,
        sizes: Sizes,
        readings: Sequence[Taken],
        turns: Sequence[Realigned] = (),
        style: Style = MM,
    ) -> Stands:
        """How a size stands by logged readings: as `judged`, without what would have to be done about it."""
        means, made, kept = self._line(subject, sizes, readings, turns, style)
        return judging.stands(job, subject, sizes, made, means, kept=kept, style=style)

    def judged(
        self,
        job: Job,
        subject: Subject,
        sizes: Sizes,
        readings: Sequence[Taken],
        turns: Sequence[Realigned] = (),
        style: Style = MM,
    ) -> tuple[Judged, Corrected]:
        """The mean of logged readings judged, with the gauge and the hands of the newest of them."""
        means, made, kept = self._line(subject, sizes, readings, turns, style)
        read = [reading.value for reading in readings]
        return judging.judge_corrected(job, subject, sizes, read, made, means, kept=kept, style=style), made

    def _line(
        self, subject: Subject, sizes: Sizes, readings: Sequence[Taken], turns: Sequence[Realigned], style: Style
    ) -> tuple[Means, Corrected, bool]:
        """The gauge in the hands of the newest of some readings, what they stand for, and whether they were kept."""
        last = readings[-1]
        setup = self.setups([last.setup_id])[last.setup_id]
        means = self.gauges.fed(setup, day_of(last.at_us, last.tz_min), sizes.feature)
        made = self.put_right(readings, sizes.feature, subject.tool or subject.item, turns, style)
        return means, made, getattr(last, "slip", "") == "asked_kept"

    # ---------------------------------------------------------------- visits
    def visits(
        self,
        job: Job,
        subject: Subject,
        sizes: Sizes,
        readings: Sequence[Taken],
        turns: Sequence[Realigned] = (),
        *,
        in_question: Collection[Id] = (),
        count_at: Callable[[str], float | None] | None = None,
        lot: str | None = None,
        style: Style = MM,
    ) -> list[Visit]:
        """The visits of one feature on one piece, in the order they began.

        `in_question`: ids of readings that somebody has to look at first; `count_at`: cores made by a day.
        """
        setups = self.setups(reading.setup_id for reading in readings)
        groups: dict[tuple[str, Id, Id], list[Taken]] = {}
        for reading in readings:
            setup = setups[reading.setup_id]
            who = self.gauges.people[setup.person_id].of_id
            what = self.gauges.instruments[setup.instrument_id].of_id
            groups.setdefault((day_of(reading.at_us, reading.tz_min), who, what), []).append(reading)
        visits = []
        for (day, _, _), taken in groups.items():
            judged, made = self.judged(job, subject, sizes, taken, turns, style)
            setup = setups[taken[-1].setup_id]
            visits.append(
                Visit(
                    day=day,
                    at_us=taken[0].at_us,
                    ids=tuple(reading.id for reading in taken),
                    read=tuple(reading.value for reading in taken),
                    values=made.values,
                    value=judged.value,
                    u_repeats=judged.budget.u_random / sqrt(len(taken)),
                    u_shared=judged.budget.u_bias,
                    person=self.gauges.people[setup.person_id].initials,
                    instrument=self.gauges.instruments[setup.instrument_id].label,
                    said=made.said,
                    count=count_at(day) if count_at else None,
                    lot=lot,
                    in_question=any(reading.id in in_question for reading in taken),
                )
            )
        return visits

    # ---------------------------------------------------------------- what was done to the piece
    def reworked(self, job: Job) -> frozenset[Id]:
        """The readings of a job that were made of castings after these were reworked; mostly none."""
        if job.of_id not in self._reworked:
            self._reworked[job.of_id] = self._find_reworked(job)
        return self._reworked[job.of_id]

    def _find_reworked(self, job: Job) -> frozenset[Id]:
        reader, until = self._reader, self._until_us
        said = [one for one in reader.dispositions(job.of_id) if one.decision == "rework"]
        said = [one for one in said if until is None or written_ms(one.id) * 1000 <= until]
        if not said:
            return frozenset()
        features = reader.job_features(job.of_id)
        lines = lineage.of_job(reader, job, features)
        balloons = {find.balloon_key(feature.balloon): feature.id for feature in features}  # of two the newest
        reworks = Reworks(said, reader.geometries(job.of_id), balloons, lines.feature)
        castings = (item for of_lot in reader.all_castings(job.of_id).values() for item in of_lot)
        items = {item.id: item for item in castings if any(_is_of(one, item) for one in said)}
        taken = reader.taken(items)
        setups = self.setups(reading.setup_id for reading in taken)
        return frozenset(
            reading.id
            for reading in taken
            if reworks.answered_by(reading, reading.feature_id, items[reading.item_id], setups[reading.setup_id].state)
        )

    def as_made(self, job: Job, readings: Iterable[ItemReading]) -> list[ItemReading]:
        """Of readings of castings those that say what their tools made of them."""
        reworked = self.reworked(job)
        return [reading for reading in readings if reading.id not in reworked]

    def as_it_is(self, job: Job, readings: Sequence[ItemReading]) -> list[ItemReading]:
        """Of readings of castings those that say what these are now: what was reworked is what was read since."""
        reworked = self.reworked(job)
        if not reworked:
            return list(readings)
        root = lineage.of_job(self._reader, job).feature
        since = {(reading.item_id, root(reading.feature_id)) for reading in readings if reading.id in reworked}
        return [r for r in readings if r.id in reworked or (r.item_id, root(r.feature_id)) not in since]

    # ---------------------------------------------------------------- many readings at once
    def corrections(self, feature_ids: Sequence[Id]) -> dict[Id, Correction]:
        """The corrections of all readings of these feature rows that do not stand as they were read, by reading.

        Most have none: the answer holds only those that somebody has to know of, so that columns of a hundred
        thousand readings stay columns.
        """
        if not rows.anything_to_put_right(self._reader):
            return {}
        return self.corrections_of(rows.to_put_right(self._reader, feature_ids))

    def corrections_of(self, to_do: Sequence[rows.ToPutRight]) -> dict[Id, Correction]:
        """The same of these readings; only what moves a reading is in the answer."""
        setups = self.setups({row.setup_id for row in to_do})
        made: dict[Id, Correction] = {}
        for row in to_do:
            feature, piece = self._feature(row.feature_id), self._piece(row.item_id, row.tool_id)
            turns = self._turned(row.item_id) if row.item_id else ()
            how = self.correction(setups[row.setup_id], day_of(row.at_us, row.tz_min), feature, piece, turns)
            if not how.nothing:
                made[row.id] = how
        return made

    def right(self, readings: Sequence[R]) -> list[R]:
        """The readings with the values that they stand for, and in `u_right` what putting them right adds."""
        made = self.corrections(list({reading.feature_id for reading in readings}))
        if not made:
            return list(readings)
        put_right = []
        for reading in readings:
            how = made.get(reading.id)
            if how is not None:
                value = how.of(reading.value)
                reading = reading._replace(value=value, u_right=how.u(value))
            put_right.append(reading)
        return put_right

    def summary(
        self, kept: KeptSummary, walked: Sequence[WalkedReading], feature: Feature, piece: Item | Tool | None
    ) -> KeptSummary:
        """The running summary of a size on one piece as it is computed with; `kept` is that of the readings as read.

        `walked` are its newest readings. Where there are more, mean and scatter are those of the newest: what a size
        was lately says what it will be read as next, and how many there were before costs nothing.
        """
        turns = self.turns(piece)
        setups = self.setups(reading.setup_id for reading in walked)
        at = self._at(walked, setups, turns)
        if not at:
            return kept
        values = []
        for reading in walked:
            how = NOTHING
            if reading.id in at:
                how = self.correction(setups[reading.setup_id], day_of(*at[reading.id]), feature, piece, turns)
            values.append(how.of(reading.value))
        mean = fsum(values) / len(values)
        m2 = fsum((value - mean) ** 2 for value in values)
        if kept.n > len(values) > 1:
            m2 *= (kept.n - 1) / (len(values) - 1)
        return kept._replace(mean=mean, m2=m2, min=min(values), max=max(values), last_value=values[0])

    def expect(self, walked: Sequence[WalkedReading], piece: Item | Tool | None) -> None:
        """Read at once what `summary` will ask for, of the newest readings of every size on a piece."""
        setups = self.setups({reading.setup_id for reading in walked})
        self._made_at.update(self._at(walked, setups, self.turns(piece)))

    def _at(
        self, walked: Sequence[WalkedReading], setups: Mapping[Id, Setup], turns: Sequence[Realigned]
    ) -> dict[Id, tuple[int, int]]:
        """When those of the readings were made that do not stand as they were read."""
        moved = {id_ for id_, setup in setups.items() if turns or setup.work_c is not None or self.gauges.biased(setup)}
        at = {r.id: self._made_at.get(r.id) for r in walked if r.setup_id in moved}
        if unknown := [id_ for id_, made in at.items() if made is None]:
            at.update(rows.measured_at(self._reader, unknown))
        return {id_: made for id_, made in at.items() if made is not None}

    def _feature(self, feature_id: Id) -> Feature:
        if feature_id not in self._features:
            self._features[feature_id] = self._reader.feature(feature_id)
        return self._features[feature_id]

    def _piece(self, item_id: Id | None, tool_id: Id | None) -> Item | Tool | None:
        """The casting, or the tool as it now is: a material that was put right holds for what was read before."""
        key = item_id or tool_id
        if key is None:
            return None
        if key not in self._pieces:
            self._pieces[key] = self._reader.item(key) if item_id else self._now(self._reader.tool(key))
        return self._pieces[key]

    def _now(self, tool: Tool) -> Tool:
        return next((now for now in self._reader.tools(tool.job_of_id) if now.of_id == tool.of_id), tool)

    def turns(self, piece: Item | Tool | None) -> Sequence[Realigned]:
        """How a casting was re-aligned; a tool never is."""
        return self._turned(piece.id) if isinstance(piece, Item) else ()

    def _turned(self, item_id: Id) -> Sequence[Realigned]:
        if item_id not in self._turns:
            if self._until_us is not None:
                self._turns[item_id] = tuple(rows.turned_by(self._reader, item_id, self._until_us))
            else:
                self._turns[item_id] = tuple(self._reader.realigned([item_id]).get(item_id, ()))
        return self._turns[item_id]


def _is_of(said: Disposition, item: Item) -> bool:
    """Whether a decision is of a casting: its own, or of all of its sampling."""
    return said.item_id == item.id or (said.item_id is None and said.lot_id == item.lot_id)
