"""What is due over the whole shop, and on which day; the paces are ours (no source), the calendar is the Gregorian one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from inspect_tui.model.first_article import CutAccepted
from inspect_tui.model.gauges import GaugeCheck, InstrumentState
from inspect_tui.model.kit import Shipment, ShipmentLine
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.trends import ToolState
from inspect_tui.record.chain.ids import uuid7
from inspect_tui.shop.gauges.instruments import gauge_setup
from inspect_tui.shop.measuring.due_list import (
    CERTIFICATE,
    CHECK,
    COUNT,
    MEASURE,
    REPAIR,
    DueLine,
    DueList,
    _to_measure,
    due_list,
    next_check,
    read_again,
)
from inspect_tui.shop.trends import fleet
from tests.worlds.trend_rows import kept_trend
from tests.worlds.worn_box import WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    """Box 1 wears in 2024 from January 1st to March 4th, beyond its limit; nobody mended it."""
    made = WornBox(tmp_path / "due.db")
    made.wear(10, start=81.45)
    yield made
    made.record.close()


@pytest.fixture
def fresh(tmp_path: Path) -> Iterator[WornBox]:
    """The same job before anything is measured."""
    made = WornBox(tmp_path / "fresh.db")
    yield made
    made.record.close()


def of(listed: DueList, kind: str) -> list[tuple[str | None, str, int]]:
    return [(line.day, line.what, line.late) for line in listed.lines if line.kind == kind]


# ------------------------------------------------------------------------------ tools
def test_a_box_read_past_its_limit_is_work_and_its_count_gets_old(worn: WornBox) -> None:
    listed = due_list(worn.record, "2024-04-16")
    ((day, what, late),) = of(listed, REPAIR)
    assert what.startswith("box 1: add ") and what.endswith("(W width)")
    assert day is not None and day <= "2024-03-04" and late >= 43
    # last counted on 2024-03-04: six weeks later is 2024-04-15
    assert of(listed, COUNT) == [("2024-04-15", "box 1: enter a count", 1)]
    assert of(listed, MEASURE) == []  # it was read: another reading tells nothing new
    assert [line.where for line in listed.lines if line.kind in (REPAIR, COUNT)] == ["job W-1", "job W-1"]
    assert listed.newest == "2024-03-04" and listed.until == "2024-07-16"
    worn.record.add(ToolState(tool_of_id=worn.box.of_id, state="retired", since_on="2024-03-05"), worn.ab.id)
    assert of(due_list(worn.record, "2024-04-16"), REPAIR) == []


def test_a_repair_asks_for_a_reading_and_a_tool_that_is_away_says_where(worn: WornBox) -> None:
    worn.repair(worn.go("2024-03-05"))
    shipment = uuid7()
    worn.record.add_all(
        [
            Shipment(id=shipment, job_of_id=worn.job.of_id, to_whom="foundry N", done_on="2024-03-06"),
            ShipmentLine(shipment_id=shipment, ord=0, tool_of_id=worn.box.of_id, what="box 1"),
        ],
        worn.ab.id,
    )
    (line,) = [line for line in due_list(worn.record, "2024-03-08").lines if line.kind == MEASURE]
    assert (line.day, line.what, line.late) == ("2024-03-05", "box 1: measure W", 3)
    assert line.why == "a repair came after its last reading"
    assert line.where == "job W-1, at foundry N since 2024-03-06"
    worn.go("2024-03-07")
    worn.read(80.8)
    assert of(due_list(worn.record, "2024-03-08", within_weeks=2), MEASURE) == []


def test_a_repair_of_another_size_asks_for_nothing_here(worn: WornBox) -> None:
    worn.repair(worn.go("2024-03-05"), name="H")
    worn.repair(worn.go("2024-03-04"))  # read that day: nobody knows what came first, so it is not asked for again
    assert of(due_list(worn.record, "2024-03-08"), MEASURE) == []


def test_a_cut_taken_over_stands_without_a_day_and_is_never_late(fresh: WornBox) -> None:
    fresh.go("2024-03-06")
    cut = CutAccepted(
        job_of_id=fresh.job.of_id,
        tool="drag pattern",
        cause="by hand",
        axis="x",
        change_mm=0.5,
        low_mm=0.4,
        high_mm=0.6,
        words="cut 0.50 at the joint",
    )
    fresh.record.add(cut, fresh.ab.id)
    line = due_list(fresh.record, "2030-01-01").lines[-1]
    assert (line.kind, line.day, line.late) == (REPAIR, None, 0)
    assert line.what == "drag pattern: cut 0.50 at the joint" and "taken over 2024-03-06" in line.why


def test_half_of_what_is_left_at_worst_is_when_it_is_read_again() -> None:
    read = date(2026, 1, 1).toordinal()
    # 0.5 * 700 at 100 a week are 3.5 weeks: 24 whole days
    assert read_again(kept_trend(last_day=read, low=700.0, per_week=100.0)) == "2026-01-25"
    assert read_again(kept_trend(last_day=read, low=0.0, per_week=100.0)) == "2026-01-01"
    assert read_again(kept_trend(last_day=read, low=1e12, per_week=1.0)) is None
    for unknown in ({"low": None}, {"low": float("inf")}, {"per_week": None}, {"per_week": 0.0}, {"last_day": None}):
        assert read_again(kept_trend(**unknown)) is None


def test_one_line_a_tool_names_the_sizes_that_are_due_by_then() -> None:
    read = date(2026, 1, 1).toordinal()
    row = kept_trend(last_day=read, low=700.0, per_week=100.0)
    rows = [row._replace(balloon=f"F{n}", feature_id=bytes([n]) * 16, low=100.0 * n) for n in range(1, 7)]
    rows += [row._replace(balloon="F9", feature_id=b"9" * 16, low=9000.0)]
    rows += [row._replace(balloon="F8", feature_id=b"8" * 16, kind="past")]
    rows += [row._replace(balloon="F7", feature_id=b"7" * 16, source="core", low=0.0)]
    ((line),) = _to_measure(rows, [], {}, "2026-03-01", {row.tool_of_id: "job A"})
    assert line.what == "box 1: measure F7 on a core, F1, F2, F3 and 3 more" and line.where == "job A"
    assert line.day == "2026-01-01" and line.why.startswith("F7 on a core: read 2026-01-01; ")
    passed = fleet.fleet([row._replace(count_day=read, cores_left=800.0)], {}, today="2026-11-01").lines
    assert passed[0].passed
    (line,) = _to_measure([row], passed, {}, "2026-12-01", {})
    assert line.day == passed[0].due and "passed by what was made" in line.why


# ------------------------------------------------------------------------------ gauges
def test_certificates_run_out_and_gauges_without_one_have_no_day(fresh: WornBox) -> None:
    fresh.go("2024-03-05")
    add, by = fresh.record.add, fresh.ab.id
    arm, old, bare = (add(Instrument(label=label, serial="S1"), by) for label in ("arm", "old", "bare"))
    add(Calibration(instrument_of_id=arm.of_id, done_on="2023-06-01", due_on="2024-06-01", u95_mm=0.1), by)
    add(Calibration(instrument_of_id=old.of_id, done_on="2023-06-01", due_on="2024-05-01", u95_mm=0.1), by)
    add(InstrumentState(instrument_of_id=old.of_id, state="out_of_use", since_on="2024-03-01"), by)
    listed = due_list(fresh.record, "2024-06-03")
    assert of(listed, CERTIFICATE) == [("2024-06-01", "arm: certify", 2), (None, "bare: certify", 0)]
    assert listed.lines[-1].about == bare.of_id and listed.lines[-1].where == "serial S1"
    assert of(due_list(fresh.record, "2024-03-05", within_weeks=2), CERTIFICATE) == [(None, "bare: certify", 0)]
    add(Calibration(instrument_of_id=arm.of_id, done_on="2024-06-02", result="fail", u95_mm=0.1), by)
    listed = due_list(fresh.record, "2024-06-03")
    assert of(listed, CERTIFICATE)[0] == ("2024-06-02", "arm: certify it before it is used", 1)


def test_a_gauge_is_checked_again_at_its_own_pace(fresh: WornBox) -> None:
    for day, value in (("2024-03-05", 50.0), ("2024-03-12", 50.0), ("2024-03-12", 50.01)):
        fresh.go(day)
        setup = gauge_setup(fresh.record, fresh.ab, fresh.caliper, "check")
        check = GaugeCheck(setup_id=setup, reference="block 50", reference_mm=50.0, value=value, typed="50")
        fresh.record.add(check, fresh.ab.id)
    assert of(due_list(fresh.record, "2024-03-20"), CHECK) == [("2024-03-19", "caliper 1: quick check", 1)]
    fresh.go("2024-03-19")
    setup = gauge_setup(fresh.record, fresh.ab, fresh.caliper, "check")
    bad = GaugeCheck(setup_id=setup, reference="block 50", reference_mm=50.0, value=51.0, typed="51")
    fresh.record.add(bad, fresh.ab.id)
    listed = due_list(fresh.record, "2024-03-20")
    assert of(listed, CHECK) == []  # a gauge that failed is mended or certified, not checked again
    assert of(listed, CERTIFICATE) == [("2024-03-19", "caliper 1: certify it before it is used", 1)]


def test_the_pace_is_the_middle_gap_so_far() -> None:
    assert next_check([]) is None
    assert next_check(["2024-02-01"]) == ("2024-03-02", "once so far: again after 30 days")  # 2024 is a leap year
    assert next_check(["2024-02-01", "2024-02-08", "2024-02-15", "2024-04-01"]) == (
        "2024-04-08",
        "about every 7 days so far",
    )
    assert next_check(["2024-02-01", "2024-02-02"]) == ("2024-02-03", "about every 1 day so far")


# ------------------------------------------------------------------------------ the list
def test_the_sentence_counts_what_is_late_and_what_has_no_day() -> None:
    def line(day: str | None, late: int) -> DueLine:
        return DueLine(kind=COUNT, day=day, what="", where="", why="", late=late, about=b"")

    def said(*lines: DueLine) -> str:
        return DueList(today="2026-01-01", until="2026-04-02", newest="2026-01-01", lines=lines).sentence

    assert said() == "nothing is due until 2026-04-02"
    assert said(line("2026-01-02", 0)) == "1 thing until 2026-04-02, none past the day"
    assert said(line("2025-12-31", 1), line(None, 0)) == "2 things until 2026-04-02, 1 past the day; 1 without a day"
