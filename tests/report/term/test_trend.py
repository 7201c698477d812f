"""Trends as text: they fit their room, name both ends of their axis, and what lies far off is counted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from inspect_tui.report.draw.trend import CORES, DATE, comparison, place_of, trend_chart
from inspect_tui.report.term import trend as term_trend
from tests.worlds.worn_box import START, WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    made.wear(30)
    made.repair(made.go(START + timedelta(weeks=29), hour=15), at=5800)
    made.wear(20, first_week=30, base=5800, seed=2)
    yield made
    made.record.close()


@pytest.mark.parametrize(("width", "height"), [(60, 9), (80, 18), (160, 40)])
@pytest.mark.parametrize("axis", [CORES, DATE])
def test_the_chart_fits_its_room_and_names_both_ends_of_its_axis(
    worn: WornBox, width: int, height: int, axis: str
) -> None:
    worn_trend = worn.trend()
    lines = term_trend.chart(
        trend_chart(worn_trend, axis), width, height, cursor=place_of(worn_trend, 3, axis)
    ).plain.split("\n")
    assert len(lines) <= height and all(len(line) <= width for line in lines)
    ends = ("0", "cores made") if axis == CORES else ("2024-01-01", "date")
    assert all(end in lines[-2] for end in ends)
    assert "▲" in lines[-3] and "┊" in "".join(lines)


def test_readings_far_off_are_at_the_edge_and_counted(worn: WornBox) -> None:
    worn.read(8.1)
    worn.read(95.0)
    lines = term_trend.chart(trend_chart(worn.trend()), 100, 18).plain.split("\n")
    assert "▲ 1 above the picture, up to 95.00" in lines[-1] and "▼ 1 below it, down to 8.10" in lines[-1]
    assert "▲" in lines[1] and "▼" in lines[-4]


def test_a_size_without_counts_says_how_to_see_it_in_the_words_of_the_face(worn: WornBox) -> None:
    worn.go(START + timedelta(weeks=60))
    for n in range(4):
        worn.read(60.6 + n / 100, "H")
    counted = term_trend.chart(trend_chart(worn.trend("H")), 80, 18, over_dates="--dates shows it").plain
    assert counted.endswith("no reading has a count: --dates shows it")
    dots = set(map(chr, range(0x2801, 0x2900)))
    assert dots & set(term_trend.chart(trend_chart(worn.trend("H"), DATE), 80, 18).plain)
    empty = term_trend.chart(trend_chart(worn.trend("S", worn.box2)), 80, 18, over_dates="--dates shows it").plain
    assert empty.endswith("not measured yet")


def test_two_sizes_fit_their_room_and_say_which_is_which(worn: WornBox) -> None:
    both = comparison(worn.trend(), worn.trend())
    assert both is not None
    lines = term_trend.compare(both, 90, 20).plain.split("\n")
    assert len(lines) == 20 and all(len(line) <= 90 for line in lines)
    assert lines[0] == "⠿ W width (box 1)   o W width (box 1)"
    assert lines[-1].startswith("difference from the target of each, mm")


def test_the_reading_under_the_cursor_has_the_casting_of_its_lot_beside_it(worn: WornBox) -> None:
    worn.lot("L1", (START + timedelta(weeks=51)).isoformat())
    worn.item(80.83, "W", "core", "L1")
    worn.item(80.05, "W", "casting", "L1")
    worn_trend = worn.trend()
    assert "nearest casting 80.05 (lot L1)" in term_trend.point_words(
        worn_trend, len(worn_trend.main) - 1, "AB caliper 1"
    )
