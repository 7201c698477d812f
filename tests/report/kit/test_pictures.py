"""Drawings of the kit papers: the mark for a camera, and drawings that are whole for any names."""

from __future__ import annotations

import re
from xml.etree import ElementTree as Tree

import pytest

from inspect_tui.report.draw.svg import INK
from inspect_tui.report.kit.pictures import order_svg, qr_svg, section_svg, step_svg
from inspect_tui.shop.kit.sketch.scene import Scene
from tests.report.draw.pictures import PIPE
from tests.worlds.hostile import STEERING, TEXTS


def test_the_drawn_mark_is_the_mark_with_its_quiet_zone() -> None:
    import segno

    code = "EXM-4 | box 3 | 0192a1b2-7c3d-7e4f-8a5b-000000000003"
    matrix = [list(row) for row in segno.make(code, error="m", micro=False).matrix]
    path = next(Tree.fromstring(qr_svg(code)).iter("{http://www.w3.org/2000/svg}path"))
    drawn = [[0] * len(matrix) for _ in matrix]
    for x, y, run in re.findall(r"M(\d+) (\d+)h(\d+)v1h-\d+z", path.attrib["d"]):
        for step in range(int(run)):
            drawn[int(y) - 4][int(x) - 4 + step] = 1
    assert drawn == matrix
    size = float(re.search(r"scale\(([\d.]+)\)", path.attrib["transform"])[1])  # type: ignore[index]
    assert size * (len(matrix) + 8) == pytest.approx(116.0, abs=0.01)  # four modules free on every side


def test_drawings_of_the_kit_are_whole_for_any_names() -> None:
    for name in (*TEXTS, *STEERING, "", "x" * 300):
        Tree.fromstring(order_svg([("1", name), ("2", "b")]))
        Tree.fromstring(step_svg("1", name, [(name, name, name), ("K2", "drag", "")]))
    Tree.fromstring(step_svg("1", "lonely", []))


def test_the_section_of_a_step_has_this_core_black_and_those_before_it() -> None:
    drawn = section_svg(PIPE, "2")
    assert drawn is not None
    assert 'width="168pt"' in drawn and "core 2" in drawn and "core 1" in drawn and "core 3" not in drawn
    assert drawn.count(f'fill="{INK}"/>') >= 1 and "section along x at y 40<" in drawn
    assert section_svg(Scene(job="J", cores=()), "2") is None
