"""Where a size is taken, as the drawing's ends say it, and in words."""

from __future__ import annotations

from inspect_tui.metrology.sizes.place import Place, place, where
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.work import End, Feature

CORE = b"c" * 16
LOW = End(which="A", core_id=CORE, facing=1, coord_mm=12.0)
HIGH = End(which="B", half="cope", facing=1, coord_mm=21.0)


def feature(axis: str = "x", *ends: End, **more: object) -> Feature:
    return Feature(**{"balloon": "F7", "name": "n", "axis": axis, "nominal": 9.0, "ends": ends, **more})


def taken(axis: str, makers: tuple[str, str], *ends: float | None, **at: float) -> Place:
    return Place(balloon="F9", axis=axis, makers=makers, ends=(ends[0], ends[1]), at=at)


def test_a_place_has_makers_ends_and_where_across() -> None:
    made = place(feature("x", HIGH, LOW, at_y=4.0, at_z=None), {CORE: "3"})
    assert made == Place(balloon="F7", axis="x", makers=("core 3", "cope"), ends=(12.0, 21.0), at={"y": 4.0})
    upright = place(feature("z", LOW, HIGH, at_x=1.0, at_z=9.0), {CORE: "3"})
    assert upright is not None and upright.at == {"x": 1.0}


def test_a_size_along_no_axis_has_no_place_and_a_print_no_ends() -> None:
    assert place(feature("none", LOW), {}) is None and place(feature("x"), {}) is None
    print_ = place(feature("x", LOW, HIGH, scale="tool"), {CORE: "3"})
    assert print_ is not None and print_.ends == (None, None) and print_.tool
    assert print_.makers == ("core 3", "cope")


def test_a_size_with_one_end() -> None:
    made = place(feature("x", LOW), {})
    assert made is not None and made.makers == ("core ?", "") and made.ends == (12.0, None)


def test_where_a_size_is_taken_in_words() -> None:
    wall = taken("y", ("core 1", "core 2"), 10.0, 20.0)
    assert where(wall) == "core 1, y 10 to core 2, y 20"
    assert where(wall, figures=False) == "core 1 to core 2"
    own = taken("x", ("core 1", "core 1"), 0.0, 100.0, y=30.0)
    assert where(own) == "core 1, x 0 to 100 at y 30"
    assert where(own, figures=False) == "both faces core 1 at y 30"
    assert where(own, Style("in")) == "core 1, x 0 to 3.937 at y 1.1811"
    assert where(taken("x", ("core 1", "core 1"), None, None)) == "both faces core 1"
    assert where(taken("x", ("drag", "cope"), None, 5.0)) == "drag to cope, x 5"
    assert where(taken("x", ("", ""), None, None)) == ""
    assert where(taken("x", ("drag", ""), 4.0, None, y=1.0, z=2.5)) == "drag, x 4 at y 1, z 2.5"
