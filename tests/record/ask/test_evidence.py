"""Which readings have to be put right, and on which day they were measured."""

from __future__ import annotations

from pathlib import Path

from inspect_tui.frozen import replace
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Instrument, Person, Reading, Session, Setup
from inspect_tui.model.work import Item, Job
from inspect_tui.record.ask import evidence
from inspect_tui.record.store import Record
from tests.record.conftest import Bench


def in_setup(bench: Bench, value: float, **changes: object) -> Reading:
    """A reading in a setup of its own, of whose temperature nothing is known."""
    own = bench.record.add(replace(bench.setup, id=b"", **{"work_c": None} | changes), bench.person.id)
    return bench.log(value, setup_id=own.id)


def test_an_empty_record_has_nothing_to_put_right(tmp_path: Path) -> None:
    with Record.open(tmp_path / "empty.db", create=True) as record:
        assert not evidence.anything_to_put_right(record)


def test_a_temperature_concerns_the_readings_of_its_setup_alone(bench: Bench) -> None:
    cold, warm = in_setup(bench, 59.66), in_setup(bench, 59.66, work_c=31.0)
    assert evidence.anything_to_put_right(bench.record)
    (row,) = evidence.to_put_right(bench.record, [warm.feature_id])
    assert (row.id, row.setup_id, row.tool_id, row.item_id) == (warm.id, warm.setup_id, warm.tool_id, None)
    assert evidence.to_put_right(bench.record, [bench.tool.id]) == []  # of another feature nothing
    assert evidence.measured_on(bench.record, [cold.feature_id]) == {}


def test_a_bias_concerns_every_reading_of_its_gauge_in_any_version(bench: Bench) -> None:
    first = in_setup(bench, 59.66)
    known = {"bias_mm": 0.05, "u_mm": 0.01, "from_on": "2020-01-01", "why": "w", "found_from": "check"}
    bench.record.add(InstrumentBias(instrument_of_id=bench.instrument.of_id, **known), bench.person.id)
    renamed = replace(bench.instrument, id=b"", replaces_id=bench.instrument.id, label="caliper 9")
    later = in_setup(bench, 59.7, instrument_id=bench.record.add(renamed, bench.person.id).id)
    rows = {row.id for row in evidence.to_put_right(bench.record, [first.feature_id])}
    assert {first.id, later.id} == rows


def test_a_day_that_was_said_is_the_day_of_its_readings_everywhere(bench: Bench) -> None:
    past = in_setup(bench, 59.66, on_date="2024-02-29", work_c=25.0)
    assert evidence.measured_on(bench.record, [past.feature_id]) == {past.id: "2024-02-29"}
    logged = bench.record.reading(past.id)
    (row,) = evidence.to_put_right(bench.record, [past.feature_id])
    who = bench.record.who_of([past.id])[past.id]
    (tool_reading,) = [r for r in bench.record.tool_readings(bench.job.of_id) if r.id == past.id]
    assert logged
    noon = 1_709_208_000_000_000  # 2024-02-29 12:00 UTC
    for made in (logged, row, who, tool_reading):
        assert made.at_us + made.tz_min * 60_000_000 == noon


def test_readings_tell_when_they_were_made(bench: Bench) -> None:
    one, past = bench.log(59.1), in_setup(bench, 59.66, on_date="2024-02-29")
    at = evidence.measured_at(bench.record, [one.id, past.id])
    logged = bench.record.reading(one.id)
    assert logged and at[one.id] == (logged.at_us, logged.tz_min)
    assert at[past.id][0] + at[past.id][1] * 60_000_000 == 1_709_208_000_000_000  # 2024-02-29 12:00


def test_readings_of_a_doubted_clock_are_told_apart_from_a_day_that_was_said(bench: Bench) -> None:
    said = in_setup(bench, 59.66, on_date="2024-02-29")
    assert evidence.clock_doubted(bench.record, [said.feature_id]) == set()
    doubted = in_setup(bench, 59.67, on_date="2024-02-29", clock_doubt=True)
    assert evidence.clock_doubted(bench.record, [said.feature_id]) == {doubted.id}
    assert evidence.clock_doubted(bench.record, [bench.features[1].id]) == set()


def test_a_tilt_concerns_every_reading_of_its_casting(bench: Bench) -> None:
    cold = bench.record.add(replace(bench.setup, id=b"", work_c=None), bench.person.id)
    on_casting = bench.record.append_reading(bench.on_item(59.0, setup_id=cold.id))
    bench.log(59.1, setup_id=cold.id)
    bench.record.add(Realigned(item_id=bench.item.id, pivot_mm=0.0, slope=0.001, why="burr"), bench.person.id)
    (row,) = evidence.to_put_right(bench.record, [on_casting.feature_id])
    assert (row.id, row.item_id, row.tool_id) == (on_casting.id, bench.item.id, None)


def test_each_alone_is_something_to_put_right(tmp_path: Path) -> None:
    for name in ("temperature", "bias", "tilt"):
        with Record.open(tmp_path / f"{name}.db", create=True) as record:
            by = record.add(Person(initials="JM")).id
            gauge = record.add(Instrument(label="caliper"), by)
            job = record.add(Job(number="1", name="n"), by)
            item = record.add(Item(job_of_id=job.of_id, serial="C1"), by)
            session = record.add(Session(job_of_id=job.of_id), by)
            plain = Setup(session_id=session.id, person_id=by, instrument_id=gauge.id)
            record.add(plain, by)
            assert not evidence.anything_to_put_right(record)
            known = {"bias_mm": 0.05, "u_mm": 0.01, "from_on": "2020-01-01", "why": "w", "found_from": "check"}
            made = {
                "temperature": replace(plain, work_c=25.0),
                "bias": InstrumentBias(instrument_of_id=gauge.of_id, **known),
                "tilt": Realigned(item_id=item.id, pivot_mm=0.0, slope=0.001, why="burr"),
            }
            record.add(made[name], by)
            assert evidence.anything_to_put_right(record), name


def test_a_day_that_was_said_is_that_of_the_clock_of_the_bench(bench: Bench) -> None:
    now = bench.record._clock()[0]
    bench.record._clock = lambda: (now, 120)
    plain, past = in_setup(bench, 59.6), in_setup(bench, 59.66, on_date="2024-02-29")
    at = evidence.measured_at(bench.record, [plain.id, past.id])
    assert at == {plain.id: (now, 120), past.id: (1_709_208_000_000_000 - 120 * 60_000_000, 120)}
