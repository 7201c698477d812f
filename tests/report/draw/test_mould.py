"""The sketch of a mould: which cores, where it is cut, what is dashed, where a size is marked, what is said."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.bodies import Body, Box, body_from_faces, given_body
from inspect_tui.metrology.sizes.place import Place
from inspect_tui.metrology.typed.show import Style
from inspect_tui.report.draw import mould
from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.mould import ACROSS, EXPLODED, PLAN, SECTION, Wanted, cut_at, sketch
from inspect_tui.report.draw.sketch import Line, Sketch, Span, View, Way
from inspect_tui.shop.kit.sketch.scene import PartingStep, Scene, SceneCore, SceneKey

LOWER = (0, 100, 10, 50, 0, 20)
UPPER = (20, 80, 20, 40, 20, 35)
END = (100, 120, 0, 8, 5, 25)


def core(
    number: str, *boxes: tuple[float, ...], step: int | None = None, way: str | None = "z-", body: Body | None = None
) -> SceneCore:
    made = body or given_body(number, boxes)
    return SceneCore(number=number, name=f"name {number}", body=made, step=step, way_in=way)


def scene(*cores: SceneCore, **more: object) -> Scene:
    return Scene(
        **{
            "job": "J-1",
            "cores": cores or (core("1", LOWER, step=1), core("2", UPPER, step=2), core("3", END, step=3, way="x-")),
            "outline": Box(*(-10, 130, -5, 60, -5, 45)),
            "outline_given": True,
            "parting": (PartingStep(20.0, "x", -10.0, 100.0), PartingStep(30.0, "x", 100.0, 130.0)),
            **more,
        }
    )


def one_view(made: Sketch) -> View:
    (view,) = made.views
    return view


def roles(view: View) -> list[tuple[str, str, bool]]:
    return [(area.thing, area.role, area.about) for area in view.areas]


def box(view: View, thing: str) -> tuple[float, float, float, float]:
    (area,) = [area for area in view.areas if area.thing == thing]
    return area.x0, area.x1, area.y0, area.y1


# ------------------------------------------------------------------------------ plan, sections
def test_plan_and_section_have_the_bodies_in_their_places() -> None:
    plan, section = sketch(scene(), Wanted()).views
    assert (plan.across, plan.up, section.across, section.up) == ("x", "y", "x", "z")
    assert box(plan, "core 1") == (0, 100, 10, 50) and box(section, "core 1") == (0, 100, 0, 20)
    assert (plan.x0, plan.x1) == pytest.approx((-10 - 4.2, 130 + 4.2))
    assert (plan.y0, plan.y1) == pytest.approx((-5 - 1.95, 60 + 1.95))


def test_from_the_end_it_shows_y_and_z() -> None:
    across = one_view(sketch(scene(), Wanted(views=(ACROSS,))))
    assert (across.across, across.up) == ("y", "z") and box(across, "core 2") == (20, 40, 20, 35)


def test_cores_set_later_are_not_drawn_and_are_named() -> None:
    made = sketch(scene(), Wanted(hand="2", views=(PLAN,)))
    assert roles(one_view(made)) == [("core 1", s.SET, False), ("core 2", s.HAND, False)]
    assert "Set later and not drawn: core 3." in made.said
    assert made.title == "mould of J-1, core 2 name 2"
    every = sketch(scene(), Wanted(hand="2", views=(PLAN,), so_far=False))
    assert [thing for thing, _, _ in roles(one_view(every))] == ["core 1", "core 3", "core 2"]
    assert not any("later" in said for said in every.said)


def test_a_core_without_a_step_is_shown_with_all() -> None:
    made = sketch(scene(core("1", LOWER), core("2", UPPER, step=1)), Wanted(hand="1", views=(PLAN,)))
    assert one_view(made).things == ("core 2", "core 1")


def test_a_section_goes_through_the_core_at_hand_and_others_are_beside_it() -> None:
    view = one_view(sketch(scene(), Wanted(hand="3", views=(SECTION,))))
    assert view.title == "section along x at y 4"
    assert roles(view) == [("core 1", s.BESIDE, False), ("core 2", s.BESIDE, False), ("core 3", s.HAND, False)]
    assert view.areas[0].names == ("(1)",) and view.areas[2].names == ("core 3", "3")


def test_a_section_is_cut_where_it_is_asked_for() -> None:
    view = one_view(sketch(scene(), Wanted(views=(SECTION,), cut=15.0)))
    assert roles(view) == [("core 2", s.BESIDE, False), ("core 3", s.BESIDE, False), ("core 1", s.SET, False)]
    edge = one_view(sketch(scene(), Wanted(views=(SECTION,), cut=8.0)))
    assert ("core 3", s.SET, False) in roles(edge)


def test_only_the_boxes_that_are_cut_show_in_a_section() -> None:
    bent = core("1", (0, 10, 0, 10, 0, 10), (10, 20, 20, 30, 0, 10), step=1)
    view = one_view(sketch(scene(bent), Wanted(views=(SECTION,), cut=25.0)))
    assert box(view, "core 1") == (10, 20, 0, 10)
    assert len(one_view(sketch(scene(bent), Wanted(hand="1", views=(SECTION,), cut=25.0))).areas) == 2


def test_without_a_core_at_hand_it_is_cut_where_most_cores_are() -> None:
    s3 = scene()
    assert cut_at(s3, s3.cores, None, Wanted(), "y") == 30.0
    assert cut_at(s3, s3.cores, None, Wanted(), "x") == 50.0
    no_cores = scene(core("1", body=Body(core="1", boxes=())))
    assert cut_at(no_cores, no_cores.cores, None, Wanted(), "y") == 27.5
    assert cut_at(scene(no_cores.cores[0], outline=None), no_cores.cores, None, Wanted(), "y") is None


# ------------------------------------------------------------------------------ about
def test_what_is_about_is_dashed_and_said() -> None:
    about = body_from_faces("2", {"x": [20, 80], "y": [20, 40], "z": [20, 35]})
    made = sketch(
        scene(core("1", LOWER, step=1), core("2", step=2, body=about), outline_given=False), Wanted(views=(PLAN,))
    )
    view = one_view(made)
    assert roles(view) == [("core 1", s.SET, False), ("core 2", s.SET, True)]
    assert (s.ABOUT, "dashed: about, from its sizes (core 2)") in made.legend
    assert view.lines[0].about and (s.OUTLINE, "round the casting, about: from its sizes") in made.legend
    given = sketch(scene(), Wanted(views=(PLAN,)))
    assert s.ABOUT not in dict(given.legend) and dict(given.legend)[s.OUTLINE] == "round the casting"


def test_a_core_of_which_too_little_is_known_is_a_line_a_point_or_a_mark_at_the_edge() -> None:
    line = Body(core="4", boxes=(), open=("x",), known={"x": (60, 60), "y": (5, 25), "z": (3, 9)})
    mark = Body(core="5", boxes=(), open=("x", "y", "z"), known={"x": (70, 70)})
    none = Body(core="6", boxes=(), open=("x", "y", "z"))
    made = sketch(
        scene(core("4", body=line, step=1), core("5", body=mark, step=2), core("6", body=none)),
        Wanted(views=(PLAN, ACROSS)),
    )
    plan, across = made.views
    assert box(plan, "core 4") == (60, 60, 5, 25) and box(across, "core 4") == (5, 25, 3, 9)
    assert box(plan, "core 5") == (70, 70, plan.y0, plan.y0) and plan.things == ("core 4", "core 5")
    assert across.things == ("core 4",)
    assert made.said[0] == (
        "Nothing tells how far these reach: core 4 along x (a mark), core 5 along x, y and z (a mark), core 6 along x, y and z "
        "(not drawn). To draw a core, write down where the ends of its sizes stand, or the box that it fills."
    )


def test_a_job_without_places_says_what_to_enter() -> None:
    nothing = scene(core("1", body=Body(core="1", boxes=(), open=("x", "y", "z"))), outline=None)
    made = sketch(nothing, Wanted(hand="1"))
    assert made.views == () and made.legend == ()
    assert made.said == (
        "Nothing can be drawn: no size of this job says where its ends stand, and no core was given a box. "
        "Write down the places of the ends along x, y and z, or the boxes of the cores.",
    )


def test_a_view_of_which_an_axis_is_not_known_is_said() -> None:
    flat = Body(core="1", boxes=(), open=("z",), known={"x": (0, 9), "y": (0, 9)})
    made = sketch(scene(core("1", body=flat, step=1), outline=None, parting=()), Wanted())
    assert [view.title for view in made.views] == ["plan, from above"]
    assert "No section can be drawn: nothing says where anything stands along x and z." in made.said
    assert "Nobody said where the parting lies." in made.said


# ------------------------------------------------------------------------------ the parting
def test_the_parting_is_a_line_with_its_steps() -> None:
    section = one_view(sketch(scene(), Wanted(views=(SECTION,))))
    x0, x1 = section.x0, section.x1
    assert section.lines[1] == Line(((x0, 20.0), (100.0, 20.0), (100.0, 30.0), (x1, 30.0)), s.PARTING)
    plan = one_view(sketch(scene(), Wanted(views=(PLAN,))))
    assert plan.lines[1:] == (Line(((100.0, plan.y0), (100.0, plan.y1)), s.PARTING),)


def test_across_the_steps_the_one_at_the_cut_is_seen() -> None:
    for cut, place in ((50.0, 20.0), (99.0, 20.0), (100.0, 30.0), (120.0, 30.0)):
        view = one_view(sketch(scene(), Wanted(views=(ACROSS,), cut=cut)))
        assert view.lines[1] == Line(((view.x0, place), (view.x1, place)), s.PARTING)


def test_a_flat_parting_along_another_axis() -> None:
    upright = scene(parting=(PartingStep(30.0),), parting_axis="y")
    plan, across, section = sketch(upright, Wanted(views=(PLAN, ACROSS, SECTION))).views
    assert plan.lines[1] == Line(((plan.x0, 30.0), (plan.x1, 30.0)), s.PARTING)
    assert across.lines[1] == Line(((30.0, across.y0), (30.0, across.y1)), s.PARTING)
    assert len(section.lines) == 1
    legend = dict(sketch(upright, Wanted(views=(PLAN,))).legend)
    assert legend[s.PARTING] == "parting at y 30"


def test_the_legend_says_where_the_parting_lies() -> None:
    legend = dict(sketch(scene(), Wanted()).legend)
    words = "parting at z 20 for x -10 to 100 and z 30 for x 100 to 130, the drag below, the cope above"
    assert legend[s.PARTING] == words
    inches = dict(sketch(scene(parting=(PartingStep(25.4),)), Wanted(), Style("in")).legend)
    assert inches[s.PARTING] == "parting at z 1, the drag below, the cope above"


# ------------------------------------------------------------------------------ the way in
@pytest.mark.parametrize(
    ("way", "plan", "section"),
    [
        ("z-", Way(27.5, 30.0), Way(50.0, 35.0, 0, -1)),
        ("z+", None, Way(50.0, 20.0, 0, 1)),
        ("x-", Way(80.0, 30.0, -1, 0), Way(80.0, 27.5, -1, 0)),
        ("x+", Way(20.0, 30.0, 1, 0), Way(20.0, 27.5, 1, 0)),
        ("y+", Way(50.0, 20.0, 0, 1), Way(27.5, 27.5)),
        ("y-", Way(50.0, 40.0, 0, -1), None),
    ],
)
def test_the_way_in_comes_to_the_body(way: str, plan: Way | None, section: Way | None) -> None:
    made = sketch(scene(core("2", UPPER, step=1, way=way)), Wanted(hand="2"))
    assert [view.ways for view in made.views] == [(plan,) if plan else (), (section,) if section else ()]
    assert dict(made.legend)[s.WAY].startswith("core 2 goes in from ")


def test_no_way_in_where_nobody_said_one() -> None:
    made = sketch(scene(core("2", UPPER, step=1, way=None)), Wanted(hand="2"))
    assert all(view.ways == () for view in made.views) and s.WAY not in dict(made.legend)
    assert dict(sketch(scene(), Wanted(hand="2")).legend)[s.WAY] == "core 2 goes in from above"
    without = sketch(scene(), Wanted(hand="2", way=False))
    assert all(view.ways == () for view in without.views) and s.WAY not in dict(without.legend)


# ------------------------------------------------------------------------------ here it is measured
WALL = Place(balloon="F9", axis="y", makers=("core 1", "core 2"), ends=(10.0, 20.0))


def test_a_size_is_marked_at_its_ends_through_its_makers() -> None:
    made = sketch(scene(), Wanted(views=(PLAN, ACROSS), size=WALL, so_far=False))
    plan, across = made.views
    assert plan.spans == (Span(low=10.0, high=20.0, at=50.0, upright=True),)
    assert across.spans == (Span(low=10.0, high=20.0, at=20.0),)
    assert across.title == "section along y at x 50"  # where both are
    assert dict(made.legend)[s.SIZE] == "F9 is measured here: core 1, y 10 to core 2, y 20"


def test_a_size_is_marked_where_it_is_taken() -> None:
    at = Place(balloon="F9", axis="y", makers=("core 1", "core 1"), ends=(50.0, 10.0), at={"x": 70.0, "z": 3.0})
    view = one_view(sketch(scene(), Wanted(views=(ACROSS,), size=at)))
    assert view.spans == (Span(low=10.0, high=50.0, at=3.0),) and view.title == "section along y at x 70"


def test_makers_that_are_not_beside_each_other_and_the_mould_itself() -> None:
    apart = Place(balloon="F9", axis="z", makers=("core 3", "core 2"), ends=(5.0, 20.0))
    view = one_view(sketch(scene(), Wanted(views=(ACROSS,), size=apart)))
    assert view.spans[0].at == 30.0 and view.title == "section along y at x 50"  # core 2 stands first in the order
    half = Place(balloon="F9", axis="z", makers=("drag", "cope"), ends=(0.0, 40.0))
    view = one_view(sketch(scene(), Wanted(views=(SECTION,), size=half)))
    assert view.spans[0].at == pytest.approx(60.0)  # the middle of the picture


def test_one_end_without_a_place_and_none() -> None:
    single = Place(balloon="F9", axis="x", makers=("core 1", ""), ends=(None, 100.0))
    assert one_view(sketch(scene(), Wanted(views=(PLAN,), size=single))).spans[0].high is None
    assert one_view(sketch(scene(), Wanted(views=(PLAN,), size=single))).spans[0].low == 100.0
    none = Place(balloon="F9", axis="x", makers=("core 1", "core 1"), ends=(None, None))
    made = sketch(scene(), Wanted(views=(PLAN,), size=none))
    assert one_view(made).spans == ()
    assert made.said == ("F9 is not marked: nothing says where its ends stand. Write down their places.",)
    seat = Place(balloon="K9-S", axis="x", makers=("core 1", "core 1"), ends=(None, None), tool=True)
    said = sketch(scene(), Wanted(views=(PLAN,), size=seat)).said
    assert said == ("K9-S is a size of a print, key or seat: it has no place in the casting.",)


def test_a_view_along_the_size_names_those_that_show_it() -> None:
    made = sketch(scene(), Wanted(views=(SECTION,), size=WALL))
    assert made.said == ("F9 runs along y: it shows in the plan and the section along y.",)
    assert s.SIZE not in dict(made.legend)


def test_who_is_not_to_be_led_sees_no_figures() -> None:
    made = sketch(scene(), Wanted(hand="1", views=(PLAN, ACROSS), size=WALL, so_far=False, figures=False))
    words = " ".join([made.title, *(v.title + v.extent for v in made.views), *dict(made.legend).values(), *made.said])
    assert dict(made.legend)[s.SIZE] == "F9 is measured here" and dict(made.legend)[s.PARTING] == "parting"
    assert not any(figure in words.replace("J-1", "").replace("F9", "") for figure in ("10", "20", "30", "50"))


# ------------------------------------------------------------------------------ exploded
def test_the_stack_has_a_level_for_every_core_in_setting_order() -> None:
    made = sketch(scene(), Wanted(hand="2", views=(EXPLODED,)))
    view = one_view(made)
    assert roles(view) == [("core 1", s.SET, False), ("core 2", s.HAND, False), ("core 3", s.SET, False)]
    assert [(area.x0, area.x1) for area in view.areas] == [(0, 100), (20, 80), (121, 141)]
    levels = [(area.y0, area.y1) for area in view.areas]
    assert levels == [pytest.approx(level) for level in ((0.65, 1.25), (1.65, 1.65 + 0.6 * 0.75), (2.65, 3.25))]
    assert view.areas[0].names == ("1. core 1 name 1", "1. core 1", "core 1", "1")
    assert view.ways == (
        Way(12.5, pytest.approx(0.25), 0, -1),
        Way(27.5, pytest.approx(1.25), 0, -1),
        Way(141, pytest.approx(2.95), -1, 0),
    )
    assert (view.y0, view.y1, view.true, view.rows) == (0.0, 4.0, False, 15)


def stacked(*cores: SceneCore) -> View:
    return one_view(sketch(scene(*cores), Wanted(views=(EXPLODED,))))


def going(number: str, *ways: str, into: str | None = None) -> SceneCore:
    return replace(core(number, LOWER, way=ways[0]), ways=ways, into=into)


@pytest.mark.parametrize(
    ("ways", "aside", "way"),
    [
        (("x+",), -1.0, (0, "middle", 1, 0)),
        (("x-",), 1.0, (100, "middle", -1, 0)),
        (("y+",), -0.5, (0, "low", 1, 1)),  # away from who looks: to the right and up
        (("y-",), 0.5, (100, "high", -1, -1)),
        (("z-",), 0.0, (12.5, "above", 0, -1)),
        (("z+",), 0.0, (12.5, "below", 0, 1)),
        (("z-", "x+"), -1.0, (0, "high", 1, -1)),
        (("x-", "z+"), 1.0, (100, "low", -1, 1)),
        (("x+", "x-"), -1.0, (0, "middle", 1, 0)),  # what most of its prints do
    ],
)
def test_a_core_is_moved_out_against_its_way_in(
    ways: tuple[str, ...], aside: float, way: tuple[float, str, int, int]
) -> None:
    view = stacked(going("1", *ways))
    by = aside * 0.15 * 140  # of the whole length, from -10 to 130
    (area,) = view.areas
    assert (area.x0, area.x1) == (pytest.approx(by), pytest.approx(100 + by))
    at = {"low": 0.65, "high": 1.25, "middle": 0.95, "above": 0.25, "below": 1.65}[way[1]]
    assert view.ways == (Way(pytest.approx(way[0] + by), pytest.approx(at), way[2], way[3]),)
    oblique = len(set(word[0] for word in ways)) > 1 or "y" in ways[0]
    assert ("from" in area.names[0]) == oblique and view.x0 <= min(area.x0, -10)


def test_what_sits_in_a_core_goes_out_with_it() -> None:
    view = stacked(going("1", "x+"), going("2", "z-", into="1"), going("3", "x+", into="2"), going("4", "z-"))
    assert [area.x0 for area in view.areas] == [pytest.approx(x) for x in (-21, -21, -42, 0)]
    assert view.areas[0].names[-1] == "1" and view.x0 < -42
    ring = stacked(going("1", "x+", into="2"), going("2", "x+", into="1"))  # each goes out with the other once
    assert [area.x0 for area in ring.areas] == [pytest.approx(-42), pytest.approx(-42)]


def test_a_core_that_goes_in_two_ways_says_both() -> None:
    first = stacked(going("1", "z-", "y+")).areas[0].names
    assert first[0] == "core 1 name 1, from above and from the near side of y"
    assert stacked(replace(core("1", LOWER, way=None), ways=())).ways == ()


def test_the_stack_has_a_mark_for_a_core_without_a_body_and_says_so() -> None:
    nowhere, line = Body(core="1", boxes=()), Body(core="2", boxes=(), known={"x": (10, 30)})
    view = one_view(sketch(scene(core("1", body=nowhere), core("2", body=line, step=1)), Wanted(views=(EXPLODED,))))
    first, second = view.areas
    assert first.names[0] == "core 1 name 1: nobody said where along x" and (first.x0, first.x1) == (view.x0, view.x0)
    assert second.names[0] == "1. core 2 name 2" and (second.x0, second.x1) == (10, 30)
    assert first.about and second.about and first.flat and second.flat


def test_an_unknown_core_at_hand_is_none() -> None:
    assert sketch(scene(), Wanted(hand="9")).title == "mould of J-1"
    assert mould.VIEWS == (PLAN, SECTION, ACROSS, EXPLODED)


def test_prints_and_keys_of_the_core_at_hand_are_marked_where_their_places_are_known() -> None:
    keys = (SceneKey("K1", "red", {"x": 30.0, "y": 25.0, "z": 20.0}), SceneKey("K2", "", {"x": 70.0, "y": 35.0}))
    hand = replace(core("2", UPPER, step=2), keys=keys, ends_axis="x", low_end="inlet", high_end="outlet")
    shown = scene(core("1", LOWER, step=1), hand)
    made = sketch(shown, Wanted(hand="2", views=(PLAN, SECTION, ACROSS)))
    plan, section, across = made.views
    assert plan.keys == (s.Key("K1", "red", 30.0, 25.0), s.Key("K2", "", 70.0, 35.0))
    assert section.keys == (s.Key("K1", "red", 30.0, 20.0),) and across.keys == (s.Key("K1", "red", 25.0, 20.0),)
    assert plan.ends == section.ends == (("left", "inlet"), ("right", "outlet")) and across.ends == ()
    assert (s.KEY, "K1 red and K2 of core 2") in made.legend
    away = replace(hand, keys=(SceneKey("K1", "", {"x": -40.0, "y": 25.0, "z": 20.0}),))
    assert sketch(scene(away), Wanted(hand="2")).views[0].x0 < -40.0 <= plan.x0  # a key beside the bodies is shown, too
    upright = replace(hand, ends_axis="z", high_end="")
    views = sketch(scene(upright), Wanted(hand="2", views=(PLAN, SECTION))).views
    assert [view.ends for view in views] == [(), (("down", "inlet"),)]
    bare = sketch(shown, Wanted(hand="2", way=False)).views[0]
    assert (bare.keys, bare.ends, bare.ways) == ((), (), ())
    assert [view.keys for view in sketch(shown, Wanted()).views] == [(), ()]


def test_where_it_is_cut_stands_beside_the_title_too() -> None:
    plan, section = sketch(scene(), Wanted(hand="2")).views
    assert (plan.cut, section.cut, section.title) == ("", "y 30", "section along x at y 30")
    assert sketch(scene(), Wanted(hand="2", figures=False)).views[1].cut == ""
