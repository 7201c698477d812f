"""What is withdrawn is in no list, is given to who asks by its id or for everything, and comes back with the last word."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.model.changes import Withdrawal
from inspect_tui.model.gauges import GaugeStudy
from inspect_tui.model.measuring import Calibration
from inspect_tui.model.trends import ToolCount, ToolRepair
from inspect_tui.model.work import Item, Lot
from inspect_tui.record import kinds
from inspect_tui.record.read import Reader
from tests.record.conftest import Bench

Listed = Callable[[Reader, Bench], Any]
LISTS: dict[str, tuple[Callable[[Bench], Any], Listed]] = {
    "job": (lambda b: b.job, lambda r, b: r.jobs()),
    "core": (lambda b: b.core, lambda r, b: r.cores(b.job.of_id)),
    "tool": (lambda b: b.tool, lambda r, b: r.tools(b.job.of_id)),
    "tool feature": (lambda b: b.tool_features[0], lambda r, b: r.tool_features(b.tool.of_id)),
    "sizes of its tool": (lambda b: b.tool, lambda r, b: r.job_tool_features(b.job.of_id)),
    "person": (lambda b: b.person, lambda r, b: r.people()),
    "instrument": (lambda b: b.instrument, lambda r, b: r.instruments()),
    "lot": (lambda b: b.record.add(Lot(job_of_id=b.job.of_id, label="S7")), lambda r, b: r.lots(b.job.of_id)),
    "casting": (
        lambda b: b.record.add(Item(job_of_id=b.job.of_id, kind="casting", serial="S7-1")),
        lambda r, b: [r.items(b.job.of_id), r.castings(b.job.of_id, None), r.all_castings(b.job.of_id)],
    ),
    "certificate": (
        lambda b: b.record.add(
            Calibration(instrument_of_id=b.instrument.of_id, done_on="2026-01-10", u95_mm=0.02, reference="c 7")
        ),
        lambda r, b: [r.calibrations(b.instrument.of_id), r.calibrations_by_id()],
    ),
    "study": (
        lambda b: b.record.add(
            GaugeStudy(instrument_of_id=b.instrument.of_id, design="crossed", title="G7", trials=2, seed=1)
        ),
        lambda r, b: [r.gauge_studies(), r.gauge_studies(b.instrument.of_id), r.studied()],
    ),
    "count": (
        lambda b: b.record.add(ToolCount(tool_of_id=b.tool.of_id, way="total", count=70, on_date="2026-01-10")),
        lambda r, b: r.tool_counts(b.tool.of_id),
    ),
    "repair": (
        lambda b: b.record.add(
            ToolRepair(tool_of_id=b.tool.of_id, action="recoat", done_on="2026-01-10", what="recoated")
        ),
        lambda r, b: r.tool_repairs(),
    ),
}


@pytest.mark.parametrize("what", LISTS)
def test_what_is_withdrawn_is_in_no_list(bench: Bench, what: str) -> None:
    record, by = bench.record, bench.person.id
    thing = LISTS[what][0](bench)
    of_id, number = getattr(thing, "of_id", thing.id), kinds.kind_of(thing).number

    def listed(reader: Reader) -> Any:
        return LISTS[what][1](reader, bench)

    def ids(reader: Reader) -> str:
        return repr(listed(reader))

    before = ids(record)
    record.add(Withdrawal(about_kind=number, about_id=of_id, why="never made"), by)
    gone = ids(record)
    assert gone != before and repr(of_id) not in gone
    assert ids(record.with_withdrawn()) == before
    record.add(Withdrawal(about_kind=number, about_id=of_id, state="back", why="made after all"), by)
    assert ids(record) == before


def test_who_asks_by_the_id_is_given_it(bench: Bench) -> None:
    record, by = bench.record, bench.person.id
    for thing in (bench.job, bench.tool, bench.instrument):
        number = kinds.kind_of(thing).number
        record.add(Withdrawal(about_kind=number, about_id=thing.of_id, why="never made"), by)
    assert record.job(bench.job.id) == bench.job
    assert record.tool(bench.tool.id) == bench.tool
    assert record.instrument(bench.instrument.of_id) == bench.instrument
    assert record.people(old=True) == [bench.person]
    with pytest.raises(NotFound):
        record.job(bench.job.number)  # a number may have been given again


def test_the_castings_of_a_withdrawn_sampling_are_in_no_list(bench: Bench) -> None:
    record, of = bench.record, bench.job.of_id
    lot = record.add(Lot(job_of_id=of, label="S7"))
    record.add(Item(job_of_id=of, kind="casting", serial="S7-1", lot_id=lot.id))
    assert len(record.items(of)) == len(record.items_of(of)) == 2 and record.castings(of, lot.id)
    record.add(Withdrawal(about_kind=kinds.LOT.number, about_id=lot.id, why="of another job"), bench.person.id)
    assert record.items(of) == [bench.item] and list(record.items_of(of)) == [bench.item.id]
    assert not record.castings(of, lot.id) and list(record.all_castings(of)) == [None]


def test_readings_on_a_withdrawn_tool_count_no_longer(bench: Bench) -> None:
    record, of = bench.record, bench.job.of_id
    record.append_reading(bench.reading(83.06))
    assert record.tool_readings(of) and record.taken_on_tools(of) and record.readings_with(bench.instrument.of_id)
    record.add(Withdrawal(about_kind=kinds.TOOL.number, about_id=bench.tool.of_id, why="never made"), bench.person.id)
    assert not record.tool_readings(of) and not record.taken_on_tools(of)
    assert not record.readings_with(bench.instrument.of_id)
    assert len(record.readings(tool_of_id=bench.tool.of_id)) == 1  # it stays, for who looks at the tool
