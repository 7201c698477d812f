"""What wears, as text: rows and orders fit their room and say all without colour."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from inspect_tui.report.term import fleet as term_fleet
from inspect_tui.shop.trends import fleet, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from tests.worlds.worn_box import START, WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    made.wear(30)
    made.repair(made.go(START + timedelta(weeks=29), hour=15), at=5800)
    made.wear(20, first_week=30, base=5800, seed=2)
    yield made
    made.record.close()


def test_an_order_is_printed_with_both_kinds_of_words(worn: WornBox) -> None:
    lines = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines
    orders = work_orders.orders(worn.record, lines, within_weeks=1000)
    said = term_fleet.orders_text(orders, 78).plain
    assert "☐ box 1: add" in said and "the tool: add" in said and "the casting: metal on" in said
    assert all(len(line) <= 78 for line in said.splitlines())


def test_a_list_row_says_its_sign_and_its_words_without_colour(worn: WornBox) -> None:
    line = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines[0]
    for width in (80, 160):
        row = term_fleet.list_row(line, width)
        assert len(row.plain) <= width
        assert row.plain.startswith("· box 1") and "left" in row.plain and "%" in row.plain
