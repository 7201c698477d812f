"""The work that one cause means for each tool, worked out by hand: every sign, every factor, every word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.candidates import network_of
from inspect_tui.metrology.causes.cut_work import (
    MEASURED,
    Maker,
    ToolCut,
    face_cuts,
    measured_cut,
    off_target,
    seat_cut,
    turned_cut,
)
from inspect_tui.metrology.causes.sentences import Clearance
from tests.metrology.causes.test_cuts import block
from tests.worlds.cuts_by_hand import size, told
from tests.worlds.ends import End

DRAG = End("drag", 0.0, -1)
BOX = {"core 1": Maker("core 1", "box 1", "core_box"), "drag": Maker("drag", "drag pattern", "pattern_drag")}


@pytest.mark.parametrize(
    ("kind", "part", "between", "error", "word", "metal"),
    [
        ("core_box", "core 1", "space", -1.5, "cut", "off"),  # passage too small: cut the box, the core grows
        ("core_box", "core 1", "space", 1.5, "add", "on"),
        ("core_stick", "core 1", "space", -1.5, "add", "off"),  # a stick is the core: add to it, the core grows
        ("core_stick", "core 1", "space", 1.5, "cut", "on"),
        ("pattern_cope", "cope", "metal", 1.5, "cut", "off"),  # rib too thick: cut the pattern
        ("pattern_cope", "cope", "metal", -1.5, "add", "on"),
    ],
)
def test_cut_is_the_tool_and_metal_is_the_casting(kind, part, between, error, word, metal):
    """The sign table of the trade: common practice."""
    facing = (-1, 1) if between == "metal" else (1, -1)
    plan = block(kind, *facing, part, error)
    assert [c.cause for c in plan.cuts] == ["size S"]
    made = plan.cuts[0]
    assert {v.word for v in made.faces} == {word}
    assert {v.metal for v in made.faces} == {metal}
    assert made.change_mm == pytest.approx(-error * 1.01, abs=0.08)
    assert made.words.startswith(f"S: {word} ")


# ------------------------------------------------------------------------------ a core on its seat
# core 1 stands 40 to 110 along y and 30 to 80 along z, core 2 sits in it and shows at 60 along y
SEATED = [
    size("Y1", "y", DRAG, End("core 1", 40.0, 1)),
    size("Y2", "y", End("core 1", 110.0, -1), End("cope", 120.0, 1)),
    size("Y3", "y", DRAG, End("core 2", 60.0, 1)),
    size("Z1", "z", DRAG, End("core 1", 30.0, 1)),
    size("Z2", "z", End("core 1", 30.0, 1), End("core 1", 80.0, -1)),
]
KEYED = {"core 2": ["core 1"], "core 1": ["core 8", "core 9"]}


def seat(
    name: str, value: float, u: float = 0.05, clearances: tuple[Clearance, ...] = (), keyed=KEYED, makers=BOX, **more
) -> ToolCut:
    f = told(SEATED, {name: (value, u)}, carriers=keyed, **more).findings[0]
    network = network_of(SEATED, keyed, parting_axis=more.get("parting_axis", "z"))
    return seat_cut(f, SEATED, network, clearances, makers)


def test_the_seat_is_lined_where_the_core_went_and_cut_on_the_other_side():
    """+0.70 at 1.0 %: the core comes back by 0.70 x 1.01 = 0.707 at the tool; 1.96 x 0.05 x 1.01 = 0.099 about it."""
    made = seat("core 1 with core 2 y", 0.70)
    assert made.change_mm == pytest.approx(-0.707)
    assert (made.low, made.high) == (pytest.approx(-0.707 - 0.09898), pytest.approx(-0.707 + 0.09898))
    assert made.tool == "seat of core 1" and made.part == "core 1"
    assert made.words == (
        "add 0.71 on the +Y side of the seat of core 1 and cut as much on the -Y side, so that its slack stays"
    )
    assert made.casting_words == "core 1 with core 2 comes 0.70 toward -Y; no size of it changes"
    assert made.faces == () and made.sure and not made.needed
    assert made.u_share == pytest.approx(0.05 / 0.70)
    other = seat("core 1 with core 2 y", -0.70)
    assert other.change_mm == pytest.approx(0.707)
    assert other.words.startswith("add 0.71 on the -Y side of the seat of core 1 and cut as much on the +Y side")
    assert other.casting_words.startswith("core 1 with core 2 comes 0.70 toward +Y")
    assert other.u_share == pytest.approx(0.05 / 0.70)


def test_a_seat_that_is_put_right_moves_all_that_sits_in_the_core():
    """Y1 and Y3 end on what moves back by 0.70, Y2 begins there; Z is another axis."""
    together = seat("core 1 with core 2 y", 0.70)
    assert together.changes == pytest.approx({"Y1": -0.70, "Y2": 0.70, "Y3": -0.70})
    assert together.rides == ("core 2",)
    alone = seat("core 1 y", 0.70)  # core 2 sat right, and comes along all the same
    assert alone.changes == pytest.approx(together.changes)
    assert alone.words.endswith("; then core 2 in it as much toward +Y, or see first whether it sits off as well")
    assert seat("core 1 y", -0.70).words.endswith(
        "core 2 in it as much toward -Y, or see first whether it sits off as well"
    )
    assert "core 2" not in together.words
    upper = seat("core 2 y", 0.70)
    assert upper.changes == pytest.approx({"Y3": -0.70}) and upper.rides == ()
    assert upper.casting_words == "core 2 comes 0.70 toward -Y; no size of it changes"


def test_the_slack_of_the_seat_says_which_side_and_whose_tool():
    wide = Clearance(name="K4", part="core 1", axis="y", mm=1.20, lower=0.30, upper=0.70, seat="box 2")
    right = Clearance(name="K1", part="core 1", axis="y", mm=0.50, lower=0.30, upper=0.70, seat="box 9")
    tight = Clearance(name="K0", part="core 1", axis="y", mm=-0.10, lower=0.30, upper=0.70, seat="box 7")
    made = seat("core 1 with core 2 y", 0.70, clearances=(right, wide))  # the one that is out comes first
    assert made.tool == "box 2"
    assert made.words == "add 0.71 on the +Y side of the seat of core 1 (K4 has 1.20, at most 0.70 wanted)"
    for other in (right, tight):
        made = seat("core 1 with core 2 y", 0.70, clearances=(other,))
        assert made.tool == other.seat
        assert made.words.endswith("and cut as much on the -Y side, so that its slack stays")
    elsewhere = replace(wide, axis="x")
    assert seat("core 1 with core 2 y", 0.70, clearances=(elsewhere,)).tool == "seat of core 1"
    assert seat("core 1 with core 2 y", 0.70, clearances=(replace(wide, part="core 2"),)).tool == "seat of core 1"
    assert seat("core 1 with core 2 y", 0.70, clearances=(replace(wide, axis=""),)).tool == "box 2"
    assert seat("core 1 with core 2 y", 0.70, clearances=(replace(wide, name="K5"), wide)).words.count("K4") == 1


def test_the_seat_is_at_the_tool_of_what_the_core_sits_in():
    upper = seat("core 2 y", 0.70)
    assert upper.tool == "box 1" and upper.bears == ("core 1",) and upper.part == "core 2"
    assert upper.words.startswith("add 0.71 on the +Y side of the seat of core 2 and cut as much on the -Y side")
    assert seat("core 2 y", 0.70, makers={}).tool == "seat of core 2"  # nobody said what makes core 1
    both = {f"core {n}": Maker(f"core {n}", f"box {n}", "core_box") for n in (8, 9)}
    made = seat("core 1 with core 2 y", 0.70, makers=both)  # at which of the two, nobody can say
    assert made.tool == "seat of core 1" and made.bears == ("core 8", "core 9")


@pytest.mark.parametrize(("half", "label"), [("drag", "drag pattern"), ("cope", "seat of core 1")])
def test_a_seat_in_the_sand_is_moved_at_the_print_of_the_pattern_the_other_way_round(half, label):
    """The core comes back toward -Y when the print in whose hole it sits does: less of it on +Y, more on -Y."""
    made = seat("core 1 with core 2 y", 0.70, keyed={**KEYED, "core 1": [half]})
    assert made.tool == label
    assert made.words == (
        "cut 0.71 on the +Y side of the print for core 1 and add as much on the -Y side, so that its slack stays"
    )
    back = seat("core 1 with core 2 y", -0.70, keyed={**KEYED, "core 1": [half]})
    assert back.words.startswith("cut 0.71 on the -Y side of the print for core 1 and add as much on the +Y side")
    wide = Clearance(name="K4", part="core 1", axis="y", mm=1.20, lower=0.30, upper=0.70, seat=label)
    out = seat("core 1 with core 2 y", 0.70, clearances=(wide,), keyed={**KEYED, "core 1": [half]})
    assert out.words == "cut 0.71 on the +Y side of the print for core 1 (K4 has 1.20, at most 0.70 wanted)"
    both = seat("core 1 with core 2 y", 0.70, keyed={**KEYED, "core 1": [half, "core 9"]})
    assert both.words.startswith("add 0.71 on the +Y side of the seat of core 1")


def test_a_height_hangs_on_what_the_core_bears_on():
    made = seat("core 1 z", 0.60)
    assert made.tool == "keys and seat of core 1"
    assert made.change_mm == pytest.approx(-0.606) and made.bears == ("core 1", "core 8", "core 9")
    assert made.words.startswith("cut 0.61 where core 1 bears (its keys or print), it comes down")
    low = seat("core 1 z", -0.60, clearances=(Clearance(name="K6", part="core 1", mm=0.3),))
    assert low.words.startswith("add 0.61 where core 1 bears (K6), it comes up")
    assert low.changes == pytest.approx({"Z1": 0.60})  # Z2 has both ends on it
    across = seat("core 1 with core 2 y", 0.60, parting_axis="y")
    assert across.words.startswith("cut 0.61 where core 1 bears")  # here y is what the mould parts along


def test_a_core_that_lies_turned_is_put_right_at_its_ends():
    """Stations 100 and 400: 0.50 too high at 400 and as much too low at 100; half way nothing changes."""
    at = {"far": 400.0, "near": 100.0, "mid": 250.0}
    heights = [size(n, "z", DRAG, End("core 1", 50.0), station_mm=mm) for n, mm in at.items()]
    f = told(heights, {"core 1 turned z": (0.50, 0.04)}).findings[0]
    made = turned_cut(f, heights, network_of(heights))
    assert made.change_mm == pytest.approx(-0.505)
    assert (made.low, made.high) == (pytest.approx(-0.505 - 0.079184), pytest.approx(-0.505 + 0.079184))
    assert made.changes == pytest.approx({"far": -0.50, "near": 0.50})
    assert made.u_share == pytest.approx(0.08)
    assert made.words == (
        "bring core 1 0.51 toward -Z where it bears at station 400, and as much toward +Z at its other end"
    )
    assert made.tool == "keys and seat of core 1" and made.faces == () and made.bears == ("core 1",)
    assert made.casting_words == "core 1 lies straight; no size of it changes"


def test_a_core_that_is_straightened_turns_what_sits_in_it_along():
    """Core 2 sits in core 1 and is taken at 550, twice as far from the middle: 0.50 at 400 is 1.00 there."""
    at = {"far": (400.0, "core 1"), "near": (100.0, "core 1"), "up": (550.0, "core 2")}
    heights = [size(n, "z", DRAG, End(part, 50.0), station_mm=mm) for n, (mm, part) in at.items()]
    keyed = {"core 2": ["core 1"]}
    alone, together = (
        turned_cut(told(heights, {name: (0.50, 0.04)}, carriers=keyed).findings[0], heights, network_of(heights, keyed))
        for name in ("core 1 turned z", "core 1 with core 2 turned z")
    )
    assert alone.changes == together.changes == pytest.approx({"far": -0.50, "near": 0.50, "up": -1.00})
    assert alone.rides == together.rides == ("core 2",)
    assert alone.casting_words == "core 1 with core 2 lies straight; no size of it changes"
    assert alone.words.endswith("; core 2 in it turns along: see first whether it lies turned as well")
    assert "core 2" not in together.words


# ------------------------------------------------------------------------------ faces
# a body of 200 along x, the datum at 0, a passage from 50 to 150 in it
BODY = size("B", "x", DRAG, End("drag", 200.0, 1))
WALL = size("W", "x", DRAG, End("core 1", 50.0, 1))
PASSAGE = size("P", "x", End("core 1", 50.0, 1), End("core 1", 150.0, -1))
FAR = size("R", "x", End("core 1", 150.0, -1), End("drag", 200.0, 1))
ROUND = [BODY, WALL, PASSAGE, FAR]


def work(name: str, value: float, u: float = 0.05, features=ROUND, makers=BOX, alike=()) -> dict[str, ToolCut]:
    f = told(features, {name: (value, u)}, alike={name: alike}).findings[0]
    return {c.part: c for c in face_cuts(f, features, network_of(features), makers)}


def test_a_wrong_contraction_is_laid_out_again_from_the_datum():
    """0.2 % less than planned on what was laid out at 1.0 %: 200 x 0.002 = 0.40 too long at the tool, 0.396 cast."""
    made = work("contraction x", -0.002, 0.0002)
    assert set(made) == {"core 1", "drag"}
    end = made["drag"].faces
    assert [(f.place_mm, f.face) for f in end] == [(200.0, "drag face x 200")]  # the datum itself is not touched
    assert end[0].move_mm == pytest.approx(-0.40)
    assert (end[0].low, end[0].high) == (pytest.approx(-0.40 - 0.0784), pytest.approx(-0.40 + 0.0784))
    assert (end[0].word, end[0].metal) == ("cut", "off")
    assert made["drag"].words == (
        "lay out again in X at 0.80 % (was 1.00 %): 0.40 toward -X at X 200, the others in proportion"
    )
    ports = made["core 1"].faces
    assert [(f.place_mm, f.move_mm) for f in ports] == [(50.0, pytest.approx(-0.10)), (150.0, pytest.approx(-0.30))]
    assert made["core 1"].change_mm == pytest.approx(-0.30)  # the widest
    assert made["core 1"].casting_words == (
        "every place comes to its nominal in proportion to its distance from the datum"
    )
    assert made["drag"].changes == pytest.approx({"B": -0.40 / 1.01, "R": -0.40 / 1.01})
    assert made["core 1"].changes == pytest.approx({"W": -0.10 / 1.01, "P": -0.20 / 1.01, "R": 0.30 / 1.01})
    assert made["drag"].u_share == pytest.approx(0.1)
    more = work("contraction x", 0.002, 0.0002)["drag"]
    assert more.change_mm == pytest.approx(0.40) and "1.20 % (was 1.00 %): 0.40 toward +X" in more.words


def test_contraction_of_all_axes_names_none():
    tall = [*ROUND, size("H", "z", DRAG, End("drag", 100.0, 1))]
    made = work("contraction", -0.002, 0.0002, tall)["drag"]
    assert made.words.startswith("lay out again at 0.80 % (was 1.00 %): 0.40 toward -X at X 200")


def test_what_the_core_holds_back_is_laid_out_from_its_own_middle():
    """The passage of 100 comes out 0.2 % larger: 0.198; its box is laid out 0.10 smaller at each end."""
    made = work("inside held back x", 0.002, 0.0002)["core 1"]
    assert [f.move_mm for f in made.faces] == [pytest.approx(0.10), pytest.approx(-0.10)]
    assert {f.word for f in made.faces} == {"add"} and {f.metal for f in made.faces} == {"on"}
    assert made.changes == pytest.approx({"W": 0.10 / 1.01, "P": -0.20 / 1.01, "R": 0.10 / 1.01})
    assert made.words.startswith("lay its inside out again in X at 0.80 % (was 1.00 %), from its own middle: 0.10")


def test_a_box_that_has_grown_is_filled_on_every_face():
    made = work("core 1 growth", 0.30)["core 1"]
    assert [f.move_mm for f in made.faces] == [pytest.approx(0.303), pytest.approx(-0.303)]
    assert made.words == "add 0.30 on every face"
    assert made.casting_words == "metal on"
    assert made.changes == pytest.approx({"W": 0.30, "P": -0.60, "R": 0.30})
    pattern = work("drag growth", 0.30)["drag"]
    assert pattern.words == "cut 0.30 on every face" and pattern.casting_words == "metal off"
    assert pattern.changes == pytest.approx({"B": -0.30, "R": -0.30})


def test_a_size_is_opened_half_at_each_end():
    """100 comes out 1.20 small: 1.212 at the tool, 0.606 at each end, 1.96 x 0.05 x 1.01 = 0.099 about it."""
    made = work("size P", -1.20)["core 1"]
    assert made.change_mm == pytest.approx(1.212)
    assert (made.low, made.high) == (pytest.approx(1.212 - 0.09898), pytest.approx(1.212 + 0.09898))
    assert [f.move_mm for f in made.faces] == [pytest.approx(-0.606), pytest.approx(0.606)]
    assert [(f.low, f.high) for f in made.faces] == [
        (pytest.approx(-0.606 - 0.04949), pytest.approx(-0.606 + 0.04949)),
        (pytest.approx(0.606 - 0.04949), pytest.approx(0.606 + 0.04949)),
    ]
    assert made.words == "P: cut 1.21 (1.11 to 1.31), 0.61 at each end (X 50 and X 150)"
    assert made.tool == "box 1" and made.sure
    assert made.changes == pytest.approx({"W": -0.60, "P": 1.20, "R": -0.60})
    assert made.faces[0].balloons == ("W", "P") and made.faces[1].balloons == ("P", "R")
    unsure = work("size P", -1.20, alike=["core 1 face x 50"])["core 1"]
    assert not unsure.sure
    assert unsure.words.endswith("; which face is off the readings do not show, measure its neighbours before cutting")


def test_each_size_is_cut_with_the_contraction_of_its_own_tool():
    other = [size("Q", "x", End("core 2", 10.0, 1), End("core 2", 30.0, -1), a_plan=0.02), *ROUND]
    made = work("size P", -1.0, features=other)["core 1"]
    assert made.change_mm == pytest.approx(1.01)
    assert work("size Q", -1.0, features=other)["core 2"].change_mm == pytest.approx(1.02)
    assert list(work("contraction x", 0.002, features=other)) == ["core 1", "core 2", "drag"]


def test_a_single_face_is_cut_at_that_face():
    made = work("core 1 face x 50", 0.80)["core 1"]
    assert made.change_mm == pytest.approx(-0.808)
    assert (made.low, made.high) == (pytest.approx(-0.808 - 0.09898), pytest.approx(-0.808 + 0.09898))
    assert made.words == "cut 0.81 at the face X 50, it moves toward -X"
    assert made.casting_words == "metal off" and made.sure
    assert made.changes == pytest.approx({"W": -0.80, "P": 0.80})
    other = work("core 1 face x 50", -0.80, alike=["size P"])["core 1"]
    assert other.words == "add 0.81 at the face X 50, it moves toward +X" and not other.sure


def test_a_part_without_a_tool_is_still_told_what_it_needs():
    made = work("size P", -1.20, makers={})["core 1"]
    assert made.tool == "tool of core 1"


def test_a_centre_is_moved_and_no_metal_goes_on_or_off():
    centres = [size("C", "x", DRAG, End("core 1", 100.0)), BODY]
    made = work("core 1 face x 100", 0.50, features=centres)["core 1"]
    assert made.words == "move 0.51 at the face X 100, it moves toward -X"
    assert made.casting_words == "places move, no size of it changes"


# ------------------------------------------------------------------------------ a tool off its target
def test_a_tool_is_off_its_target_from_twice_its_uncertainty_and_two_hundredths():
    for off, u, is_off in ((0.10, 0.04, True), (0.08, 0.04, False), (0.021, 0.0, True), (0.02, 0.0, False)):
        assert off_target(replace(PASSAGE, predicted_mm=100.0 + off, u_predicted=u)) is is_off
        assert off_target(replace(PASSAGE, predicted_mm=100.0 - off, u_predicted=u)) is is_off
    wrong = replace(PASSAGE, predicted_mm=101.0)
    assert off_target(wrong)
    assert not off_target(replace(wrong, target_mm=None))
    assert not off_target(replace(wrong, tool_known=False))
    assert not off_target(replace(WALL, predicted_mm=51.0))  # its ends are on two tools
    assert not off_target(replace(wrong, a=None))


def test_a_tool_that_was_measured_off_is_brought_back_at_both_ends():
    """100 measured as if 98.8: open 1.20 x 1.01, half at each end; its own u of 0.02 gives 1.96 x 0.02 x 1.01."""
    small = replace(PASSAGE, predicted_mm=98.8, u_predicted=0.02)
    made = measured_cut(small, network_of(ROUND), BOX["core 1"])
    assert made.cause == MEASURED and made.needed and not made.sure
    assert made.change_mm == pytest.approx(1.212)
    assert (made.low, made.high) == (pytest.approx(1.212 - 0.039592), pytest.approx(1.212 + 0.039592))
    assert [f.move_mm for f in made.faces] == [pytest.approx(-0.606), pytest.approx(0.606)]
    assert [(f.low, f.high) for f in made.faces] == [
        (pytest.approx(-0.606 - 0.019796), pytest.approx(-0.606 + 0.019796)),
        (pytest.approx(0.606 - 0.019796), pytest.approx(0.606 + 0.019796)),
    ]
    assert made.words == ("P: cut 1.21, the tool itself measures off its target; see which end it is before cutting")
    assert made.casting_words == "metal off"
    assert made.changes == pytest.approx({"W": -0.60, "P": 1.20, "R": -0.60})
    assert made.u_share == pytest.approx(0.02 / 1.20)


def test_where_one_end_is_the_datum_the_other_is_the_one():
    long = replace(BODY, predicted_mm=200.5, u_predicted=0.02)
    made = measured_cut(long, network_of(ROUND), BOX["drag"])
    assert made.sure and [f.move_mm for f in made.faces] == [pytest.approx(-0.505)]
    assert made.words == "B: cut 0.51, the tool itself measures off its target"
    assert made.changes == pytest.approx({"B": -0.50, "R": -0.50})
