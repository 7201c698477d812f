"""The facts of a kit, read from the record in one go: cores, their tools, fits, what was measured on them and when."""

from __future__ import annotations

from collections.abc import Iterable
from copy import copy
from datetime import UTC, datetime, timedelta
from functools import cached_property
from math import hypot, sqrt

from inspect_tui.errors import DataError
from inspect_tui.frozen import frozen_by_name, replace
from inspect_tui.metrology.kit.law import around
from inspect_tui.metrology.sizes import chain
from inspect_tui.model.kit import CoreDetail, Fit, Passage, Shipment, ShipmentLine, Stack, StackMember, ToolDetail
from inspect_tui.model.mould import CoreBody, MouldOutline
from inspect_tui.model.words import Estimate, Id
from inspect_tui.model.work import Core, DrawingRevision, Feature, Item, Job, Tool, ToolFeature
from inspect_tui.record.ask.kit import ItemReading, ToolReading
from inspect_tui.record.read import Reader
from inspect_tui.shop.common import faces_touched, lineage
from inspect_tui.shop.common.evidence import Evidence, Lives
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.judging import DEFAULT_U95
from inspect_tui.shop.common.parting import Parting, of_job
from inspect_tui.shop.common.sizes import Sizes, sizes

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import Any

    from inspect_tui.metrology.kit.doubts import Doubt
    from inspect_tui.record.ask.trend_rows import KeptTrend

# which tool speaks for a core: what makes the sand comes before what it was made from
CORE_TOOLS = ("core_box", "production_pattern", "core_stick", "master", "loose_piece")
HALF_TOOLS = {
    "cope": ("production_pattern", "pattern_cope"),
    "drag": ("production_pattern", "pattern_drag"),
}


@frozen_by_name
class SizeState:
    """What one stay at the bench found of one size on one tool, at 20 degC; mm (degrees for angles)."""

    value: float
    u: float
    n: int
    at_us: int
    tz_min: int
    by: str
    instrument: str
    work_c: float | None
    moisture: float | None
    session_id: Id
    tool_feature_id: Id  # the version of the tool's feature that it was read against
    u_gauge: float = 0.0  # the part of u that all sizes read with the same gauge share
    certified: bool = True  # whether that part comes from a certificate

    @property
    def estimate(self) -> Estimate:
        """Value and standard uncertainty."""
        return Estimate(self.value, self.u)


