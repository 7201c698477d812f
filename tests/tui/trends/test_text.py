"""What the Trends place says, as text within its width: the list, the chart with its words, repairs and counts."""

from __future__ import annotations

import re

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.trends import ToolState
from inspect_tui.shop.measuring.due_list import DueLine, DueList
from inspect_tui.shop.trends import fleet, kept, verdict
from inspect_tui.shop.trends.fleet import Fleet
from inspect_tui.tui.trends import text
from tests.tui.trends.test_screen import (
    template,  # noqa: F401  a fixture
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox

WIDTHS = pytest.mark.parametrize("width", [80, 160])


def listed(worn: WornBox) -> Fleet:
    return fleet.fleet(kept.compute(worn.record)[0], {}, every=True)


def fits(shown: object, width: int, height: int = 1000) -> list[str]:
    lines = str(shown).splitlines()
    assert lines and len(lines) <= height and max(len(line) for line in lines) <= width, lines
    return lines


@WIDTHS
def test_the_list_says_tool_and_what_is_left_and_what_to_measure_next(worn: WornBox, width: int) -> None:
    known = listed(worn)
    lines = fits(text.list_page(known, known.lines, 0, 0, width, 19), width, 19)
    assert any("box 1" in line and "at worst" in line for line in lines)
    assert any(line.startswith(("Measure ", "No measurement ")) for line in lines)
    many = known.lines * 20
    room = text.list_room(known, width, 12)
    lines = fits(text.list_page(known, many, 0, 2, width, 12), width, 12)
    assert sum("box 1" in line and "measurement" not in line for line in lines[: room + 1]) == room
    assert f"↓ {len(many) - 2 - room} more" in lines
    assert "nothing here: " in str(text.list_page(known, [], 0, 0, width, 19))
    assert str(text.list_page(None, [], 0, 0, width, 19)) == "working through the record …"
    assert text.list_room(None, width, 19) == 1


@WIDTHS
def test_the_chart_is_as_high_as_there_is_room_and_its_words_stand_below(worn: WornBox, width: int) -> None:
    worn_trend = worn.trend()
    lines = fits(text.chart_page(worn_trend, None, width, 19, "cores", True, None), width, 19)
    assert any("limit 81.41" in line for line in lines) and any("cores left" in line for line in lines)
    low = fits(text.chart_page(worn_trend, None, width, 40, "cores", True, None), width, 40)
    assert len(low) > len(lines)


@WIDTHS
def test_without_readings_on_both_sides_nobody_is_named(worn: WornBox, width: int) -> None:
    lines = fits(text.told_page(worn.trend(), None, width), width)
    assert lines[0].startswith("W width on box 1: ") and "30 checks" in lines[0]
    assert lines[-2:] == ["Tooling or foundry", "not enough readings on both sides to compare (four each)"]


@WIDTHS
def test_what_moved_how_much_is_listed_series_by_series(worn: WornBox, width: int) -> None:
    worn_trend = worn.trend()
    told = verdict.tell_of(worn_trend.view, worn_trend)
    assert told is not None and told.moved
    lines = fits(text.told_page(worn_trend, told, width), width)
    assert told.sentence in " ".join(lines)
    moved = lines[-len(told.moved) :]
    for line, series in zip(moved, told.moved, strict=True):
        assert line.startswith(f"  {series.name}") and f"{series.change.value:+.3f} ± " in line


@WIDTHS
def test_repairs_counts_and_states_of_a_tool_are_the_newest_first(worn: WornBox, width: int) -> None:
    counter = worn.trend().counter
    assert str(text.log_page(None, [], [], None, {}, width)).startswith("Choose a tool first")
    bare = fits(text.log_page(worn.box, [], [], counter, {}, width), width)
    assert bare[0] == "box 1" and bare[1].startswith("5 800 cores made by ") and "200 a week lately" in bare[1]
    assert "  none entered: r enters one" in bare and "in and out of use" not in bare
    first, second = worn.repair("2024-05-01"), worn.repair("2024-07-01", at=5200, name="W")
    states = [ToolState(tool_of_id=worn.box.of_id, state="in_use", since_on="2024-01-01")]
    balloons = {worn.features["W"].id: "W"}
    lines = fits(text.log_page(worn.box, [first, second], states, counter, balloons, width), width)
    at = lines.index("repairs")
    assert lines[at + 1].startswith("  2024-07-01 at 5 200  ") and lines[at + 2].startswith("  2024-05-01  ")
    assert "  2024-01-01  in use" in lines
    days = [line.split()[0] for line in lines[lines.index("counts, the newest first") + 1 :]]
    assert days == sorted(days, reverse=True) and len(days) == 12


def test_asked_for_in_inches_every_page_is_in_inches(worn: WornBox) -> None:
    inch = Style("in")
    worn_trend = worn.trend(style=inch)
    told = verdict.tell_of(worn_trend.view, worn_trend)
    assert told is not None
    known = fleet.fleet(kept.compute(worn.record, style=inch)[0], {}, every=True, style=inch)
    repair = worn.repair("2024-05-01", amount_mm=0.254)
    pages = [
        text.chart_page(worn_trend, told, 160, 40, "cores", True, None),
        text.told_page(worn_trend, told, 160),
        text.list_page(known, known.lines, 0, 0, 160, 19, inch),
        text.log_page(worn.box, [repair], [], worn_trend.counter, {}, 160, inch),
    ]
    shown = "\n".join(str(page) for page in pages)
    assert "mm" not in re.findall(r"\w+", shown)
    assert "limit 3.2050 in" in shown and "(0.0100 in)" in shown and "· in ↑" in shown  # 81.406 mm; 0.254 mm
    change = told.moved[0].change
    assert f"{change.value / 25.4:+.5f} ± {2 * change.u / 25.4:.5f} in" in shown


@WIDTHS
def test_what_is_due_stands_by_its_day_and_what_is_late_has_a_sign(width: int) -> None:
    late = DueLine(
        kind="count",
        day="2026-02-26",
        what="box 3: enter a count " + "and more " * 30,
        where="job A",
        why="last counted 2026-01-15 " + "so " * 60,
        late=3,
        about=b"",
    )
    bare = DueLine(kind="certificate", day=None, what="rule: certify", where="gauge", why="never", late=0, about=b"")
    due = DueList(today="2026-03-01", until="2026-05-31", newest="2026-02-28", lines=(late, bare))
    lines = fits(text.due_page(due, width), width)
    assert lines[0] == "2 things until 2026-05-31, 1 past the day; 1 without a day"
    assert lines[1].startswith("✗ 2026-02-26 box 3: enter a count") and "3 days late" in " ".join(
        " ".join(lines).split()
    )
    assert lines[-2:] == ["  no day     rule: certify", "             gauge: never"]
