"""A bias traced back: which readings, which verdicts change, where it began, and that nothing is rewritten."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from inspect_tui.errors import InspectError
from inspect_tui.model.gauges import GaugeCheck
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges import trace
from inspect_tui.shop.gauges.findings import BiasFinding
from inspect_tui.shop.jobs import jobs
from tests.conftest import JOB

TODAY = "2026-03-10"


@dataclass
class Days:
    """A shop whose clock is set by hand."""

    record: Record
    now: list[int]
    ab: Person
    caliper: Instrument

    def day(self, text: str, hour: int = 10) -> None:
        self.now[0] = int(datetime.fromisoformat(text).replace(tzinfo=UTC, hour=hour).timestamp() * 1e6)

    def read(self, day: str, balloon: str, text: str) -> Logged:
        self.day(day)
        job = find.job(self.record, "SV-12")
        bench = Bench(self.record, job, find.subject(self.record, job, "stick 1"), self.ab, self.caliper, today=day)
        bench.goto(balloon)
        outcome = bench.take(text)
        if not isinstance(outcome, Logged):
            outcome = bench.keep_pending()
        assert isinstance(outcome, Logged)
        return outcome

    def check(self, day: str, value: float, size: float = 50.0) -> None:
        self.day(day, 7)
        setup = gauges.gauge_setup(self.record, self.ab, self.caliper, "check")
        self.record.add(
            GaugeCheck(setup_id=setup, reference="block 50", reference_mm=size, value=value, typed=f"{value:g}"),
            self.ab.id,
        )

    def certificate(self, done: str, result: str = "pass", error: float | None = None) -> None:
        self.day(done, 15)
        self.record.add(
            Calibration(instrument_of_id=self.caliper.of_id, done_on=done, result=result, u95_mm=0.04, error_mm=error),
            self.ab.id,
        )


@pytest.fixture
def days(tmp_path: Path) -> Iterator[Days]:
    now = [int(datetime(2026, 1, 1, 8, tzinfo=UTC).timestamp() * 1e6)]
    with Record.open(tmp_path / "days.db", create=True, clock=lambda: (now[0], 0)) as record:
        jobs.add_from_file(record, JOB)
        ab = record.add(Person(initials="AB"))
        caliper = record.add(Instrument(label="caliper 1", resolution=0.01, range_hi=300.0))
        made = Days(record, now, ab, caliper)
        made.certificate("2026-01-02", error=0.0)
        yield made


def test_a_trace_writes_nothing_and_confirming_writes_one_fact_beside_the_readings(days: Days) -> None:
    days.read("2026-02-05", "F2", "40.59")
    con = sqlite3.connect(days.record.path)
    before = con.execute("SELECT * FROM reading").fetchall()
    entries = con.execute("SELECT count(*) FROM entry").fetchone()
    finding = BiasFinding(
        bias=0.05,
        u=0.005,
        from_on="2026-02-01",
        to_on="2026-03-01",
        why="seen at the block",
        found_from="check on block 50",
    )
    trace.trace(days.record, days.caliper, finding, TODAY)
    assert con.execute("SELECT count(*) FROM entry").fetchone() == entries
    trace.confirm(days.record, days.ab, days.caliper, finding)
    assert con.execute("SELECT * FROM reading").fetchall() == before
    con.close()
    (bias,) = days.record.biases(days.caliper.of_id)
    assert (bias.bias_mm, bias.from_on, bias.to_on, bias.why) == (0.05, "2026-02-01", "2026-03-01", "seen at the block")
    with pytest.raises(InspectError, match="on record for those days already"):
        trace.confirm(days.record, days.ab, days.caliper, finding)


# ------------------------------------------------------------------------------ where it began


def test_a_bias_from_before_the_gauge_was_known_is_asked_about(days: Days) -> None:
    days.read("2026-02-10", "F1", "59.60")

    def said(from_on: str) -> str:
        finding = BiasFinding(bias=0.05, u=0.0, from_on=from_on, to_on=None, why="stated", found_from="stated")
        return trace.trace(days.record, days.caliper, finding, TODAY).sentence

    first = min(c.done_on for c in days.record.calibrations(days.caliper.of_id))
    asked = f"Nothing is known of caliper 1 before {min(first, '2026-01-01')}: is 2019-05-01 right?"
    assert asked in said("2019-05-01")
    for sound in ("2026-02-01", min(first, "2026-01-01"), "0001-01-01"):  # the last: from the beginning
        assert "is known" not in said(sound)


def test_a_reading_is_traced_by_the_day_on_which_it_was_measured(days: Days) -> None:
    days.day("2026-03-01")
    job = find.job(days.record, "SV-12")
    bench = Bench(
        days.record, job, find.subject(days.record, job, "stick 1"), days.ab, days.caliper, today="2026-03-01"
    )
    bench.set_day("2026-02-05", "2026-03-01")
    bench.goto("F1")
    bench.take("59.60")
    days.certificate("2026-01-20")
    finding = BiasFinding(bias=0.05, u=0.0, from_on="2026-02-04", to_on="2026-02-06", why="x", found_from="stated")
    assert trace.trace(days.record, days.caliper, finding, TODAY).readings == 1
    later = BiasFinding(bias=0.05, u=0.0, from_on="2026-02-07", to_on=None, why="x", found_from="stated")
    assert trace.trace(days.record, days.caliper, later, TODAY).readings == 0


def test_the_first_reading_with_a_gauge_tells_that_it_was_there(days: Days) -> None:
    days.day("2026-03-01")
    job = find.job(days.record, "SV-12")
    bench = Bench(
        days.record, job, find.subject(days.record, job, "stick 1"), days.ab, days.caliper, today="2026-03-01"
    )
    bench.set_day("2019-06-05", "2026-03-01")
    bench.goto("F1")
    bench.take("59.60")
    finding = BiasFinding(bias=0.05, u=0.0, from_on="2019-05-01", to_on=None, why="x", found_from="stated")
    assert "before 2019-06-05" in trace.trace(days.record, days.caliper, finding, TODAY).sentence
