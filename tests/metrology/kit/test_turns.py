"""Turns: 24 that a core can make and their 24 mirror images, each with a name of its own."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from inspect_tui.metrology.kit.bodies import Box
from inspect_tui.metrology.kit.turns import Turn, turn, turns


def a_box(*places: float) -> Box:
    """x from and to, y from and to, z from and to."""
    return Box(*places)


def matrix(t: Turn) -> np.ndarray:
    rows = np.zeros((3, 3), int)
    for i in range(3):
        rows[i, t.swap[i]] = t.sign[i]
    return rows


def test_24_turns_and_24_mirror_images_all_different_and_by_name() -> None:
    every = turns()
    assert len(every) == len({t.name for t in every}) == len({matrix(t).tobytes() for t in every}) == 48
    assert {round(float(np.linalg.det(matrix(t)))) for t in every if not t.mirrored} == {1}
    assert {round(float(np.linalg.det(matrix(t)))) for t in every if t.mirrored} == {-1}
    assert sum(t.mirrored for t in every) == 24 and every[0].name == "as drawn"


def test_the_turns_are_a_group() -> None:
    proper = {matrix(t).tobytes() for t in turns() if not t.mirrored}
    assert {
        (matrix(a) @ matrix(b)).tobytes() for a in turns() for b in turns() if not a.mirrored and not b.mirrored
    } == (proper)


@pytest.mark.parametrize(
    ("name", "place"),
    [
        ("as drawn", (1, 2, 3)),
        ("turned end for end (180 about z)", (-1, -2, 3)),
        ("turned a quarter (90 about z)", (-2, 1, 3)),
        ("turned three quarters (270 about z)", (2, -1, 3)),
        ("upside down, turned about x", (1, -2, -3)),
        ("upside down, turned about y", (-1, 2, -3)),
        ("upside down and a quarter round", (2, 1, -3)),
        ("upside down and three quarters round", (-2, -1, -3)),
        ("on its side, top toward +x, its +x end toward +y", (3, 1, 2)),
        ("on its side, top toward -y, its +x end toward -z", (2, -3, -1)),
        ("mirrored across x", (-1, 2, 3)),
        ("mirrored across y", (1, -2, 3)),
        ("mirrored across z", (1, 2, -3)),
        ("mirrored, x and y changed over", (2, 1, 3)),
        ("mirrored across x, upside down, turned about x", (-1, -2, -3)),
    ],
)
def test_a_turn_does_what_its_name_says(name: str, place: tuple[int, int, int]) -> None:
    assert turn(name).place((1, 2, 3)) == place
    assert turn(name).each("abc") == tuple("abc"[abs(p) - 1] for p in place)


def test_what_happens_unawares_comes_before_what_nobody_does() -> None:
    likely = [t.likely for t in turns()]
    assert likely == sorted(likely, reverse=True)
    assert turn("turned end for end (180 about z)").likely > turn("mirrored across x").likely > 0
    assert turn("upside down, turned about x").likely > turn("on its side, top toward +x, its +x end toward +y").likely
    assert turn("turned a quarter (90 about z)").likely < 1


def test_a_box_is_turned_with_its_corners() -> None:
    box = a_box(0, 10, 20, 50, -7, 3)
    for t in turns():
        corners = [t.place(p) for p in product(*((box.low(a), box.high(a)) for a in "xyz"))]
        assert t.box(box) == Box(*(f(c[i] for c in corners) for i in range(3) for f in (min, max)))
