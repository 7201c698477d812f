"""A size taken in the mould against worked examples by hand: its uncertainty, and what it makes of what was known."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inspect_tui.errors import TableError
from inspect_tui.metrology.judge.in_mould import APART, scaled, taken_u, together, way, ways
from inspect_tui.model.words import Estimate

us = st.floats(0.001, 2.0)
sizes = st.floats(-20.0, 20.0)


def test_two_answers_are_weighted_by_their_uncertainties() -> None:
    # by hand: 1/0.1^2 = 100 and 1/0.2^2 = 25; (100 * 0.50 + 25 * 0.60) / 125 = 0.52; u = 1/sqrt(125) = 0.0894
    both = together(Estimate(0.50, 0.1), Estimate(0.60, 0.2))
    assert both.value.value == pytest.approx(0.52)
    assert both.value.u == pytest.approx(0.08944, abs=1e-5)
    assert both.apart == pytest.approx(0.1 / sqrt(0.05))  # 0.447: they agree


def test_answers_that_contradict_each_other_are_less_sure() -> None:
    # by hand: 0.3 and 0.9, u 0.06 and 0.08: 0.1 together, 6 apart; u = 0.06 * 0.08 / 0.1 * 6 = 0.288 (Birge, from memory)
    both = together(Estimate(0.3, 0.06), Estimate(0.9, 0.08))
    assert both.apart == pytest.approx(6.0) and both.apart > APART
    assert both.value.u == pytest.approx(0.288)
    assert both.value.value == pytest.approx(0.3 + 0.6 * 0.36)  # weights 0.64 and 0.36


def test_an_answer_without_uncertainty_holds() -> None:
    assert together(Estimate(1.0, 0.0), Estimate(2.0, 0.1)) == (Estimate(1.0, 0.0), 10.0)
    assert together(Estimate(1.0, 0.1), Estimate(2.0, 0.0)) == (Estimate(2.0, 0.0), 10.0)
    assert together(Estimate(1.0, 0.0), Estimate(1.0, 0.0)) == (Estimate(1.0, 0.0), 0.0)
    assert together(Estimate(1.0, 0.0), Estimate(2.0, 0.0)).apart == float("inf")


@given(sizes, us, sizes, us)
def test_together_lies_between_and_is_no_surer_than_both(a: float, ua: float, b: float, ub: float) -> None:
    both = together(Estimate(a, ua), Estimate(b, ub))
    assert min(a, b) - 1e-9 <= both.value.value <= max(a, b) + 1e-9
    assert both.value.u >= ua * ub / sqrt(ua * ua + ub * ub) - 1e-12
    if both.apart <= 1.0:
        assert both.value.u <= min(ua, ub) + 1e-12


@given(sizes, us, sizes, us)
def test_the_surer_answer_pulls_more(a: float, ua: float, b: float, ub: float) -> None:
    assume(ua < ub and abs(a - b) > 1e-6)
    value = together(Estimate(a, ua), Estimate(b, ub)).value.value
    assert abs(value - a) < abs(value - b)


def test_the_table_of_ways_is_common_practice_and_has_a_reach() -> None:
    # common practice, no source: the figures are a judgement and are held in tests/published/data/tables
    assert [each.name for each in ways()] == ["clay", "wax", "lead", "plug", "feeler", "block", "rule", "gauge"]
    clay = way("clay")
    assert clay.u_mm == 0.3 and clay.reaches(0.5) and clay.reaches(60.0) and not clay.reaches(60.1)
    assert not way("feeler").reaches(3.1) and all(each.over_mm < each.up_to_mm for each in ways())
    with pytest.raises(TableError, match="clay, wax, lead"):
        way("putty")


def test_the_parts_of_the_uncertainty_add_as_squares() -> None:
    # by hand: 0.3, 0.4 and the sand's 0.2: sqrt(0.09 + 0.16) = 0.5; sqrt(0.25 + 0.04) = 0.5385
    assert taken_u(0.3) == 0.3
    assert taken_u(0.3, 0.4) == pytest.approx(0.5)
    assert taken_u(0.3, 0.4, sand=True) == pytest.approx(0.53852, abs=1e-5)


def test_a_size_of_the_mould_is_smaller_on_the_casting() -> None:
    # by hand: 7.07 mm in the mould at 1 % is 7.00 mm of metal
    assert scaled(Estimate(7.07, 0.303), 0.01) == (pytest.approx(7.0), pytest.approx(0.3))
