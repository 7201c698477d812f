"""Invented kits for tests: cores that sit in each other, their boxes and prints, readings on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import count

from inspect_tui.model.kit import CoreDetail, Fit
from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Item, Job, JobState, Lot, Tool, ToolFeature
from inspect_tui.record.store import Record
from inspect_tui.shop.jobs.file.plan import tool_feature


@dataclass
class Kit:
    """A job under construction, by the names that people use."""

    record: Record
    job: Job
    revision: DrawingRevision
    person: Person
    caliper: Instrument
    calibration: Calibration
    core: dict[int, Core] = field(default_factory=dict)
    tool: dict[str, Tool] = field(default_factory=dict)
    feature: dict[str, Feature] = field(default_factory=dict)
    on: dict[tuple[str, str], ToolFeature] = field(default_factory=dict)
    fit: dict[str, Fit] = field(default_factory=dict)
    _order: count = field(default_factory=lambda: count(1))

    # ---------------------------------------------------------------- things
    def add_core(self, number: int, name: str = "", **more: object) -> Core:
        made = self.record.new_id()
        core = Core(id=made, of_id=made, job_of_id=self.job.of_id, number=number, name=name or f"core {number}", **more)
        self.core[number] = self.record.add(core)
        return self.core[number]

    def add_tool(self, label: str, kind: str, core: int | None = None, **more: object) -> Tool:
        made = self.record.new_id()
        tool = Tool(
            id=made,
            of_id=made,
            job_of_id=self.job.of_id,
            kind=kind,
            label=label,
            core_id=self.core[core].id if core else None,
            **more,
        )
        self.tool[label] = self.record.add(tool)
        return self.tool[label]

    def end(self, which: str, part: str | int, facing: int, coord: float | None = None) -> End:
        half = part if isinstance(part, str) else None
        return End(
            which=which, half=half, core_id=None if half else self.core[int(part)].id, facing=facing, coord_mm=coord
        )

    def add_feature(
        self,
        balloon: str,
        axis: str,
        nominal: float,
        a: tuple[str | int, int, float | None],
        b: tuple[str | int, int, float | None],
        tools: tuple[str, ...] = (),
        lower: float | None = None,
        upper: float | None = None,
        **more: object,
    ) -> Feature:
        feature = self.record.add(
            Feature(
                revision_id=self.revision.id,
                balloon=balloon,
                name=str(more.pop("name", f"size {balloon}")),
                axis=axis,
                nominal=nominal,
                lower=lower,
                upper=upper,
                ord=next(self._order),
                ends=(self.end("A", *a), self.end("B", *b)),
                **more,
            )
        )
        self.feature[balloon] = feature
        for label in tools:
            self.on[label, balloon] = self.record.add(tool_feature(self.job, feature, self.tool[label]))
        return feature

    def size(
        self,
        balloon: str,
        part: str | int,
        size: float,
        tools: tuple[str, ...],
        axis: str = "x",
        between: str = "metal",
        band: float = 0.2,
    ) -> Feature:
        """A print, key or seat at tooling scale."""
        low, high = (-1, 1) if between == "metal" else (1, -1)
        return self.add_feature(
            balloon,
            axis,
            size,
            (part, low, None),
            (part, high, None),
            tools,
            size - band,
            size + band,
            scale="tool",
            quantity="width",
        )

    def add_fit(self, label: str, inner: int, outer: str | int, **more: object) -> Fit:
        made = self.record.new_id()
        given = {"clear_min_mm": 0.3, "clear_max_mm": 0.7, **more}
        fit = Fit(
            id=made,
            of_id=made,
            job_of_id=self.job.of_id,
            label=label,
            inner_core_id=self.core[inner].of_id,
            outer_core_id=self.core[outer].of_id if isinstance(outer, int) else None,
            outer_half=outer if isinstance(outer, str) else None,
            **given,
        )
        self.fit[fit.name] = self.record.add(fit)
        return self.fit[fit.name]

    def print_and_seat(
        self, label: str, inner: int, outer: str | int, print_mm: float, seat_mm: float, axis: str = "x", **more: object
    ) -> Fit:
        """A fit with a size on both sides, read on nothing yet."""
        inner_tools = tuple(t for t in (f"stick {inner}", f"box {inner}") if t in self.tool)
        outer_tools = (
            ("drag pattern",)
            if outer == "drag"
            else ("cope pattern",)
            if outer == "cope"
            else tuple(t for t in (f"stick {outer}", f"box {outer}") if t in self.tool)
        )
        male = self.size(f"{label}-P", inner, print_mm, inner_tools, axis)
        between = "metal" if isinstance(outer, str) else "space"
        female = self.size(f"{label}-S", outer, seat_mm, outer_tools, axis, between)
        return self.add_fit(
            label, inner, outer, inner_feature_id=male.id, outer_feature_id=female.id, axis=axis, **more
        )

    # ---------------------------------------------------------------- readings
    def read(self, on: str | Item, sizes: Mapping[str, float], **setup: object) -> None:
        """One stay at the bench on a tool or an item."""
        session = self.record.add(Session(job_of_id=self.job.of_id, revision_id=self.revision.id))
        with_ = self.record.add(
            Setup(
                session_id=session.id,
                person_id=self.person.id,
                instrument_id=self.caliper.id,
                calibration_id=self.calibration.id,
                **setup,
            )
        )
        for balloon, value in sizes.items():
            where = (
                {"item_id": on.id}
                if isinstance(on, Item)
                else {"tool_id": self.tool[on].id, "tool_feature_id": self.on[on, balloon].id}
            )
            self.record.append_reading(
                Reading(
                    setup_id=with_.id, feature_id=self.feature[balloon].id, value=value, typed=f"{value:g}", **where
                )
            )

    def casting(self, serial: str, lot: str | None = None) -> Item:
        lot_id = self.record.add(Lot(job_of_id=self.job.of_id, label=lot)).id if lot else None
        return self.record.add(Item(job_of_id=self.job.of_id, serial=serial, lot_id=lot_id))

    def detail(self, core: int, **more: object) -> CoreDetail:
        return self.record.add(CoreDetail(core_of_id=self.core[core].of_id, **more))


def begin(record: Record, number: str = "TK-1", a: float = 0.01, rule: str = "proof95") -> Kit:
    """An empty job with a person and a calibrated caliper."""
    person = record.add(Person(initials="TK", name=None))
    caliper = record.add(Instrument(label=f"caliper of {number}", unit="mm", resolution=0.01, range_hi=1000.0))
    calibration = record.add(
        Calibration(instrument_of_id=caliper.of_id, done_on="2026-01-05", due_on="2030-01-05", u95_mm=0.04, k=2.0)
    )
    made = record.new_id()
    job = record.add(
        Job(
            id=made,
            of_id=made,
            number=number,
            name="a kit",
            alloy="grey iron",
            a_x=a,
            a_y=a,
            a_z=a,
            ua_x=0.0015,
            ua_y=0.0015,
            ua_z=0.0015,
            rule=rule,
        )
    )
    record.add(JobState(job_id=made))
    revision = record.add(DrawingRevision(job_of_id=made, number=number, rev="A"))
    return Kit(record=record, job=job, revision=revision, person=person, caliper=caliper, calibration=calibration)


def with_patterns(kit: Kit) -> Kit:
    kit.add_tool("drag pattern", "pattern_drag", material="mahogany")
    kit.add_tool("cope pattern", "pattern_cope", material="mahogany")
    return kit


def two_cores(record: Record, **changes: object) -> Kit:
    """Core 1 in the drag, core 2 on core 1, both boxes made, prints and seats drawn, a wall between the cores."""
    kit = with_patterns(begin(record, **changes))
    for number in (1, 2):
        kit.add_core(number, set_order=number, volume_dm3=2.0)
        kit.add_tool(f"stick {number}", "core_stick", number, material="mahogany")
        kit.add_tool(
            f"box {number}", "core_box", number, material="tooling resin", made_from_id=kit.tool[f"stick {number}"].id
        )
    kit.print_and_seat("K1", 1, "drag", 60.0, 60.5, "x", holds="x,y,z,rx,ry,rz", at_x=0.0, at_y=0.0, at_z=0.0)
    kit.print_and_seat("K2", 2, 1, 40.0, 40.5, "x", holds="x,y,z,rx,ry,rz", at_x=0.0, at_y=0.0, at_z=50.0)
    kit.add_feature(
        "F1", "x", 8.0, (1, -1, 20.0), (2, 1, 28.0), (), 7.0, 9.0, name="wall between the cores", quantity="wall"
    )
    return kit


def many_cores(record: Record, cores: int, step: float = 3.1) -> Kit:
    """A kit of that many cores: a few in the drag, the others on them, all prints and seats read; for speed.

    Prints grow by `step` from core to core: below 2.5 mm each goes into its neighbours' seats.
    """
    kit = with_patterns(begin(record, "MANY"))
    for n in range(1, cores + 1):
        kit.add_core(n, set_order=n, volume_dm3=1.0)
        kit.add_tool(f"box {n}", "core_box", n, material="tooling resin")
    reads: dict[str, dict[str, float]] = {}
    for n in range(1, cores + 1):
        outer: str | int = "drag" if n <= 4 else n - 4
        place = (60.0 * n, 30.0 * (n % 5), 20.0 * (n // 4))
        for k, side in enumerate((-1, 1), start=1):
            label = f"K{n}.{k}"
            size = 30.0 + step * n
            kit.print_and_seat(
                label,
                n,
                outer,
                size,
                size + 0.5,
                "xy"[k - 1],
                holds="x,y,z,rx,ry,rz",
                at_x=place[0] + 20 * side,
                at_y=place[1],
                at_z=place[2],
            )
            reads.setdefault(f"box {n}", {})[f"{label}-P"] = size
            reads.setdefault("drag pattern" if outer == "drag" else f"box {outer}", {})[f"{label}-S"] = size + 0.5
        kit.add_feature(
            f"F{n}",
            "x",
            8.0,
            ("drag" if n == 1 else n - 1, -1, 20.0 * n),
            (n, 1, 20.0 * n + 8.0),
            (),
            7.0,
            9.0,
            quantity="wall",
        )
        kit.add_feature(f"W{n}", "y", 30.0, (n, 1, 0.0), (n, -1, 30.0), (f"box {n}",), 29.5, 30.5)
        reads[f"box {n}"][f"W{n}"] = 30.3
        kit.detail(n, in_metal_dm3=0.2)
    for label, sizes in reads.items():
        kit.read(label, sizes)
    return kit
