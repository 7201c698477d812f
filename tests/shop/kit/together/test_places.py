"""Pitches read on a kit's tools: two keys off pitch are named with both tools, a kit built right is not refused."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.kit.seating import Fate, GoesIn, Meeting, Pitch, adjusted, goes_in
from inspect_tui.metrology.typed.show import MM
from inspect_tui.model.words import Estimate
from inspect_tui.record.store import Record
from inspect_tui.shop.kit.check import KitCheck
from inspect_tui.shop.kit.seats.turning import Print, Turning
from inspect_tui.shop.kit.together import places
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, begin, with_patterns

PITCH = 160.0


def keyed(record: Record, **pitch: object) -> Kit:
    """Core 6 on core 7 by two keys 160 apart along x, each size read and right; `pitch`: how the pitches are told."""
    made = with_patterns(begin(record))
    for number in (6, 7):
        made.add_core(number, set_order=13 - number, volume_dm3=1.0)
        made.detail(number, in_metal_dm3=0.1)
        made.add_tool(f"box {number}", "core_box", number)
    made.print_and_seat("K1", 7, "drag", 60.0, 60.5, "x", holds="x,y,z,rx,ry,rz", at_x=100.0, at_y=0.0, at_z=0.0)
    for place, x in (("1", 20.0), ("2", 20.0 + PITCH)):
        male = made.size(f"K7-{place}-P", 6, 30.0, ("box 6",))
        female = made.size(f"K7-{place}-S", 7, 30.4, ("box 7",), between="space")
        at = {"at_x": x, "at_y": 0.0, "at_z": 50.0}
        sized = {"inner_feature_id": male.id, "outer_feature_id": female.id, "axis": "x", "holds": "x,y,z,rx,ry,rz"}
        made.add_fit("K7", 6, 7, place=place, **sized, **at)
    ends = {"scale": "tool", "quantity": "position", **pitch}
    low, high = (None, None) if ends.pop("without_places", False) else (20.0, 20.0 + PITCH)
    for balloon, core in (("P6", 6), ("P7", 7)):
        made.add_feature(balloon, "x", PITCH, (core, 1, low), (core, 1, high), (f"box {core}",), **ends)
    made.read("drag pattern", {"K1-S": 60.5})
    made.read("box 6", {"K7-1-P": 30.0, "K7-2-P": 30.0})
    made.read("box 7", {"K1-P": 60.0, "K7-1-S": 30.4, "K7-2-S": 30.4})
    return made


def said(check: KitCheck, kind: str) -> list[str]:
    return [t.sentence for t in check.found if t.kind == kind]


def test_two_keys_off_pitch_are_not_proven_but_do_not_go_in(record: Record) -> None:
    made = keyed(record)
    made.read("box 6", {"P6": 160.01})
    made.read("box 7", {"P7": 161.60})
    check = checked(made)
    assert said(check, "pitch") == [
        "core 6 does not go in along x: K7-1 and K7-2 are 160.01 apart in box 6 and 161.60 mm on box 7; "
        "their play takes 0.40 of the 1.59"
    ]
    assert [t.cores for t in check.found if t.kind == "pitch"] == [("6", "7")]
    assert check.floats["6", "x"].total == 0.0
    assert check.states[made.core[6].of_id].state != "fits proven"


@pytest.mark.parametrize("without_places", [False, True])
def test_a_kit_built_right_goes_in_and_its_play_is_what_the_keys_have_in_common(
    record: Record, without_places: bool
) -> None:
    made = keyed(record, without_places=without_places)
    made.read("box 6", {"P6": 160.01})
    made.read("box 7", {"P7": 160.11})
    check = checked(made)
    assert said(check, "pitch") == [] and not [t for t in check.open if t.kind == "pitch"]
    own = next(g for g in check.seated.goes if (g.core, g.axis) == ("6", "x"))
    assert own.as_read and own.play is not None and own.play.value == pytest.approx(0.30)
    assert check.floats["6", "x"].total - check.floats["7", "x"].total == pytest.approx(0.30)
    assert not any("stand apart" in text for text in check.missing)
    assert check.states[made.core[6].of_id].state == "fits proven"


def test_fits_are_not_proven_while_nobody_read_the_pitch(record: Record) -> None:
    made = keyed(record)
    check = checked(made)
    assert said(check, "pitch") == []
    state = check.states[made.core[6].of_id]
    assert state.fits == (2, 2) and state.state == "box begun"
    assert "1 core has prints of which nobody read how far they stand apart: core 6 (K7-1 to K7-2)" in check.missing
    made.read("box 6", {"P6": 161.60})  # on one side only: against the drawing
    check = checked(made)
    assert "161.60 apart in box 6 and 160.00 mm as drawn" in said(check, "pitch")[0]
    assert any("core 6 (K7-1 to K7-2)" in text for text in check.missing)


def test_what_to_read_next_names_pitches_that_nobody_read(record: Record) -> None:
    made = keyed(record)
    offered = {(n.tool, n.balloon): n.sentence for n in checked(made).next}
    assert offered["box 6", "P6"] == "read P6 on box 6: nobody read how far K7-1 and K7-2 stand apart"
    assert ("box 7", "P7") in offered and ("drag pattern", "K1-S") not in offered
    made.read("box 6", {"P6": 160.0})
    offered = {(n.tool, n.balloon): n.sentence for n in checked(made).next}
    assert ("box 6", "P6") not in offered and ("box 7", "P7") in offered
    made.read("box 7", {"P7": 160.0})
    assert not [n for n in checked(made).next if n.balloon.startswith("P")]


def test_a_pitch_is_read_on_a_pattern_too(record: Record) -> None:
    made = keyed(record)
    made.print_and_seat("K2", 7, "drag", 60.0, 60.5, "x", holds="x", at_x=300.0, at_y=0.0, at_z=0.0)
    made.read("box 7", {"K2-P": 60.0})
    made.read("drag pattern", {"K2-S": 60.5})
    ends = (("drag", 1, 100.0), ("drag", 1, 300.0))
    made.add_feature("PD", "x", 200.0, *ends, ("drag pattern",), scale="tool", quantity="position")
    assert ("drag pattern", "PD") in {(n.tool, n.balloon) for n in checked(made).next}
    made.read("drag pattern", {"PD": 201.0})
    assert (
        "core 7 does not go in along x: K1 and K2 are 200.00 apart as drawn and 201.00 mm on drag pattern"
        in (said(checked(made), "pitch")[0])
    )


def test_a_pitch_near_its_edge_is_open(record: Record) -> None:
    made = keyed(record)
    made.read("box 6", {"P6": 160.00})
    made.read("box 7", {"P7": 160.41})
    check = checked(made)
    assert said(check, "pitch") == []
    told = [t for t in check.open if t.kind == "pitch"]
    assert len(told) == 1 and told[0].cores == ("6", "7") and told[0].fit == "K7-1"
    assert told[0].sentence.startswith("core 6 may not go in along x (")


def test_a_size_over_the_outer_faces_of_the_keys_is_a_pitch_too(record: Record) -> None:
    made = keyed(record)
    made.add_feature("O6", "x", 190.0, (6, -1, 5.0), (6, 1, 195.0), ("box 6",), scale="tool")
    made.read("box 6", {"O6": 191.60})  # less half of either key of 30
    assert "are 161.60 apart in box 6" in said(checked(made), "pitch")[0]


def test_a_size_of_the_casting_with_its_ends_at_the_prints_is_a_pitch(record: Record) -> None:
    made = keyed(record)
    at = [x / 1.01 for x in (20.0, 180.0)]
    made.add_feature("F7", "x", PITCH / 1.01, (7, 1, at[0]), (7, 1, at[1]), ("box 7",))
    made.read("box 7", {"F7": 161.70})
    assert "161.70 mm on box 7" in said(checked(made), "pitch")[0]


def test_sizes_of_other_places_of_the_prints_themselves_and_ambiguous_ones_are_no_pitch(record: Record) -> None:
    made = keyed(record, without_places=True)
    made.add_feature("A6", "x", 30.0, (6, 1, 60.0), (6, 1, 90.0), ("box 6",), scale="tool", quantity="position")
    made.add_feature("B6", "x", PITCH, (6, 1, None), (6, 1, None), ("box 6",), scale="tool", quantity="width")
    made.add_feature("C6", "x", PITCH, (6, 1, 20.0), (7, 1, 180.0), ("box 6",), scale="tool")
    made.add_feature("D6", "y", PITCH, (6, 1, 20.0), (6, 1, 180.0), ("box 6",), scale="tool")
    made.add_feature("E6", "x", 1.0, (6, 1, 20.0), (6, 1, 20.4), ("box 6",), scale="tool")
    made.read("box 6", {"A6": 40.0, "B6": 170.0, "C6": 170.0, "D6": 170.0, "E6": 9.0})
    assert said(checked(made), "pitch") == []
    third = made.size("K7-3-P", 6, 30.0, ("box 6",))
    made.add_fit("K7", 6, 7, place="3", inner_feature_id=third.id, axis="x", at_x=340.0, at_y=0.0, at_z=50.0)
    made.read("box 6", {"P6": 170.0})  # which of the two pitches of 160?
    assert said(checked(made), "pitch") == []


@pytest.mark.parametrize("off", [-1.1, 1.1])
def test_seats_in_the_drag_and_in_a_core_give_way_as_far_as_the_core_may_stand_off(record: Record, off: float) -> None:
    made = keyed(record)
    made.print_and_seat("K9", 6, "drag", 30.0, 30.5, "x", holds="x", at_x=300.0, at_y=0.0, at_z=0.0)
    made.read("box 6", {"K9-P": 30.0})
    made.read("drag pattern", {"K9-S": 30.5})
    made.add_feature("Q6", "x", 280.0, (6, 1, 20.0), (6, 1, 300.0), ("box 6",), scale="tool", quantity="position")
    made.read("box 6", {"P6": 160.0, "Q6": 280.0 + off})
    made.read("box 7", {"P7": 160.0})
    # half of the plays of key and print, 0.45, and core 7 in the drag by half of its 0.5: 0.40 is left
    told = said(checked(made), "pitch")
    assert len(told) == 1 and "K9 in the drag" in told[0] and "out of line" in told[0]
    made.read("box 6", {"Q6": 280.0 + off / 2})
    assert said(checked(made), "pitch") == []


def test_a_print_too_large_is_said_once_by_its_fit(record: Record) -> None:
    made = keyed(record)
    made.read("box 6", {"K7-1-P": 30.6})
    check = checked(made)
    assert said(check, "pitch") == [] and any("does not go" in text for text in said(check, "fit"))


def test_a_face_that_stops_a_core_one_way_bounds_its_play(record: Record) -> None:
    made = keyed(record)
    gap = made.size("G1", 7, 0.15, ("box 7",), between="space", band=0.1)
    made.add_fit("K9", 6, 7, gap_feature_id=gap.id, axis="x", holds="x+", clear_min_mm=0.05, clear_max_mm=0.25)
    made.read("box 7", {"G1": 0.15})
    own = next(g for g in checked(made).seated.goes if (g.core, g.axis) == ("6", "x"))
    assert own.high is not None and own.low is not None
    assert (own.high.value, own.low.value) == (pytest.approx(0.15), pytest.approx(-0.2))
    made.add_fit("K10", 6, 7, gap_feature_id=gap.id, axis="x", way_in="x-", clear_min_mm=0.05, clear_max_mm=0.25)
    own = next(g for g in checked(made).seated.goes if (g.core, g.axis) == ("6", "x"))
    assert own.low is not None and own.low.value == pytest.approx(-0.15)


def test_faces_and_prints_without_a_place_are_no_places(record: Record) -> None:
    made = keyed(record, without_places=True)
    gap = made.size("G1", 7, 0.15, ("box 7",), between="space", band=0.1)
    at = {"at_x": 340.0, "at_y": 0.0, "at_z": 50.0}  # 160 from the second key: no print, so no second pitch
    made.add_fit("K9", 6, 7, gap_feature_id=gap.id, axis="x", holds="x+", clear_min_mm=0.05, clear_max_mm=0.25, **at)
    made.read("box 6", {"P6": 161.60})
    assert "are 161.60 apart in box 6" in said(checked(made), "pitch")[0]


def test_of_prints_without_a_place_nobody_knows_how_far_they_stand_apart(record: Record) -> None:
    made = keyed(record)
    made.add_core(8)
    for place in ("1", "2"):
        male = made.size(f"K8-{place}-P", 8, 30.0, ("box 6",))
        made.add_fit("K8", 8, 7, place=place, inner_feature_id=male.id, axis="x")
    assert any("core 8 (K8-1 to K8-2)" in text for text in checked(made).missing if "stand apart" in text)
    assert "8" in checked(made).unproven and "7" not in checked(made).unproven


def refused(p: float = 0.01) -> GoesIn:
    """Core 1, whose two prints stand 1.0 out of line along x where their play takes 0.4."""
    drawn, read = {"K1": 0.0, "K2": 0.0}, [Pitch("K1", "K2", Estimate(1.0, 0.02), "pattern")]
    meetings = [Meeting(name=name, into="drag", clearance=Estimate(0.4, 0.02), at=0.0) for name in drawn]
    made = goes_in("1", "x", meetings, adjusted(drawn, (), 0.01), {"drag": adjusted(drawn, read, 0.01)})
    assert made is not None and made.fate is Fate.NOT
    return replace(made, p=p)


def prints(*into: str, apart: float = 400.0) -> Turning:
    """The same two prints, that far apart along y."""
    room = ((-0.7, -0.3), (0.3, 0.7))
    stands = [
        Print(f"K{n + 1}", part, (0.0, n * apart, 0.0), {"x": room[n], "y": (-0.2, 0.2)}) for n, part in enumerate(into)
    ]
    return Turning("1", "z", tuple(stands))


def test_a_core_goes_in_turned_only_by_seats_of_one_part_and_where_the_turn_is_what_helps() -> None:
    told = places._turned(refused(), prints("drag", "drag"), MM)
    assert told.fate is Fate.TURNED and told.p > 0.99 and "0.14° about z" in told.sentence
    assert places._turned(refused(), prints("drag", "2"), MM).fate is Fate.NOT
    sure = refused(p=1.0)
    assert places._turned(sure, prints("drag", "drag"), MM) == sure  # it is not the places that stop it
    assert places._turned(refused(), prints("drag", "drag", apart=0.0), MM).fate is Fate.NOT
    assert places._turned(refused(), None, MM).fate is Fate.NOT
    of_both = prints("drag", "drag").prints
    rooms = [{**p.room, "y": (0.5 * side - 0.1, 0.5 * side + 0.1)} for p, side in zip(of_both, (-1, 1), strict=True)]
    along_y = tuple(p._replace(room=room) for p, room in zip(of_both, rooms, strict=True))
    assert places._turned(refused(), Turning("1", "z", along_y), MM).fate is Fate.NOT  # along y it goes in at no turn
    open_ = replace(
        prints("drag", "drag"),
        prints=tuple(
            p._replace(room={"x": (p.room["x"][0], p.room["x"][1]), "y": (-0.001, 0.001)})
            for p in prints("drag", "drag").prints
        ),
    )
    assert places._turned(refused(), open_, MM).fate is Fate.TURNED  # both stand at x 0: y does not stop the turn
