"""Gauge facts in the record: an older file is brought forward whole, and what was replaced no longer counts."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.model.gauges import (
    GaugeCheck,
    GaugePart,
    GaugePerson,
    GaugeStudy,
    GaugeTrial,
    InstrumentBias,
    InstrumentProfile,
)
from inspect_tui.model.measuring import Person
from inspect_tui.record.store import Record
from tests.record.conftest import Bench, furnish
from tests.record.file.released import record_of


@pytest.fixture
def version_1(tmp_path: Path) -> Path:
    """A record as the first schema made it, before anything was known of gauges."""
    return record_of(1, tmp_path / "old.db")


def test_a_record_of_version_1_gets_its_gauge_tables_after_a_verified_backup(version_1: Path) -> None:
    con = sqlite3.connect(version_1)
    before = con.execute("SELECT id, hash FROM entry ORDER BY seq").fetchall()
    con.close()
    with Record.open(version_1) as record:
        assert record.version >= 2
        checked = record.verify()
        assert checked.ok, checked.problems
        assert record.gauge_studies() == []
        instrument = record.instruments()[0]
        record.add(
            InstrumentBias(
                instrument_of_id=instrument.of_id,
                from_on="2026-01-05",
                bias_mm=0.05,
                u_mm=0.01,
                why="w",
                found_from="check",
            ),
            record.people()[0].id,
        )
        assert record.verify().ok
    con = sqlite3.connect(version_1)
    after = con.execute("SELECT id, hash FROM entry ORDER BY seq").fetchall()
    con.close()
    assert set(before) <= set(after)  # what was there keeps its hashes
    (backup,) = [p for p in (version_1.parent / "backups").glob("*.db") if "version-1" in p.name]
    old = sqlite3.connect(backup)
    assert old.execute("PRAGMA user_version").fetchone() == (1,)
    assert old.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert old.execute("SELECT count(*) FROM reading").fetchone() == (2,)
    old.close()


def study_of(bench: Bench) -> tuple[GaugeStudy, list[GaugePart]]:
    study = GaugeStudy(id=bench.record.new_id(), instrument_of_id=bench.instrument.of_id, title="G1", trials=2, seed=7)
    parts = [GaugePart(id=bench.record.new_id(), study_id=study.id, number=n, label=str(n)) for n in (1, 2)]
    person = GaugePerson(study_id=study.id, number=1, person_of_id=bench.person.of_id)
    bench.record.add_all([study, *parts, person], bench.person.id)
    return bench.record.gauge_study(study.id), bench.record.gauge_parts(study.id)


def trial(bench: Bench, study: GaugeStudy, part: GaugePart, n: int, value: float, instead: bytes | None = None):
    return bench.record.add(
        GaugeTrial(
            study_id=study.id,
            setup_id=bench.setup.id,
            part_id=part.id,
            trial=n,
            value=value,
            typed=f"{value:g}",
            instead_of_id=instead,
        ),
        bench.person.id,
    )


def test_a_later_trial_takes_the_place_of_an_earlier_one(bench: Bench) -> None:
    study, (one, two) = study_of(bench)
    wrong = trial(bench, study, one, 1, 95.2)
    trial(bench, study, two, 1, 59.1)
    trial(bench, study, one, 1, 59.2, instead=wrong.id)
    found = bench.record.gauge_trials(study.id)
    assert [(t.part, t.trial.value, t.by) for t in found] == [(2, 59.1, "JM"), (1, 59.2, "JM")]
    cells = bench.record.study_cells(bench.instrument.of_id)
    assert {(c.part, c.value) for c in cells[study.id]} == {(1, 59.2), (2, 59.1)}
    assert bench.record.counts()["gauge_trial"] == 3  # the wrong one is still there
    assert bench.record.verify().ok


def test_a_new_version_of_an_instrument_or_person_keeps_studies_and_checks(bench: Bench) -> None:
    study, (one, _) = study_of(bench)
    trial(bench, study, one, 1, 59.2)
    bench.record.add(
        GaugeCheck(setup_id=bench.setup.id, reference="block", reference_mm=25.0, value=25.01, typed="25.01"),
        bench.person.id,
    )
    bench.record.revise(bench.instrument, bench.person.id, resolution=0.02)
    renamed: Person = bench.record.revise(bench.person, bench.person.id, initials="JX")
    assert len(bench.record.gauge_checks(bench.instrument.of_id)) == 1
    assert bench.record.instrument(bench.instrument.of_id).resolution == 0.02
    assert bench.record.gauge_trials(study.id)[0].person_of_id == renamed.of_id


def test_a_replaced_check_is_kept_and_does_not_count(bench: Bench) -> None:
    def check(value: float, instead: bytes | None = None):
        return bench.record.add(
            GaugeCheck(
                setup_id=bench.setup.id,
                reference="block",
                reference_mm=25.0,
                value=value,
                typed=f"{value:g}",
                instead_of_id=instead,
            ),
            bench.person.id,
        )

    slip = check(52.0)
    check(25.01, slip.id)
    assert [c.check.value for c in bench.record.gauge_checks(bench.instrument.of_id)] == [25.01]
    everything = bench.record.gauge_checks(bench.instrument.of_id, replaced=True)
    assert [(c.check.value, c.out) for c in everything] == [(52.0, True), (25.01, False)]


def test_a_bias_that_ends_before_it_begins_is_refused(bench: Bench) -> None:
    with pytest.raises(RecordError):
        bench.record.add(
            InstrumentBias(
                instrument_of_id=bench.instrument.of_id,
                from_on="2026-02-01",
                to_on="2026-01-01",
                bias_mm=0.05,
                u_mm=0.0,
                why="w",
                found_from="f",
            ),
            bench.person.id,
        )


def test_a_bias_that_took_the_place_of_another_is_the_one_that_counts(bench: Bench) -> None:
    def bias(mm: float, instead: bytes | None = None):
        return bench.record.add(
            InstrumentBias(
                instrument_of_id=bench.instrument.of_id,
                from_on="2026-02-01",
                bias_mm=mm,
                u_mm=0.0,
                why="w",
                found_from="f",
                instead_of_id=instead,
            ),
            bench.person.id,
        )

    bias(0.04, bias(0.5).id)
    assert [b.bias_mm for b in bench.record.biases(bench.instrument.of_id)] == [0.04]


def test_readings_with_an_instrument_are_cut_by_the_day_on_its_bench(tmp_path: Path) -> None:
    now = [0]
    with Record.open(tmp_path / "days.db", create=True, clock=lambda: (now[0], 120)) as record:
        day = 86_400_000_000
        now[0] = 1_767_225_600_000_000  # 2026-01-01 00:00 UTC
        made = furnish(record)
        for hours, value in ((1, 59.1), (21, 59.2), (23, 59.3), (47, 59.4)):  # on the bench's clock two hours later
            now[0] = 1_767_225_600_000_000 + hours * day // 24
            made.log(value)
        voided = made.log(59.9)
        record.void(voided.id, "misread", "slipped", made.person.id)

        def on(first: str | None, last: str | None) -> list[float]:
            return [r.reading.value for r in record.readings_with(made.instrument.of_id, first, last)]

        assert on(None, None) == [59.1, 59.2, 59.3, 59.4]
        assert on("2026-01-01", "2026-01-01") == [59.1, 59.2]
        assert on("2026-01-02", None) == [59.3, 59.4]
        with pytest.raises(NotFound):
            record.instrument(b"x" * 16)


def test_how_a_gauge_speaks_is_said_anew_and_the_last_word_holds(bench: Bench) -> None:
    record, by, gauge = bench.record, bench.person.id, bench.instrument.of_id
    assert record.instrument_profiles() == {}
    first = record.add(InstrumentProfile(instrument_of_id=gauge, suffix="mm", end_key="enter"), by)
    newer = record.revise(first, by, port="/dev/ttyUSB0", speed=9600, decimal_mark=",")
    assert record.instrument_profiles() == {gauge: newer}
    with pytest.raises(RecordError, match="none of enter, tab, both"):
        record.revise(newer, by, end_key="space")
    assert record.verify().ok
