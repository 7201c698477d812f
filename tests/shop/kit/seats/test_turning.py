"""Small turns of cores in their seats: who may turn, edges beyond the prints in walls, cores that go in only turned."""

from __future__ import annotations

import pytest

from inspect_tui.commands.kit import _json
from inspect_tui.record.store import Record
from inspect_tui.report.term import kit_pages
from inspect_tui.shop.kit.check import KitCheck, assemblies
from inspect_tui.shop.kit.seats.turning import turnings
from inspect_tui.shop.kit.walls import between
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, begin, with_patterns

PLAY, APART, SCALE = 0.4, 400.0, 1 / 1.01


def long_core(record: Record, *, pitch: float | None = None, second: tuple[float, float] = (0.0, APART)) -> Kit:
    """Core 1 in the drag by two prints with the same play both ways, 400 apart along y; `pitch`: their x as read."""
    made = with_patterns(begin(record))
    made.add_core(1, set_order=1, volume_dm3=1.0)
    made.add_tool("box 1", "core_box", 1)
    for n, (x, y) in enumerate(((0.0, 0.0), second), start=1):
        at = {"at_x": x, "at_y": y, "at_z": 0.0, "holds": "x,y,z,rx,ry,rz"}
        for place, axis in (("", "x"), ("Y", "y")):
            name = f"K{n}-{place}" if place else f"K{n}"
            male = made.size(f"{name}-P", 1, 30.0, ("box 1",), axis)
            female = made.size(f"{name}-S", "drag", 30.0 + PLAY, ("drag pattern",), axis)
            sized = {"inner_feature_id": male.id, "outer_feature_id": female.id, "axis": axis}
            made.add_fit(f"K{n}", 1, "drag", place=place or None, **sized, **at)
    made.read("box 1", {f"K{n}{p}-P": 30.0 for n in (1, 2) for p in ("", "-Y")})
    made.read("drag pattern", {f"K{n}{p}-S": 30.0 + PLAY for n in (1, 2) for p in ("", "-Y")})
    if pitch is not None:
        for part, tool, off in ((1, "box 1", 0.0), ("drag", "drag pattern", pitch)):
            low, high = 0.0, second[0]
            made.add_feature(
                f"P{part}", "x", high - low or 100.0, (part, 1, None), (part, 1, None), (tool,), scale="tool"
            )
            made.read(tool, {f"P{part}": high - low + off})
    return made


def wall(made: Kit, balloon: str, y: float | None) -> object:
    made.add_feature(balloon, "x", 8.0, (1, -1, 20.0), ("drag", 1, 28.0), (), 7.0, 9.0, quantity="wall", at_y=y)
    return next(w for w in checked(made).walls if w.label == balloon)


def plays(made_wall: object) -> list[float]:
    """The half plays of the fits in a wall, mm of the casting."""
    return [t.half for t in made_wall.links if t.link.kind == "fit"]


def test_an_edge_beyond_two_prints_stands_off_by_its_lever_over_their_distance(record: Record) -> None:
    """Two prints 400 apart with play 0.4: 800 from their middle it goes 0.8 either way, 0.2 between them."""
    made = long_core(record)
    inside = wall(made, "F1", 300.0 * SCALE)
    assert plays(inside) == [pytest.approx(PLAY / 2 * SCALE)]
    beyond = wall(made, "F2", 1000.0 * SCALE)
    assert sum(plays(beyond)) == pytest.approx(PLAY * 800.0 / APART * SCALE)
    assert beyond.now.u > inside.now.u and beyond.turned == ()
    below = wall(made, "F3", -600.0 * SCALE)
    assert sum(plays(below)) == pytest.approx(sum(plays(beyond)))


