"""Tools of a kit that are not as they should be: each size, the rule of all of them, the hand, cores not ready."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.kit import ToolDetail
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.check import KitCheck
from tests.shop.kit.test_check import (
    checked,
    proven,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, begin, with_patterns

SIZES = {"L1": ("x", 80.0), "L2": ("y", 50.0), "L3": ("z", 30.0)}


def sized(record: Record, material: str = "hardwood", **box: object) -> Kit:
    """Core 4 with three sizes on stick and box, in the drag."""
    made = with_patterns(begin(record))
    made.add_core(4, set_order=1)
    made.add_tool("stick 4", "core_stick", 4, material="mahogany")
    more = {"made_from_id": made.tool["stick 4"].id} if box.pop("cast_off", False) else {}
    made.add_tool("box 4", "core_box", 4, material=material, **more)
    made.add_fit("K4", 4, "drag", holds="x,y,z,rx,ry,rz")
    for balloon, (axis, size) in SIZES.items():
        made.add_feature(
            balloon, axis, size, (4, 1, 0.0), (4, -1, size), ("stick 4", "box 4"), size - 0.6, size + 0.6, name="width"
        )
    return made


def wanted(scale: float = 1.01, **changed: float) -> dict[str, float]:
    return {balloon: size * scale for balloon, (_, size) in SIZES.items()} | changed


def of(check: KitCheck, kind: str) -> tuple[list[str], list[str]]:
    return (
        [t.sentence for t in check.found if t.kind == kind],
        [t.sentence for t in check.open if t.kind == kind],
    )


def test_tools_as_wanted_are_not_spoken_of(record: Record) -> None:
    made = sized(record)
    made.read("stick 4", wanted())
    made.read("box 4", wanted())
    check = checked(made)
    assert [of(check, kind) for kind in ("size", "rule", "hand")] == [([], [])] * 3


def test_a_size_of_a_box_out_of_its_limits_is_named(record: Record) -> None:
    made = sized(record)
    made.read("box 4", wanted(L2=48.10))
    check = checked(made)
    assert of(check, "size")[0] == ["L2 width on box 4: 48.10 mm, wanted 50.50 mm (50.30 to 50.70), 2.40 too small"]
    assert next(t for t in check.found if t.kind == "size").cores == ("4",)
    made.read("box 4", {"L2": 52.9})
    assert of(checked(made), "size")[0][0].endswith("2.40 too large")
    inch = kit.check(made.record, made.job, style=Style("in"))
    assert "2.0827 in, wanted 1.9882 in" in of(inch, "size")[0][0]
    made.read("box 4", {"L2": 50.71})  # beyond the limit by less than the caliper knows
    assert of(checked(made), "size")[0] == []


def test_a_size_out_of_limits_whose_tool_was_noted_since_is_to_be_read_again(record: Record) -> None:
    from inspect_tui.model.measuring import Note
    from inspect_tui.record.kinds import TOOL

    made = sized(record)
    made.read("box 4", wanted(L2=48.10))
    made.record.add(Note(about_kind=TOOL.number, about_id=made.tool["box 4"].of_id, text="joint dressed"))
    assert of(checked(made), "size")[0][0].endswith("box 4 was noted since: joint dressed: measure it again")


def test_a_stick_speaks_only_while_nobody_read_the_size_on_the_box(record: Record) -> None:
    made = sized(record)
    made.read("stick 4", wanted(L2=48.10))
    assert of(checked(made), "size") == (
        ["L2 width on stick 4: 48.10 mm, wanted 50.50 mm (50.30 to 50.70), 2.40 too small"],
        [],
    )
    made.read("box 4", {"L1": 80.8})
    against, open_ = of(checked(made), "size")
    assert against == [] and open_[0].endswith("2.40 too small; read it on box 4")
    made.read("box 4", {"L2": 50.5})
    assert of(checked(made), "size") == ([], [])


def test_the_size_of_a_print_is_left_to_its_fit(record: Record) -> None:
    made = proven(record)
    made.read("box 2", {"K2-P": 39.0})
    check = checked(made)
    assert of(check, "size") == ([], []) and any("too slack" in text for text in of(check, "fit")[0])


@pytest.mark.parametrize("tool", ["stick 4", "box 4"])
def test_the_wrong_rule_is_named_on_stick_or_box_and_its_sizes_are_not_told_one_by_one(
    record: Record, tool: str
) -> None:
    made = sized(record)
    made.read(tool, wanted(1.02))  # the 2 % rule: each size out of its limits
    check = checked(made)
    against, _ = of(check, "rule")
    assert len(against) == 1 and against[0].startswith(f"{tool}: all 3 sizes are 0.99 % over target")
    assert of(check, "size") == ([], []) and of(check, "hand") == ([], [])
    made.read(tool, wanted())
    assert of(checked(made), "rule") == ([], [])


def test_resin_that_contracts_is_no_wrong_rule(record: Record) -> None:
    made = sized(record, material="tooling resin", cast_off=True)
    made.read("stick 4", wanted())
    made.read("box 4", wanted(1.01 * 0.9960))
    assert of(checked(made), "rule") == ([], [])


def test_wood_that_swelled_is_said_once(record: Record) -> None:
    made = sized(record)
    made.record.add(ToolDetail(tool_of_id=made.tool["stick 4"].of_id, grain="x"))
    made.read("stick 4", wanted(), moisture=0.09)
    made.read("stick 4", {"L1": 80.8, "L2": 50.5 * 1.01, "L3": 30.3 * 1.01}, moisture=0.13)
    against, _ = of(checked(made), "size")
    assert len(against) == 1 and "swelled with moisture" in against[0]
    assert of(checked(made), "rule") == ([], [])


def test_the_wrong_hand_is_named_and_its_sizes_are_not_told_one_by_one(record: Record) -> None:
    made = sized(record)
    made.read("box 4", wanted(L1=50.5, L2=80.8))
    check = checked(made)
    against, _ = of(check, "hand")
    assert len(against) == 1 and against[0].startswith("box 4 may be the wrong hand along x and y: L1 reads 50.50")
    assert of(check, "size") == ([], [])


def test_a_size_with_one_limit_is_near_by_what_is_known_of_it(record: Record) -> None:
    made = sized(record)
    for balloon, size in (("B1", 30.0), ("B2", 31.2)):
        made.add_feature(balloon, "x", size, (4, 1, 0.0), (4, -1, size), ("box 4",), None, size + 5.0)
    made.read("box 4", {"B1": 31.2 * 1.01, "B2": 30.0 * 1.01})
    assert len(of(checked(made), "hand")[0]) == 1


def test_patterns_are_looked_at_too(record: Record) -> None:
    made = sized(record)
    made.add_feature("F9", "x", 100.0, ("drag", -1, 0.0), ("drag", 1, 100.0), ("drag pattern",), 99.4, 100.6)
    made.read("drag pattern", {"F9": 99.0})
    check = checked(made)
    assert len(of(check, "size")[0]) == 1 and "on drag pattern" in of(check, "size")[0][0]
    assert next(t for t in check.found if t.kind == "size").cores == ()


def test_the_wrong_rule_is_named_on_a_pattern_too(record: Record) -> None:
    made = sized(record)
    for balloon, axis, size in (("F7", "x", 100.0), ("F8", "y", 60.0), ("F9", "z", 40.0)):
        ends = (("drag", -1, 0.0), ("drag", 1, size))
        made.add_feature(balloon, axis, size, *ends, ("drag pattern",), size - 0.6, size + 0.6)
    made.read("drag pattern", {"F7": 102.0, "F8": 61.2, "F9": 40.8})
    against, _ = of(checked(made), "rule")
    assert len(against) == 1 and against[0].startswith("drag pattern: all 3 sizes are 0.99 % over target")


def test_a_print_that_stands_as_far_from_the_wrong_end_is_the_wrong_hand(record: Record) -> None:
    """Its position at tooling scale and the length of the core at casting scale end on the same face."""
    made = with_patterns(begin(record))
    made.add_core(4)
    made.add_tool("box 4", "core_box", 4)
    made.add_feature("L1", "x", 200.0, (4, 1, 50.0), (4, -1, 250.0), ("box 4",), 199.0, 201.0)
    made.add_feature(
        "P1", "x", 61.0, (4, 1, 50.5), (4, 1, 111.5), ("box 4",), 60.8, 61.2, scale="tool", quantity="position"
    )
    made.read("box 4", {"L1": 202.0, "P1": 141.0})
    against, _ = of(checked(made), "hand")
    assert len(against) == 1 and "P1 reads 141.00 where 61.00 is wanted, and 141.00 is what is left of L1" in against[0]


def test_angles_have_no_hand(record: Record) -> None:
    made = sized(record)
    for balloon, degrees in (("A1", 30.0), ("A2", 50.0)):
        ends = ((4, 1, None), (4, -1, None))
        made.add_feature(balloon, "x", degrees, *ends, ("box 4",), degrees - 1, degrees + 1, quantity="angle")
    made.read("box 4", {"A1": 50.0, "A2": 30.0})
    against, _ = of(checked(made), "size")
    assert of(checked(made), "hand") == ([], [])
    assert against[0].startswith("A1 size A1 on box 4: 50.00")


def test_cores_that_are_not_ready_are_named_with_their_state(record: Record) -> None:
    made = proven(record)
    made.add_core(9)
    made.add_fit("K9", 9, "drag", holds="x")
    text = "2 cores are not ready to ship: core 2 (box measured), core 9 (not made)"
    check = checked(made)
    assert text in check.doubts and next(t for t in check.open if t.sentence == text).cores == ("2", "9")
