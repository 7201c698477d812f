"""The place of each core as its faces and fits give it: what a reading moves, and which of two sizes counts."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.faces import stacks
from inspect_tui.model.measuring import Calibration
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.parts import RISE_MM, TOL_MM
from inspect_tui.shop.kit.walls import between
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import begin, two_cores, with_patterns


@pytest.mark.parametrize("label", ["K2", "zz"])  # names that sort before and behind those of faces
@pytest.mark.parametrize("core", [1, 2])
def test_a_core_read_too_wide_moves_its_faces_by_half_each(record: Record, core: int, label: str) -> None:
    made = two_cores(record)
    edit.change_fit(record, made.job, made.fit["K2"], label=label)
    low, high = (0.0, 20.0) if core == 1 else (28.0, 48.0)
    made.add_feature("W", "x", 20.0, (core, 1, low), (core, -1, high), (f"box {core}",), 19.5, 20.5)
    made.read(f"box {core}", {"W": 20.0 * 1.01 + 1.01})  # one millimetre of the casting too wide
    wall = next(w for w in checked(made).walls if w.label == "F1")
    assert wall.now.value == pytest.approx(8.0 - 0.5)


def test_of_two_sizes_that_share_a_face_the_surer_one_says_where_it_is(record: Record) -> None:
    made = two_cores(record)
    for balloon, low in (("W", 0.0), ("V", 10.0)):
        made.add_feature(balloon, "x", 20.0 - low, (1, 1, low), (1, -1, 20.0), ("box 1",), 9.0, 21.0)
    fine = made.calibration
    made.calibration = record.add(Calibration(instrument_of_id=made.caliper.of_id, done_on="2026-02-01", u95_mm=1.0))
    made.read("box 1", {"W": 20.0 * 1.01 + 1.01})  # 1.0 of the casting too wide, but coarsely read
    made.calibration = fine
    made.read("box 1", {"V": 10.0 * 1.01 + 0.404})  # 0.4 too wide
    wall = next(w for w in checked(made).walls if w.label == "F1")
    assert wall.now.value == pytest.approx(8.0 - 0.2)


def test_a_core_that_sits_in_two_is_placed_by_the_closer_fit(record: Record) -> None:
    made = two_cores(record)
    made.add_fit("K8", 2, "drag", axis="x", holds="x", clear_min_mm=0.05, clear_max_mm=0.10)
    wall = next(w for w in checked(made).walls if w.label == "F1")
    # K8 leaves 0.075 in all and the drag 0.5 by K1; K2 leaves 0.5 and shares core 1 with the other face
    assert wall.path == ("core 1", "drag", "core 2")
    made.add_fit("K7", 2, "drag", axis="y", holds="y", clear_min_mm=0.05, clear_max_mm=0.10)
    assert next(w for w in checked(made).walls if w.label == "F1").path == ("core 1", "drag", "core 2")


# ------------------------------------------------------------------------------ up and down
def along_z(record: Record, **more: object):
    """Two cores of the small kit with a wall across the way they are set, from the drag's floor to core 1."""
    made = two_cores(record)
    made.add_feature("Z1", "z", 8.0, ("drag", -1, 0.0), (1, 1, 8.0), (), 7.0, 9.0, quantity="wall")
    edit.change_fit(record, made.job, made.fit["K1"], **more)
    return made


def z1(made):
    return next(w for w in checked(made).walls if w.label == "Z1")


def test_what_nobody_said_of_a_rise_is_unknown_and_not_nought(record: Record) -> None:
    wall = z1(along_z(record, holds="x,y", lift_mm=None))
    assert wall.unknown == ("how far core 1 can rise in K1 (0.5 is taken)",)
    assert (wall.drawn.nominal, wall.drawn.centre) == (pytest.approx(8.0), pytest.approx(8.0 + RISE_MM / 2 / 1.01))
    assert wall.drawn.worst_high == pytest.approx(8.0 + 2 * TOL_MM + RISE_MM / 1.01)
    assert wall.sentence.endswith("; nobody said how far core 1 can rise in K1 (0.5 is taken)")
    assert "nobody said how far core 1 can rise in K1 (0.5 is taken)" in wall.remarks


