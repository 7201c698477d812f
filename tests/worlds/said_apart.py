"""A shop whose two benches changed and read the same things apart: everything that a place shows is to be decided."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.model.kit import Fit
from inspect_tui.model.measuring import Instrument, Person, Reading, Session, Setup
from inspect_tui.model.trends import ToolCount, ToolRepair
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.jobs import jobs
from tests.conftest import JOB

DAYS = ("2026-01-10", "2026-01-20", "2026-01-30")


def furnish(record: Record) -> None:
    """One job with readings on a box and on two castings, a fit, counts, a repair."""
    jobs.add_from_file(record, JOB)
    ab = record.add(Person(initials="AB"))
    gauge = record.add(Instrument(label="caliper 1", resolution=0.01, range_hi=300.0))
    job = find.job(record, "SV-12")
    lot = open_round(record, job, "S1", ["C1", "C2"])
    core = record.cores(job.of_id)[0]
    tool = box(record)
    record.add(Fit(job_of_id=job.of_id, label="K1", inner_core_id=core.of_id, outer_half="drag", clear_min_mm=0.2,
                   clear_max_mm=0.5))  # fmt: skip
    for n, day in enumerate(DAYS, start=1):
        record.add(ToolCount(tool_of_id=tool.of_id, count=1000 * n, on_date=day))
    features = {feature.balloon: feature for feature in record.features(find.latest_revision(record, job).id)}
    record.add(
        ToolRepair(tool_of_id=tool.of_id, feature_id=features["F2"].id, done_on=DAYS[1], at_count=2000, what="face cut")
    )
    of_tool = {each.feature_id: each for each in record.tool_features(tool.id)}
    session = record.add(Session(kind="tool", job_of_id=job.of_id, revision_id=features["F1"].revision_id))
    setup = record.add(Setup(session_id=session.id, person_id=ab.id, instrument_id=gauge.id))
    for n in range(4):
        for balloon, value in (("F1", 62.6), ("F2", 40.4)):
            feature = features[balloon]
            on_tool = {"tool_id": tool.id, "tool_feature_id": of_tool[feature.id].id}
            read = value + 0.01 * n
            record.append_reading(
                Reading(setup_id=setup.id, feature_id=feature.id, value=read, typed=f"{read:.2f}", rep=1, **on_tool)
            )
    for item in record.castings(job.of_id, lot.id):
        for balloon, value in (("F1", 62.3), ("F2", 40.1), ("F3", 210.1)):
            record.append_reading(
                Reading(setup_id=setup.id, feature_id=features[balloon].id, item_id=item.id, value=value, typed=f"{value}")
            )  # fmt: skip


def box(record: Record):  # type: ignore[no-untyped-def]
    """The tool that was changed at both."""
    return find.subject(record, find.job(record, "SV-12"), "box 1").tool


def change(record: Record, bench: str) -> None:
    """What one of the benches says of everything, in its own way."""
    job, by = find.job(record, "SV-12"), record.people()[0].id
    n = 1 + (bench == "bench b")
    record.revise(job, by, name=f"stove box {bench}")
    record.revise(record.cores(job.of_id)[0], by, name=f"flue {bench}")
    record.revise(box(record), by, material=f"wood {n}")
    record.revise(record.fits(job.of_id)[0], by, clear_max_mm=0.5 + 0.1 * n)
    gauge = next(gauge for gauge in record.instruments() if gauge.label == "caliper 1")
    record.revise(gauge, by, resolution=0.01 * (n + 1))
    record.revise(record.tool_counts(box(record).of_id)[-1], by, count=3000 + 100 * n)
    for logged in record.readings():
        if logged.reading.value in (62.6, 62.3):
            new = replace(logged.reading, id=b"", value=logged.reading.value + 0.1 * n, typed=f"{n}")
            record.correct(logged.id, new, "misread", f"said at {bench}", by)
    record.add(replace(gauge, id=b"", of_id=b"", replaces_id=None, label="caliper 9"), by)
    record.add(Person(initials="KB"), by)
    open_round(record, job, "S2", ["C3"])


@contextmanager
def two(folder: Path) -> Iterator[tuple[Record, Record, Callable[[], None]]]:
    """Two benches that know the same, and how they exchange."""
    for name in ("share", "a", "b"):
        (folder / name).mkdir()

    def bench(name: str) -> Record:
        here = folder / name
        return Record.open(here / f"{name}.db", create=True, state_dir=here / "state", bench=f"bench {name}")

    with bench("a") as record, bench("b") as other:

        def exchange() -> None:
            for each in (record, other, record):
                sync_folder(each, folder / "share")

        furnish(record)
        exchange()
        yield record, other, exchange


def everything(folder: Path) -> Path:
    """The record of a bench that said, as another one did, something else of everything."""
    with two(folder) as (record, other, exchange):
        change(record, "bench a")
        change(other, "bench b")
        exchange()
        return record.path
