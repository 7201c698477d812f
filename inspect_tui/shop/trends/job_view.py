"""The things of one job that its trends need, read once: features by line, tools, counts, repairs, lots, limits."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from functools import cached_property
from itertools import pairwise
from math import hypot
from typing import TYPE_CHECKING, cast

from inspect_tui.errors import NotFound
from inspect_tui.frozen import frozen, frozen_by_name
from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style, day_of
from inspect_tui.model.trends import ToolRepair, ToolState, WearLimit
from inspect_tui.model.words import Band, Estimate, Id
from inspect_tui.model.work import Feature, Job, Lot, Tool, ToolFeature
from inspect_tui.record.ask import evidence, series_uses
from inspect_tui.shop.common import find
from inspect_tui.shop.common.corrections import NOTHING, Correction
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import Sizes, sizes
from inspect_tui.shop.gauges import pooled as pooled_offsets
from inspect_tui.shop.gauges.pooled import Pooled
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.trends.counts import today as clock
from inspect_tui.shop.trends.counts import tools_in_use
from inspect_tui.shop.trends.counts.counter import Counter, counter
from inspect_tui.shop.trends.counts.repairs import repair_words

if TYPE_CHECKING:
    from inspect_tui.record.ask.trends import ItemOf
    from inspect_tui.record.read import Reader
    from inspect_tui.record.store import Record

RULE_K = {"plain": 0.0, "proof95": 1.6448536269514722, "full_u": 2.0}  # how many u the rule of the job keeps free


REPAIR, RELAID, JUMP = "repair", "re-laid", "jump"


@frozen_by_name
class Mark:
    """What starts a line again, on both axes of a chart: day (ordinal) and count, None where that is not known.

    `kind`: a repair, a tool laid out anew, or a jump that nobody explained. `entered` is the id of the entry (of the
    reading before a jump): of one day, what has a later id came after it.
    """

    day: float
    count: float | None
    words: str
    tool: str
    entered: Id
    kind: str = REPAIR


@frozen
class WearLimits:
    """How far a size may wear, mm at the tool, where that comes from, and what else is to be said about it."""

    band: Band
    words: str
    agreed: bool


class JobView:
    """One job as its trends see it. Features are known by the oldest row that asks for the same size (`root`).

    `style` is how the sentences of its trends write their figures; the face that asks hands it down. `today` is the day
    (ISO date) that forecasts are made for; that of this machine where none is given.
    """

    def __init__(
        self,
        reader: Reader,
        job: Job,
        style: Style = MM,
        today: str | None = None,
        pooled: Pooled | None = None,
    ) -> None:
        """`pooled`: gauges and people that read off; as the summaries have it where it is not given."""
        self.reader, self.job, self.style = reader, job, style
        self._pooled = pooled
        self.today = today or clock.machine_day()
        self.kit = KitFacts(cast("Record", reader), job)
        self.root = self.kit.root
        self._counters: dict[Id, Counter] = {}
        self._lines: dict[Id, tuple[Id, ...]] = {}

    # ---------------------------------------------------------------- things
    @cached_property
    def lots(self) -> dict[Id, Lot]:
        """The lots of the job by id."""
        return {lot.id: lot for lot in self.reader.lots(self.job.of_id)}

    @cached_property
    def lot_day(self) -> dict[Id, int]:
        """The day (ordinal) on which each lot was poured."""
        return {lot.id: date.fromisoformat(lot.poured_on).toordinal() for lot in self.lots.values() if lot.poured_on}

    @cached_property
    def items(self) -> dict[Id, ItemOf]:
        """Castings and sample cores."""
        return self.reader.items_of(self.job.of_id)

    @cached_property
    def corrections(self) -> dict[Id, Correction]:
        """How readings of the job are put right, by reading; those that stand as they were read are not in it."""
        return self.kit.evidence.corrections(list(self.root))

    @cached_property
    def reworked(self) -> frozenset[Id]:
        """Readings of castings that were reworked: they say nothing of what tools made."""
        return self.kit.evidence.reworked(self.job)

    @cached_property
    def pooled(self) -> Pooled:
        """Gauges and people that read off, over all sizes: taken out of the wear lines."""
        return self._pooled if self._pooled is not None else pooled_offsets.in_force(self.reader)

    @cached_property
    def levels(self) -> dict[Id, tuple[float, tuple[int, ...]]]:
        """How much higher what was read in a setup is than the others read (mm), and by which of `pooled`."""
        return pooled_offsets.levels(self.reader, self.pooled)

    def u_shared(self, reading_id: Id) -> float:
        """What all readings of a series may be off by together, mm (standard): the gauge's certificate and its bias.

        As it was for this reading, the newest of them; however many there are, they do not make it smaller.
        """
        logged = self.reader.reading(reading_id)
        if logged is None:
            return 0.0
        means = self.kit.evidence.gauges.means(logged.setup, day_of(logged.at_us, logged.tz_min))
        right = self.corrections.get(reading_id, NOTHING)
        return hypot(means.u95() / (means.calibration.k if means.calibration else 2.0), right.u(logged.value))

    @cached_property
    def measured_on(self) -> dict[Id, float]:
        """The day (ordinal, at noon) of readings that were measured on another day than they were logged."""
        days = evidence.measured_on(self.reader, list(self.root))
        return {id_: date.fromisoformat(day).toordinal() + 0.5 for id_, day in days.items()}

    @cached_property
    def clock_doubted(self) -> set[Id]:
        """Readings that were logged while the clock was in doubt."""
        return evidence.clock_doubted(self.reader, list(self.root))

    @cached_property
    def on_castings(self) -> set[Id]:
        """The sizes (roots) that castings were measured for."""
        return {self.root.get(f, f) for f in self.reader.features_on(self.job.of_id, "casting")}

    @cached_property
    def instruments(self) -> dict[Id, str]:
        """What each setup of the job was measured with; after being adjusted an instrument counts as another one."""
        return {
            setup: f"{state.label}, adjusted {state.adjusted_on}" if state.adjusted_on else state.label
            for setup, state in series_uses.states(self.reader, self.job.of_id).items()
        }

    @cached_property
    def states(self) -> dict[Id, list[ToolState]]:
        """Changes of state by tool."""
        return self.reader.tool_states()

    def retired(self, tool: Tool) -> str | None:
        """Since when a tool is out of use; None when it is in use."""
        states = self.states.get(tool.of_id)
        return states[-1].since_on if states and states[-1].state == "retired" else None

    @cached_property
    def repairs(self) -> list[tuple[Tool, ToolRepair]]:
        """The repairs of all tools of the job, by day."""
        return [(self.kit.tool[r.tool_of_id], r) for r in self.reader.tool_repairs() if r.tool_of_id in self.kit.tool]

    @cached_property
    def limits(self) -> dict[tuple[Id, Id], WearLimit]:
        """Agreed limits by tool and root."""
        agreed = {}
        for tool in self.kit.tools:
            for limit in self.reader.wear_limits(tool.of_id):
                agreed[tool.of_id, self.root.get(limit.feature_id, limit.feature_id)] = limit
        return agreed

    def feature(self, balloon: str) -> Feature:
        """A feature of the newest drawing by balloon."""
        revision = find.latest_revision(cast("Record", self.reader), self.job)
        return find.feature(self.kit.features, balloon, revision.rev)

    def line(self, root: Id) -> tuple[Id, ...]:
        """The rows of a size in all revisions, oldest first."""
        if not self._lines:
            lines: dict[Id, list[Id]] = {}
            for feature_id, first in self.root.items():
                lines.setdefault(first, []).append(feature_id)
            self._lines = {first: tuple(sorted(rows)) for first, rows in lines.items()}
        return self._lines.get(root, (root,))

    def of_another_size(self, feature: Feature) -> list[str]:
        """A remark where the feature was read on older drawings that asked for another size."""
        root = self.root.get(feature.id, feature.id)
        others = [row for row, now in self.kit.drawn.items() if now == root and self.root[row] != root]
        if not others or not self.reader.anything_read(others):
            return []
        since = next(revision for revision in self.kit.revisions if revision.id == self.kit.row[root].revision_id)
        return [f"drawing {since.rev} asks for another size: what was read before is left out"]

    def counter(self, tool: Tool) -> Counter:
        """The running count of a tool."""
        if tool.of_id not in self._counters:
            retired = {of for of, states in self.states.items() if states[-1].state == "retired"}
            sole = tools_in_use.sole_maker(tool, self.kit.tools, self.kit.core_of, retired)
            self._counters[tool.of_id] = counter(tool, self.reader.tool_counts(tool.of_id), self.lots.values(), sole)
        return self._counters[tool.of_id]

    @cached_property
    def castings_made(self) -> Counter:
        """Castings poured, by the lots of the job: the axis of what no single tool makes."""
        return counter(_MOULD, [], self.lots.values())

    def core_of(self, core_id: Id | None) -> Id | None:
        """The first version of a core."""
        return self.kit.core_of.get(core_id, core_id) if core_id else None

    def boxes_of(self, core_of_id: Id) -> list[Tool]:
        """The tools that blow a core, those in use first."""
        boxes = [
            t
            for t in self.kit.tools
            if t.kind in ("core_box", "production_pattern") and self.core_of(t.core_id) == core_of_id
        ]
        return sorted(boxes, key=lambda t: self.retired(t) is not None)

    def box_of_item(self, item: ItemOf) -> Tool | None:
        """The box that blew a sample core: the only one of its core, or the one whose name is its cavity's."""
        if item.core_id is None:
            return None
        boxes = self.boxes_of(self.core_of(item.core_id) or b"")
        if item.cavity:
            named = [t for t in boxes if t.label.casefold() == item.cavity.casefold()]
            if named:
                return named[0]
        return boxes[0] if len(boxes) == 1 else None

    # ---------------------------------------------------------------- sizes and limits
    def on_tool(self, tool: Tool, root: Id) -> ToolFeature | None:
        """A feature as it stands on a tool."""
        return self.kit.on_tool.get((tool.of_id, root))

    def sizes(self, tool: Tool | None, feature: Feature) -> Sizes:
        """Target and band on a tool, or on castings. NotFound where the tool does not make the feature."""
        if tool is None:
            return sizes(self.job, feature, Subject("castings"))
        there = self.on_tool(tool, self.root.get(feature.id, feature.id))
        if there is None:
            raise NotFound(f"{feature.balloon} is not measured on {tool.label}: another tool makes that surface.")
        return sizes(self.job, feature, Subject(tool.label, tool=tool), there)

    def wear_limits(
        self, tool: Tool, feature: Feature, planned: Sizes, seen: Estimate | None = None, scatter: float = 0.0
    ) -> WearLimits:
        """How far this size of the tool may go: as agreed, or until the casting with its uncertainty leaves its band.

        `seen`: how much castings differ from what the tool predicts (mm of the casting, with its standard
        uncertainty), where enough were measured: it takes the place of the plan's contraction uncertainty. `scatter`:
        standard deviation from casting to casting.
        """
        agreed = self.limits.get((tool.of_id, self.root.get(feature.id, feature.id)))
        if agreed is not None:
            return WearLimits(Band(agreed.lower, agreed.upper, agreed.why), f"agreed: {agreed.why}", True)
        if feature.scale == "tool" or planned.tool_feature is None:
            return WearLimits(planned.band, planned.band.source, False)
        steps = [s for s in planned.steps if s.kind not in ("stock", "draft")]
        shift, u = (seen.value, seen.u) if seen else (0.0, planned.cast_from(planned.target, 0.0).u)  # type: ignore[union-attr]
        guard = RULE_K.get(self.job.rule, 2.0) * hypot(u, scatter)
        cast_band, own = planned.cast_band, self.style.of(feature.quantity)
        words = f"until castings leave their band ({cast_band.source})"
        words += f", {own.uncertainty(guard, unit=False)} kept for their uncertainty" if guard else ""
        low = None if cast_band.lower is None else chain.forward(cast_band.lower + guard - shift, steps).value
        high = None if cast_band.upper is None else chain.forward(cast_band.upper - guard - shift, steps).value
        if low is not None and high is not None and low >= high:
            low, high = (chain.forward(x or 0.0, steps).value for x in (cast_band.lower, cast_band.upper))
            words = "the uncertainty uses up the whole band of the casting: limits without it"
        return WearLimits(Band(low, high, words), words, False)

    # ---------------------------------------------------------------- repairs
    def marks_on(self, tool: Tool, root: Id) -> list[Mark]:
        """What starts the wear line of a size again: repairs of the whole tool or of this size, a layout anew."""
        counter = self.counter(tool)
        marks = [
            self._mark(tool, r, counter)
            for t, r in self.repairs
            if t.of_id == tool.of_id and (r.feature_id is None or self.kit.drawn.get(r.feature_id) == root)
        ]
        for day, entered, words in self.relaid.get((tool.of_id, root), ()):
            marks.append(
                Mark(day=day, count=counter.at(day), words=words, tool=tool.label, entered=entered, kind=RELAID)
            )
        return marks

    def marks_for_castings(self, feature: Feature) -> list[Mark]:
        """What may change a size of the castings: repairs of tools that make its ends or carry their cores, and a new
        contraction along its axis."""
        root = self.root.get(feature.id, feature.id)
        cores = {self.core_of(end.core_id) for end in feature.ends if end.core_id}
        halves = {end.half for end in feature.ends if end.half}
        marks = []
        for tool, repair in self.repairs:
            about = self.kit.drawn.get(repair.feature_id, b"") if repair.feature_id else None
            if repair.core_id is not None:  # a seat: it moves the core that sits in it
                relevant = self.core_of(repair.core_id) in cores
            elif tool.core_id is not None:
                relevant = self.core_of(tool.core_id) in cores and about in (None, root)
            else:
                half = {"pattern_cope": "cope", "pattern_drag": "drag"}.get(tool.kind)
                relevant = half in halves and about in (None, root)
            if relevant:
                marks.append(self._mark(tool, repair, self.castings_made))
        for day, entered, words in self.replanned.get(feature.axis, ()):
            marks.append(
                Mark(
                    day=day,
                    count=self.castings_made.at(day),
                    words=words,
                    tool="all tools",
                    entered=entered,
                    kind=RELAID,
                )
            )
        return marks

    def _mark(self, tool: Tool, repair: ToolRepair, counter: Counter) -> Mark:
        day = float(date.fromisoformat(repair.done_on).toordinal())
        balloon = None
        if repair.feature_id is not None:
            about = self.kit.feature.get(self.kit.drawn.get(repair.feature_id, b""))
            balloon = about.balloon if about else None
        typed = repair.at_count is not None and counter is not self.castings_made
        count = float(repair.at_count or 0) if typed else counter.at(day)
        return Mark(
            day=day, count=count, words=repair_words(repair, balloon, self.style), tool=tool.label, entered=repair.of_id
        )

    @cached_property
    def relaid(self) -> dict[tuple[Id, Id], list[tuple[float, Id, str]]]:
        """(tool, root) -> when a size was laid out to another target, its entry, and from what to what."""
        changed: dict[tuple[Id, Id], list[ToolFeature]] = {}
        versions = list(self.kit.lines.versions(self.reader.changed_targets(self.job.of_id)).values())
        for version in versions:
            tool, root = self.kit.tool_of.get(version.tool_id), self.root.get(version.feature_id)
            if tool is not None and root is not None:
                changed.setdefault((tool, root), []).append(version)
        written = self.reader.written_on([version.id for version in versions])
        anew: dict[tuple[Id, Id], list[tuple[float, Id, str]]] = {}
        for (tool, root), steps in changed.items():
            feature = self.kit.feature.get(root)
            if feature is None:
                continue
            by_id, own = {version.id: version for version in steps}, self.style.of(feature.quantity)
            for version in steps:
                old = by_id.get(version.replaces_id) if version.replaces_id else None
                if old is None:
                    continue
                was, now = (chain.forward(feature.nominal, v.steps).value for v in (old, version))
                if abs(now - was) >= 0.005:
                    words = f"target changed from {own.pair(was, now, unit=False)}"
                    anew.setdefault((tool, root), []).append((_ordinal(*written[version.id]), version.id, words))
        return anew

    @cached_property
    def replanned(self) -> dict[str, list[tuple[float, Id, str]]]:
        """Axis -> when the job got another contraction there: everything along it was laid out anew."""
        versions = self.reader.job_history(self.job.of_id)
        written = self.reader.written_on([version.id for version in versions])
        anew: dict[str, list[tuple[float, Id, str]]] = {}
        for old, new in pairwise(versions):
            for axis in "xyz":
                was, now = getattr(old, f"a_{axis}"), getattr(new, f"a_{axis}")
                if was != now:
                    before, after = self.style.percent(was, None), self.style.figures(100 * now)
                    words = f"contraction in {axis} planned at {after} instead of {before}"
                    anew.setdefault(axis, []).append((_ordinal(*written[new.id]), new.id, words))
        return anew


def _ordinal(at_us: int, tz_min: int) -> float:
    return float((at_us + tz_min * 60_000_000) // 86_400_000_000 + 719_163)


_MOULD = Tool(job_of_id=b"", kind="pattern_drag", label="mould")


def views(
    reader: Reader, jobs: Iterable[Job] | None = None, style: Style = MM, today: str | None = None
) -> list[JobView]:
    """A view of each job, or of those given."""
    return [JobView(reader, job, style, today) for job in (reader.jobs() if jobs is None else jobs)]
