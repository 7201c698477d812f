"""What is asked when the ends of a size are entered. Worked by hand."""

from __future__ import annotations

import pytest

from inspect_tui.model.work import End, Feature
from inspect_tui.shop.common.geometry.entry import against, between_asked, contradictions

CORES = {b"1": 1, b"1 before": 1, b"2": 2}


def feature(
    balloon: str, a: tuple[str, float], b: tuple[str, float], facing: tuple[int, int], **more: object
) -> Feature:
    ends = tuple(
        End(
            which=which,
            core_id=part.removeprefix("core ").encode() if part.startswith("core") else None,
            half=None if part.startswith("core") else part,
            facing=way,
            coord_mm=at,
        )
        for which, (part, at), way in zip("AB", (a, b), facing, strict=True)
    )
    return Feature(balloon=balloon, name=balloon, nominal=40.0, ends=ends, **more)  # type: ignore[arg-type]


METAL, SPACE = (-1, 1), (1, -1)


def test_both_ends_on_one_core_are_asked_about() -> None:
    asked = between_asked("width", "cast", "core 1", "Core  1")
    assert asked.startswith("core 1 both ends: outside of the core, or a slot in it?")
    assert "Outside is space" in asked and "a slot is metal" in asked
    print_ = between_asked("width", "tool", "core 1", "core 1")
    assert "Outside is metal" in print_ and "a slot is space" in print_


@pytest.mark.parametrize(
    ("quantity", "a", "b"),
    [
        ("width", "core 1", "core 2"),
        ("width", "drag", "drag"),
        ("width", "core 1", ""),
        ("position", "core 1", "core 1"),
        ("angle", "core 1", "core 1"),
    ],
)
def test_all_else_is_metal_without_a_word(quantity: str, a: str, b: str) -> None:
    assert between_asked(quantity, "cast", a, b) == ""


def test_a_face_with_two_facings_is_a_contradiction_of_two_sizes() -> None:
    passage = feature("F1", ("core 1", 30.0), ("core 1", 70.0), SPACE)
    slot = feature("F2", ("core 1 before", 30.0), ("core 2", 90.0), METAL)
    (asked,) = contradictions([passage, slot], CORES)
    assert asked.sizes == ("F1", "F2") and "core 1's face at x 30" in asked.text
    assert contradictions([passage], CORES) == ()
    tool = feature("K1", ("core 1", 30.0), ("core 2", 90.0), METAL, scale="tool")
    assert contradictions([passage, tool], CORES) == ()
    assert (
        len(contradictions([tool, feature("K2", ("core 1", 30.0), ("core 1", 70.0), SPACE, scale="tool")], CORES)) == 1
    )


def test_prints_and_castings_share_no_face() -> None:
    """The same places at tooling scale are other faces: what a core and its print say is no contradiction."""
    passage = feature("F1", ("core 1", 30.0), ("core 1", 70.0), SPACE)
    body = feature("K1", ("core 1", 30.0), ("core 1", 70.0), METAL, scale="tool")
    assert contradictions([passage, body], CORES) == () == contradictions([body], CORES)
    low = feature("K2", ("core 1", 30.0), ("core 2", 40.0), METAL, scale="tool")
    slot = feature("K3", ("core 1", 20.0), ("core 1", 30.0), METAL, scale="tool")
    (asked,) = contradictions([passage, low, slot], CORES)
    assert asked.sizes == ("K3", "K2")


def test_stock_and_places_are_no_contradiction_here() -> None:
    wide = feature("F1", ("core 1", 30.0), ("core 1", 75.0), SPACE)
    assert contradictions([wide], CORES) == ()


def test_a_new_size_is_held_against_those_that_share_a_face() -> None:
    passage = feature("F1", ("core 1", 30.0), ("core 1", 70.0), SPACE)
    slot = feature("F2", ("core 1", 30.0), ("core 2", 90.0), METAL)
    (asked,) = against(slot, [passage], CORES)
    assert asked.sizes == ("F1", "F2")
    assert against(slot, [feature("F2", ("core 1", 30.0), ("core 1", 70.0), SPACE)], CORES) == ()  # itself, before
    assert against(slot, [feature("F3", ("core 1", 30.0), ("core 1", 70.0), SPACE, axis="y")], CORES) == ()
    assert against(slot, [feature("F3", ("core 1", 31.0), ("core 1", 70.0), SPACE)], CORES) == ()
    third = feature("F3", ("core 2", 90.0), ("core 2", 95.0), METAL)
    assert [a.sizes for a in against(third, [passage, slot], CORES)] == [("F2", "F3")]
    fine = feature("F4", ("core 1", 70.0), ("drag", 90.0), METAL)
    assert against(fine, [passage, slot], CORES) == ()
