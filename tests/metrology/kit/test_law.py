"""A customer's points: exact at each of them, never a hump between them, nothing said outside."""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.law import Law, law

POINTS = [(3500.0, 42.0), (3700.0, 44.0), (3850.0, 46.0), (4000.0, 47.0)]


def made(points: list[tuple[float, float]]) -> Law:
    stated = law(points)
    assert isinstance(stated, Law), stated
    return stated


@pytest.mark.parametrize(
    "points, words",
    [
        ([], "two points at least"),
        ([(3500, 42)], "two points at least"),
        ([(3500, 42), (3700, 41)], "the law falls from 3500: 42 to 3700: 41"),
        ([(3500, 42), (3500, 43)], "do not rise: 3500 follows 3500"),
        ([(3700, 44), (3500, 42)], "do not rise: 3500 follows 3700"),
        ([(0, 42), (3500, 43)], "not above 0"),
        ([(3500, 0), (3600, 43)], "not above 0"),
        ([(3500, float("inf")), (3600, 43)], "not above 0"),
        ([(float("nan"), 42), (3600, 43)], "not above 0"),
    ],
)
def test_points_that_are_no_law_are_told(points: list[tuple[float, float]], words: str) -> None:
    said = law(points)
    assert isinstance(said, str) and words in said and "\n" not in said


def test_two_points_are_a_straight_line_and_need_no_library() -> None:
    line = made([(3000.0, 30.0), (4000.0, 50.0)])
    assert line.at(3250.0) == pytest.approx(35.0) and line.bend(3250.0) == pytest.approx(0.0)
    assert line.slope(3500.0, 10.0) == pytest.approx(0.02)
    probe = (
        "import sys; from inspect_tui.metrology.kit.law import law; law([(1, 1), (2, 3)]).at(1.5);"
        "print(sorted({'numpy', 'scipy'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_what_is_stated_is_said_and_outside_nothing() -> None:
    stated = made(POINTS)
    for area, capacity in POINTS:
        assert stated.at(area) == pytest.approx(capacity)
        assert stated.bend(area) == pytest.approx(0.0, abs=1e-9)
    for outside in (3499.9, 4000.1):
        with pytest.raises(DataError, match="outside the customer's points, 3500 to 4000"):
            stated.at(outside)
        with pytest.raises(DataError, match="outside"):
            stated.slope(outside, 1.0)
    assert stated.reaches(3750.0, 250.0) and not stated.reaches(3750.0, 251.0) and not stated.reaches(3600.0, 101.0)


def test_the_mean_slope_is_over_what_is_not_known_and_stays_inside() -> None:
    flat = made([(1.0, 1.0), (2.0, 2.0), (3.0, 2.0), (4.0, 3.0)])
    assert flat.at(2.5) == pytest.approx(2.0)
    assert flat.slope(2.5, 0.1) == pytest.approx(0.0)
    assert flat.slope(2.5, 1.5) == pytest.approx(2.0 / 3.0)  # from 1 at area 1 to 3 at area 4
    assert flat.slope(1.0, 1.0) == pytest.approx(1.0)  # one side only
    assert made(POINTS).slope(3600.0, 0.0) == pytest.approx(
        (made(POINTS).at(3601) - made(POINTS).at(3599)) / 2, rel=1e-3
    )


def test_the_bend_is_the_distance_from_the_chord() -> None:
    stated = made(POINTS)
    reference = PchipInterpolator(*zip(*POINTS, strict=True))
    assert stated.bend(3800.0) == pytest.approx(abs(float(reference(3800.0)) - (44.0 + 2.0 * 100 / 150)))
    assert stated.bend(3800.0) > 0.01


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.floats(1, 100), st.floats(0, 10)), min_size=2, max_size=8), st.floats(0, 1), st.floats(0, 1)
)
def test_between_the_points_it_rises_as_they_do(steps: list[tuple[float, float]], one: float, other: float) -> None:
    area, capacity, points = 0.0, 1.0, []
    for wider, more in steps:
        area, capacity = area + wider, capacity + more
        points.append((area, capacity))
    stated = made(points)
    low, high = sorted(min(stated.low + share * (stated.high - stated.low), stated.high) for share in (one, other))
    assert stated.at(low) <= stated.at(high) + 1e-9
    assert points[0][1] - 1e-9 <= stated.at(low) and stated.at(high) <= points[-1][1] + 1e-9
