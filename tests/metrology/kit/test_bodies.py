"""Bodies of cores as boxes: given, or about from their sizes; what has no height is said."""

from __future__ import annotations

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.bodies import Body, Box, body_from_faces, deepest, given_body, hull, overlap


def a_box(*places: float) -> Box:
    """x from and to, y from and to, z from and to."""
    return Box(*places)


CUBE = a_box(0, 10, 0, 20, 0, 30)
place = st.floats(-500, 500)


def test_a_box_knows_its_faces() -> None:
    assert [(CUBE.low(a), CUBE.high(a), CUBE.size(a)) for a in "xyz"] == [(0, 10, 10), (0, 20, 20), (0, 30, 30)]
    assert CUBE.with_axis("y", 5, 8) == a_box(0, 10, 5, 8, 0, 30)
    assert CUBE.moved(1, 2, 3) == a_box(1, 11, 2, 22, 3, 33)
    assert a_box(1, 2, 3, 4, 5, 6).scaled(2, 3, 10) == a_box(2, 4, 9, 12, 50, 60)


def test_given_boxes_may_name_either_face_first() -> None:
    body = given_body("4", [(10, 0, 0, 20, 30, 0), (10, 15, 0, 5, 0, 5)])
    assert body.boxes == (CUBE, a_box(10, 15, 0, 5, 0, 5)) and body.given and body.words == "as given"
    assert body.hull == a_box(0, 15, 0, 20, 0, 30)


@pytest.mark.parametrize(
    ("boxes", "said"),
    [
        ([], "core 4 has no box: give its faces along x, y and z"),
        (
            [(0, 10, 0, 20, 50, 50)],
            "core 4 has no height: both its faces along z stand at 50 mm; give the other",
        ),
        ([CUBE, (3, 3, 0, 1, 0, 1)], "box 2 of core 4 has no length"),
        ([CUBE, (0, 1, 3, 3, 0, 1)], "box 2 of core 4 has no width"),
        ([(0, 1, 0, 1, 0, nan)], "core 4: give two places along each of x, y and z"),
        ([(0, 1, 0, 1)], "core 4: give two places along each of x, y and z"),
    ],
)
def test_a_body_that_is_none_is_said(boxes: list[tuple[float, ...]], said: str) -> None:
    with pytest.raises(DataError, match=said):
        given_body("4", boxes)


def test_about_from_its_sizes_is_the_outermost_of_its_faces_and_prints() -> None:
    body = body_from_faces("3", {"x": [42, 116, 64], "y": [47, 129], "z": [129, 51]}, {"x": [90, 536], "y": [60]})
    assert body.boxes == (a_box(42, 536, 47, 129, 51, 129),)
    assert (body.given, body.open, body.words) == (False, (), "about, from its sizes")


def test_an_axis_with_one_face_is_open_and_gives_no_box() -> None:
    body = body_from_faces("5", {"x": [21], "y": [136, 150], "z": [inf]})
    assert body.boxes == () and body.open == ("x", "z") and body.words == "not known along x, z"
    assert body.known == {"x": (21, 21), "y": (136, 150)} and body.hull is None


def test_how_deep_boxes_stand_in_each_other() -> None:
    assert overlap(CUBE, a_box(8, 20, 10, 40, -5, 50)) == 2
    assert overlap(CUBE, a_box(10, 20, 0, 20, 0, 30)) == 0
    assert overlap(CUBE, a_box(14, 20, 0, 20, 0, 30)) == -4
    assert deepest([CUBE, CUBE.moved(x=6)], [a_box(8, 20, 0, 20, 0, 30)]) == 8
    assert deepest([CUBE], ()) == -inf
    assert Body(core="1", boxes=()).hull is None and hull([CUBE, CUBE.moved(z=5)]) == a_box(0, 10, 0, 20, 0, 35)


@given(st.lists(place, min_size=6, max_size=6), st.lists(place, min_size=6, max_size=6))
def test_standing_in_each_other_is_mutual(a: list[float], b: list[float]) -> None:
    one, other = (Box(*sorted(p[:2]), *sorted(p[2:4]), *sorted(p[4:])) for p in (a, b))
    assert overlap(one, other) == overlap(other, one) <= min(one.size(x) for x in "xyz") + 1e-9
