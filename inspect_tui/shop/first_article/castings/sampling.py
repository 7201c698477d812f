"""A sampling: the castings of one lot against the drawing's features, each cell judged when it is looked at."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from math import hypot, isfinite
from statistics import median

from inspect_tui.errors import NotFound
from inspect_tui.frozen import NamedTuple, replace
from inspect_tui.metrology.typed.show import MM, Style, day_of, moment
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.measuring import Instrument, Person, Setup
from inspect_tui.model.signed import Disposition, Geometry
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Item, Job, ToolFeature
from inspect_tui.record.ask.first_article import SamplingReading
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import find, lineage
from inspect_tui.shop.common.drawing_notes import is_sectioned
from inspect_tui.shop.common.evidence import Evidence, Reworks
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.gauges_then import GaugesThen
from inspect_tui.shop.common.sizes import FINISHED, RAW, Sizes, is_machined, sizes, unit_of
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings.doubts import CastingDoubts, CellDoubt, mean_of, of_casting, of_cell
from inspect_tui.shop.first_article.castings.job_facts import JobFacts
from inspect_tui.shop.first_article.castings.rounds import Round
from inspect_tui.shop.first_article.result import Cell

ONLY_CUT_UP = "only on a casting that is cut up"
NOT_MACHINED_YET = "not machined yet"
REWORKED = "measured again after rework"
MACHINED_BEFORE = "machined before it was measured raw"
# what moves everything that a gauge reads alike: lines of a budget by name
OF_THE_GAUGE = ("calibration", "known bias", "temperature", "expansion", "temperature difference", "sound velocity")
SYMBOL = {
    Standing.DOES_NOT_CONFORM: "✗",
    Standing.UNDECIDED: "?",
    Standing.IN_QUESTION: "!",
    Standing.CONFORMS: "✓",
    Standing.NO_LIMITS: "○",
    Standing.TO_MEASURE: "·",
    Standing.NOT_MEASURABLE: "–",
}


class Requirement(NamedTuple):
    """A row of a sampling: what is asked of a feature in one state of the casting."""

    feature: Feature
    state: str = RAW


class OnCastings(NamedTuple):
    """What stands of some castings in the record: the readings that count, in their order, and how they were turned."""

    taken: Sequence[SamplingReading]
    turned: Mapping[Id, Sequence[Realigned]]


Key = tuple[Id, str]  # the root of a feature, and the state of the casting


class Sampling:
    """One round with all its readings; cells are judged on demand and kept.

    A machined feature has a second row, finished, from the first casting of the round on that is measured so. Where no
    state is named, raw is meant: causes, cuts and stock see nothing else.

    `style` is how everything that is said of it writes figures; what is written to the record is said `for_record`.
    What all samplings of the job share is taken from the one `beside`, where that was read just now; so are the
    readings of its castings where `read` has them.
    """

    def __init__(
        self,
        record: Reader,
        job: Job,
        round_: Round,
        style: Style = MM,
        beside: Sampling | None = None,
        read: OnCastings | None = None,
    ) -> None:
        self.record, self.job, self.round = record, job, round_
        self.style = style
        self.castings = round_.castings
        self._roots: dict[Id, Id] = {}
        self._lines: lineage.Lines | None = None  # None while the drawing has one edition
        self._features: dict[Id, Feature] = {}
        self._setups: dict[Id, Setup] = {}
        self._sizes: dict[Key, Sizes] = {}
        # by casting, then by feature and state: what is logged on one casting touches little else
        self._taken: dict[Id, dict[Key, list[SamplingReading]]] = {}
        self._cells: dict[Id, dict[Key, Cell]] = {}
        self._of_gauge: dict[Id, dict[Key, tuple[float, bool]]] = {}
        self._doubted: dict[Id, dict[Key, CellDoubt]] = {}
        self._doubts: dict[Id, CastingDoubts] = {}
        self._usual: dict[Key, float | None] = {}
        self._subjects = {item.id: Subject(f"casting {item.serial}", item=item) for item in self.castings}
        self._item = {item.serial: item for item in self.castings}
        self._realigned: dict[Id, Sequence[Realigned]] = {}
        self._not: dict[tuple[Id, Id | None], str] = {}
        self._reworks = Reworks((), (), {}, self.root)
        self.cut_up: set[Id] = set()
        if beside is None:
            self._read_job()
        else:
            self._share(beside)
        self._read_castings(read)

    def for_record(self) -> Sampling:
        """The same round said as the record keeps words, in mm."""
        return self if self.style == MM else Sampling(self.record, self.job, self.round, beside=self)

    # ---------------------------------------------------------------- what is in the record
    def reload(self) -> None:
        """Read everything again: job, drawing, instruments and people, readings, re-alignments and reasons."""
        self._read_job()
        self._read_castings()

    def _read_job(self) -> None:
        self.job = self.record.job(self.job.of_id)
        self.facts = JobFacts(self.record, self.job)
        self._every = self.record.job_features(self.job.of_id)
        self._rows = {row.id: row for row in self._every}
        self._revisions = self.record.revisions(self.job.of_id)
        self._lines = None
        if any(row.same_as_id for row in self._every):
            self._lines = lineage.Lines(self._every, self._revisions, self.record.core_versions(self.job.of_id))
        self._cores = {core.of_id: core for core in self.facts.cores}
        self._core_of: dict[Id, Core] = {core.id: core for core in self._cores.values()}
        self.gauges = GaugesThen(self.record, few=0)
        self.evidence = Evidence(self.record, self.gauges)
        self._reasons = self.record.not_measurable(self.job.of_id)
        self.dispositions = self.record.dispositions(self.job.of_id)
        self.geometries = self.record.geometries(self.job.of_id)
        self.looks = self.record.geometry_checks(self.job.of_id) if self.geometries else []

    def _share(self, beside: Sampling) -> None:
        self.job, self._rows, self._every, self._revisions = beside.job, beside._rows, beside._every, beside._revisions
        self._lines, self._cores, self._core_of = beside._lines, beside._cores, beside._core_of
        self.gauges, self.evidence, self._reasons = beside.gauges, beside.evidence, beside._reasons
        self.facts, self.dispositions = beside.facts, beside.dispositions
        self.geometries, self.looks = beside.geometries, beside.looks

    def _read_castings(self, read: OnCastings | None = None) -> None:
        every = self._every
        for kept in (self._roots, self._features, self._sizes, self._setups):
            kept.clear()
        own = {item.id for item in self.castings}
        taken = self.record.taken(own) if read is None else [row for row in read.taken if row.item_id in own]
        self.revision = self._revision_of(taken)
        self.features = [f for f in every if f.revision_id == self.revision.id and f.scale == "cast"]
        self._features.update((f.id, f) for f in every)
        self._root = {self.root(f.id): f for f in self.features}
        self._taken.clear()
        self._keep(taken)
        self.requirements = self._required()
        self._after_reading(read)

    @property
    def people(self) -> dict[Id, Person]:
        """Every version of everybody by id."""
        return self.gauges.people

    @property
    def initials(self) -> dict[Id, str]:
        """Everybody's newest initials, by the id of the first version."""
        return {person.of_id: person.initials for person in self.people.values()}

    @property
    def instruments(self) -> dict[Id, Instrument]:
        """Every version of what there is to measure with, by id."""
        return self.gauges.instruments

    def _keep(self, taken: Sequence[SamplingReading]) -> None:
        self._setups.update(self.evidence.setups(reading.setup_id for reading in taken))
        for reading in taken:
            key = self._size(reading.feature_id), self._setups[reading.setup_id].state
            self._taken.setdefault(reading.item_id, {}).setdefault(key, []).append(reading)

    def _required(self) -> list[Requirement]:
        """The rows: every feature raw, and the machined ones finished where any casting was measured finished."""
        rows: list[Requirement] = []
        finished = any(self.is_finished(item) for item in self.castings)
        for feature in self.features:
            rows.append(Requirement(feature))
            if finished and is_machined(feature):
                rows.append(Requirement(feature, FINISHED))
        return rows

    def is_finished(self, item: Item) -> bool:
        """Whether anything on this casting was measured after it was machined."""
        return any(state == FINISHED for _, state in self._taken.get(item.id, ()))

    def _revision_of(self, taken: Sequence[SamplingReading]) -> DrawingRevision:
        """The newest revision that a reading of this round names; the newest of all before anything is measured.

        Where its typing errors were put right, the edition that did so.
        """
        revisions = self._revisions
        if not revisions:
            raise NotFound(f"Job {self.job.number} has no drawing yet: add features first.")
        named = {self._rows[reading.feature_id].revision_id for reading in taken if reading.feature_id in self._rows}
        newest = [revision for revision in revisions if revision.id in named or not named][-1]
        for revision in revisions:
            if revision.corrects_id == newest.id:
                newest = revision
        return newest

    def _after_reading(self, read: OnCastings | None = None) -> None:
        self._forget()
        turned = self.record.realigned(item.id for item in self.castings) if read is None else read.turned
        self._realigned = {item.id: turned[item.id] for item in self.castings if item.id in turned}
        self._not = {(self.root(said.feature_id), said.item_id): said.reason for said in self._reasons}
        balloons = {find.balloon_key(f.balloon): f.id for f in self.features}
        self._reworks = Reworks(self.dispositions, self.geometries, balloons, self.root)
        self._find_cut_up()

    def _find_cut_up(self) -> None:
        cut = {self.root(f.id) for f in self.features if is_sectioned(f)}
        read = {item: {self.root(size) for size, _ in taken} for item, taken in self._taken.items()}
        self.cut_up = {item for item, roots in read.items() if not cut.isdisjoint(roots)}

    def refresh_casting(self, item: Item) -> None:
        """Read one casting again, after something was logged on it."""
        before = self._taken.pop(item.id, {})
        taken = self.record.taken([item.id])
        self._keep(taken)
        after = self._taken.get(item.id, {})
        moved = [key for key in {*before, *after} if before.get(key) != after.get(key)]
        self._forget(item.id, {(self.root(size), state) for size, state in moved})
        was = item.id in self.cut_up
        self._find_cut_up()
        if (item.id in self.cut_up) != was:  # what is said of the other castings changes with it
            self._forget()

    def _forget(self, item_id: Id | None = None, changed: Iterable[Key] = ()) -> None:
        """Drop what was worked out of all castings; or of one, and of the others where they were seen beside it."""
        if item_id is None:
            for kept in (self._cells, self._doubted, self._doubts, self._usual):
                kept.clear()
            return
        for key in changed:
            self._usual.pop(key, None)
            for cells in self._cells.values():
                if key in cells and cells[key].answer in (Standing.IN_QUESTION, Standing.DOES_NOT_CONFORM):
                    del cells[key]
        for other in [other for other, doubts in self._doubts.items() if doubts.lines]:
            del self._doubts[other]
            cells = self._cells.get(other, {})
            for key in [key for key, cell in cells.items() if cell.answer == Standing.IN_QUESTION]:
                del cells[key]
        for kept in (self._cells, self._doubted, self._doubts):
            kept.pop(item_id, None)

    def root(self, feature_id: Id) -> Id:
        """The first of the line of a feature through the revisions: what stays the same when the drawing changes."""
        known = self._roots.get(feature_id)
        if known is None:
            known = self._roots[feature_id] = self._find_root(feature_id)
        return known

    def _find_root(self, feature_id: Id) -> Id:
        row = self._rows.get(feature_id)
        for _ in range(1000):
            if row is None or row.same_as_id is None or row.same_as_id not in self._rows:
                break
            row = self._rows[row.same_as_id]
        return row.id if row else feature_id

    def _size(self, feature_id: Id) -> Id:
        """The oldest row that asks for the same size: readings of another one do not count for it."""
        return self._lines.first(feature_id) if self._lines is not None else feature_id

    def same_size(self, row_id: Id, other: Id) -> bool:
        """Whether two rows ask for the same size, with whatever limits: what was measured or promised of one holds."""
        if self._lines is None:
            return row_id == other
        return self._lines.first(row_id, limits=False) == self._lines.first(other, limits=False)

    def line_of(self, feature: Feature) -> set[Id]:
        """Every row of a feature over all revisions."""
        root = self.root(feature.id)
        return {row_id for row_id in self._rows if self.root(row_id) == root}

    def feature(self, balloon: str) -> Feature:
        """A feature of this round by balloon; NotFound with the nearest."""
        return find.feature(self.features, balloon, self.revision.rev)

    def geometry(self, balloon: str) -> Geometry | None:
        """The geometrical tolerance of that balloon, None where there is none."""
        key = find.balloon_key(balloon)
        return next((asked for asked in self.geometries if find.balloon_key(asked.balloon) == key), None)

    def casting(self, serial: str) -> Item:
        """A casting of this round by serial."""
        if serial in self._item:
            return self._item[serial]
        return find.pick(serial, self.castings, lambda item: item.serial, "casting", f" in {self.round.label}")

    def taken(self, feature: Feature, item: Item, state: str = RAW) -> list[SamplingReading]:
        """The readings that count of one cell, oldest first."""
        return self._taken.get(item.id, {}).get((self._size(feature.id), state), [])

    @property
    def anything(self) -> bool:
        """Whether anything was measured."""
        return bool(self._taken)

    @property
    def all_taken(self) -> Iterable[SamplingReading]:
        """Every reading that counts."""
        for taken in self._taken.values():
            for readings in taken.values():
                yield from readings

    def setup(self, setup_id: Id) -> Setup:
        """Who measured with what."""
        return self._setups[setup_id]

    def own_feature(self, feature_id: Id) -> Feature:
        """The very row that a reading names, its typing errors put right: it is judged by its own limits."""
        if self._lines is not None:
            feature_id = self._lines.put_right(feature_id)
        if feature_id not in self._features:
            self._features[feature_id] = self.record.feature(feature_id)
        return self._features[feature_id]

    def versions(self, versions: Sequence[ToolFeature]) -> list[ToolFeature]:
        """Versions of tools' features with the steps of their sizes as these were put right."""
        return list(self._lines.versions(versions).values()) if self._lines is not None else list(versions)

    def sizes(self, feature: Feature, state: str = RAW) -> Sizes:
        """Size and limits on the casting, as cast or finished."""
        key = feature.id, state
        if key not in self._sizes:
            self._sizes[key] = sizes(self.job, feature, Subject("casting"), state=state)
        return self._sizes[key]

    def realigned(self, item: Item) -> Sequence[Realigned]:
        """How this casting was turned back."""
        return self._realigned.get(item.id, ())

    def not_measurable(self, feature: Feature, item: Item) -> str | None:
        """Why this cell cannot be measured, as somebody said."""
        root = self.root(feature.id)
        return self._not.get((root, item.id)) or self._not.get((root, None))

    # ---------------------------------------------------------------- one cell
    def cell(self, feature: Feature, item: Item, state: str = RAW) -> Cell:
        """One feature on one casting, judged by this round's drawing: all its readings are of the size wanted there."""
        key, cells = (self.root(feature.id), state), self._cells.setdefault(item.id, {})
        cell = cells.get(key)
        if cell is None:
            readings = self.taken(feature, item, state)
            since = self.since_rework(feature, item, state)
            cell = (
                self._judged(feature, item, since or readings, state) if readings else self._empty(feature, item, state)
            )
            if since:
                cell = replace(cell, notes=(*cell.notes, REWORKED))
            cells[key] = cell
        return cell

    def rework(self, feature: Feature, item: Item, state: str = RAW) -> Disposition | None:
        """The last rework that was decided for a cell."""
        return self._reworks.last(feature.id, item, state)

    def since_rework(self, feature: Feature, item: Item, state: str = RAW) -> list[SamplingReading]:
        """The readings of a cell that were made after it was reworked: they answer it. None where it was not."""
        readings = self.taken(feature, item, state) if self._reworks else ()
        return [reading for reading in readings if self._reworks.answered_by(reading, feature.id, item, state)]

    def found(self, feature: Feature, item: Item, state: str = RAW) -> Cell:
        """A cell as it was found before it was reworked: what its tool made. Read since alone, nothing is known."""
        since = {reading.id for reading in self.since_rework(feature, item, state)}
        before = [reading for reading in self.taken(feature, item, state) if reading.id not in since]
        if not since:
            return self.cell(feature, item, state)
        if not before:
            return self._empty(feature, item, state)
        key, doubted = (self.root(feature.id), state), self._doubted.setdefault(item.id, {})
        kept = doubted.get(key)
        cell = self._judged(feature, item, before, state)
        doubted.pop(key, None)
        if kept is not None:
            doubted[key] = kept
        return cell

    def is_open(self, feature: Feature, item: Item, state: str = RAW) -> bool:
        """Whether this cell is still to measure; nothing is judged for it."""
        return not self.taken(feature, item, state) and self._reason(feature, item, state) is None

    def waits_for_cut(self, feature: Feature, item: Item) -> bool:
        """Whether this cell can be read once the casting is cut up, and nobody said that it cannot be measured."""
        return is_sectioned(feature) and item.id not in self.cut_up and self.not_measurable(feature, item) is None

    def _reason(self, feature: Feature, item: Item, state: str) -> str | None:
        reason = self.not_measurable(feature, item)
        if reason is None and self.waits_for_cut(feature, item):
            reason = ONLY_CUT_UP if self.cut_up else f"{ONLY_CUT_UP}: none was yet"
        if reason is None and state == FINISHED and not self.is_finished(item):
            reason = NOT_MACHINED_YET
        if reason is None and state == RAW and self.taken(feature, item, FINISHED):
            reason = MACHINED_BEFORE
        return reason

    def _empty(self, feature: Feature, item: Item, state: str) -> Cell:
        reason = self._reason(feature, item, state)
        return Cell(
            balloon=feature.balloon,
            serial=item.serial,
            answer=Standing.NOT_MEASURABLE if reason else Standing.TO_MEASURE,
            reason=reason,
        )

    def _judged(self, feature: Feature, item: Item, readings: list[SamplingReading], state: str) -> Cell:
        last = readings[-1]
        own = self._root.get(self.root(feature.id), feature)
        size, setup = self.sizes(own, state), self._setups[last.setup_id]
        day = day_of(last.at_us, last.tz_min)
        means = self.gauges.fed(setup, day, own)
        turns = self.realigned(item) if state == RAW else ()  # a machined casting stands on its machined faces
        judged, made = self.evidence.judged(self.job, self._subjects[item.id], size, readings, turns, self.style)
        values, said = made.values, made.said
        verdict, budget = judged.verdict, judged.budget
        of_gauge = hypot(*(line.u for line in budget.lines if line.name in OF_THE_GAUGE))
        known = self._of_gauge.setdefault(item.id, {})
        known[self.root(feature.id), state] = of_gauge, means.calibration is not None
        limits = size.band.lower is not None or size.band.upper is not None
        doubt = self.doubts(item).cells.get(feature.balloon) if state == RAW else None
        doubt = doubt or of_cell(self, feature, item, size, readings, values, budget.u, means.resolution_mm)
        if doubt is None and judged.question is not None:
            doubt = CellDoubt(f"{judged.question}. Measure it again and take back the wrong one.", None, last)
        doubted = self._doubted.setdefault(item.id, {})
        doubted.pop((self.root(feature.id), state), None)
        if doubt is not None:
            doubted[self.root(feature.id), state] = doubt
        answer = Standing.IN_QUESTION if doubt else Standing(verdict.answer) if limits else Standing.NO_LIMITS
        decides = limits and doubt is None
        return Cell(
            balloon=feature.balloon,
            serial=item.serial,
            answer=answer,
            n=len(readings),
            typed=tuple(reading.typed for reading in readings),
            raw=mean_of(readings),
            value=judged.value,
            corrected=said,
            deviation=judged.value - size.drawn if feature.nominal_known else None,
            u=budget.u,
            U=budget.U,
            k=budget.k,
            p_conform=verdict.p_conform if decides else None,
            margin=verdict.margin if decides and isfinite(verdict.margin) else None,
            by=self.people[setup.person_id].initials,
            instrument=means.instrument.label,
            at=moment(last.at_us, last.tz_min),
            section=is_sectioned(own),
            question=doubt.sentence if doubt else None,
            suggested=doubt.suggested if doubt else None,
            notes=tuple(judged.remarks),
        )

    def of_gauge(self, feature: Feature, item: Item, state: str = RAW) -> tuple[float, bool]:
        """The part of a cell's u that its gauge shares with all it read, mm; whether a certificate stands behind it."""
        self.cell(feature, item, state)
        return self._of_gauge.get(item.id, {}).get((self.root(feature.id), state), (0.0, True))

    def doubts(self, item: Item) -> CastingDoubts:
        """What is in question on a casting as a whole: another unit, rows swapped. Worked out once a casting."""
        if item.id not in self._doubts:
            self._doubts[item.id] = of_casting(self, item)
        return self._doubts[item.id]

    def doubted(self, feature: Feature, item: Item, state: str = RAW) -> CellDoubt | None:
        """Why a cell is in question; None when its readings stand."""
        self.cell(feature, item, state)
        return self._doubted.get(item.id, {}).get((self.root(feature.id), state))

    def usual(self, feature: Feature) -> float | None:
        """What the castings of this round mostly read there, the median; None where fewer than three were measured.

        One figure for all castings, so that many of them cost no more than few: up to 40 of them, spread evenly.
        """
        key = self.root(feature.id), RAW
        if key not in self._usual:
            spread = self.castings[:: len(self.castings) // 40 + 1]
            some = [taken for item in spread if (taken := self.taken(feature, item))]
            if len(some) < 3 < len(self.castings):
                some = [taken for item in self.castings if (taken := self.taken(feature, item))][:40]
            self._usual[key] = median(mean_of(taken) for taken in some) if len(some) >= 3 else None
        return self._usual[key]

    def core(self, core_id: Id) -> Core:
        """The current version of a core, by the id of any version."""
        if core_id not in self._core_of:
            self._core_of[core_id] = self._cores[self.record.core(core_id).of_id]
        return self._core_of[core_id]

    def part(self, end: End) -> str:
        """The part of the mould that makes an end: drag, cope or core 4."""
        return end.half or f"core {self.core(end.core_id or b'').number}"

    def unit(self, feature: Feature) -> str:
        """mm, or deg for angles."""
        return unit_of(feature)