@pytest.mark.parametrize(("holds", "lift", "rise"), [("x,y", 0.2, 0.2), ("x,y", 0.0, 0.0), ("x,y,z", None, 0.0)])
def test_a_rise_that_is_said_or_stopped_counts_as_it_is(record: Record, holds: str, lift: float | None, rise: float):
    wall = z1(along_z(record, holds=holds, lift_mm=lift))
    assert wall.unknown == ()
    assert wall.drawn.worst_high == pytest.approx(8.0 + 2 * TOL_MM + rise / 1.01)
    assert wall.drawn.worst_low == pytest.approx(8.0 - 2 * TOL_MM)


def test_held_from_rising_alone_is_held(record: Record) -> None:
    assert z1(along_z(record, holds="x,y,z+", lift_mm=None)).unknown == ()
    assert z1(along_z(record, holds="x,y,z-", lift_mm=None)).unknown != ()


def heights(made, seat: float = 20.0, low: float = 0.01) -> None:
    """The height of core 1's print, 20, and the depth of its seat."""
    male = made.size("H1", 1, 20.0, ("box 1",), "z")
    female = made.size("H2", "drag", seat, ("drag pattern",), "z")
    made.add_fit(
        "K1",
        1,
        "drag",
        place="Z",
        axis="z",
        way_in=made.fit["K1"].way_in,
        holds="z",
        inner_feature_id=male.id,
        outer_feature_id=female.id,
        clear_min_mm=low,
        clear_max_mm=low + 0.6,
    )


def test_a_print_that_is_too_high_lifts_its_core_where_it_bears_it(record: Record) -> None:
    made = along_z(record, lift_mm=0.0)
    heights(made)
    assert z1(made).now.value == pytest.approx(8.0)
    wide = z1(made).now.u
    made.read("box 1", {"H1": 20.3})
    made.read("drag pattern", {"H2": 19.9})
    assert z1(made).now.u < wide  # what is read no longer spreads over its band
    assert z1(made).now.value == pytest.approx(8.0 + (0.3 + 0.1) / 1.01)


def test_in_a_deeper_seat_the_core_lies_on_its_body_until_the_print_touches_ground(record: Record) -> None:
    made = along_z(record, lift_mm=0.0)
    heights(made, 20.5, 0.2)
    made.read("box 1", {"H1": 20.3})
    made.read("drag pattern", {"H2": 20.5})
    assert z1(made).now.value == pytest.approx(8.0)
    made.read("box 1", {"H1": 20.7})
    assert z1(made).now.value == pytest.approx(8.0 + 0.2 / 1.01)


# ------------------------------------------------------------------------------ what is guessed, what is common
def test_play_that_only_a_band_tells_counts_with_its_most(record: Record) -> None:
    made = two_cores(record)
    made.add_fit("K8", 2, "drag", axis="x", holds="x", clear_min_mm=0.05, clear_max_mm=0.10)
    wall = next(w for w in checked(made).walls if w.label == "F1")
    assert "how much play K8 has (its most, 0.1, is taken)" in wall.unknown
    assert max(t.link.plus for t in wall.drawn.terms if t.link.name == "K8 x") == pytest.approx(0.05)


def test_a_guess_gives_way_to_what_is_known(record: Record) -> None:
    """Core 1 in the drag by K1, whose rise nobody said, and by K6, of which 0.9 is known: it cannot rise more."""
    made = along_z(record, holds="x,y", lift_mm=None)
    made.add_fit("K6", 1, "drag", axis="x", holds="x,y", way_in="z-", lift_mm=0.9)
    wall = z1(made)
    assert wall.unknown == ()
    assert wall.drawn.worst_high == pytest.approx(8.0 + 2 * TOL_MM + 0.9 / 1.01)


def test_one_contraction_moves_every_wall_along_an_axis(record: Record) -> None:
    wall = next(w for w in checked(two_cores(record)).walls if w.label == "F1")
    (common,) = [t for t in wall.links if t.link.kind == "contraction"]
    assert common.sense == pytest.approx(-8.0 / 1.01)
    assert (common.link.plus, common.link.minus) == (pytest.approx(0.0045), pytest.approx(0.0045))
    assert not [t for t in wall.drawn.terms if t.link.kind == "contraction"]
    assert dict(wall.shares)["contraction along x"] == pytest.approx((8.0 / 1.01 * 0.0015) ** 2 / wall.now.u**2)