class KitFacts:
    """Everything the questions about one job's kit need; read once, nothing is written here.

    Features are known by the oldest row that asks for the same size (`root`), so that readings outlive a drawing
    revision; cores and tools by the id of their first version. `drawn` gives the root that a row's feature has on the
    newest drawing, also where its size changed: for what was said of the feature. `until_us`: as the tools stood at
    that moment.
    """

    def __init__(self, record: Reader, job: Job, until_us: int | None = None) -> None:
        of = job.of_id
        if until_us is not None:
            job = record.job_at(of, until_us) or job
        self.record, self.job, self.until_us = record, job, until_us
        revisions = record.revisions(of)
        every = record.job_features(of)
        if until_us is not None:  # the drawing as it was then, too
            at = record.written_at(revision.id for revision in revisions)
            revisions = [revision for revision in revisions if at[revision.id] <= until_us] or revisions[:1]
        self.revision: DrawingRevision | None = revisions[-1] if revisions else None
        self.core_of = record.core_versions(of)
        self.lines = lineage.Lines(every, revisions, self.core_of)
        self.revisions, self.row = revisions, {f.id: f for f in every}
        self.root: dict[Id, Id] = {f.id: self.lines.first(f.id, limits=False) for f in every}
        latest = self.revision.id if self.revision else None
        self.features: list[Feature] = [f for f in every if f.revision_id == latest]
        self.feature: dict[Id, Feature] = {self.root[f.id]: f for f in self.features}  # by root, latest edition
        newest = {self.lines.feature(f.id): self.root[f.id] for f in self.features}
        self.drawn = {f.id: newest.get(self.lines.feature(f.id), self.root[f.id]) for f in every}
        self.balloon: dict[str, Feature] = {f.balloon: f for f in self.features}
        self.cores: list[Core] = record.cores(of)
        self.core: dict[Id, Core] = {c.of_id: c for c in self.cores}
        self.tools: list[Tool] = record.tools(of)
        self.tool_of = record.tool_versions(of)
        self.tool: dict[Id, Tool] = {t.of_id: t for t in self.tools}
        self.on_tool: dict[tuple[Id, Id], ToolFeature] = {}
        self.listed: dict[Id, list[Id]] = {}  # tool -> roots of what is measured on it
        for tool_feature in record.job_tool_features(of, until_us):
            tool, root = self.tool_of[tool_feature.tool_id], self.root.get(tool_feature.feature_id)
            if root is not None and root in self.feature:
                if (tool, root) not in self.on_tool:
                    self.listed.setdefault(tool, []).append(root)
                self.on_tool[tool, root] = tool_feature  # of two editions of the drawing the newer
        self.fits: list[Fit] = record.fits(of)
        self.details: dict[Id, CoreDetail] = record.core_details(of)
        self.tool_details: dict[Id, ToolDetail] = record.tool_details(of)
        self.worked_out: dict[str, Any] = {}  # what a room has made of these facts once, by its name

    @cached_property
    def mould_scale(self) -> dict[str, float]:
        """Axis -> mm in the mould for each mm of the casting, as planned for the job."""
        return {"x": 1.0 + self.job.a_x, "y": 1.0 + self.job.a_y, "z": 1.0 + self.job.a_z}

    @cached_property
    def rev(self) -> str | None:
        """The letter of the drawing as papers say it: with the day on which its typing errors were put right last."""
        if self.revision is None:
            return None
        made = lineage.corrections(self.record, self.job, self.revision)
        return f"{self.revision.rev}, corrected {made[0].day}" if made else self.revision.rev

    # ---------------------------------------------------------------- read when asked for
    def through(self, record: Reader) -> KitFacts:
        """The same facts; what is still to be read is asked through this connection."""
        same = copy(self)
        same.record = record
        same.__dict__.pop("evidence", None)  # it would ask through the old one
        return same

    @cached_property
    def evidence(self) -> Evidence:
        """What puts readings right, as it was known then."""
        return Evidence(self.record, until_us=self.until_us)

    def item_readings(self, item_ids: Iterable[Id]) -> list[ItemReading]:
        """Readings that count on castings or sand cores and say what their tools made, put right, oldest first."""
        return self.evidence.as_made(self.job, self.evidence.right(self.record.item_readings(item_ids)))

    def readings_now(self, item: Item) -> list[ItemReading]:
        """Those that say what a casting is now, also where it was reworked."""
        return self.evidence.as_it_is(self.job, self.evidence.right(self.record.item_readings([item.id])))

    @cached_property
    def lives(self) -> Lives:
        """Which life of a size on a tool a day lies in."""
        return Lives(self.record.tool_repairs(), lambda feature_id: self.drawn.get(feature_id, feature_id))

    @cached_property
    def states(self) -> dict[tuple[Id, Id], list[SizeState]]:
        """(tool, feature root) -> what each stay at the bench found, oldest first."""
        groups: dict[tuple[Id, Id, Id], list[ToolReading]] = {}
        for reading in self.evidence.right(self.record.tool_readings(self.job.of_id, self.until_us)):
            root = self.root.get(reading.feature_id)
            if root is not None:
                groups.setdefault((reading.tool_of_id, root, reading.session_id), []).append(reading)
        by_tool_and_root: dict[tuple[Id, Id], list[SizeState]] = {}
        for (tool, root, _), readings in groups.items():
            feature = self.feature.get(root)
            faces = faces_touched.u_rough(feature, self.tool.get(tool)) if feature else 0.0
            by_tool_and_root.setdefault((tool, root), []).append(_state(readings, faces))
        return by_tool_and_root

    @cached_property
    def read_against(self) -> dict[Id, ToolFeature]:
        """The versions of tools' features that readings were taken against, with their steps, by id."""
        read = self.record.tool_features_by_id(s.tool_feature_id for states in self.states.values() for s in states)
        if all(self.lines.put_right(version.feature_id) == version.feature_id for version in read.values()):
            return read
        tools = {self.tool_of[version.tool_id] for version in read.values()}
        return self.lines.versions([v for tool in tools for v in self.record.tool_features(tool, old=True)])

    def target_of(self, state: SizeState, root: Id) -> Estimate:
        """The size wanted when this was read: the feature's size through the steps of that day."""
        return chain.forward(chain.wanted(self.feature[root]), self.read_against[state.tool_feature_id].steps)

    @cached_property
    def parting(self) -> Parting | None:
        """The parting that was said last."""
        return of_job(self.record, self.job)

    @cached_property
    def core_bodies(self) -> dict[Id, tuple[CoreBody, ...]]:
        """The boxes that people gave for cores, by core."""
        return self.record.core_bodies(self.job.of_id)

    @cached_property
    def outline(self) -> MouldOutline | None:
        """The box round the casting in its mould, where somebody gave it."""
        return self.record.mould_outline(self.job.of_id)

    @cached_property
    def stacks(self) -> list[tuple[Stack, tuple[StackMember, ...]]]:
        """Loops that people wrote."""
        return self.record.stacks(self.job.of_id)

    @cached_property
    def passages(self) -> list[Passage]:
        """Derived characteristics."""
        return stated_passages(self.record, self.job.of_id)

    @cached_property
    def foundry(self) -> dict[str, tuple[Doubt, ...]]:
        """What the next casting leaves open in each size, by balloon. Cold: numpy."""
        from inspect_tui.shop.kit.foundry import doubts_of

        number_of = {version: self.core[of].number for version, of in self.core_of.items() if of in self.core}
        return doubts_of(self.job, self.features, number_of, self.fits, self.parting.axis if self.parting else "z")

    @cached_property
    def wear_of(self) -> dict[tuple[Id, Id], KeptTrend]:
        """(tool, feature root) -> how the tool wears, as the trends last said; empty for the past."""
        if self.until_us is not None:
            return {}
        kept = self.record.kept_trends(self.job.of_id)
        on_tools = [row for row in kept if row.source == "tool"]
        return {(row.tool_of_id, self.root.get(row.feature_id, row.feature_id)): row for row in on_tools}

    @cached_property
    def worn_tools(self) -> set[Id]:
        """Tools that something was counted on."""
        return {tool.of_id for tool in self.tools if self.record.tool_counts(tool.of_id)}

    @cached_property
    def shipments(self) -> list[tuple[Shipment, tuple[ShipmentLine, ...]]]:
        """What left and came back."""
        shipped = self.record.shipments(self.job.of_id)
        if self.until_us is None:
            return shipped
        at = self.record.written_at(s.id for s, _ in shipped)
        return [(s, lines) for s, lines in shipped if at[s.id] <= self.until_us]

    @cached_property
    def tool_notes(self) -> dict[Id, list[tuple[int, str]]]:
        """Tool -> (written at, text), oldest first."""
        notes: dict[Id, list[tuple[int, str]]] = {}
        for tool, at_us, text in self.record.tool_notes(self.job.of_id):
            if self.until_us is None or at_us <= self.until_us:
                notes.setdefault(tool, []).append((at_us, text))
        return notes

    # ---------------------------------------------------------------- cores and tools
    def number(self, core_of_id: Id | None) -> str:
        """A core's number as text; a core that is not in the job is `?`."""
        core = self.core.get(self.core_of.get(core_of_id or b"", b""))
        return str(core.number) if core else "?"

    @cached_property
    def by_number(self) -> dict[str, Id]:
        """The cores by their numbers as text."""
        return {str(core.number): core.of_id for core in self.cores}

    def tools_of(self, core_of_id: Id, kinds: Iterable[str] = CORE_TOOLS) -> list[Tool]:
        """The tools of a core, boxes first, then sticks; newest first within a kind."""
        wanted = list(kinds)
        mine = [t for t in self._by_core.get(core_of_id, ()) if t.kind in wanted]
        return sorted(mine, key=lambda t: wanted.index(t.kind))

    @cached_property
    def _by_core(self) -> dict[Id, list[Tool]]:
        by_core: dict[Id, list[Tool]] = {}
        for tool in reversed(self.tools):  # newest first
            if tool.core_id:
                by_core.setdefault(self.core_of.get(tool.core_id, b""), []).append(tool)
        return by_core

    def half_tools(self, half: str) -> list[Tool]:
        """The pattern tools of a mould half."""
        wanted = HALF_TOOLS[half]
        mine = [t for t in reversed(self.tools) if not t.core_id and t.kind in wanted]
        return sorted(mine, key=lambda t: wanted.index(t.kind))

    def box(self, core_of_id: Id) -> Tool | None:
        """The newest box (or production pattern) of a core."""
        return next(iter(self.tools_of(core_of_id, ("core_box", "production_pattern"))), None)

    def stick(self, core_of_id: Id) -> Tool | None:
        """The newest stick of a core."""
        return next(iter(self.tools_of(core_of_id, ("core_stick",))), None)

    # ---------------------------------------------------------------- sizes
    def now(self, tool: Tool, root: Id) -> SizeState | None:
        """The size as the tool stands: of the last stay at the bench that read it."""
        states = self.states.get((tool.of_id, root))
        return states[-1] if states else None

    def sizes_on(self, tool: Tool, root: Id) -> Sizes | None:
        """Target and band of a feature on a tool; None where it is not measured there."""
        on = self.on_tool.get((tool.of_id, root))
        if on is None:
            return None
        return sizes(self.job, self.feature[root], Subject(tool.label, tool=tool), on)

    def maker_size(
        self, root: Id, core_of_id: Id | None, half: str | None
    ) -> tuple[Estimate | None, Tool | None, SizeState | None]:
        """What a tooling-scale size of a core or mould half measures now, through the tool that makes it.

        The box speaks before the stick, a stick's size through its resin contraction; None where nobody measured.
        """
        tools = self.tools_of(core_of_id) if core_of_id else self.half_tools(half or "drag")
        tools += [t for t in self._read_on.get(root, ()) if t not in tools]
        first = next((t for t in tools if (t.of_id, root) in self.on_tool), None)
        for tool in tools:
            state, on = self.now(tool, root), self.on_tool.get((tool.of_id, root))
            if state is None or on is None:
                continue
            size = chain.back(state.value, state.u, on.steps) if on.steps else state.estimate
            return size, tool, state
        return None, first, None

    @cached_property
    def _read_on(self) -> dict[Id, list[Tool]]:
        by_root: dict[Id, list[Tool]] = {}
        for tool, root in self.states:
            by_root.setdefault(root, []).append(self.tool[tool])
        return by_root

    def changed_since(self, tool: Tool, state: SizeState) -> str | None:
        """The last note on a tool that is younger than this reading: the tool may no longer be what was measured."""
        later = [text for at_us, text in self.tool_notes.get(tool.of_id, ()) if at_us > state.at_us]
        return later[-1] if later else None


