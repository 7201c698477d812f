"""Faces from the ends of sizes: what is the same face, and what has to be asked.

Worked by hand; there is no published table of this.
"""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.face import Face, Size, join


def face(maker: str, place: float | None, facing: int = 0, axis: str = "x", **more: object) -> Face:
    return Face(maker=maker, axis=axis, place_mm=place, facing=facing, **more)  # type: ignore[arg-type]


def size(name: str, a: Face | None, b: Face, mm: float | None = None, **more: object) -> Size:
    apart = (b.place_mm or 0.0) - ((a.place_mm or 0.0) if a else 0.0)
    return Size(name=name, a=a, b=b, mm=apart if mm is None else mm, **more)  # type: ignore[arg-type]


def test_a_face_is_named_by_maker_axis_and_place() -> None:
    assert face("core 3", 64.0, 1).name == "core 3 face x 64"
    assert face("cope", -28.5, axis="y").name == "cope face y -28.5"
    assert face("core 12", 1234.562).name == "core 12 face x 1234.562"
    assert face("core 3", 64.0, spot="st 90").name == "core 3 face x 64 st 90"
    assert face("drag", -0.0).name == face("drag", 0.0).name == "drag face x 0"


def test_places_that_agree_to_the_third_decimal_are_one_face() -> None:
    assert face("drag", 100.0004).key == face("drag", 100.0).key != face("drag", 100.001).key
    for other in (face("cope", 100.0), face("drag", 100.0, axis="y"), face("drag", 100.0, spot="at y 3")):
        assert other.key != face("drag", 100.0).key
    assert face("drag", 100.0, scale="tool").key != face("drag", 100.0).key
    assert face("drag", 100.0, 1, stock_mm=3.0, coat_mm=0.2).key == face("drag", 100.0).key


def test_a_face_knows_who_makes_it_and_what_it_is_once_it_is_machined() -> None:
    raw = face("core 2", 104.0, 1, stock_mm=4.0)
    assert raw.cored and not face("cope", 1.0).cored
    done = raw.machined()
    assert (done.maker, done.place_mm, done.stock_mm, done.cored) == ("machined from core 2", 100.0, 0.0, True)
    assert face("drag", -28.0, -1, stock_mm=4.0).machined().place_mm == -24.0
    assert face("drag", None, -1, stock_mm=4.0).machined().place_mm is None


def test_a_facing_is_one_way_the_other_or_none() -> None:
    with pytest.raises(DataError, match="core 3 face x 64: facing is"):
        face("core 3", 64.0, 2)


def test_ends_that_name_the_same_are_the_same_face() -> None:
    joined = join(
        [
            size("F1", face("drag", 0.0, -1), face("drag", 100.0, 1)),
            size("F2", face("drag", 0.0, -1), face("core 1", 30.0, 1)),
        ]
    )
    assert [f.name for f in joined.faces] == ["drag face x 0", "core 1 face x 30", "drag face x 100"]
    assert joined.sizes[0].a is joined.sizes[1].a and joined.asked == ()


def test_ends_without_a_place_are_faces_of_their_own() -> None:
    bore = size("F59", face("core 6", None, 1), face("core 6", None, -1), 48.0)
    other = size("F60", face("core 6", None, 1), face("core 6", None, -1), 40.0)
    names = [f.name for f in join([bore, other]).faces]
    assert names == ["core 6 face x F59 A", "core 6 face x F59 B", "core 6 face x F60 A", "core 6 face x F60 B"]


def test_a_face_with_its_metal_on_either_side_is_asked_about_with_both_sizes() -> None:
    joined = join(
        [
            size("F1", face("core 1", 30.0, 1), face("core 1", 70.0, -1)),
            size("F2", face("core 1", 30.0, -1), face("drag", 90.0, 1)),
        ]
    )
    (asked,) = joined.asked
    assert asked.kind == "facing" and asked.sizes == ("F1", "F2")
    assert asked.text.startswith("F1 says that the metal ends at core 1's face at x 30 towards +x, F2 says towards -x")


def test_a_clash_at_two_spots_is_two_faces() -> None:
    low = size("F1", face("core 1", 30.0, 1), face("core 1", 70.0, -1), across=(("y", 10.0),))
    high = size("F2", face("core 1", 30.0, -1), face("drag", 90.0, 1), across=(("y", 50.0),))
    joined = join([low, high])
    assert joined.asked == ()
    assert {f.name for f in joined.faces} >= {"core 1 face x 30 at y 10", "core 1 face x 30 at y 50"}
    unsaid = size("F3", face("core 1", 30.0, -1), face("drag", 90.0, 1))
    assert [a.kind for a in join([low, unsaid]).asked] == ["facing"]
    same = size("F4", face("core 1", 30.0, -1), face("drag", 90.0, 1), across=(("y", 10.0),))
    assert [a.kind for a in join([low, same]).asked] == ["facing"]


