"""A small job with everything that a signed first article needs: sizes at places, an order, castings that were read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import jobfile
from inspect_tui.shop.jobs.file import add

SIZES = {  # balloon: axis, nominal, limits, where across it (x, y, z)
    "F1": ("x", 100.0, "±0.5", (None, 40, 20)),
    "F2": ("y", 50.0, "±0.5", (100, None, 20)),
    "F11": ("z", 30.0, "±1.0", (10, 10, None)),
    "F12": ("z", 30.0, "±1.0", (110, 10, None)),
    "F13": ("z", 30.0, "±1.0", (10, 110, None)),
    "F14": ("z", 30.0, "±1.0", (110, 110, None)),
    "F21": ("x", 150.0, "±1.0", (None, 20, 10)),
    "F22": ("x", 150.0, "±1.0", (None, 20, 60)),
    "F23": ("x", 150.0, "±1.0", (None, 90, 10)),
    "F24": ("x", 150.0, "±1.0", (None, 90, 60)),
}
GEOMETRIES = """
[[geometry]]
balloon = "G1"
name = "bore"
what = "position"
tolerance = 0.8
diameter = true
datums = "A B"
sizes = ["F1", "F2"]
sheet = "2"
zone = "C4"
characteristic = "31"
[[geometry]]
balloon = "G2"
what = "flatness"
tolerance = 0.5
sizes = ["F11", "F12", "F13", "F14"]
[[geometry]]
balloon = "G3"
what = "perpendicularity"
tolerance = 0.5
datums = "A"
[[geometry]]
balloon = "G4"
what = "parallelism"
tolerance = 0.5
datums = "A"
sizes = ["F11", "F12", "F13", "F14"]
[[geometry]]
balloon = "G5"
what = "surface_profile"
tolerance = 1.0
datums = "A B"
sizes = ["F11", "F12", "F13", "F14"]
"""
GOOD = {balloon: size for balloon, (_, size, _, _) in SIZES.items()}


def text() -> str:
    """The job file."""
    lines = ['[job]\nnumber = "T-1"\nname = "bracket"\ncontraction = "1.0 %"\ncustomer = "the customer"']
    lines += ['part_no = "77-1"\norder = "45-1"\nquantity = 10\nfoundry = "the foundry"']
    lines += ['[drawing]\nnumber = "D-1"\nrev = "A"']
    lines += [f'[[person]]\ninitials = "{who}"\nrole = "{role}"' for who, role in PEOPLE.items()]
    for balloon, (axis, nominal, limits, at) in SIZES.items():
        where = ", ".join(f"{along} = {mm}" for along, mm in zip("xyz", at, strict=True) if mm is not None)
        lines.append(
            f'[[feature]]\nballoon = "{balloon}"\naxis = "{axis}"\nnominal = {nominal}\nlimits = "{limits}"\n'
            f'a = "drag"\nb = "cope"\nwhere = {{ {where} }}\nsheet = "1"\nzone = "B{balloon[1:]}"'
        )
    return "\n".join(lines) + GEOMETRIES


PEOPLE = {"MA": "maker", "IN": "inspector", "LE": "lead", "FO": "foundry"}


def made(path: Path, readings: Mapping[str, Mapping[str, float]]) -> Record:
    """A record with the job and a sampling S1 of these castings, each read as it says."""
    record = Record.open(path, create=True, state_dir=path.parent / "state", bench="b", program="t")
    add.add(record, jobfile.read(text()))
    job = find.job(record, None)
    open_round(record, job, "S1", list(readings))
    gauge = record.add(Instrument(label="caliper", unit="mm", resolution=0.01, range_hi=300.0))
    done = Calibration(
        instrument_of_id=gauge.of_id, done_on="2020-01-10", due_on="2999-01-10", u95_mm=0.04, reference="c"
    )
    record.add(done)
    for serial, sizes in readings.items():
        read(record, serial, sizes)
    return record


def sampling(record: Record) -> Sampling:
    """The sampling as it stands."""
    job = find.job(record, None)
    return Sampling(record, job, pick_round(record, job, "S1"))


def read(record: Record, serial: str, sizes: Mapping[str, float], by: str = "MA") -> None:
    """Readings of a casting, one of each size."""
    now = sampling(record)
    person, gauge = who(record, by), record.instruments()[0]
    session = record.add(Session(kind="casting", job_of_id=now.job.of_id))
    calibration = record.calibrations(gauge.of_id)[0].id
    setup = record.add(
        Setup(session_id=session.id, person_id=person.id, instrument_id=gauge.id, calibration_id=calibration)
    )
    item = now.casting(serial)
    for balloon, mm in sizes.items():
        feature = now.feature(balloon)
        record.add(Reading(setup_id=setup.id, feature_id=feature.id, item_id=item.id, value=mm, typed=f"{mm:.2f}"))


def who(record: Record, initials: str) -> Person:
    """A person by initials."""
    return find.person(record, initials)
