"""What the invented shop records about its gauges: the weekly checks on a reference piece, and gauge study G1."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from typing import Any

from inspect_tui.demo import sheets
from inspect_tui.demo.sheets import Row
from inspect_tui.model.gauges import GaugeCheck, GaugePart, GaugePerson, GaugeStudy, GaugeTrial
from inspect_tui.model.measuring import Instrument, Person, Session, Setup
from inspect_tui.model.words import Id
from inspect_tui.model.work import Feature, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.gauges.plan import Slot, slots

PIECE, PIECE_MM, PIECE_U95 = "check piece 50", 50.0, 0.002
STUDY_TITLE = "G1 port 1 width"
SetupOf = Callable[[Id, Id, Row], Setup]


@dataclass(slots=True)
class GaugeStory:
    """Writes the rows of the gauge sheets; `setup_of` makes the setup of a row, with the certificate then in force."""

    record: Record
    job: Job
    person: Mapping[str, Person]
    instrument: Mapping[str, Instrument]
    setup_of: SetupOf
    study: GaugeStudy | None = None

    # ---------------------------------------------------------------- checks
    def check(self, rows: list[Row]) -> None:
        """One morning: each instrument of these rows on the check piece."""
        what = self._session(f"check piece, production week {rows[0].week}")
        for row in rows:
            setup = self.setup_of(self.record.new_id(), what[0].id, row)
            assert row.value is not None
            what += [
                setup,
                GaugeCheck(
                    setup_id=setup.id,
                    reference=PIECE,
                    reference_mm=PIECE_MM,
                    u95_mm=PIECE_U95,
                    value=row.value,
                    typed=row.typed,
                ),
            ]
        self.record.add_all(what, self.person[rows[0].person].id)

    # ---------------------------------------------------------------- study
    def plan(self, feature: Feature, seed: int) -> None:
        """G1 is planned: ten castings, three people, three trials, for the width of the ports."""
        assert feature.upper is not None and feature.lower is not None
        study = GaugeStudy(
            id=self.record.new_id(),
            instrument_of_id=self.instrument["CAL1"].of_id,
            title=STUDY_TITLE,
            job_of_id=self.job.of_id,
            feature_id=feature.id,
            quantity=feature.quantity,
            trials=sheets.STUDY_TRIALS,
            seed=seed,
            band_mm=round(feature.upper - feature.lower, 9),
        )
        parts = [GaugePart(study_id=study.id, number=n, label=f"G1-{n:02d}") for n in range(1, sheets.STUDY_PARTS + 1)]
        people = [
            GaugePerson(study_id=study.id, number=n, person_of_id=self.person[initials].of_id)
            for n, initials in enumerate(sheets.STUDY_SD, start=1)
        ]
        self.study = self.record.add_all([study, *parts, *people], self.person["SL"].id)[0]

    def measure(self, rows: Iterable[Row]) -> None:
        """One round of the study, person by person, the pieces in the order of the plan."""
        assert self.study
        by = {(row.person, row.on, row.rep): row for row in rows}
        parts = {part.number: part for part in self.record.gauge_parts(self.study.id)}
        members = self.record.gauge_people(self.study.id)
        initials = {person.of_id: person.initials for person in self.person.values()}
        trials = {rep for _, _, rep in by}
        order = [slot for slot in slots(self.study, list(parts.values()), members) if slot.trial in trials]
        for who, group in groupby(order, key=lambda slot: initials[slot.person_of_id]):
            what = self._session(f"gauge study {STUDY_TITLE}")
            todo: list[Slot] = list(group)
            first = by[who, parts[todo[0].part].label, todo[0].trial]
            setup = self.setup_of(self.record.new_id(), what[0].id, first)
            what.append(setup)
            for slot in todo:
                part = parts[slot.part]
                row = by[who, part.label, slot.trial]
                assert row.value is not None
                what.append(
                    GaugeTrial(
                        study_id=self.study.id,
                        setup_id=setup.id,
                        part_id=part.id,
                        trial=slot.trial,
                        value=row.value,
                        typed=row.typed,
                    )
                )
            self.record.add_all(what, self.person[who].id)

    def _session(self, title: str) -> list[Any]:
        return [Session(id=self.record.new_id(), kind="gauge", job_of_id=self.job.of_id, title=title)]


def mornings(checks: Iterable[Row]) -> Iterator[tuple[date, list[Row]]]:
    """The check sheets by day."""
    for day, rows in groupby(checks, key=lambda row: row.day):
        yield day, list(rows)