def test_a_place_takes_its_direction_from_sizes_that_are_sure() -> None:
    thick = size("F1", face("drag", 0.0, -1), face("drag", 100.0, 1))
    height = size("F2", face("drag", 0.0, 1), face("core 1", 23.0, 1))
    joined = join([thick, height])
    assert joined.asked == () and [f.facing for f in joined.sizes[1].faces] == [-1, -1]
    alone = join([height])
    assert [f.facing for f in alone.sizes[0].faces] == [1, 1]


def test_a_datum_that_a_centre_is_counted_from_takes_its_direction_from_sizes_that_are_sure() -> None:
    skin = size("F25", face("drag", 0.0, 1), face("drag", 19.0, -1))
    centre = size("F37", face("drag", 0.0, -1), face("core 3", 88.0, 0))
    joined = join([centre, skin])
    assert joined.asked == () and [f.facing for f in joined.sizes[0].faces] == [1, 0]
    assert join([size("F1", None, face("drag", 0.0, -1)), skin]).sizes[0].b.facing == 1


def test_a_place_between_faces_that_look_opposite_ways_is_asked_about_where_it_has_stock() -> None:
    thick = size("F1", face("drag", 0.0, -1), face("drag", 100.0, 1, stock_mm=3.0))
    bare = size("F2", face("drag", 0.0, 1), face("core 1", 30.0, 1))
    bore = size("F3", face("core 1", 30.0, -1), face("core 1", 40.0, 1))
    joined = join(
        [
            size("F1", thick.a, face("drag", 100.0, 1)),
            bare,
            size("F4", face("core 1", 30.0, 1), face("core 1", 70.0, -1)),
        ]
    )
    assert joined.asked == () and [f.facing for f in joined.sizes[1].faces] == [-1, 1]
    assert join([bare, bore]).asked == ()
    step = size("F2", face("drag", 0.0, 1), face("drag", 100.0, 1, stock_mm=3.0))
    (asked,) = join([thick, step]).asked
    assert asked.kind == "facing" and asked.sizes == ("F2", "F1", "F1")
    assert "say whether metal or space lies between the ends of F2" in asked.text


def test_a_centre_takes_no_side_and_gives_none() -> None:
    joined = join(
        [
            size("F1", face("drag", 0.0, -1), face("core 1", 30.0, 0)),
            size("F2", face("core 1", 30.0, 1), face("core 1", 70.0, -1)),
        ]
    )
    assert joined.asked == () and next(f for f in joined.faces if f.place_mm == 30.0).facing == 1


def test_stock_that_differs_is_asked_about_and_the_larger_kept() -> None:
    joined = join(
        [
            size("F1", face("drag", 0.0, -1), face("cope", 100.0, 1, stock_mm=3.0)),
            size("F2", face("core 1", 40.0, -1), face("cope", 100.0, 1, stock_mm=4.0)),
        ]
    )
    (asked,) = joined.asked
    assert (asked.kind, asked.sizes) == ("stock", ("F1", "F2")) and "F1 says 3 of stock" in asked.text
    assert joined.faces[-1].stock_mm == 4.0
    coated = join(
        [
            size("F1", face("drag", 0.0, -1), face("core 1", 100.0, 1)),
            size("F2", face("core 1", 100.0, 1, coat_mm=0.3), face("core 1", 120.0, -1)),
        ]
    )
    assert coated.sizes[0].b.coat_mm == 0.3


def test_places_that_give_another_size_are_asked_about() -> None:
    (asked,) = join([size("F12", face("drag", 10.0, -1), face("drag", 18.0, 1), 7.0)]).asked
    assert asked.kind == "place" and asked.sizes == ("F12",)
    assert "stand 8.00 apart as cast, its size as cast is 7.00" in asked.text
    assert join([size("F12", face("drag", 10.0, -1), face("drag", 17.005, 1), 7.0)]).asked == ()


def test_a_balloon_given_twice_is_refused() -> None:
    one = size("F1", None, face("drag", 10.0))
    with pytest.raises(DataError, match="F1: given twice"):
        join([one, one])
