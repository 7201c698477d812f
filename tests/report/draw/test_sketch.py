"""What a sketch shows, whoever paints it: cells of a view, what lies over what, and where names stand."""

from __future__ import annotations

import pytest

from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.sketch import Area, Raster, Spot, View, drawn_range, not_named, spots


def area(thing: str, x0: float, x1: float, y0: float, y1: float, *names: str) -> Area:
    return Area(thing=thing, names=names or (f"core {thing}", thing), x0=x0, x1=x1, y0=y0, y1=y1)


def raster(*areas: Area, columns: int = 21, rows: int = 11) -> Raster:
    view = View(title="t", across="x", up="z", x0=0.0, x1=20.0, y0=0.0, y1=10.0, areas=areas)
    return Raster(view=view, columns=columns, rows=rows)


def test_places_are_the_middles_of_cells() -> None:
    r = raster()
    assert [r.column(x) for x in (-5.0, 0.0, 0.4, 0.6, 19.4, 20.0, 25.0)] == [0, 0, 0, 1, 19, 20, 20]
    assert [r.row(y) for y in (12.0, 10.0, 9.4, 0.6, 0.0, -3.0)] == [0, 0, 1, 9, 10, 10]
    assert r.cells(area("1", 2, 7, 1, 4)) == (2, 7, 6, 9)


def test_the_last_area_shows() -> None:
    grid = raster(area("1", 0, 20, 0, 10), area("2", 5, 20, 0, 5)).shown()
    assert [row[4] for row in grid] == [0] * 11
    assert [row[5] for row in grid] == [0] * 5 + [1] * 6


def test_lines_and_points_are_flat() -> None:
    assert not area("1", 2, 5, 0, 5).about
    assert area("1", 2, 2, 0, 5).flat and area("1", 2, 5, 3, 3).flat and not area("1", 2, 2.1, 3, 3.1).flat


def named(*areas: Area, **more: int) -> dict[str, Spot]:
    r = raster(*areas)
    return spots(r, r.shown(), **more)


def test_a_name_stands_in_the_middle_with_room_round_it() -> None:
    assert named(area("1", 2, 17, 1, 9)) == {"1": Spot(row=5, column=7, words="core 1")}


def test_a_name_takes_less_room_before_it_gets_shorter() -> None:
    assert named(area("1", 2, 9, 4, 6))["1"] == Spot(row=5, column=3, words="core 1")
    assert named(area("1", 2, 8, 4, 6))["1"].words == "1"  # its corners stay free
    assert named(area("1", 2, 7, 5, 5))["1"].words == "core 1"  # a line has none
    assert named(area("1", 2, 6, 4, 6))["1"] == Spot(row=5, column=4, words="1")
    assert named(area("1", 2, 2, 4, 6, "core 1")) == {}


def test_a_name_stands_where_its_body_shows() -> None:
    spot = named(area("1", 0, 20, 0, 10), area("2", 0, 20, 4, 10))["1"]
    assert (spot.row, spot.words) == (8, "core 1")  # rows 0 to 6 are hidden; 7 and 9 stay free round the name


def test_a_body_of_several_boxes_has_one_name() -> None:
    made = named(area("1", 0, 4, 0, 10, "core 1"), area("1", 5, 20, 7, 10, "core 1"))
    assert list(made) == ["1"] and made["1"].row in (1, 2)


def test_rows_and_columns_of_a_letter() -> None:
    assert named(area("1", 0, 20, 0, 10), letter=2, high=3)["1"] == Spot(row=4, column=4, words="core 1")
    assert named(area("1", 0, 13, 0, 10), letter=2, high=3)["1"].words == "core 1"
    assert named(area("1", 0, 10, 0, 10), letter=2, high=3)["1"].words == "1"
    assert named(area("1", 0, 20, 0, 1), high=3) == {}


def test_two_names_do_not_touch_and_the_smaller_body_chooses_first() -> None:
    made = named(area("1", 0, 9, 4, 6, "abcdefgh", "1"), area("2", 10, 11, 4, 6, "2"))
    assert made["2"] == Spot(row=5, column=10, words="2")
    assert made["1"].column + len(made["1"].words) < made["2"].column


def test_what_is_hidden_and_what_is_small() -> None:
    r = raster(area("1", 5, 6, 5, 6), area("2", 0, 20, 0, 10), area("3", 0, 0, 0, 0, "core 3"))
    grid = r.shown()
    assert not_named(r.view, spots(r, grid), grid) == ["Hidden in this view: 1.", "Too small to name in this view: 3."]
    assert not_named(r.view, ["1", "2", "3"], grid) == []
    assert r.view.things == ("1", "2", "3")


def test_the_drawn_range_has_a_margin() -> None:
    assert drawn_range([(0.0, 50.0), (20.0, 100.0)]) == pytest.approx((-3.0, 103.0))
    assert drawn_range([(5.0, 5.0)]) == (4.0, 6.0)
    assert s.MARGIN == 0.03
