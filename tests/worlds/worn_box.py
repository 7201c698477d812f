"""A record in which a box wears as it is told to: days, counts, lots, readings on the box, on sample cores, on castings."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random

from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.model.kit import Fit
from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.trends import ToolCount, ToolRepair
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Item, Job, Lot, Tool, ToolFeature
from inspect_tui.record.store import Record
from inspect_tui.shop.trends.job_view import JobView
from inspect_tui.shop.trends.trend import Trend, trend

START = date(2024, 1, 1)


class Clock:
    """The wall clock, set by hand."""

    def __init__(self) -> None:
        self.at = datetime(2024, 1, 1, 7, 0, tzinfo=UTC)

    def __call__(self) -> tuple[int, int]:
        self.at += timedelta(milliseconds=25)
        return round(self.at.timestamp() * 1e6), 0


class WornBox:
    """Job W-1: core 1 (width W on x, height H on z, outlet place P on x), core 2 carries it; patterns drag and cope."""

    def __init__(self, path: Path, rule: str = "plain") -> None:
        self.clock = Clock()
        self.record = Record.open(path, create=True, clock=self.clock)
        add = self.record.add
        self.ab = add(Person(initials="AB", role="lead"))
        self.cd = add(Person(initials="CD"), self.ab.id)
        self.caliper = add(Instrument(label="caliper 1", range_hi=1000.0), self.ab.id)
        add(Calibration(instrument_of_id=self.caliper.of_id, done_on="2023-12-04", u95_mm=0.04), self.ab.id)
        self.job = add(
            Job(number="W-1", name="body", rule=rule, a_x=0.01, a_y=0.01, a_z=0.01, ua_x=0.001, ua_y=0.001, ua_z=0.001),
            self.ab.id,
        )
        self.drawing = add(DrawingRevision(job_of_id=self.job.of_id, number="W-1", rev="A"), self.ab.id)
        self.core = add(Core(job_of_id=self.job.of_id, number=1, name="passage"), self.ab.id)
        self.seat_core = add(Core(job_of_id=self.job.of_id, number=2, name="locator", makes_surface=False), self.ab.id)
        job, core = self.job.of_id, self.core.id
        self.box = add(Tool(job_of_id=job, kind="core_box", label="box 1", core_id=core), self.ab.id)
        self.box2 = add(Tool(job_of_id=job, kind="core_box", label="box 2", core_id=self.seat_core.id), self.ab.id)
        self.drag = add(Tool(job_of_id=job, kind="pattern_drag", label="drag pattern"), self.ab.id)
        self.features: dict[str, Feature] = {}
        space = (
            End(which="A", core_id=core, facing=1, coord_mm=30.0),
            End(which="B", core_id=core, facing=-1, coord_mm=110.0),
        )
        self._feature("W", "width", "x", 80.0, space)
        self._feature(
            "H", "height", "z", 60.0, (End(which="A", core_id=core, facing=1), End(which="B", core_id=core, facing=-1))
        )
        self._feature(
            "P",
            "outlet place",
            "x",
            70.0,
            (
                End(which="A", half="drag", facing=1, coord_mm=0.0),
                End(which="B", core_id=core, facing=1, coord_mm=70.0),
            ),
            quantity="position",
        )
        self._feature(
            "L",
            "overall length",
            "x",
            400.0,
            (
                End(which="A", half="drag", facing=-1, coord_mm=0.0),
                End(which="B", half="drag", facing=1, coord_mm=400.0),
            ),
        )
        for name, end, low in (("A", 30.0, 24.0), ("B", 110.0, 110.0)):
            ends = (
                (
                    End(which="A", half="drag", facing=-1, coord_mm=low),
                    End(which="B", core_id=core, facing=1, coord_mm=end),
                )
                if name == "A"
                else (
                    End(which="A", core_id=core, facing=-1, coord_mm=end),
                    End(which="B", half="drag", facing=1, coord_mm=116.0),
                )
            )
            self._feature(f"T{name}", f"wall {name}", "x", 6.0, ends, quantity="wall")
        self._feature(
            "S",
            "seat of core 1",
            "x",
            40.0,
            (
                End(which="A", core_id=self.seat_core.id, facing=1),
                End(which="B", core_id=self.seat_core.id, facing=-1),
            ),
            scale="tool",
            band=0.1,
        )
        add(
            Fit(
                job_of_id=job,
                label="K1",
                kind="print",
                inner_core_id=core,
                outer_core_id=self.seat_core.id,
                outer_feature_id=self.features["S"].id,
                axis="x",
                way_in="z-",
                clear_min_mm=0.2,
                clear_max_mm=0.6,
                band_source="drawing",
            ),
            self.ab.id,
        )
        self.on: dict[tuple[str, str], ToolFeature] = {}
        for tool, names in ((self.box, "WH"), (self.drag, "L"), (self.box2, "S")):
            for name in names:
                one = self.features[name]
                made = add(
                    ToolFeature(
                        tool_id=tool.id,
                        feature_id=one.id,
                        sense=chain.sense_on(one, tool),
                        steps=chain.plan_steps(one, tool, self.job),
                    ),
                    self.ab.id,
                )
                self.on[tool.label, name] = made
        self.lots: dict[str, Lot] = {}

    def _feature(
        self,
        balloon: str,
        name: str,
        axis: str,
        size: float,
        ends: tuple[End, ...],
        *,
        quantity: str = "length",
        scale: str = "cast",
        band: float = 0.6,
    ) -> None:
        self.features[balloon] = self.record.add(
            Feature(
                revision_id=self.drawing.id,
                balloon=balloon,
                name=name,
                quantity=quantity,
                axis=axis,
                nominal=size,
                lower=size - band,
                upper=size + band,
                ends=ends,
                scale=scale,
                ord=len(self.features),
            ),
            self.ab.id,
        )

    # ---------------------------------------------------------------- what happens
    def go(self, day: date | str, hour: int = 9) -> str:
        """It is that day; the ISO date of it."""
        day = date.fromisoformat(day) if isinstance(day, str) else day
        self.clock.at = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
        return day.isoformat()

    def _setup(self, by: Person | None = None) -> Setup:
        session = self.record.add(Session(job_of_id=self.job.of_id), self.ab.id)
        return self.record.add(
            Setup(session_id=session.id, person_id=(by or self.ab).id, instrument_id=self.caliper.id), self.ab.id
        )

    def read(self, value: float, name: str = "W", tool: Tool | None = None, by: Person | None = None) -> Reading:
        """A reading on the box now."""
        tool = tool or self.box
        return self.record.append_reading(
            Reading(
                setup_id=self._setup(by).id,
                feature_id=self.features[name].id,
                tool_id=tool.id,
                tool_feature_id=self.on[tool.label, name].id,
                value=round(value, 2),
                typed=f"{value:.2f}",
            )
        )

    def item(self, value: float, name: str, kind: str, lot: str | None = None, cavity: str | None = None) -> Item:
        """A sample core or a casting, measured now."""
        serial = f"{kind}-{len(self.record.items(self.job.of_id)) + 1}"
        item = self.record.add(
            Item(
                job_of_id=self.job.of_id,
                kind=kind,
                serial=serial,
                lot_id=self.lots[lot].id if lot else None,
                core_id=self.core.id if kind == "core" else None,
                cavity=cavity,
            ),
            self.ab.id,
        )
        self.record.append_reading(
            Reading(
                setup_id=self._setup().id,
                feature_id=self.features[name].id,
                item_id=item.id,
                value=round(value, 2),
                typed=f"{value:.2f}",
            )
        )
        return item

    def also(self, item: Item, value: float, name: str) -> None:
        """Another size of an item."""
        self.record.append_reading(
            Reading(
                setup_id=self._setup().id,
                feature_id=self.features[name].id,
                item_id=item.id,
                value=round(value, 2),
                typed=f"{value:.2f}",
            )
        )

    def lot(self, label: str, poured_on: str, quantity: int | None = 40) -> Lot:
        """A lot of castings."""
        self.lots[label] = self.record.add(
            Lot(job_of_id=self.job.of_id, label=label, poured_on=poured_on, quantity=quantity), self.ab.id
        )
        return self.lots[label]

    def count(self, number: int, on: str, way: str = "total", tool: Tool | None = None) -> ToolCount:
        """A count as the record takes it."""
        return self.record.add(
            ToolCount(tool_of_id=(tool or self.box).of_id, way=way, count=number, on_date=on), self.ab.id
        )

    def repair(self, on: str, at: int | None = None, name: str | None = None, **more: object) -> ToolRepair:
        """A repair as the record takes it."""
        tool = more.pop("tool", self.box)
        assert isinstance(tool, Tool)
        return self.record.add(
            ToolRepair(
                tool_of_id=tool.of_id,
                done_on=on,
                at_count=at,
                what="lined",
                action="line",
                feature_id=self.features[name].id if name else None,
                **more,  # type: ignore[arg-type]
            ),
            self.ab.id,
        )

    def wear(
        self,
        weeks: int,
        rate: float = 0.03e-3,
        start: float = 80.80,
        seed: int = 1,
        first_week: int = 0,
        per_week: int = 200,
        sd: float = 0.02,
        name: str = "W",
        base: int = 0,
    ) -> None:
        """The box is counted and measured every week; the size grows with what was made since `base`."""
        rng = Random(seed)
        for week in range(first_week, first_week + weeks):
            day = self.go(START + timedelta(weeks=week))
            made = per_week * week
            self.count(made, day)
            self.read(start + rate * (made - base) + rng.gauss(0.0, sd), name)

    # ---------------------------------------------------------------- looking
    @property
    def view(self) -> JobView:
        """The job as the record has it now."""
        return JobView(self.record, self.record.job(self.job.of_id))

    def trend(self, name: str = "W", tool: Tool | str | None = "box", style: Style = MM, **more: object) -> Trend:
        """The trend of a size as the record has it now."""
        on = self.box if tool == "box" else tool
        assert on is None or isinstance(on, Tool)
        view = JobView(self.record, self.record.job(self.job.of_id), style)
        return trend(view, view.feature(name), on, **more)  # type: ignore[arg-type]