def test_where_nobody_said_where_a_wall_is_taken_it_is_between_the_prints_and_that_is_noted(record: Record) -> None:
    made = long_core(record)
    made.add_feature("L1", "y", 2000.0, (1, 1, -600.0), (1, -1, 1400.0), ("box 1",))
    said = wall(made, "F1", None)
    assert plays(said) == [pytest.approx(PLAY / 2 * SCALE)]
    (text,) = said.turned
    assert text.startswith("how far core 1 turns in its seats is not in it, up to 1.0") and "say where along y" in text
    assert "where F1 is taken" in assemblies(checked(made), 100).unknown
    assert text in said.remarks and "holds its limits as far as it is known" in said.sentence
    near = wall(made, "F2", 100.0)
    assert near.turned == () and "as far as it is known" not in near.sentence
    assert between(checked(made).facts, checked(made).lines, "core 1 x 20", "drag x 28").label == "F1"


def turned(check: KitCheck) -> list[str]:
    return [t.sentence for t in check.open if t.kind == "pitch"]


def test_seats_out_of_line_take_the_core_turned_and_that_is_told(record: Record) -> None:
    """1.0 out of line over 400, of which the play takes 0.4: it goes in turned by 0.6 to 1.4 over 400, 0.14 degrees."""
    made = long_core(record, second=(5.0, APART), pitch=1.0)
    check = checked(made)
    assert not [t for t in check.found if t.kind == "pitch"]
    (text,) = turned(check)
    assert text.startswith("core 1 goes in only turned along x") and "0.14° about z" in text
    assert "0.60 more out of line than their play takes" in text
    assert "1" in check.seated.not_in


def test_a_pitch_along_the_line_of_the_prints_is_not_saved_by_a_turn(record: Record) -> None:
    made = long_core(record, second=(APART, 5.0), pitch=1.0)
    check = checked(made)
    (text,) = [t.sentence for t in check.found if t.kind == "pitch"]
    assert text.startswith("core 1 does not go in along x") and turned(check) == []


def test_who_may_turn(record: Record) -> None:
    made = long_core(record)
    check = checked(made)
    (turns,) = _json(check, None)["turns"]
    assert (turns["core"], turns["about"], turns["high_rad"]) == (1, "z", pytest.approx(PLAY / APART))
    page = kit_pages.about_core(check, "1", None, 80).plain
    assert "may turn in its seats about z: -0.06° to +0.06°" in page  # 0.4 over 400
    (of_core,) = turnings(check.facts, check.lines, None).values()
    assert (of_core.core, of_core.about, of_core.across) == ("1", "z", ("x", "y"))
    assert of_core.turns("drag") == (pytest.approx(-PLAY / APART), pytest.approx(PLAY / APART))
    assert of_core.reach("x", -1000.0, "drag") == (pytest.approx(-0.8), pytest.approx(0.8))
    assert not of_core.may_turn("cope")
    made.add_fit(
        "K1", 1, "drag", place="X", axis="x", holds="x", at_x=0.0, at_y=0.0, clear_min_mm=0.1, clear_max_mm=0.2
    )
    check = checked(made)
    (closer,) = turnings(check.facts, check.lines, None).values()  # of two rows of a seat along x the closer counts
    assert closer.turns("drag") == (pytest.approx(-(0.15 + PLAY) / 2 / APART), pytest.approx((0.15 + PLAY) / 2 / APART))
    made.print_and_seat("K3", 1, "drag", 30.0, 30.4, "x", holds="x")  # it has no place
    check = checked(made)
    assert turnings(check.facts, check.lines, None) == {}


def test_a_print_of_which_one_axis_is_said_has_the_most_of_its_limits_along_the_other(record: Record) -> None:
    made = with_patterns(begin(record))
    made.add_core(1, set_order=1, volume_dm3=1.0)
    made.add_tool("box 1", "core_box", 1)
    for n, x in enumerate((0.0, APART), start=1):
        made.print_and_seat(f"K{n}", 1, "drag", 30.0, 30.4, "x", holds="x,y,z", at_x=x, at_y=0.0, at_z=0.0)
    check = checked(made)
    (of_core,) = turnings(check.facts, check.lines, None).values()
    most = check.facts.fits[0].clear_max_mm
    assert of_core.turns() == (pytest.approx(-most / APART), pytest.approx(most / APART))
