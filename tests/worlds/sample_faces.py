"""A sample casting before there is a drawing: a jacket core in a shell, its faces named, readings on it."""

from __future__ import annotations

from collections.abc import Mapping

from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Feature, Item, Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs
from inspect_tui.shop.measuring.faces import FaceSaid, name_faces

JOB = """
[job]
number = "SB-7"
name = "bearing shell"
contraction = "1.0 %"
[[core]]
number = 1
name = "jacket"
[[feature]]
balloon = "R1"
name = "bend"
quantity = "radius"
nominal = 10
a = "drag"
b = "drag"
"""
FACES = (
    FaceSaid(name="flange face", by="drag", axis="x", metal="+", datum=True),
    FaceSaid(name="far end", by="cope", axis="x", metal="-"),
    FaceSaid(name="end wall outside", by="drag", axis="x", metal="+"),
    FaceSaid(name="jacket near end", by="core 1", axis="x", metal="-", cut_up=True, wall_to="end wall outside"),
    FaceSaid(name="jacket far end", by="core 1", axis="x", metal="+", cut_up=True),
)


def begun(record: Record) -> Job:
    """The job with a person, a caliper with a certificate and casting 17."""
    jobs.add_from_file(record, JOB)
    job = find.job(record, "SB-7")
    person = record.new_id()
    record.add(Person(id=person, of_id=person, initials="AB", name="A. Baker"))
    caliper = record.new_id()
    record.add(Instrument(id=caliper, of_id=caliper, label="CAL1", resolution=0.02))
    record.add(Calibration(instrument_of_id=caliper, done_on="2026-01-10", u95_mm=0.04))
    jobs.add_casting(record, job, "17")
    return job


def named(record: Record) -> tuple[Job, list[Feature]]:
    """The same with the five faces of its length named, S1 to S5."""
    job = begun(record)
    return job, name_faces(record, job, FACES)


def read(record: Record, job: Job, values: Mapping[str, float], serial: str = "17") -> None:
    """Readings on a casting, by balloon."""
    item: Item = next(i for i in record.items(job.of_id) if i.serial == serial)
    features = {f.balloon: f for f in record.features(record.revisions(job.of_id)[-1].id)}
    person, instrument = record.people()[0], record.instruments()[0]
    session = record.add(Session(kind="casting", job_of_id=job.of_id))
    setup = record.add(
        Setup(
            session_id=session.id,
            person_id=person.id,
            instrument_id=instrument.id,
            calibration_id=record.calibrations(instrument.of_id)[-1].id,
        )
    )
    record.append_readings(
        [
            Reading(
                setup_id=setup.id,
                feature_id=features[balloon].id,
                item_id=item.id,
                value=mm,
                typed=str(mm),
                typed_unit="mm",
            )
            for balloon, mm in values.items()
        ]
    )
