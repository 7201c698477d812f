"""An invented bracket on three datum targets, with heights of its machined top at named places (test data)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inspect_tui.model.first_article import DatumTarget
from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Job
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import jobs

TARGETS = {"A1": (50.0, 20.0, 0.0), "A2": (550.0, 90.0, 0.0), "A3": (50.0, 160.0, 0.0)}
TOP = 63.0  # as cast; 3.0 of it is stock


def feature(balloon: str, note: str, at: Sequence[float] = (0.0, TOP), axis: str = "z", stock: str = "[0, 3]") -> str:
    """A height of the top (or another size) as a person writes it; `at` is as cast."""
    size = at[1] - at[0] - sum(float(mm) for mm in stock.strip("[]").split(","))
    note = f'note = "{note}"\n' if note else ""
    return (
        f'[[feature]]\nballoon = "{balloon}"\nname = "top {balloon}"\naxis = "{axis}"\nnominal = {size}\n'
        f'limits = "±4"\na = "drag"\nb = "cope"\nbetween = "metal"\nat = [{at[0]}, {at[1]}]\nstock = {stock}\n{note}'
    )


def bracket(record: Record, notes: Mapping[str, str], more: str = "", targets: Mapping[str, tuple] = TARGETS) -> Job:
    """The job with a height of the top for each balloon and its note, on these targets."""
    text = '[job]\nnumber = "BR-7"\nname = "bracket"\nalloy = "grey iron"\ncontraction = "1.0 %"\n\n'
    text += '[drawing]\nnumber = "BR-7-01"\nrev = "A"\n\n'
    text += "".join(f'[[tool]]\nlabel = "{half} pattern"\nkind = "pattern_{half}"\n\n' for half in ("drag", "cope"))
    text += "\n".join(feature(balloon, note) for balloon, note in notes.items()) + "\n" + more
    jobs.add_from_file(record, text)
    job = find.job(record, "BR-7")
    record.add_all(
        DatumTarget(job_of_id=job.of_id, label=label, axis="z", x_mm=x, y_mm=y, z_mm=z)
        for label, (x, y, z) in targets.items()
    )
    return job


def measured(record: Record, job: Job, castings: Mapping[str, Mapping[str, float]], u95: float = 0.06) -> Sampling:
    """The first sampling with these readings, by serial and balloon, by one caliper."""
    return read_on(record, job, "S1", castings, u95)


def read_on(
    record: Record, job: Job, label: str, castings: Mapping[str, Mapping[str, float]], u95: float = 0.06
) -> Sampling:
    """A sampling with these readings."""
    lot = open_round(record, job, label, list(castings))
    person = record.add(Person(initials="ST" if label == "S1" else f"S{label}"))
    caliper = record.add(Instrument(label=f"height gauge {label}", range_hi=1000.0))
    record.add(Calibration(instrument_of_id=caliper.of_id, done_on="2020-01-05", u95_mm=u95))
    revision = find.latest_revision(record, job)
    session = record.add(Session(kind="casting", job_of_id=job.of_id, revision_id=revision.id))
    setup = record.add(Setup(session_id=session.id, person_id=person.id, instrument_id=caliper.id))
    rows = {f.balloon: f for f in record.features(revision.id)}
    items = {item.serial: item for item in record.castings(job.of_id, lot.id)}
    record.append_readings(
        Reading(
            setup_id=setup.id, feature_id=rows[balloon].id, item_id=items[serial].id, value=value, typed=f"{value:.2f}"
        )
        for serial, values in castings.items()
        for balloon, value in values.items()
    )
    return Sampling(record, job, pick_round(record, job, label))