# ------------------------------------------------------------------------------ all prints of a core together
def two_prints(record: Record, pitch: float) -> object:
    """Core 1 in the drag by K1 with play 0.4 and K2 with 0.8, 160 along x, whose seats were read `pitch` too far apart."""
    made = with_patterns(begin(record))
    made.add_core(1, set_order=1, volume_dm3=1.0)
    made.add_tool("box 1", "core_box", 1)
    for n, (x, play) in enumerate(((0.0, 0.4), (160.0, 0.8)), start=1):
        made.print_and_seat(f"K{n}", 1, "drag", 30.0, 30.0 + play, "x", holds="x", at_x=x, at_y=0.0, at_z=0.0)
        made.read("box 1", {f"K{n}-P": 30.0})
        made.read("drag pattern", {f"K{n}-S": 30.0 + play})
    made.add_feature("P", "x", 160.0, ("drag", 1, 0.0), ("drag", 1, 160.0), ("drag pattern",), scale="tool")
    made.add_feature("Q", "x", 160.0, (1, 1, 0.0), (1, 1, 160.0), ("box 1",), scale="tool")
    made.read("drag pattern", {"P": 160.0 + pitch})
    made.read("box 1", {"Q": 160.0})
    made.add_feature("F1", "x", 8.0, (1, -1, 20.0), ("drag", 1, 28.0), (), 7.0, 9.0, quantity="wall")
    return next(w for w in checked(made).walls if w.label == "F1")


@pytest.mark.parametrize(
    ("pitch", "low", "high"),
    [
        (0.0, -0.2, 0.2),  # the closer print decides alone
        (0.3, -0.25, 0.05),  # K1 from -0.35 to 0.05, K2 from -0.25 to 0.55: one decides below, the other above
        (-0.3, -0.05, 0.25),
        (0.9, -0.1, -0.1),  # K1 to -0.25, K2 from 0.05: eased, in the middle of both
    ],
)
def test_a_core_stands_where_all_its_prints_let_it(record: Record, pitch: float, low: float, high: float) -> None:
    wall = two_prints(record, pitch)
    (fit,) = [t for t in wall.links if t.link.kind == "fit"]
    assert fit.half == pytest.approx((high - low) / 2 / 1.01, abs=1e-6)
    assert wall.now.value == pytest.approx(8.0 - (low + high) / 2 / 1.01, abs=1e-6)


def test_the_places_of_both_prints_that_decide_are_in_a_wall(record: Record) -> None:
    """Two seats of one pitch, read: what is left open is where they stand as a whole, and half of the pitch's doubt."""
    both = two_prints(record, 0.3)
    errors = {t.link.name: t for t in both.links if t.link.kind == "places"}
    assert {"core 1 face x 20", "drag face x 28"} <= set(errors)
    seats = sum((t.sense * stacks.spread(t.link)[1]) ** 2 for n, t in errors.items() if n.startswith("drag as read"))
    whole = (TOL_MM / 3 / 2**0.5) ** 2  # the mean of both stands as well as one place
    assert seats == pytest.approx(whole / 1.01**2, rel=1e-3)
    faces = sum((t.sense * stacks.spread(t.link)[1]) ** 2 for n, t in errors.items() if " face " in n)
    assert faces == pytest.approx(2 * whole)


def test_a_wall_follows_from_the_sizes_that_lead_to_the_prints(record: Record) -> None:
    made = two_cores(record)
    edit.change_fit(record, made.job, made.fit["K2"], at_x=5.0)
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.5, 20.5)
    made.add_feature("P1", "x", 25.05, (1, 1, -20.05), (1, 1, 5.0), ("box 1",), scale="tool", quantity="position")
    made.add_feature("P2", "x", 40.25, (1, 1, -20.05), (1, -1, 20.2), ("box 1",), scale="tool", quantity="position")
    made.read("box 1", {"W": 20.2})
    facts, lines = checked(made).facts, checked(made).lines
    assert between(facts, lines, "core 1 x 20", "core 2 x 28").remarks[0] == "follows from W and K2"
    made.read("box 1", {"P1": 25.05, "P2": 40.25})
    facts, lines = checked(made).facts, checked(made).lines
    assert between(facts, lines, "core 1 x 20", "core 2 x 28").remarks[0] == "follows from P2, P1 and K2"
