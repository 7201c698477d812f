"""Tests of: what changed lately, over all sizes of all tools and castings."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import surprises
from tests.shop.trends.test_fleet import (
    shop_of_castings,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import START, WornBox


def test_nothing_to_say_is_said_with_the_rate_of_false_alarms(worn: WornBox) -> None:
    shop_of_castings(worn)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert not report.lines and report.tested == 2
    assert report.sentence == "nothing to say: nothing changed in 2 sizes beyond chance (false alarms held at 5 %)"


def test_a_step_of_the_foundry_is_one_line_with_its_lot_and_its_side(worn: WornBox) -> None:
    shop_of_castings(worn, step=-0.40)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert [line.kept.balloon for line in report.lines] == ["L"]
    line = report.lines[0]
    assert line.since in ("lot L059", "lot L060", "lot L061")
    assert line.surprise.change.value == pytest.approx(-0.40, abs=0.05)
    assert line.sentence.startswith("L overall length on castings: stepped -0.4")
    assert "of 2 sizes changed; in the long run at most 5 %" in report.sentence


def test_what_only_one_person_reads_goes_with_that_person(worn: WornBox) -> None:
    shop_of_castings(worn, step=0.30, by_cd=True, at=40)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert [line.kept.balloon for line in report.lines] == ["L"]
    assert "person CD" in report.lines[0].sentence


def test_wear_and_entered_repairs_are_no_surprise_but_a_knock_is(worn: WornBox) -> None:
    worn.wear(60, rate=0.05e-3)
    worn.repair(worn.go(START + timedelta(weeks=59), hour=15), at=11_800)
    worn.wear(60, rate=0.05e-3, first_week=60, base=11_800, seed=3)
    assert not surprises.surprises(worn.record, *trend_kept.compute(worn.record)).lines
    worn.wear(25, rate=0.05e-3, first_week=120, base=11_800, start=80.98, seed=9)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert [(line.kept.balloon, line.surprise.kind) for line in report.lines] == [("W", "step")]
    assert report.lines[0].surprise.change.value == pytest.approx(0.18, abs=0.04)


def test_a_repair_that_was_entered_begins_the_castings_anew(worn: WornBox) -> None:
    shop_of_castings(worn, step=-0.40)
    worn.repair((START + timedelta(days=119)).isoformat(), tool=worn.drag)
    assert not surprises.surprises(worn.record, *trend_kept.compute(worn.record)).lines


def test_too_few_readings_are_counted_and_not_searched(worn: WornBox) -> None:
    worn.wear(6)
    report = surprises.surprises(worn.record, *trend_kept.compute(worn.record))
    assert (report.tested, report.too_short) == (0, 1)
    assert report.sentence == "nothing to search yet: it takes twelve readings of a size"


def test_what_changed_is_said_in_inches(worn: WornBox) -> None:
    shop_of_castings(worn, step=-0.40)
    listed = trend_kept.compute(worn.record)
    (mm,), (inches,) = (surprises.surprises(worn.record, *listed, style=style).lines for style in (MM, Style("in")))
    by = mm.surprise.change
    assert mm.size == f"stepped {by.value:+.2f} ± {2 * by.u:.2f} mm"
    assert inches.size == f"stepped {by.value / 25.4:+.4f} ± {2 * by.u / 25.4:.4f} in"
    assert "mm" not in inches.sentence.split()
