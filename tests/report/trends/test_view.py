"""What the papers of trends show: repair, order, wear, what changed, in the words of every form."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from inspect_tui.report.trends import view
from inspect_tui.shop.trends import forecast, month_sheet
from tests.worlds.many_hands import changed_for_good, shop
from tests.worlds.worn_box import START, WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    made.wear(30)
    made.repair(made.go(START + timedelta(weeks=29), hour=15), at=5800)
    made.wear(20, first_week=30, base=5800, seed=2)
    yield made
    made.record.close()


def test_the_sheet_says_repair_order_wear_and_what_changed(worn: WornBox) -> None:
    shown = view.sheet(month_sheet.sheet(worn.record, "2024-07"))
    assert shown["repaired"][0]["words"] == "lined: lined" and shown["repaired"][0]["effect"].startswith("W 8")
    assert shown["lines"][0]["tool"] == "box 1" and shown["lines"][0]["risk"]
    assert shown["no_orders"] and shown["changed_sentence"].startswith("nothing to say")
    assert len(shown["charts"]) == 1 and shown["heads"]


def test_a_change_of_gauge_stands_in_the_sheet_once(tmp_path: Path) -> None:
    many = shop(tmp_path / "changed.db", boxes=2, of_each=6, of_castings=0)
    many.read(changed_for_good(12, 1, 0.08))
    many.count(60)
    (said,) = view.sheet(month_sheet.sheet(many.record, "2025-02"))["changed"]
    assert said.startswith("the gauge changed on 2025-02-05: caliper G0 reads 0.08 lower")


def test_headlines_are_the_words_of_every_form(worn: WornBox) -> None:
    worn_trend = worn.trend()
    made = view.chart(worn_trend)
    assert made["lines"] == forecast.headline(worn_trend)
    assert made["marks"] == ["repair 1, 2024-07-22: lined: lined"]
