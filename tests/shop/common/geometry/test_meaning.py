"""What a size means is read back: whose outside or opening it is, and which tool is cut or built up where it is too large."""

from __future__ import annotations

import pytest

from inspect_tui.model.work import End, Feature, Tool
from inspect_tui.shop.common.geometry import meaning

CORE, OTHER = b"c" * 16, b"o" * 16
NUMBERS = {CORE: 9, OTHER: 4}
TOOLS = [
    Tool(label="stick 9", kind="core_stick", core_id=CORE, job_of_id=b""),
    Tool(label="box 9", kind="core_box", core_id=CORE, job_of_id=b""),
    Tool(label="drag pattern", kind="pattern_drag", job_of_id=b""),
    Tool(label="template 1", kind="gauge_template", core_id=CORE, job_of_id=b""),
]


def size(a: object, b: object, facing: tuple[int, int], **more: object) -> Feature:
    ends = tuple(
        End(
            which=which,
            half=maker if isinstance(maker, str) else None,
            core_id=maker if isinstance(maker, bytes) else None,
            facing=way,
        )
        for which, maker, way in zip("AB", (a, b), facing, strict=True)
        if maker is not None
    )
    return Feature(
        balloon="F1", name="", quantity=more.pop("quantity", "length"), axis="x", nominal=60.0, ends=ends, **more
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("feature", "said"),
    [
        (size(CORE, CORE, (1, -1)), "outside of core 9; too large is cut on stick 9, built up in box 9"),
        (
            size(CORE, CORE, (-1, 1)),
            "metal between two faces of core 9; too large is built up in stick 9, cut on box 9",
        ),
        (size("drag", "drag", (-1, 1)), "outside of the casting, made by the drag; too large is cut on drag pattern"),
        (size("drag", "drag", (1, -1)), "opening made by the drag; too large is built up in drag pattern"),
        (size(CORE, OTHER, (-1, 1)), "metal between core 9 and core 4"),
        (size(CORE, "cope", (1, -1)), "space between core 9 and cope"),
        (size("drag", CORE, (1, 1)), "step from drag to core 9"),
        (size(CORE, CORE, (1, 1)), "step on core 9; too large is moved on stick 9 and box 9"),
        (
            size(CORE, CORE, (-1, 1), scale="tool"),
            "outside of core 9, such as a print; too large is cut on stick 9, built up in box 9",
        ),
        (
            size(CORE, CORE, (1, -1), scale="tool"),
            "opening in core 9, such as a seat; too large is built up in stick 9, cut on box 9",
        ),
        (
            size(CORE, None, (1, 1), quantity="diameter"),
            "outside of core 9; too large is cut on stick 9, built up in box 9",
        ),
        (size(None, None, (1, 1)), ""),
    ],
)
def test_a_size_is_read_back(feature: Feature, said: str) -> None:
    assert meaning.of_feature(feature, TOOLS, NUMBERS) == said


def test_a_core_that_nobody_numbered_is_a_core() -> None:
    assert meaning.of_feature(size(CORE, CORE, (1, -1)), (), {}) == "outside of a core"
