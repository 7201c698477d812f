"""A record that many hands measured for: sizes of tools and castings, read by six people with five calipers by turns."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np

from inspect_tui.metrology.sizes import chain
from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.trends import ToolCount
from inspect_tui.model.words import Id
from inspect_tui.model.work import Core, DrawingRevision, End, Feature, Item, Job, Tool, ToolFeature
from inspect_tui.record.store import Record

START = date(2025, 1, 6)
GAUGES, PEOPLE = 5, 6


@dataclass
class ManyHands:
    """Job M-1: `boxes` core boxes with so many sizes each, and so many sizes of castings. Readings in mm."""

    record: Record
    boxes: int = 4
    of_each: int = 10
    of_castings: int = 39

    def __post_init__(self) -> None:
        add, add_all = self.record.add, self.record.add_all
        self.people = [add(Person(initials="P0", role="lead"))]
        self.by = self.people[0].id
        self.people += [add(Person(initials=f"P{i}"), self.by) for i in range(1, PEOPLE)]
        self.gauges = [add(Instrument(label=f"caliper G{i}", range_hi=1000.0), self.by) for i in range(GAUGES)]
        for gauge in self.gauges:
            add(Calibration(instrument_of_id=gauge.of_id, done_on="2024-12-02", u95_mm=0.04), self.by)
        self.job = add(Job(number="M-1", name="many", a_x=0.01, a_y=0.01, a_z=0.01), self.by)
        self.drawing = add(DrawingRevision(job_of_id=self.job.of_id, number="M-1", rev="A"), self.by)
        self.tools: list[Tool] = []
        self.on_tool: list[tuple[Tool, Feature, ToolFeature]] = []
        for k in range(self.boxes):
            core = add(Core(job_of_id=self.job.of_id, number=k + 1, name=f"core {k + 1}"), self.by)
            box = add(Tool(job_of_id=self.job.of_id, kind="core_box", label=f"box {k + 1}", core_id=core.id), self.by)
            self.tools.append(box)
            ends = (End(which="A", core_id=core.id, facing=1), End(which="B", core_id=core.id, facing=-1))
            wide = add_all([self._feature(f"B{k + 1}{n:02}", 40.0 + 7 * n, ends) for n in range(self.of_each)], self.by)
            made = add_all(
                [
                    ToolFeature(
                        tool_id=box.id, feature_id=f.id, sense="space", steps=chain.plan_steps(f, box, self.job)
                    )
                    for f in wide
                ],
                self.by,
            )
            self.on_tool += [(box, f, there) for f, there in zip(wide, made, strict=True)]
        drag = (End(which="A", half="drag", facing=-1), End(which="B", half="drag", facing=1))
        self.cast = add_all([self._feature(f"C{n:02}", 30.0 + 9 * n, drag) for n in range(self.of_castings)], self.by)
        self.items: dict[int, Item] = {}
        self.setups: dict[tuple[int, int, int], Setup] = {}

    def _feature(self, balloon: str, size: float, ends: tuple[End, ...]) -> Feature:
        return Feature(
            revision_id=self.drawing.id,
            balloon=balloon,
            name=f"width {balloon}",
            axis="x",
            nominal=size,
            lower=size - 0.8,
            upper=size + 0.8,
            ends=ends,
        )

    # ---------------------------------------------------------------- reading
    def read(self, visits: list[tuple[int, int, int, int, float]]) -> list[Reading]:
        """Visits as (size, day, gauge, person, value); sizes are those on tools, then those of the castings."""
        visits = sorted(visits, key=lambda visit: visit[1])
        self._setups({visit[1:4] for visit in visits})
        self._items({visit[1] for visit in visits if visit[0] >= len(self.on_tool)})
        return self.record.append_readings([self._reading(*visit) for visit in visits])

    def _reading(self, size: int, day: int, gauge: int, person: int, value: float) -> Reading:
        setup, value = self.setups[day, gauge, person].id, round(value, 3)
        if size < len(self.on_tool):
            tool, feature, there = self.on_tool[size]
            on: dict[str, Id] = {"tool_id": tool.id, "tool_feature_id": there.id}
        else:
            feature, on = self.cast[size - len(self.on_tool)], {"item_id": self.items[day].id}
        return Reading(setup_id=setup, feature_id=feature.id, value=value, typed=f"{value}", **on)

    def _setups(self, wanted: set[tuple[int, int, int]]) -> None:
        """A session and a setup for each day, gauge and person that has none yet."""
        new, things = sorted(wanted - self.setups.keys()), []
        for day, gauge, person in new:
            session = Session(id=self.record.new_id(), job_of_id=self.job.of_id)
            setup = Setup(
                id=self.record.new_id(),
                session_id=session.id,
                person_id=self.people[person].id,
                instrument_id=self.gauges[gauge].id,
                on_date=(START + timedelta(days=day)).isoformat(),
            )
            self.setups[day, gauge, person] = setup
            things += [session, setup]
        self.record.add_all(things, by=self.by)

    def _items(self, days: set[int]) -> None:
        """A casting for each day that has none yet."""
        new = sorted(days - self.items.keys())
        made = [Item(id=self.record.new_id(), job_of_id=self.job.of_id, serial=f"C{day + 1:03}") for day in new]
        self.items |= dict(zip(new, self.record.add_all(made, by=self.by), strict=True))

    def count(self, days: int, a_day: int = 30) -> None:
        """All boxes are counted every day."""
        self.record.add_all(
            [
                ToolCount(tool_of_id=tool.of_id, count=a_day * day, on_date=(START + timedelta(days=day)).isoformat())
                for tool in self.tools
                for day in range(days)
            ],
            by=self.by,
        )

    @property
    def sizes(self) -> int:
        """How many sizes there are, on tools and castings."""
        return len(self.on_tool) + len(self.cast)


def by_turns(
    sizes: int, seed: int, gauge: float = 0.0, person: float = 0.0, *, visits: int = 12, days: int = 60
) -> list[tuple[int, int, int, int, float]]:
    """Invented: every size read on some days; G0 reads `gauge` more and P1 `person` more than all others, mm."""
    rng = np.random.default_rng(seed)
    of_day, shift_of = rng.normal(0, 0.002, days), rng.integers(0, PEOPLE, days)
    taken = []
    for size in range(sizes):
        level, wear, wide = rng.uniform(20, 400), abs(rng.normal(0, 0.001)), rng.uniform(0.6, 1.6)
        for day in np.sort(rng.choice(days, visits, replace=False)).tolist():
            p = int(shift_of[day]) if rng.random() < 0.5 else int(rng.integers(0, PEOPLE))
            g = p % GAUGES if rng.random() < 0.3 else int(rng.integers(0, GAUGES))
            value = level + wear * day + rng.normal(0, 0.024 * wide) + of_day[day]
            taken.append((size, day, g, p, float(value + gauge * (g == 0) + person * (p == 1))))
    return taken


def changed_for_good(
    sizes: int, seed: int, off: float, *, share: float = 0.0, days: int = 60, rate: float = 0.0005
) -> list[tuple[int, int, int, int, float]]:
    """Invented: boxes that wear, read every other day by one person; from half-time on with G1, which reads `off` more.

    From then on all sizes are larger by `share` of themselves.
    """
    rng = np.random.default_rng(seed)
    taken = []
    for size in range(sizes):
        wear = abs(rng.normal(0, rate))
        for day in range(0, days, 2):
            g = int(day >= days // 2)
            nominal = 40.0 + 7 * (size % 6)
            value = (1.01 + share * g) * nominal + wear * day + rng.normal(0, 0.02) + off * g
            taken.append((size, day, g, 0, float(value)))
    return taken


def shop(path: Path, **how: int) -> ManyHands:
    """A record of its own, with a clock of its own."""
    clock = datetime(2025, 12, 1, 8, tzinfo=UTC)

    def now() -> tuple[int, int]:
        nonlocal clock
        clock += timedelta(milliseconds=5)
        return round(clock.timestamp() * 1e6), 0

    return ManyHands(Record.open(path, create=True, clock=now, state_dir=path.parent), **how)