def stated_passages(record: Reader, job_of_id: Id) -> list[Passage]:
    """The passages of a job, each with the points of the law that its customer stated around its formula."""
    said = record.passages(job_of_id)
    points = record.passage_points(passage.id for passage in said)
    return [
        replace(passage, formula=around(passage.formula, [(p.area_mm2, p.flow) for p in points[passage.id]]))
        if passage.id in points
        else passage
        for passage in said
    ]


def _state(readings: list[ToolReading], u_faces: float) -> SizeState:
    last = readings[-1]
    step = last.resolution * (25.4 if last.unit == "in" else 1.0)
    values = [reading.value for reading in readings]
    n, mean = len(values), sum(values) / len(values)
    return SizeState(
        value=mean,
        u=reading_u(values, last.u95_mm, last.k, step, hypot(last.u_right, u_faces)),
        n=n,
        at_us=last.at_us,
        tz_min=last.tz_min,
        by=last.by,
        instrument=last.instrument,
        work_c=last.work_c,
        moisture=last.moisture,
        session_id=last.session_id,
        tool_feature_id=last.tool_feature_id,
        u_gauge=reading_u([values[-1]], last.u95_mm, last.k, 0.0, last.u_right),
        certified=last.u95_mm is not None,
    )


def reading_u(
    values: list[float], u95_mm: float | None, k: float | None, resolution_mm: float, u_right: float = 0.0
) -> float:
    """Standard uncertainty of the mean of readings, mm: certificate, resolution, their scatter, what put them right.

    Source: JCGM 100. `u_right` is shared by all of them, as is what their rough faces leave open.
    """
    n = len(values)
    u_cal = (u95_mm if u95_mm is not None else DEFAULT_U95) / (k or 2.0)
    scatter = resolution_mm / sqrt(12.0)
    if n > 1:
        mean = sum(values) / n
        scatter = max(scatter, sqrt(sum((v - mean) ** 2 for v in values) / (n - 1)))
    return hypot(u_cal, u_right, scatter / sqrt(n))


def end_of_day(day: str, tz_min: int = 0) -> int:
    """Microseconds UTC of the end of a day (ISO date) on a clock `tz_min` minutes east of UTC."""
    try:
        start = datetime.fromisoformat(day).replace(tzinfo=UTC)
    except ValueError:
        raise DataError(f"'{day}' is no date such as 2026-03-31") from None
    return int((start + timedelta(days=1) - timedelta(minutes=tz_min)).timestamp() * 1e6) - 1
