"""An invented job of another shape: a header with fourteen cores in a row, with planted faults (test data, seeded).

Every core makes an opening along x, one across (y) and one in height (z); drag and cope make the outside. Everything is
invented; the tools are laid out with 1.0 %.
"""

from __future__ import annotations

from random import Random

from inspect_tui.model.measuring import Calibration, Instrument, Person, Reading, Session, Setup
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.jobs import jobs

CORES = 14
PLAN = 0.010
CONTRACTION = {"x": 0.010, "y": 0.0125, "z": 0.010}  # planted: y gives up more than planned
SHIFTS = {("core 9", "z"): -0.55, ("core 4", "x"): 0.60}
BOX_TOO_WIDE = ("core 12", "x", 0.90)  # opening of box 12, mm of the casting
COPE_ONE = ("T-2", "y", 0.90)  # one mould closed askew
Face = tuple[str, float]


def features() -> list[tuple[str, str, str, Face, Face, str]]:
    """(balloon, axis, between, end A, end B, name) with places on the casting."""
    out = []
    for n in range(1, CORES + 1):
        left, right = 40.0 + 60 * (n - 1), 80.0 + 60 * (n - 1)
        core = f"core {n}"
        out += [
            (f"X{n}", "x", "space", (core, left), (core, right), f"opening {n} along"),
            (f"P{n}", "x", "face", ("drag", 0.0), (core, left), f"place of opening {n}"),
            (f"Q{n}", "x", "metal", (core, right), ("drag", right + 20), f"rib after opening {n}"),
            (f"Y{n}", "y", "space", (core, 30.0), (core, 110.0), f"opening {n} across"),
            (f"W{n}", "y", "metal", ("drag", 20.0), (core, 30.0), f"wall {n}, front"),
            (f"V{n}", "y", "metal", (core, 110.0), ("cope", 120.0), f"wall {n}, back"),
            (f"Z{n}", "z", "face", ("drag", 0.0), (core, 25.0), f"height of opening {n}"),
            (f"T{n}", "z", "metal", (core, 65.0), ("cope", 75.0), f"wall {n}, top"),
        ]
    out += [
        ("L1", "x", "metal", ("drag", 0.0), ("drag", 900.0), "length, drag"),
        ("L2", "x", "metal", ("drag", 0.0), ("cope", 900.0), "length, cope"),
        ("D1", "y", "metal", ("drag", 0.0), ("drag", 140.0), "width, drag"),
        ("D2", "y", "metal", ("drag", 0.0), ("cope", 140.0), "width, cope"),
        ("H1", "z", "metal", ("drag", 0.0), ("cope", 75.0), "height over all"),
    ]
    return out


def job_file() -> str:
    """The job as a person would write it."""
    lines = [
        '[job]\nnumber = "HD-14"\nname = "header"\nalloy = "grey iron"\ncontraction = "1.0 %"\n',
        '[drawing]\nnumber = "HD-14-01"\nrev = "A"\n',
    ]
    for n in range(1, CORES + 1):
        lines.append(f'[[core]]\nnumber = {n}\nname = "opening {n}"\n')
        lines.append(f'[[tool]]\nlabel = "box {n}"\nkind = "core_box"\ncore = {n}\n')
    lines += [f'[[tool]]\nlabel = "{half} pattern"\nkind = "pattern_{half}"\n' for half in ("drag", "cope")]
    for balloon, axis, between, a, b, name in features():
        lines.append(
            f'[[feature]]\nballoon = "{balloon}"\nname = "{name}"\naxis = "{axis}"\nnominal = {b[1] - a[1]}\n'
            f'limits = "±0.6"\na = "{a[0]}"\nb = "{b[0]}"\nbetween = "{between}"\nat = [{a[1]}, {b[1]}]\n'
        )
    return "\n".join(lines)


def sampled(record: Record, seed: int, castings: int = 4) -> None:
    """The job with one sampling, T-1 to T-4, read with one caliper."""
    jobs.add_from_file(record, job_file())
    job = find.job(record, "HD-14")
    lot = open_round(record, job, "S1", [f"T-{n}" for n in range(1, castings + 1)])
    person = record.add(Person(initials="AB"))
    caliper = record.add(Instrument(label="caliper 1", range_hi=1000.0))
    record.add(Calibration(instrument_of_id=caliper.of_id, done_on="2020-01-05", u95_mm=0.05))
    revision = find.latest_revision(record, job)
    session = record.add(Session(kind="casting", job_of_id=job.of_id, revision_id=revision.id))
    setup = record.add(Setup(session_id=session.id, person_id=person.id, instrument_id=caliper.id))
    rows = {f.balloon: f for f in record.features(revision.id)}
    rng = Random(seed)
    tool: dict[tuple[str, str, float], float] = {}
    for item in record.castings(job.of_id, lot.id):
        scale = 1 + rng.gauss(0, 0.0003)
        seat: dict[tuple[str, str], float] = {}
        face: dict[tuple[str, str, float], float] = {}

        def place(part: str, axis: str, at: float) -> float:
            off = tool.setdefault((part, axis, at), rng.gauss(0, 0.02))
            if part == BOX_TOO_WIDE[0] and axis == BOX_TOO_WIDE[1]:
                middle = 40.0 + 60 * (12 - 1) + 20.0
                off += (0.5 if at > middle else -0.5) * BOX_TOO_WIDE[2]
            here = (at * (1 + PLAN) + off) / (1 + CONTRACTION[axis]) * scale  # noqa: B023 - used in this turn only
            here += SHIFTS.get((part, axis), 0.0)
            if (item.serial, axis) == COPE_ONE[:2] and part == "cope":  # noqa: B023
                here += COPE_ONE[2]
            if part != "drag":
                here += seat.setdefault((part, axis), rng.gauss(0, 0.08))  # noqa: B023
            return here + face.setdefault((part, axis, at), rng.gauss(0, 0.06))  # noqa: B023

        readings = []
        for balloon, axis, _, a, b, _ in features():
            value = round(place(b[0], axis, b[1]) - place(a[0], axis, a[1]) + rng.gauss(0, 0.025), 2)
            readings.append(
                Reading(
                    setup_id=setup.id, feature_id=rows[balloon].id, item_id=item.id, value=value, typed=f"{value:.2f}"
                )
            )
        record.append_readings(readings)
