"""Blocking: a body swept along its way in meets what already stands there; what it only touches is not in the way."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.bodies import Body, Box, given_body
from inspect_tui.metrology.kit.sweep import Blocked, blocked, standing_in_each_other, swept, way_of
from inspect_tui.metrology.typed.show import Style
from tests.amounts import some


def a_box(*places: float) -> Box:
    """x from and to, y from and to, z from and to."""
    return Box(*places)


LOW = given_body("1", [(0, 100, 0, 50, 0, 30)])
OVER = given_body("2", [(80, 180, 0, 50, 60, 90)])  # hangs over the end of core 1
BESIDE = given_body("3", [(100, 150, 0, 50, 0, 30)])


def names(found: tuple[Blocked, ...]) -> list[str]:
    return [b.by for b in found]


def test_a_core_let_down_meets_what_hangs_over_its_place() -> None:
    met = blocked(LOW, ["z-"], {"2": OVER, "3": BESIDE})
    assert [(b.core, b.by, b.way, b.depth, b.sure) for b in met] == [("1", "2", "z-", 20, True)]
    assert met[0].sentence() == "core 1 may be blocked by core 2: look (its way in, z-, meets it 20 mm deep)"
    assert "meets it 0.79 in deep" in met[0].sentence(Style("in"))


def test_what_stands_below_or_only_touches_is_not_in_the_way() -> None:
    assert blocked(OVER, ["z-"], {"1": LOW, "3": BESIDE}) == ()
    assert names(blocked(OVER, ["z+"], {"1": LOW, "3": BESIDE})) == ["3", "1"]  # from below, the deeper first
    assert blocked(LOW, [], {"2": OVER}) == ()


def test_a_core_pushed_sideways_is_let_down_beside_its_place() -> None:
    # toward -x from beyond 100: through core 3, which stands there, and below core 2
    assert names(blocked(LOW, ["x-"], {"2": OVER, "3": BESIDE})) == ["2", "3"]
    assert blocked(LOW, ["x+"], {"3": BESIDE}) == ()  # from the other end
    assert names(blocked(LOW, ["x+"], {"2": OVER}, travel=10.0)) == ["2"]  # not far enough out from under it
    assert blocked(LOW, ["x+"], {"2": OVER}, travel=20.0) == ()
    assert blocked(LOW, ["z-", "x+"], {"2": OVER}, travel=20.0) == ()
    assert swept(LOW.boxes[0], ["z-", "x+"], 20.0) == swept(LOW.boxes[0], ["x+"], 20.0)


@pytest.mark.parametrize(
    ("way", "box"),
    [
        ("z-", a_box(0, 100, 0, 50, 0, inf)),
        ("z+", a_box(0, 100, 0, 50, -inf, 30)),
        ("x-", a_box(0, 200, 0, 50, 0, 30)),
        ("x+", a_box(-100, 100, 0, 50, 0, 30)),
        ("y-", a_box(0, 100, 0, 100, 0, 30)),
        ("y+", a_box(0, 100, -50, 50, 0, 30)),
    ],
)
def test_what_a_box_sweeps(way: str, box: Box) -> None:
    path = swept(LOW.boxes[0], [way])
    assert path[0] == box
    beside = {"x-": a_box(100, 200, 0, 50, 0, inf), "y+": a_box(0, 100, -50, 0, 0, inf)}
    assert len(path) == (1 if way[0] == "z" else 2) and path[-1] == beside.get(way, path[-1])


@pytest.mark.parametrize("way", ["", "up", "z", "w-", "z- "])
def test_a_way_in_that_points_nowhere_is_said(way: str) -> None:
    with pytest.raises(DataError, match="points nowhere: a way in is one of x-, x\\+"):
        way_of(way)


def test_two_ways_against_each_other_are_said() -> None:
    with pytest.raises(DataError, match="z-, z\\+ point against each other"):
        swept(LOW.boxes[0], ["z-", "z+"])


def test_a_body_about_from_its_sizes_is_looked_at_less_closely_and_said_so() -> None:
    about = Body(core="2", boxes=OVER.boxes)
    met = blocked(LOW, ["z-"], {"2": about})
    assert [b.sure for b in met] == [False] and met[0].sentence().endswith("deep; bodies about, from their sizes)")
    assert blocked(LOW, ["z-"], {"2": Body(core="2", boxes=(a_box(98.5, 180, 0, 50, 60, 90),))}) == ()  # 1.5 mm
    assert names(blocked(LOW, ["z-"], {"2": given_body("2", [(98.5, 180, 0, 50, 60, 90)])})) == ["2"]
    assert names(blocked(LOW, ["z-"], {"2": Body(core="2", boxes=(a_box(97.5, 180, 0, 50, 60, 90),))})) == ["2"]  # 2.5
    assert blocked(Body(core="1", boxes=()), ["z-"], {"2": OVER}) == ()
    # a box about a core that reaches round another stands in it: nothing is known of the way
    round_it = Body(core="4", boxes=(a_box(50, 150, -20, 70, 10, 200),))
    assert blocked(LOW, ["z-"], {"4": round_it}) == ()
    apart = given_body("1", [(0, 100, 0, 50, 0, 30), (120, 140, 0, 50, -30, 0)])  # its other box lies below core 4
    assert blocked(apart, ["z-"], {"4": round_it}) == ()


def test_what_is_given_comes_first_then_the_deepest() -> None:
    about = Body(core="4", boxes=(a_box(10, 90, 0, 50, 60, 90),))
    slight = given_body("5", [(0, 5, 0, 50, 60, 90)])
    assert names(blocked(LOW, ["z-"], {"4": about, "5": slight, "2": OVER})) == ["2", "5", "4"]


def test_a_print_in_its_seat_does_not_block_itself_but_a_lip_over_it_does() -> None:
    seat = given_body("5", [(0, 100, 0, 50, -40, 5)])  # core 1 reaches 5 mm into it
    assert blocked(LOW, ["z-"], {"5": seat}) == ()
    with_lip = given_body("5", [(0, 100, 0, 50, -40, 5), (90, 120, 0, 50, 31, 40)])
    assert [(b.by, b.depth) for b in blocked(LOW, ["z-"], {"5": with_lip})] == [("5", 9)]


def test_given_bodies_that_share_room_are_told_unless_one_sits_in_the_other() -> None:
    into = given_body("6", [(90, 130, 0, 50, 0, 30)])
    bodies = {"1": LOW, "6": into, "3": Body(core="3", boxes=LOW.boxes)}
    found = standing_in_each_other(bodies, set())
    assert [(s.core, s.other, s.depth) for s in found] == [("1", "6", 10)]
    assert found[0].sentence() == "core 1 and core 6 stand 10 mm in each other, as their bodies are given"
    assert standing_in_each_other(bodies, {("6", "1")}) == standing_in_each_other(bodies, {("1", "6")}) == ()
    assert standing_in_each_other({"1": LOW, "3": BESIDE}, set()) == ()


side = st.floats(5, 200)
place = st.floats(-300, 300)


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    x, y, z = draw(place), draw(place), draw(place)
    return a_box(x, x + draw(side), y, y + draw(side), z, z + draw(side))


@settings(max_examples=some(80, 2000))
@given(boxes(), boxes(), st.floats(0.1, 50))
def test_a_planted_block_beyond_its_clearance_is_always_named(mine: Box, other: Box, into: float) -> None:
    """The other is put over the mover, sharing at least `into` of it across and apart from it at rest."""
    assume(min(mine.size("x"), mine.size("y"), other.size("x"), other.size("y"), other.size("z")) > into)
    over = other.moved(x=mine.x1 - into - other.x0, y=mine.y0 + into - other.y1, z=mine.z1 + 1.0 - other.z0)
    mover = given_body("7", [mine])
    assert names(blocked(mover, ["z-"], {"10": given_body("10", [over])})) == ["10"]
    apart = over.moved(x=into + 0.5)
    assert blocked(mover, ["z-"], {"10": given_body("10", [apart])}) == ()
    assert blocked(mover, ["z+"], {"10": given_body("10", [over])}) == ()
