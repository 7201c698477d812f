"""The demo's planted gauge faults are found from its record: P15, an instrument's bias, and P16, a person's spread."""

from __future__ import annotations

from pathlib import Path
from shutil import copyfile

import pytest

from inspect_tui.demo.write_gauges import STUDY_TITLE
from inspect_tui.model.measuring import Instrument
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common import study_feed as gauge_feed
from inspect_tui.shop.gauges import findings as gauge_findings
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges import pooled as gauge_pooled
from inspect_tui.shop.gauges import results as gauge_results
from inspect_tui.shop.gauges import routine as gauge_routine
from inspect_tui.shop.gauges import trace as gauge_trace
from tests.worlds.demo_record import demo_record

TODAY = "2025-12-04"


def instrument(record: Record, number: str) -> Instrument:
    return find.instrument(record, number)


def test_p15_from_the_check_piece(record: Record) -> None:
    cal1, cal2 = instrument(record, "CAL1"), instrument(record, "CAL2")
    assert gauge_findings.findings(record, cal1, TODAY) == []
    (found,) = gauge_findings.findings(record, cal2, TODAY)
    assert abs(found.bias - 0.05) <= 0.01 and found.u < 0.005  # accepted: 0.05 +- 0.01
    assert found.to_on == "2024-10-28"  # the day it was adjusted
    assert found.from_on == "2022-11-14"  # nothing between that certificate and the first check says otherwise


def test_p15_names_the_affected_readings(record: Record) -> None:
    cal2 = instrument(record, "CAL2")
    (found,) = gauge_findings.findings(record, cal2, TODAY)
    traced = gauge_trace.trace(record, cal2, found, TODAY)
    logged = record.readings_with(cal2.of_id)
    affected = [r for r in logged if gauge_findings.day_of(r.at_us, r.tz_min) <= "2024-10-28"]
    assert 0 < traced.readings == len(affected) < len(logged)
    on = {change.on for change in traced.changes}
    lots = sorted(int(name[6:9]) for name in on if name.startswith("core L"))
    assert lots and all(lot % 2 == 0 and lot <= 180 for lot in lots)  # even lots up to 180, as planted
    assert all(abs(c.value - c.corrected - found.bias) < 1e-9 for c in traced.changes)


def test_p15_from_alternate_lots_without_a_check_piece(record: Record) -> None:
    job = find.job(record, None)
    found = gauge_routine.routine(record, job, [instrument(record, "CAL1"), instrument(record, "CAL2")])
    first, second = found.biases
    assert abs(first.bias.estimate.value - 0.05) <= 0.01 and first.bias.differs
    assert (first.to_on, second.to_on) == ("2024-10-28", None) and not second.bias.differs
    assert first.bias.mixed_with_people  # each caliper was in one person's hands, and that is said
    assert any("cannot be told apart" in sentence for sentence in found.sentences)
    lots = gauge_routine.between(
        record, job, instrument(record, "CAL1"), instrument(record, "CAL2"), "2023-12-04", "2024-10-28"
    )
    assert abs(lots.estimate.value - 0.05) <= 0.01


def test_p15_from_all_sizes_of_tools_and_castings_at_once(record: Record) -> None:
    (found,) = gauge_pooled.current(record).named
    assert found.offset.party.name == "caliper 2 (CAL2) until 2024-10-28"
    assert found.offset.estimate.value == pytest.approx(0.05, abs=0.01)  # accepted: 0.05 +- 0.01
    assert found.offset.lower < 0.05 < found.offset.upper and found.offset.sizes >= 15
    (told,) = gauge_findings.from_pooled(record, instrument(record, "CAL2"), (), ())
    assert (told.from_on, told.to_on, told.found_from) == ("0001-01-01", "2024-10-28", "everyday readings")


def test_p16_from_the_gauge_study(record: Record) -> None:
    study = next(s for s in record.gauge_studies() if s.title == STUDY_TITLE)
    found = gauge_results.evaluate(record, study).crossed
    assert found is not None
    (named,) = [s for s in found.spreads if s.stands_out]
    assert named.person == "B2" and named.s is not None and abs(named.s - 0.09) <= 0.03
    # 37 % of the tolerance is expected of many such studies; one of 90 readings scatters about it
    assert found.anova.share_of_band is not None and 0.25 <= found.anova.share_of_band <= 0.50
    assert study.band_mm == pytest.approx(1.0)


def test_p16_from_everyday_readings(record: Record) -> None:
    found = gauge_routine.routine(record, find.job(record, None))
    named = [s for s in found.spreads if s.stands_out and s.s is not None]
    assert [s.person for s in named] == ["B2"]
    assert named[0].s is not None and abs(named[0].s - 0.09) <= 0.03
    assert any(sentence.startswith("B2's readings spread") for sentence in found.sentences)


def test_the_study_feeds_bench_1_and_bench_2_with_their_own_repeatability(record: Record) -> None:
    (feed,) = gauge_feed.feeds(record, instrument(record, "CAL1"))
    b1, b2 = (feed.repeatability(find.person(record, who).of_id) for who in ("B1", "B2"))
    assert abs(b1.s - 0.03) <= 0.01 and abs(b2.s - 0.09) <= 0.03
    assert "B2 alone" in b2.label


def test_without_the_plants_nothing_is_named(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    copyfile(demo_record(tmp_path_factory, plants=()), tmp_path / "clean.db")
    with Record.open(tmp_path / "clean.db", state_dir=tmp_path) as clean:
        assert gauge_findings.findings(clean, instrument(clean, "CAL1"), TODAY) == []
        assert all(
            f.found_from.startswith("calibration")
            for f in gauge_findings.findings(clean, instrument(clean, "CAL2"), TODAY)
        )
        (study,) = clean.gauge_studies()
        found = gauge_results.evaluate(clean, study).crossed
        assert found is not None and not [s for s in found.spreads if s.stands_out]
        routine = gauge_routine.routine(clean, find.job(clean, None))
        assert not [s for s in routine.spreads if s.stands_out and s.s and s.s > 0.06]
        assert gauge_pooled.look(clean).named == ()


def test_the_arm_is_overdue_and_says_so(record: Record) -> None:
    (line,) = [one for one in gauges.lines(record, TODAY) if one.state == gauges.OVERDUE]
    assert "ARM1" in line.instrument.label and "overdue since 2025-06-30" in line.sentence
