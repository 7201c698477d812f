"""Logs series of readings of the small shop straight into its record, with whom and what the test wants."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Feature, Item, Job, Lot
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.feature import material as feature_data
from inspect_tui.shop.feature.material import Pick
from tests.conftest import SmallShop


@dataclass
class Measured:
    """The small shop with series of readings on feature F1."""

    shop: SmallShop
    balloon: str = "F1"
    serials: int = field(default=0)

    @property
    def record(self) -> Record:
        return self.shop.record

    @property
    def job(self) -> Job:
        return find.job(self.record, "SV-12")

    @property
    def feature(self) -> Feature:
        revision = find.latest_revision(self.record, self.job)
        return find.feature(self.record.features(revision.id), self.balloon)

    def setup(self, person: str = "AB", instrument: str = "caliper 1", work_c: float | None = None) -> Setup:
        """A session with one setup, with the newest calibration of the instrument."""
        with_what = find.instrument(self.record, instrument)
        known = self.record.calibrations(with_what.of_id)
        session = Session(id=self.record.new_id(), kind="tool", job_of_id=self.job.of_id)
        setup = Setup(
            session_id=session.id,
            person_id=find.person(self.record, person).id,
            instrument_id=with_what.id,
            calibration_id=known[-1].id if known else None,
            work_c=work_c,
        )
        return self.record.add_all([session, setup], by=self.shop.ab.id)[1]

    def on_tool(self, values: Sequence[float], on: str = "stick 1", **how: object) -> list[Reading]:
        """Readings of the feature on a tool, one after the other."""
        tool = find.subject(self.record, self.job, on).tool
        assert tool
        feature = self.feature
        made = next(t for t in self.record.tool_features(tool.of_id) if t.feature_id == feature.id)
        setup = self.setup(**how)  # type: ignore[arg-type]
        return self.record.append_readings(
            Reading(
                setup_id=setup.id,
                feature_id=feature.id,
                tool_id=tool.id,
                tool_feature_id=made.id,
                value=v,
                typed=f"{v:g}",
            )
            for v in values
        )

    def on_castings(
        self, values: Sequence[float], kind: str = "casting", lot: Lot | None = None, **how: object
    ) -> list[Reading]:
        """One reading on each of as many new castings (or cores)."""
        items = []
        for _ in values:
            self.serials += 1
            items.append(
                Item(
                    id=self.record.new_id(),
                    job_of_id=self.job.of_id,
                    kind=kind,
                    serial=f"C{self.serials}",
                    lot_id=lot.id if lot else None,
                )
            )
        self.record.add_all(items, by=self.shop.ab.id)
        setup, feature = self.setup(**how), self.feature  # type: ignore[arg-type]
        return self.record.append_readings(
            Reading(setup_id=setup.id, feature_id=feature.id, item_id=item.id, value=v, typed=f"{v:g}")
            for item, v in zip(items, values, strict=True)
        )

    def lot(self, label: str) -> Lot:
        return self.record.add(Lot(job_of_id=self.job.of_id, label=label), by=self.shop.ab.id)

    def adjusted(self, instrument: str, day: str) -> Instrument:
        """The instrument comes back adjusted."""
        what = find.instrument(self.record, instrument)
        self.record.add(
            Calibration(
                instrument_of_id=what.of_id,
                done_on=day,
                result="adjusted",
                u95_mm=0.04,
                error_mm=0.05,
            ),
            by=self.shop.ab.id,
        )
        return what

    def void(self, reading: Reading, why: str = "read upside down") -> None:
        self.record.void(reading.id, "misread", why, by=self.shop.ab.id)

    def pick(self, on: str = "stick 1") -> Pick:
        return feature_data.pick(self.record, self.job, on, self.balloon)

    def person(self, initials: str) -> Person:
        return find.person(self.record, initials)
