"""Places on tools as read: faces, prints and seats of a part in one network, and which sizes go into it."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.kit import edit
from inspect_tui.shop.kit.seats import spots
from inspect_tui.shop.kit.seats.spots import Spot, nearest
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, two_cores


def placed(made: Kit):
    check = checked(made)
    return check, spots.places(check.facts, check.lines)


def test_a_print_and_a_face_are_tied_by_a_size_of_the_tool_between_them(record: Record) -> None:
    """From the middle of K1's print at 0 to the face at 20 of the casting, 20.2 on the tool, read 0.4 too far."""
    made = two_cores(record)
    edit.change_fit(record, made.job, made.fit["K2"], at_x=5.0)  # its seat reaches to 25.25
    made.add_feature("P1", "x", 20.2, (1, 1, 0.0), (1, -1, 20.2), ("box 1",), scale="tool", quantity="position")
    made.read("box 1", {"P1": 20.6})
    check, of_job = placed(made)
    at = of_job["1", "x"]
    assert at.way("K1", "face x 20") == ("P1",)
    assert at.between("K1", "face x 20").value == pytest.approx(0.4)
    wall = next(w for w in check.walls if w.label == "F1")
    # the wall goes from that face over K2's seat on core 1, which nobody read: half of it
    assert wall.now.value == pytest.approx(8.0 - 0.2 / 1.01)


def test_walls_share_the_errors_of_the_faces_and_seats_that_they_have_in_common(record: Record) -> None:
    """Core 1's face at 20 and its seat for core 2 are in both walls: so are the links of their errors."""
    made = two_cores(record)
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.5, 20.5)
    made.add_feature("F2", "x", 12.0, (1, -1, 20.0), (2, 1, 32.0), (), 11.0, 13.0, quantity="wall")
    made.read("box 1", {"W": 20.3})
    walls = {w.label: {t.link.name for t in w.links if t.link.kind == "places"} for w in checked(made).walls}
    common = walls["F1"] & walls["F2"]
    assert {"core 1 K2", "core 2 K2", "core 1 as read 1"} <= common
    assert "core 2 face x 28" in walls["F1"] - common and "core 2 face x 32" in walls["F2"] - common


def test_a_half_is_counted_from_its_datum(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("D", "x", 100.0, ("drag", -1, 0.0), ("drag", 1, 100.0), ("drag pattern",), 99.0, 101.0)
    made.read("drag pattern", {"D": 101.0 + 0.505})
    _, of_job = placed(made)
    at = of_job["drag", "x"]
    assert dict(zip(at.names, at.off, strict=True))["face x 0"] == pytest.approx(0.0, abs=1e-4)
    assert dict(zip(at.names, at.off, strict=True))["face x 100"] == pytest.approx(0.505, abs=1e-4)
    made.add_feature("C", "x", 100.0, ("cope", 1, 100.0), ("cope", -1, 0.0), ("cope pattern",), 99.0, 101.0)
    made.add_feature("E", "x", 50.0, ("drag", -1, 0.0), ("drag", 1, 50.0), (), 49.0, 51.0)
    made.read("cope pattern", {"C": 101.0 + 0.505})  # its 0 is no datum: half at either end, whichever is named first
    at = placed(made)[1]["cope", "x"]
    assert dict(zip(at.names, at.off, strict=True)) == {
        "face x 0": pytest.approx(-0.2525),
        "face x 100": pytest.approx(0.2525),
    }


def test_a_size_of_the_casting_ends_on_faces_and_only_from_middle_to_middle_on_prints(record: Record) -> None:
    made = two_cores(record)
    # K2's seat of 40.5 reaches to 20.25 on the tool, where the face at 20 stands too, and K1's middle is at 0
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.5, 20.5)
    made.read("box 1", {"W": 20.2 + 1.01})
    _, of_job = placed(made)
    at = of_job["1", "x"]
    assert {(p.a, p.b) for p in at.pitches} == {("face x 0", "face x 20")}
    assert at.off[at.names.index("K2")] == 0.0


def test_a_reading_coarser_than_practice_says_nothing_unless_it_is_far_off(record: Record) -> None:
    made = two_cores(record)
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("box 1",), 19.5, 20.5)
    from inspect_tui.model.measuring import Calibration

    made.calibration = record.add(Calibration(instrument_of_id=made.caliper.of_id, done_on="2026-02-01", u95_mm=1.0))
    made.read("box 1", {"W": 20.2 + 1.01})
    assert placed(made)[1]["1", "x"].pitches == ()
    made.read("box 1", {"W": 20.2 + 2.02})
    (pitch,) = placed(made)[1]["1", "x"].pitches
    assert pitch.by == "W" and pitch.on == "box 1" and pitch.apart.value == pytest.approx(22.22)


def test_what_a_core_holds_between_its_places_is_its_own_tolerance(record: Record) -> None:
    made = two_cores(record)
    made.detail(1, tol_mm=0.3)
    facts = checked(made).facts
    assert (spots.tolerance(facts, "1"), spots.tolerance(facts, "2")) == (0.3, spots.TOL_MM)
    assert spots.tolerance(facts, "drag") == spots.TOL_MM
    assert spots.u_place(facts, "1") == pytest.approx(0.3 / 3 / 2**0.5)


def test_of_two_places_near_an_end_the_nearer_is_meant() -> None:
    at = [Spot("a", 20.0, SimpleNamespace(drawn=30.0)), Spot("b", 35.08, None), Spot("c", 90.0, None)]
    assert nearest(35.03, at) == (at[0], 1) and nearest(35.06, at) == (at[1], 0)
    assert nearest(5.0, at) == (at[0], -1) and nearest(20.0, at) == (at[0], 0)
    assert nearest(90.2, at) is None
