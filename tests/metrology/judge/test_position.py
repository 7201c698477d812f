"""Position about true position: diameter, uncertainty, probability in its zone, verdict."""

from __future__ import annotations

from math import hypot, sqrt
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge.position import inside, judged, position
from inspect_tui.metrology.judge.verdict import Answer


def test_the_diameter_is_twice_the_distance_and_its_u_is_that_of_the_coordinates() -> None:
    found = position([(0.3, 0.02), (-0.4, 0.05)])
    assert found.diameter == pytest.approx(1.0)
    assert found.u == pytest.approx(2 * sqrt((0.3 * 0.02) ** 2 + (0.4 * 0.05) ** 2) / 0.5)  # JCGM 100, 5.1.2 by hand


def test_at_the_true_position_no_direction_is_first() -> None:
    assert position([(0.0, 0.02), (0.0, 0.05)]) == position([(0.0, 0.05)])
    assert position([(0.0, 0.05)]).u == pytest.approx(0.1)


def test_one_coordinate_is_a_strip_and_four_are_none() -> None:
    assert position([(-0.2, 0.01)]).diameter == pytest.approx(0.4)
    with pytest.raises(DataError, match="not 4"):
        position([(0.1, 0.0)] * 4)


@given(st.floats(-1, 1), st.floats(-1, 1), st.floats(0.01, 0.5), st.floats(0.01, 0.5), st.floats(0.05, 3))
def test_the_probability_is_that_of_many_draws_and_grows_with_the_zone(
    dx: float, dy: float, ux: float, uy: float, zone: float
) -> None:
    off = [(dx, ux), (dy, uy)]
    chance = inside(off, zone)
    assert 0.0 <= chance <= inside(off, zone * 1.1) + 1e-9 <= 1.0 + 1e-9
    draw, n = Random(7), 4000
    hits = sum(hypot(draw.gauss(dx, ux), draw.gauss(dy, uy)) <= zone / 2 for _ in range(n)) / n
    assert chance == pytest.approx(hits, abs=5 * sqrt(0.25 / n))


def test_coordinates_that_are_known_are_inside_or_not() -> None:
    assert inside([(0.3, 0.0), (0.4, 0.0)], 1.0) == 1.0  # on the limit is inside
    assert inside([(0.3, 0.0), (0.4, 0.0)], 0.99) == 0.0
    assert inside([(0.3, 0.0), (0.0, 0.1)], 1.0) == pytest.approx(inside([(0.0, 0.1)], 0.8))
    assert inside([(0.0, 0.1)], 0.0) == 0.0


@pytest.mark.parametrize(
    ("off", "tolerance", "rule", "answer"),
    [
        ([(0.03, 0.02), (0.04, 0.02)], 0.5, "proof95", Answer.CONFORMS),
        ([(0.3, 0.02), (0.4, 0.02)], 0.8, "proof95", Answer.DOES_NOT_CONFORM),
        ([(0.3, 0.02), (0.4, 0.02)], 1.05, "proof95", Answer.UNDECIDED),
        ([(0.3, 0.02), (0.4, 0.02)], 1.05, "plain", Answer.CONFORMS),
        ([(0.3, 0.02), (0.4, 0.02)], 1.07, "proof95", Answer.CONFORMS),
        ([(0.3, 0.02), (0.4, 0.02)], 1.07, "full_u", Answer.UNDECIDED),
    ],
)
def test_the_verdict_keeps_the_guard_of_the_rule(off, tolerance: float, rule: str, answer: Answer) -> None:
    assert judged(off, tolerance, rule).answer is answer


def test_near_the_true_position_the_probability_in_the_whole_zone_decides() -> None:
    """0.2 of 1.64 u is inside by the guard of one side, but the zone has another side: 0.9 is not 0.95."""
    off = [(0.0, 0.1), (0.0, 0.1)]
    verdict = judged(off, 0.42, "proof95")
    assert verdict.margin > verdict.guard and verdict.p_conform == pytest.approx(inside(off, 0.42))
    assert verdict.p_conform is not None and 0.85 < verdict.p_conform < 0.95
    assert verdict.answer is Answer.UNDECIDED
    assert judged(off, 0.5, "proof95").answer is Answer.CONFORMS  # 0.956
