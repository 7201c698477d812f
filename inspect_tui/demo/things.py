"""What the invented shop typed: the job in the tables of `shop_files`, and each certificate as its form takes it."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from inspect_tui.demo import workshop as shop
from inspect_tui.frozen import frozen
from inspect_tui.metrology.typed.show import MM
from inspect_tui.shop.jobs import job_tables
from inspect_tui.shop.jobs.file.plan import JobPlan

FOLDER = Path(str(files("inspect_tui.demo").joinpath("shop_files")))
SHIPMENTS = FOLDER / "sent" / "shipments.csv"
REFERENCE = {"UT1": "step block of ductile iron, 5600 m/s, certificate"}


def read_job() -> JobPlan:
    """The job with its people, gauges, tools, drawing, seats, loops and targets, as its tables say."""
    return job_tables.read([FOLDER])


@frozen
class Certificate:
    """One certificate: the gauge's number, the day, and what its form is filled in with."""

    instrument: str
    done: str
    texts: dict[str, str]


def certificates() -> list[Certificate]:
    """All certificates by date; each gives the claimed U at k = 2 and the error as found."""
    made = [
        Certificate(
            i.number,
            done,
            {
                "done": done,
                "due": due or "",
                "u95": MM.figures(i.u95),
                "k": "2",
                "result": result,
                "error": "" if error is None else MM.figures(error),
                "reference": REFERENCE.get(i.number, "works certificate") + f" {i.number}/{done[:4]}",
            },
        )
        for i in shop.INSTRUMENTS
        for done, due, result, error in i.certificates
    ]
    return sorted(made, key=lambda c: (c.done, c.instrument))
