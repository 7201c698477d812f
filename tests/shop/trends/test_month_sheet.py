"""Tests of: the month's sheet for the bench and the lead."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.shop.trends import month_sheet
from inspect_tui.shop.trends.job_view import JobView
from tests.shop.trends.test_fleet import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_the_sheet_has_the_months_repairs_with_sizes_before_and_after(worn: WornBox) -> None:
    worn.wear(20)
    worn.repair(worn.go(START + timedelta(weeks=19), hour=15), at=3800)
    worn.wear(20, first_week=20, base=3800, seed=2)
    sheet = month_sheet.sheet(worn.record, "2024-05")
    assert [(r.tool, r.done_on) for r in sheet.repaired] == [("box 1", "2024-05-13")]
    before, after = (float(x) for x in sheet.repaired[0].effect.removeprefix("W ").split(" to "))
    assert before == pytest.approx(80.80 + 0.03e-3 * 3800, abs=0.03) and after == pytest.approx(80.80, abs=0.03)
    assert sheet.until == (START + timedelta(weeks=39)).isoformat()
    assert [chart.feature.balloon for chart in sheet.charts] == ["W"]
    assert month_sheet.sheet(worn.record).month == "2024-09" and not month_sheet.sheet(worn.record).repaired


def test_a_month_that_is_none_is_refused_with_a_sentence(worn: WornBox) -> None:
    with pytest.raises(DataError, match="May is no month: type it such as 2025-11"):
        month_sheet.sheet(worn.record, "May")


def test_effects_name_every_size_that_a_repair_touched(worn: WornBox) -> None:
    worn.wear(12)
    worn.wear(12, name="H", start=60.6, first_week=12)
    repair = worn.repair(worn.go(START + timedelta(weeks=23), hour=15), at=4600)
    worn.wear(6, first_week=24, base=4600)
    worn.wear(6, name="H", start=60.6, first_week=30, base=4600)
    said = month_sheet.effects(JobView(worn.record, worn.job), repair)
    assert [words.split()[0] for words in said] == ["W", "H"]


def test_what_a_repair_did_is_said_in_inches(worn: WornBox) -> None:
    worn.wear(20)
    worn.repair(worn.go(START + timedelta(weeks=19), hour=15), at=3800, amount_mm=0.127)
    worn.wear(20, first_week=20, base=3800, seed=2)
    (mm,), (inches,) = (month_sheet.sheet(worn.record, "2024-05", style=style).repaired for style in (MM, Style("in")))
    sizes, shown = (
        [float(size) for size in repaired.effect.removeprefix("W ").split(" to ")] for repaired in (mm, inches)
    )
    assert shown == pytest.approx([size / 25.4 for size in sizes], abs=0.0003)
    assert "0.13 mm" in mm.words and "0.0050 in" in inches.words
