"""Gauge study G1 of the invented shop: planned by its form, measured at its desk, piece by piece."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from inspect_tui.demo import sheets
from inspect_tui.demo.sheets import Row
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.model.measuring import Instrument, Person
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.gauges import plan
from inspect_tui.shop.gauges.desk import StudyDesk, TrialLogged

STUDY_TITLE = "G1 port 1 width"


@dataclass(slots=True)
class GaugeStory:
    """The study of one gauge: where it is recorded, for which job, and who takes part."""

    record: Record
    job: Job
    person: Mapping[str, Person]
    gauge: Instrument
    study: GaugeStudy | None = None

    def plan(self, seed: int) -> None:
        """Ten castings, three people, three trials, for the width of the ports."""
        typed = {
            "title": STUDY_TITLE,
            "design": "crossed",
            "people": " ".join(sheets.STUDY_SD),
            "pieces": " ".join(f"G1-{n:02d}" for n in range(1, sheets.STUDY_PARTS + 1)),
            "trials": str(sheets.STUDY_TRIALS),
            "feature": "F10",
        }
        planned = plan.read_plan(self.record, self.gauge, typed, self.job, seed)
        assert isinstance(planned, plan.Plan), planned
        self.study = plan.begin(self.record, planned, self.person["SL"])

    def measure(self, rows: Iterable[Row]) -> None:
        """One round of the study, person by person, the pieces in the order of the plan."""
        assert self.study
        told = {(row.person, row.on, row.rep): row for row in rows}
        desk = StudyDesk(self.record, self.study, next(iter(told.values())).day.isoformat())
        for _ in told:
            turn = desk.turn
            if desk.person is None and turn is not None:
                desk.sit(turn)
            assert desk.person and desk.slot
            row = told[desk.person.initials, desk.parts[desk.slot.part].label, desk.slot.trial]
            said = desk.take(row.typed)
            assert isinstance(said, TrialLogged), said


def mornings(checks: Iterable[Row]) -> Iterator[tuple[date, list[Row]]]:
    """The check sheets by day."""
    for day, rows in groupby(checks, key=lambda row: row.day):
        yield day, list(rows)
