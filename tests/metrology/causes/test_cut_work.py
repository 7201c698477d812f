"""Tests of: the work that one cause means for each tool: which faces move, which way, by how much, said for tool and casting"""

from __future__ import annotations

import pytest

from tests.metrology.causes.test_cuts import block


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
