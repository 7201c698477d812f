"""Tests of: biases that came to light."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import DataError
from inspect_tui.model.gauges import GaugeCheck
from inspect_tui.model.measuring import Calibration
from inspect_tui.shop.gauges import findings, trace
from inspect_tui.shop.gauges.findings import BiasFinding
from tests.shop.gauges.test_trace import (
    TODAY,
    Days,
    days,  # noqa: F401  a fixture
)
from tests.worlds.many_hands import by_turns, shop


def test_every_reading_of_the_days_is_judged_again_and_changes_are_listed(days: Days) -> None:
    # box 1 height on stick 1: 40.40, limits 40.198 to 40.602 (a third of the casting's band)
    days.read("2026-01-05", "F2", "40.59")
    days.read("2026-02-05", "F2", "40.59")  # conforms as read; 0.04 too high it is undecided ... and so on
    days.read("2026-02-06", "F2", "40.65")
    days.read("2026-03-01", "F2", "40.40")
    traced = trace.trace(
        days.record,
        days.caliper,
        BiasFinding(bias=0.05, u=0.005, from_on="2026-02-01", to_on=None, why="seen", found_from="check"),
        TODAY,
    )
    assert (traced.readings, traced.lines, traced.subjects) == (3, 3, 1)  # not the one of January
    assert [(c.value, round(c.corrected, 2), c.before, c.after) for c in traced.changes] == [
        (40.59, 40.54, "undecided", "conforms"),
        (40.65, 40.6, "does not conform", "undecided"),
    ]
    assert traced.worse == 0 and "2 verdicts change; none of them said conforms." in traced.sentence


def test_verdicts_that_no_longer_say_conforms_are_counted(days: Days) -> None:
    days.read("2026-02-05", "F2", "40.55")
    finding = BiasFinding(
        bias=-0.05, u=0.005, from_on="2026-02-01", to_on=None, why="seen", found_from="check"
    )  # it read low: the stick is larger
    traced = trace.trace(days.record, days.caliper, finding, TODAY)
    assert traced.worse == 1 and traced.changes[0].before == "conforms"
    assert "1 verdict changes; it no longer says conforms" in traced.sentence


def test_repeats_of_one_line_are_judged_as_their_mean(days: Days) -> None:
    days.read("2026-02-05", "F2", "40.58 40.60 40.59")
    traced = trace.trace(
        days.record,
        days.caliper,
        BiasFinding(bias=0.05, u=0.0, from_on="2026-02-01", to_on=None, why="w", found_from="f"),
        TODAY,
    )
    assert (traced.readings, traced.lines) == (3, 1)


@pytest.mark.parametrize(
    ("finding", "sentence"),
    [
        (
            BiasFinding(bias=0.0, u=0.0, from_on="2026-01-01", to_on=None, why="w", found_from="f"),
            "A bias of 0 changes nothing",
        ),
        (
            BiasFinding(bias=float("nan"), u=0.0, from_on="2026-01-01", to_on=None, why="w", found_from="f"),
            "A bias of 0 changes nothing",
        ),
        (
            BiasFinding(bias=0.05, u=0.0, from_on="2026-02-01", to_on="2026-01-01", why="w", found_from="f"),
            "cannot end",
        ),
    ],
)
def test_a_bias_that_cannot_be_is_refused_with_a_sentence(days: Days, finding: BiasFinding, sentence: str) -> None:
    with pytest.raises(DataError, match=sentence):
        trace.trace(days.record, days.caliper, finding, TODAY)


def test_days_without_readings_have_nothing_to_look_at(days: Days) -> None:
    traced = trace.trace(
        days.record,
        days.caliper,
        BiasFinding(bias=0.05, u=0.0, from_on="2020-01-01", to_on="2020-02-01", why="w", found_from="f"),
        TODAY,
    )
    assert traced.readings == 0 and "nothing has to be looked at" in traced.sentence


def test_a_bad_check_is_traced_back_to_the_last_good_one(days: Days) -> None:
    days.check("2026-02-02", 50.01)
    days.check("2026-02-16", 50.0)
    days.check("2026-03-02", 50.06)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert (shown.bias, shown.from_on, shown.to_on) == (pytest.approx(0.06), "2026-02-16", None)
    assert "the check of 2026-02-16 was good" in shown.why


def test_a_check_that_just_passes_is_not_a_good_one_when_it_is_nearer_to_the_bias(days: Days) -> None:
    days.check("2026-02-02", 50.0)
    days.check("2026-02-16", 50.035)  # within the certificate, but half the way there
    days.check("2026-03-02", 50.06)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert shown.from_on == "2026-02-02"


def test_a_bad_check_that_led_to_an_adjustment_held_until_then(days: Days) -> None:
    days.check("2026-03-02", 50.06)
    days.certificate("2026-03-05", "adjusted")  # which does not say how far off it was
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert (shown.from_on, shown.to_on) == ("2026-01-02", "2026-03-05")


def test_without_a_good_check_it_goes_back_to_the_certificate(days: Days) -> None:
    days.check("2026-03-02", 49.93)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert (shown.from_on, shown.bias) == ("2026-01-02", pytest.approx(-0.07))
    assert "the certificate of 2026-01-02 was good" in shown.why


def test_a_check_that_reads_well_again_leaves_nothing_to_trace(days: Days) -> None:
    days.check("2026-03-02", 50.06)
    days.check("2026-03-03", 50.01)
    assert findings.findings(days.record, days.caliper, TODAY) == []


def test_an_as_found_error_above_its_u_is_traced_to_the_day_it_was_adjusted(days: Days) -> None:
    days.certificate("2026-03-05", "adjusted", 0.09)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert (shown.bias, shown.from_on, shown.to_on) == (0.09, "2026-01-02", "2026-03-05")
    days.certificate("2026-03-08", "pass", 0.02)  # within its U: nothing came to light
    assert len(findings.findings(days.record, days.caliper, TODAY)) == 1


def test_a_step_in_many_checks_gives_the_day_it_began_and_the_bias_since(days: Days) -> None:
    scatter = (0.01, -0.01, 0.0, 0.01, 0.0, -0.01, 0.0, 0.01)
    for n, x in enumerate(scatter):
        days.check(f"2026-01-{5 + n:02d}", 50.0 + x)
    for n, x in enumerate(scatter):
        days.check(f"2026-02-{5 + n:02d}", 50.06 + x)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert (shown.from_on, shown.to_on) == ("2026-01-12", None)
    assert shown.bias == pytest.approx(0.06, abs=0.005) and shown.u < 0.006


def test_one_bad_check_after_many_good_ones_is_traced_to_the_last_good_one(days: Days) -> None:
    for n in range(12):
        days.check(f"2026-02-{1 + n:02d}", 50.0 + 0.01 * (n % 3 - 1))
    days.check("2026-03-02", 50.07)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    assert (shown.from_on, shown.to_on, shown.bias) == ("2026-02-12", None, pytest.approx(0.07))


def test_a_bias_on_record_is_not_found_again_and_certificate_and_checks_give_one_finding(days: Days) -> None:
    days.check("2026-03-02", 50.06)
    days.certificate("2026-03-05", "adjusted", 0.06)
    (shown,) = findings.findings(days.record, days.caliper, TODAY)
    trace.confirm(days.record, days.ab, days.caliper, shown)
    assert findings.findings(days.record, days.caliper, TODAY) == []


# ------------------------------------------------------------------------------ from everyday readings
def test_what_everyday_readings_show_is_offered_since_all_was_well(tmp_path: Path) -> None:
    many = shop(tmp_path / "many.db")
    many.read(by_turns(many.sizes, 1, 0.048))
    off, good = many.gauges[0], many.gauges[1]
    (shown,) = findings.findings(many.record, off, "2025-12-01")
    assert shown.bias == pytest.approx(0.048, abs=0.006) and 0 < shown.u < 0.004
    assert (shown.from_on, shown.to_on, shown.found_from) == ("2024-12-02", None, "everyday readings")
    assert "higher than the others, over" in shown.why and shown.why.endswith("certificate of 2024-12-02 was good")
    assert findings.findings(many.record, good, "2025-12-01") == []
    trace.confirm(many.record, many.people[0], off, shown)
    assert findings.findings(many.record, off, "2025-12-01") == []


def test_a_check_against_a_piece_comes_before_the_same_bias_from_everyday_readings(tmp_path: Path) -> None:
    many = shop(tmp_path / "many.db")
    many.read(by_turns(many.sizes, 1, 0.15))
    setup = many.setups[next(key for key in sorted(many.setups) if key[1] == 0)].id
    checks = [
        GaugeCheck(setup_id=setup, reference="block 50", reference_mm=50.0, value=50.15, typed="50.15") for _ in "123"
    ]
    many.record.add_all(checks, many.by)
    (shown,) = findings.findings(many.record, many.gauges[0], "2025-12-02")
    assert shown.found_from.startswith("check on block 50")


def test_after_an_adjusting_it_is_offered_from_the_next_day_on(tmp_path: Path) -> None:
    many = shop(tmp_path / "many.db")
    gauge = many.gauges[0]
    many.record.add(
        Calibration(instrument_of_id=gauge.of_id, done_on="2025-01-02", u95_mm=0.04, result="adjusted"), many.by
    )
    many.read(by_turns(many.sizes, 1, 0.048))
    (shown,) = findings.findings(many.record, gauge, "2025-12-01")
    assert shown.from_on == "2025-01-03" and shown.why.endswith("; it was adjusted on 2025-01-02")
    trace.confirm(many.record, many.people[0], gauge, shown)  # and in force although it has no end
    assert findings.from_pooled(many.record, gauge, many.record.calibrations(gauge.of_id), ()) == []


def test_before_an_adjusting_it_is_offered_until_that_day(tmp_path: Path) -> None:
    many = shop(tmp_path / "many.db")
    gauge = many.gauges[0]
    many.record.add(
        Calibration(instrument_of_id=gauge.of_id, done_on="2025-03-08", u95_mm=0.04, result="adjusted"), many.by
    )
    many.read(by_turns(many.sizes, 1, 0.048))
    (shown,) = findings.findings(many.record, gauge, "2025-12-01")
    assert (shown.from_on, shown.to_on) == ("2024-12-02", "2025-03-08")
