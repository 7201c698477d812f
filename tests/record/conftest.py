"""A small furnished record for the tests of the record."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from inspect_tui.model.measuring import Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import ChainStep, Core, DrawingRevision, End, Feature, Item, Job, Tool, ToolFeature
from inspect_tui.record.store import Record


@dataclass
class Bench:
    """A record with one job, two features, a stick and a casting."""

    record: Record
    person: Person
    job: Job
    revision: DrawingRevision
    core: Core
    features: list[Feature]
    tool: Tool
    tool_features: list[ToolFeature]
    instrument: Instrument
    item: Item
    session: Session
    setup: Setup

    def reading(self, value: float = 59.66, feature: int = 0, **changes: object) -> Reading:
        plain = Reading(
            setup_id=self.setup.id,
            feature_id=self.features[feature].id,
            tool_id=self.tool.id,
            tool_feature_id=self.tool_features[feature].id,
            value=value,
            typed=f"{value:g}",
        )
        return replace(plain, **changes)

    def on_item(self, value: float = 59.0, feature: int = 0, **changes: object) -> Reading:
        on_casting = {"item_id": self.item.id, "tool_id": None, "tool_feature_id": None}
        return self.reading(value, feature, **on_casting | changes)

    def log(self, value: float = 59.66, feature: int = 0, **changes: object) -> Reading:
        return self.record.append_reading(self.reading(value, feature, **changes))


def furnish(record: Record) -> Bench:
    """Write the small job into an empty record."""
    jm = record.add(Person(initials="JM", name="J. M."))
    job = record.add(Job(number="4711", name="manifold", alloy="ductile iron", a_x=0.01, a_y=0.01, a_z=0.01), jm.id)
    revision = record.add(DrawingRevision(job_of_id=job.of_id, number="D-100", rev="A", issued_on="2025-03-31"), jm.id)
    core = record.add(Core(job_of_id=job.of_id, number=3, name="port core"), jm.id)
    features = [
        record.add(
            Feature(
                revision_id=revision.id,
                balloon=f"F{n}",
                name=f"port width {n}",
                nominal=59.0 + n,
                lower=58.2 + n,
                upper=59.8 + n,
                ord=n,
                ends=(End(which="A", core_id=core.id, facing=-1), End(which="B", core_id=core.id, stock_mm=1.5)),
            ),
            jm.id,
        )
        for n in (1, 2)
    ]
    tool = record.add(Tool(job_of_id=job.of_id, kind="core_stick", label="stick 3", core_id=core.id), jm.id)
    tool_features = [
        record.add(
            ToolFeature(
                tool_id=tool.id,
                feature_id=feature.id,
                sense="metal",
                steps=(
                    ChainStep(ord=1, kind="stock", offset_mm=-3.0, source="drawing"),
                    ChainStep(ord=2, kind="contraction", scale=1.01, u=0.001, source="job"),
                ),
            ),
            jm.id,
        )
        for feature in features
    ]
    instrument = record.add(Instrument(label="caliper 2"), jm.id)
    item = record.add(Item(job_of_id=job.of_id, serial="C-001"), jm.id)
    session = record.add(Session(job_of_id=job.of_id, revision_id=revision.id), jm.id)
    setup = record.add(Setup(session_id=session.id, person_id=jm.id, instrument_id=instrument.id, work_c=21.5), jm.id)
    return Bench(
        record=record,
        person=jm,
        job=job,
        revision=revision,
        core=core,
        features=features,
        tool=tool,
        tool_features=tool_features,
        instrument=instrument,
        item=item,
        session=session,
        setup=setup,
    )


@pytest.fixture(autouse=True)
def _state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What this machine remembers stays inside the test."""
    monkeypatch.setenv("INSPECT_TUI_STATE", str(tmp_path / "state"))


@pytest.fixture
def bench(tmp_path: Path):
    record = Record.open(tmp_path / "bench.db", create=True)
    yield furnish(record)
    record.close()
