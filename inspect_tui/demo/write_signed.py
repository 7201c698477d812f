"""What the invented shop's customer asked to see: geometrical tolerances, decisions, and a first article with names.

Each goes through the desk that its form and its command ask.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from inspect_tui.demo import pictures
from inspect_tui.model.measuring import Person
from inspect_tui.model.work import Job
from inspect_tui.record import kinds
from inspect_tui.record.store import Record
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article import sign
from inspect_tui.shop.first_article.article import first_article
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.signed import dispositions, looks
from inspect_tui.shop.jobs.by_row import row_form
from inspect_tui.shop.pictures import attach, balloons

ASKED_ON, SIGNED_ON = date(2023, 9, 12), date(2023, 12, 1)  # the gauge study was made in between
GEOMETRIES = (  # as the customer's drawing has them
    {"balloon": "G1", "name": "outlet bore", "what": "position", "tolerance": "1.6", "diameter": "yes"}
    | {"datums": "A B", "sizes": "F38 F54", "sheet": "1", "zone": "C4"},
    {"balloon": "G2", "name": "port 4", "what": "position", "tolerance": "2", "diameter": "yes"}
    | {"datums": "A C", "sizes": "F07 F53", "sheet": "1", "zone": "B3"},
    {
        "balloon": "G3",
        "name": "engine flange, back",
        "what": "flatness",
        "tolerance": "0.8",
        "sheet": "1",
        "zone": "B2",
    },
    {"balloon": "G4", "name": "outlet flange", "what": "perpendicularity", "tolerance": "1", "datums": "A"}
    | {"sheet": "1", "zone": "C4"},
)
METHODS = {"G3": "straight edge 500 and feeler 0.8 mm", "G4": "square 300 on the marking-off table, feeler 1 mm"}
TO_CORRECT = "corrected from the cut list of this sampling"
CUT_UP, OUT_OF_LINE = "cut up to be measured, not delivered", "mould closed out of line at one pin, not delivered"
BY_CONCESSION = {"until": "2024-04-30", "quantity": "3", "agreed": "the customer's quality", "reference": "C 12"}


def numbered(record: Record, job: Job, lead: Person, folder: Path) -> None:
    """A picture of the casting, with the numbers that have no place in the sketch."""
    path = folder / pictures.CASTING
    path.write_bytes(pictures.casting())
    _, use = attach.attach(record, path, kinds.JOB.number, job.of_id, "the casting from above, drawn", lead.id)
    attach.numbered(record, use, balloons.kept(pictures.NUMBERS), lead.id)


def asked(record: Record, job: Job, lead: Person) -> None:
    """The geometrical tolerances of the drawing, and what becomes of what the first sampling showed."""
    for said in GEOMETRIES:
        row_form.save(record, row_form.read(record, job, "geometry", dict(said), ""), by=lead.id)
    _decide(record, job, "S1", lead, ASKED_ON)


def signed(record: Record, job: Job, inspector: Person, lead: Person) -> None:
    """The second sampling: looked at, decided, checked and released."""
    today = SIGNED_ON.isoformat()
    sampling = _sampling(record, job, "S2")
    for item in sampling.castings:
        for geometry, method in METHODS.items():
            values = {"geometry": geometry, "casting": item.serial, "accepted": "yes", "method": method}
            looks.put(record, sampling, looks.read(sampling, values, inspector, today), inspector)
    _decide(record, job, "S2", lead, SIGNED_ON)
    sign.sign(record, _sampling(record, job, "S2"), "checked", inspector, today)
    sign.sign(record, _sampling(record, job, "S2"), "released", lead, today, "for castings that follow these tools")


def _sampling(record: Record, job: Job, label: str) -> Sampling:
    return Sampling(record, job, pick_round(record, job, label))


def _decide(record: Record, job: Job, label: str, lead: Person, day: date) -> None:
    """A decision for each requirement that does not conform: on the first sampling once, later casting by casting."""
    sampling = _sampling(record, job, label)
    told: set[tuple[str, str]] = set()
    for line in first_article(record, job, label, causes=False).dispositions:
        serial = "" if label == "S1" else line.serial
        if line.found == Standing.IN_QUESTION or (line.balloon, serial) in told:
            continue
        told.add((line.balloon, serial))
        values = {"feature": line.balloon, "casting": serial, **_decision(label, line.serial)}
        dispositions.put(record, sampling, dispositions.read(sampling, values, lead, day.isoformat()), lead)


def _decision(label: str, serial: str) -> dict[str, str]:
    if label == "S1":
        return {"decision": "correct_tool", "why": TO_CORRECT}
    if serial.endswith("-2"):
        return {"decision": "scrap", "why": CUT_UP}
    if serial.endswith("-3"):
        return {"decision": "scrap", "why": OUT_OF_LINE}
    return {"decision": "concession", "why": "does not touch the joint", **BY_CONCESSION}
