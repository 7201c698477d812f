"""Wrong ways into the seats of a kit, from its record: what speaks against it, what stays a doubt."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.kit.lookalikes import STOP_MM, LookAlike
from inspect_tui.metrology.kit.setting import Trouble
from inspect_tui.model.mould import CoreBody, MouldOutline
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit import fits as kit_fits
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.together import alike
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, begin, with_patterns


def test_cores_that_go_into_each_others_seats_are_named_with_what_would_stop_it(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
        made.add_tool(f"box {number}", "core_box", number)
        place = 100.0 * number
        made.print_and_seat(f"K{number}", number, "drag", 40.0, 40.5, at_x=place, at_y=0.0, at_z=0.0)
        made.read(f"box {number}", {f"K{number}-P": 40.0})
        made.read("drag pattern", {f"K{number}-S": 40.5})
    check = checked(made)
    assert {(a.core, a.seats_of) for a in check.look_alikes} >= {("1", "2"), ("2", "1")}
    assert any("core 1 goes into the seats of core 2" in t and "give core 1 a key" in t for t in check.against)


def test_a_core_with_equal_prints_at_its_ends_goes_in_turned_until_one_of_them_is_changed(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    for place, at in (("1", -100.0), ("2", 100.0)):
        made.print_and_seat(f"K{place}", 1, "drag", 40.0, 40.5, at_x=at, at_y=0.0, at_z=0.0)
    check = checked(made)
    assert "turned end for end" in check.look_alikes[0].sentence
    assert check.look_alikes[0].sentence in check.against
    other = with_patterns(begin(record, "TK-2"))
    other.add_core(1)
    for place, at, size in (("1", -100.0, 40.0), ("2", 100.0, 46.0)):
        other.print_and_seat(f"K{place}", 1, "drag", size, size + 0.5, at_x=at, at_y=0.0, at_z=0.0)
    assert checked(other).look_alikes == ()


def test_a_core_with_a_single_print_that_may_be_turned_is_a_doubt_not_an_answer(record: Record) -> None:
    check = checked(proven(record))
    assert {a.core for a in check.look_alikes} == {"1", "2"}
    assert all(any(text.startswith(a.sentence) for text in check.doubts) for a in check.look_alikes)
    assert check.against == ()
    assert any(text.endswith("of some of its prints no place is known") for text in check.doubts)  # core 2 in the cope


def test_a_print_clearly_smaller_than_another_seat_is_no_look_alike(record: Record) -> None:
    made = with_patterns(begin(record))
    for number, size in ((1, 40.0), (2, 52.0)):
        made.add_core(number)
        made.print_and_seat(f"K{number}", number, "drag", size, size + 0.5, at_x=100.0 * number, at_y=0.0, at_z=0.0)
    assert all(a.core == a.seats_of for a in checked(made).look_alikes)


# ------------------------------------------------------------------------------ bodies and the mould
def even(record: Record, count: int = 2, last: float = 300.0) -> Kit:
    """Core 5 on equal prints 100 and 300 along x, tooling scale: turned end for end it goes in by them."""
    made = with_patterns(begin(record))
    made.add_core(5, set_order=1)
    for n in range(count):
        at = 100.0 + (last - 100.0) * n / max(count - 1, 1)
        made.print_and_seat(f"K{n}", 5, "drag", 40.0, 40.5, "y", holds="x,y,z,rx,ry,rz", at_x=at, at_y=0.0, at_z=0.0)
    return made


def give(made: Kit, core: int, x0: float, x1: float) -> None:
    """A body at tooling scale: 1 % of contraction."""
    at = {"y0": -20.0, "y1": 20.0, "z0": 0.0, "z1": 40.0}
    made.record.add(CoreBody(core_of_id=made.core[core].of_id, x0=x0 / 1.01, x1=x1 / 1.01, **at))


def outline(made: Kit, x0: float, x1: float) -> None:
    at = {"y0": -30.0, "y1": 30.0, "z0": -10.0, "z1": 50.0}
    made.record.add(MouldOutline(job_of_id=made.job.of_id, x0=x0 / 1.01, x1=x1 / 1.01, **at))


def ways(check: KitCheck) -> set[tuple[str, str, str]]:
    return {(a.core, a.seats_of, a.turned) for a in check.look_alikes}


HALF_TURN = ("5", "5", "turned end for end (180 about z)")


def test_a_core_that_would_lie_outside_the_mould_is_not_accused(record: Record) -> None:
    made = even(record)
    assert HALF_TURN in ways(checked(made))
    give(made, 5, 60.0, 700.0)  # turned it would reach from -300
    outline(made, 0.0, 720.0)
    assert HALF_TURN not in ways(checked(made))


def test_without_an_outline_the_mould_is_as_far_as_anything_reaches(record: Record) -> None:
    made = even(record)
    give(made, 5, 60.0, 700.0)
    assert HALF_TURN not in ways(checked(made))
    made.add_feature("F1", "x", 400.0, ("drag", -1, -350.0), ("drag", 1, 50.0), ())
    turned = next(a for a in checked(made).look_alikes if a.core == "5")
    assert turned.turned == HALF_TURN[2] and turned.harm is not None and turned.harm > 0.5
    assert turned.sentence in checked(made).against


def test_only_sizes_of_the_casting_along_an_axis_tell_how_far_the_mould_reaches(record: Record) -> None:
    made = even(record)
    give(made, 5, 60.0, 700.0)
    ends = (("drag", -1, -350.0), ("drag", 1, 50.0))
    made.add_feature("T1", "x", 400.0, *ends, (), scale="tool")
    made.add_feature("T2", "oblique", 400.0, *ends, (), dir_x=0.6, dir_y=0.8, dir_z=0.0)
    assert HALF_TURN not in ways(checked(made))


def test_a_face_that_stops_a_core_is_no_print(record: Record) -> None:
    made = even(record)
    gap = made.size("G1", "drag", 0.5, ("drag pattern",), between="space")
    made.add_fit("K9", 5, "drag", gap_feature_id=gap.id, axis="x", at_x=500.0, at_y=0.0, at_z=0.0)
    assert HALF_TURN in ways(checked(made))


def test_what_is_loose_within_its_own_limits_does_not_rattle(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in (1, 2):
        made.add_core(number)
        at = {"at_x": 500.0 * number, "at_y": 0.0, "at_z": 0.0}
        made.print_and_seat(f"K{number}", number, "drag", 40.0, 45.0, clear_min_mm=3.0, clear_max_mm=6.0, **at)
    made.add_fit("K3", 2, "cope", way_in="z+", clear_max_mm=0.7)
    assert ("1", "2", "as drawn") in ways(checked(made))


def test_bodies_are_scaled_to_the_prints(record: Record) -> None:
    made = even(record, last=3000.0)
    give(made, 5, 50.0, 3050.0 + STOP_MM)  # about the middle of its prints, but for what sand gives way to
    outline(made, 50.0 - STOP_MM, 3050.0 + STOP_MM)
    assert HALF_TURN in ways(checked(made))
    give(made, 5, 40.0, 60.0)
    assert HALF_TURN not in ways(checked(made))


def test_a_body_that_is_the_same_turned_is_a_doubt_and_of_a_core_set_later_too(record: Record) -> None:
    made = even(record)
    give(made, 5, 50.0, 350.0)
    assert any("as far as its body is given it is the same so" in text for text in checked(made).doubts)
    assert checked(made).against == ()


def test_only_cores_that_are_set_before_stand_in_its_way(record: Record) -> None:
    made = even(record)
    made.add_core(6, set_order=2)
    made.add_fit("K9", 6, "drag", holds="x,y,z,rx,ry,rz")
    give(made, 5, 90.0, 450.0)
    outline(made, -100.0, 500.0)
    give(made, 6, 0.0, 60.0)  # turned core 5 would reach from -50
    later = next(a for a in checked(made).look_alikes if a.core == "5")
    assert "would stand in core 6" in later.body and later.sentence in checked(made).doubts
    made.detail(6, set_order=0)
    assert HALF_TURN not in ways(checked(made))


def test_many_wrong_ways_are_counted(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in range(1, 7):
        made.add_core(number)
        for k in (0, 1):
            at = 500.0 * number + 100.0 * k
            made.print_and_seat(f"K{number}.{k}", number, "drag", 40.0 + k, 40.5 + k, "y", at_x=at, at_y=0.0, at_z=0.0)
    check = checked(made)
    told = [t for t in check.found if t.kind == "lookalike"]
    assert len(check.look_alikes) == 30 and len(told) == 13
    assert told[-1].sentence == "18 more such ways in, of cores 1, 2, 3, 4, 5, 6"
    assert told[-1].cores == ("1", "2", "3", "4", "5", "6")


def test_many_doubts_are_counted_as_doubts(record: Record) -> None:
    made = with_patterns(begin(record))
    for number in range(1, 15):  # one print each, of sizes of its own: each may go in turned
        made.add_core(number)
        width = 20.0 + 9.0 * number
        at = {"at_x": 500.0 * number, "at_y": 0.0, "at_z": 0.0}
        made.print_and_seat(f"K{number}", number, "drag", width, width + 0.5, "y", **at)
    check = checked(made)
    told = [t for t in check.open if t.kind == "lookalike"]
    assert len(check.look_alikes) == 14 and len(told) == 13 and not [t for t in check.found if t.kind == "lookalike"]
    assert told[-1].sentence.startswith("2 more such ways in, of cores ")


def test_a_core_that_would_only_be_wrong_if_it_were_made_so_is_no_finding(record: Record) -> None:
    made = even(record, count=3, last=500.0)
    made.print_and_seat("K9", 5, "drag", 60.0, 60.5, "y", holds="y", at_x=700.0, at_y=0.0, at_z=0.0)
    give(made, 5, 60.0, 740.0)
    made.record.add(CoreBody(core_of_id=made.core[5].of_id, x0=60, x1=90, y0=20, y1=60, z0=0, z1=40))
    assert checked(made).look_alikes == ()  # its mirror image would stand in the sand
    made.add_feature("F1", "y", 200.0, ("drag", -1, -100.0), ("drag", 1, 100.0), ())
    check = checked(made)
    assert [(a.mirrored, a.turned) for a in check.look_alikes] == [(True, "mirrored across y")]
    assert not [t for t in (*check.found, *check.open) if t.kind in ("hand", "lookalike")]


def offset(record: Record) -> Kit:
    """Core 5 on three prints in a row along x, evenly apart in neither way, with its body beside them along y alone."""
    made = even(record, count=3, last=500.0)
    made.print_and_seat("K9", 5, "drag", 60.0, 60.5, "y", holds="y", at_x=700.0, at_y=0.0, at_z=0.0)
    made.add_tool("box 5", "core_box", 5)
    for balloon, axis, low, high in (("F1", "x", 90.0, 710.0), ("F2", "y", -20.0, 60.0), ("F3", "z", 0.0, 40.0)):
        made.add_feature(balloon, axis, high - low, (5, 1, low), (5, -1, high), ("box 5",))
    made.add_feature("F4", "y", 30.0, (5, 1, -20.0), (5, -1, 10.0), ("box 5",))
    made.add_feature("F9", "y", 400.0, ("drag", -1, -200.0), ("drag", 1, 200.0), ())
    return made


def test_where_nobody_gave_a_body_its_faces_tell_a_core_from_its_mirror_image(record: Record) -> None:
    made = offset(record)
    check = checked(made)
    assert [(a.mirrored, a.turned, a.harm) for a in check.look_alikes if a.core == a.seats_of] == [
        (True, "mirrored across y", None)
    ]
    assert not [t for t in (*check.found, *check.open) if t.kind in ("hand", "lookalike")]


def test_a_core_that_is_its_own_mirror_image_by_its_faces_has_no_wrong_hand(record: Record) -> None:
    made = even(record, count=3, last=500.0)
    made.print_and_seat("K9", 5, "drag", 60.0, 60.5, "y", holds="y", at_x=700.0, at_y=0.0, at_z=0.0)
    made.add_feature("F2", "y", 40.0, (5, 1, -20.0), (5, -1, 20.0), ())
    assert checked(made).look_alikes == ()
    made.add_feature("F3", "y", 20.4, (5, 1, -20.0), (5, -1, 0.4), ())  # what play may hide is no other face
    assert checked(made).look_alikes == ()
    made.add_feature("F4", "y", 35.0, (5, 1, -20.0), (5, -1, 15.0), ())
    assert [a.turned for a in checked(made).look_alikes] == ["mirrored across y"]


def test_the_wrong_hand_that_its_prints_would_not_stop_is_said_so(record: Record) -> None:
    made = offset(record)
    made.read("box 5", {"F1": 620.0 * 1.01, "F2": 80.0 * 1.01, "F4": 50.0 * 1.01})
    (told,) = [t for t in checked(made).found if t.kind == "hand"]
    assert "F4 reads 50.50 where 30.30 is wanted, and 50.50 is what is left of F2" in told.sentence
    assert told.sentence.endswith("its prints would let it in so, and nobody would see it when it is set")
    edit.change_fit(record, made.job, made.fit["K9"], at_y=30.0)  # the other hand would not go in
    (told,) = [t for t in checked(made).found if t.kind == "hand"]
    assert "let it in" not in told.sentence


def test_only_its_own_seats_let_a_wrong_hand_go_unseen() -> None:
    hand = Trouble("hand", ("5",), "box 5 may be the wrong hand")

    def way(core: str, seats_of: str, mirrored: bool) -> LookAlike:
        return LookAlike(
            core=core, seats_of=seats_of, turned="", p=1.0, pairs=(), remedy=None, sentence="", mirrored=mirrored
        )

    for alike_ways, told in (
        ([way("5", "5", True)], True),
        ([way("5", "6", True)], False),
        ([way("5", "5", False)], False),
        ([way("6", "6", True)], False),
    ):
        ((_, trouble),) = alike.not_stopped([(True, hand)], alike_ways)
        assert ("let it in" in trouble.sentence) == told
    other = (False, Trouble("size", ("5",), "W is too large"))
    assert alike.not_stopped([other], [way("5", "5", True)]) == [other]


# ------------------------------------------------------------------------------ what is known of prints and the mould
def test_a_round_print_has_its_size_both_ways_across_its_way_in(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1)
    male = made.size("K1-P", 1, 40.0, ())
    at = {"at_x": 1.0, "at_y": 2.0, "at_z": 3.0}
    made.add_fit("K1", 1, "drag", inner_feature_id=male.id, axis="round", points="x+", **at)
    made.add_fit("K2", 1, "drag", axis="x", at_x=1.0, at_y=None, at_z=3.0)
    facts = KitFacts(record, made.job)
    lines = kit_fits.lines(facts, ())[0]
    (one,) = alike.prints_of(facts, lines)["1"]
    assert (one.name, one.at, one.points) == ("K1", (1.0, 2.0, 3.0), (1, 0, 0))
    assert [s.value if s else None for s in one.size] == [40.0, 40.0, None]
    assert [s.value if s else None for s in one.seat] == [40.5, 40.5, None]
    assert alike.partly(facts, lines) == {"1"}


def test_the_mould_reaches_over_every_face_and_print(record: Record) -> None:
    made = even(record)
    for axis, low, high in (("x", -10.0, 400.0), ("y", -70.0, 80.0), ("z", -5.0, 90.0)):
        made.add_feature(f"F{axis}", axis, high - low, ("drag", -1, low), ("drag", 1, high), ())
    facts = KitFacts(record, made.job)
    room = alike._room(facts, kit_fits.lines(facts, ())[0], {})
    assert room == pytest.approx((-10.1, 404.0, -70.7, 80.8, -5.05, 90.9))


def test_left_and_right_hand_are_open(record: Record) -> None:
    made = with_patterns(begin(record))
    places = [(0.0, 0.0, 30.0), (150.0, 20.0, 38.0), (40.0, 120.0, 46.0)]
    for number, sign in ((1, 1), (2, -1)):
        made.add_core(number)
        for k, (x, y, width) in enumerate(places):
            at = {"at_x": 1000.0 * number + sign * x, "at_y": y, "at_z": 0.0}
            male = made.size(f"K{number}.{k}-P", number, width, ())
            made.add_fit(f"K{number}.{k}", number, "drag", inner_feature_id=male.id, axis="round", **at)
    check = checked(made)
    told = [t for t in check.open if t.kind == "hand"]
    assert {t.cores for t in told} == {("1", "2"), ("2", "1")} and check.against == ()
    assert "made the wrong hand would go into the seats of core" in told[0].sentence
