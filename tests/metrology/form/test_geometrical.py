"""Zones from sizes at places, against surfaces whose deviation is known by construction."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.form.geometrical import (
    Spot,
    flatness,
    narrowest,
    parallelism,
    perpendicularity,
    profile,
    straightness,
)

CORNERS = [(0.0, 0.0), (100.0, 0.0), (0.0, 80.0), (100.0, 80.0)]
U = 0.01


def spots(*offs: float, places=CORNERS, u: float = U) -> list[Spot]:
    return [Spot(x, y, off, u) for (x, y), off in zip(places, offs, strict=True)]


def test_a_tilted_plane_is_flat_and_not_parallel() -> None:
    tilted = spots(0.0, 0.1, 0.2, 0.3)
    assert flatness(tilted).width == pytest.approx(0.0, abs=1e-12)
    assert parallelism(tilted).width == pytest.approx(0.3)
    assert flatness(tilted).u == parallelism(tilted).u == pytest.approx(sqrt(2) * U)


def test_one_corner_up_is_half_its_height_out_of_flat() -> None:
    """Four corners, one raised by h: the narrowest slab rests on two and two, h/2 apart (by hand)."""
    assert flatness(spots(0.0, 0.0, 0.0, 0.4)).width == pytest.approx(0.2, rel=1e-4)


@given(st.floats(-0.01, 0.01), st.floats(-0.01, 0.01), st.floats(-1, 1))
def test_what_leans_with_its_datum_is_parallel_to_it(a: float, b: float, c: float) -> None:
    face = spots(*(a * x + b * y + c for x, y in CORNERS))
    datum = spots(*(a * x + b * y for x, y in CORNERS))
    assert parallelism(face, datum).width == pytest.approx(0.0, abs=1e-9)
    three = parallelism(face, datum[:3])
    assert three.width == pytest.approx(0.0, abs=1e-9) and three.u > sqrt(2) * U  # the datum's readings count too


def test_the_lean_of_a_datum_is_taken_off_a_face_square_to_it() -> None:
    """Face along x at heights 0 and 60 over a datum that rises by 0.002 a mm along x: square to it, it leans back."""
    places = [(0.0, 20.0), (60.0, 20.0)]  # height, along the datum
    datum = spots(*(0.002 * x for x, _ in CORNERS))
    square = spots(0.0, -0.002 * 60, places=places)
    assert perpendicularity(square, datum).width == pytest.approx(0.0, abs=1e-9)
    assert perpendicularity(square).width == pytest.approx(0.12)


def test_a_zone_that_one_datum_holds_turns_about_its_normal() -> None:
    places = [(0.0, 0.0), (0.0, 50.0), (50.0, 0.0), (50.0, 50.0)]
    turned = spots(0.0, 0.2, 0.0, 0.2, places=places)
    assert perpendicularity(turned, turns=True).width == pytest.approx(0.0, abs=1e-12)
    assert perpendicularity(turned).width == pytest.approx(0.2)


def test_a_profile_is_twice_the_largest_deviation_to_either_side() -> None:
    assert profile(spots(0.1, -0.3, 0.2, 0.0)).width == pytest.approx(0.6)
    assert profile(spots(0.1, -0.3, 0.2, 0.0)).u == pytest.approx(2 * U)


def test_straightness_is_along_the_places() -> None:
    line = [Spot(0.0, 0.0, 0.0, U), Spot(100.0, 0.0, 0.1, U), Spot(200.0, 0.0, 0.0, U)]
    assert straightness(line).width == pytest.approx(0.1, rel=1e-5)


@given(st.lists(st.tuples(st.integers(0, 5), st.floats(-1, 1)), min_size=2, max_size=7))
def test_the_narrowest_range_is_no_wider_than_with_any_slope(points: list[tuple[int, float]]) -> None:
    found = narrowest(points)
    for n in range(-20, 21):
        offs = [h - 0.1 * n * x for x, h in points]
        assert found <= max(offs) - min(offs) + 1e-12


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda: parallelism(spots(0.0, 0.0, 0.0, 0.0)[:1]), "2 are needed"),
        (lambda: parallelism(spots(0, 0, 0, 0), spots(0, 0, 0, 0)[:2]), "three or more"),
        (lambda: parallelism(spots(0, 0, 0, 0), spots(0, 0, 0, places=[(0, 0), (1, 1), (2, 2)])), "on one line"),
        (lambda: flatness(spots(0, 0, 0, places=CORNERS[:3])), "flatness needs"),
    ],
)
def test_too_little_is_said(make, why: str) -> None:
    with pytest.raises(DataError, match=why):
        make()


def test_the_uncertainty_of_a_datum_covers_what_many_draws_scatter() -> None:
    from random import Random
    from statistics import pstdev

    draw = Random(3)
    face, datum = spots(0.0, 0.5, 0.0, 0.5), spots(0.0, 0.0, 0.0, 0.0)[:3]
    zone = parallelism(face, datum)

    def moved(some: list[Spot]) -> list[Spot]:
        return [Spot(s.x, s.y, s.off + draw.gauss(0.0, s.u), s.u) for s in some]

    scatter = pstdev(parallelism(moved(face), moved(datum)).width for _ in range(400))
    assert scatter * 0.8 <= zone.u <= scatter * 2.5
