"""Small turns: closed forms for two prints, turns that save a pitch and those that cannot, edges beyond the prints."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from inspect_tui.metrology.kit import small_turns
from inspect_tui.metrology.kit.small_turns import MOST, Held

C, D = 0.6, 400.0


def even(play: float = C, apart: float = D) -> list[Held]:
    return [Held(lever, -play / 2, play / 2) for lever in (-apart / 2, apart / 2)]


def test_two_prints_let_a_core_turn_by_play_over_distance() -> None:
    low, high = small_turns.turns(even())
    assert (low, high) == (pytest.approx(-C / D), pytest.approx(C / D))


@pytest.mark.parametrize(("lever", "far"), [(0.0, C / 2), (D / 2, C / 2), (-D / 4, C / 2), (D, C), (-1.5 * D, 1.5 * C)])
def test_an_edge_beyond_two_prints_goes_by_its_lever_over_their_distance(lever: float, far: float) -> None:
    both = small_turns.reach(even(), small_turns.turns(even()), lever)
    assert both == (pytest.approx(-far), pytest.approx(far))


def test_play_of_two_sizes_turns_by_the_mean_of_both() -> None:
    """Two prints with play a and b, D apart: (a + b) / 2 D; the middle stands off by at most the mean of both halves."""
    held = [Held(-100.0, -0.1, 0.1), Held(100.0, -0.4, 0.4)]
    assert small_turns.turns(held) == (pytest.approx(-0.0025), pytest.approx(0.0025))
    assert small_turns.reach(held, (-0.0025, 0.0025), 0.0) == (pytest.approx(-0.25), pytest.approx(0.25))
    assert small_turns.reach(held, (0.0, 0.0), 0.0) == (pytest.approx(-0.1), pytest.approx(0.1))


def test_the_second_axis_bounds_the_turn() -> None:
    tight = [Held(-300.0, -0.03, 0.03), Held(300.0, -0.03, 0.03)]
    assert small_turns.turns(even(), tight) == (pytest.approx(-0.0001), pytest.approx(0.0001))
    assert small_turns.turns(tight, even()) == (pytest.approx(-0.0001), pytest.approx(0.0001))


def test_prints_that_stand_apart_along_the_lever_go_in_turned_and_others_do_not() -> None:
    off = [Held(-D / 2, 0.3, 0.9), Held(D / 2, -0.9, -0.3)]  # their seats stand 1.2 out of line
    low, high = small_turns.turns(off)
    assert (low, high) == (pytest.approx(-1.8 / D), pytest.approx(-0.6 / D))
    assert small_turns.room(off) == (pytest.approx(C), pytest.approx(-1.2 / D))
    pitch = [Held(50.0, 0.3, 0.9), Held(50.0, -0.9, -0.3)]
    assert small_turns.turns(pitch) is None and small_turns.room(pitch)[0] == pytest.approx(-0.6)
    tight = [Held(-300.0, -0.03, 0.03), Held(300.0, -0.03, 0.03)]
    assert small_turns.turns(off, tight) is None
    allowed = small_turns.turns(tight)
    assert small_turns.room(off, allowed) == (pytest.approx(-0.6 + 0.0001 * D), pytest.approx(-0.0001))
    assert small_turns.room(even(), (0.001, 0.002)) == (pytest.approx(C - 0.001 * D), pytest.approx(0.001))


def test_without_a_reason_to_turn_the_room_is_that_of_a_core_that_is_not_turned() -> None:
    assert small_turns.room(even()) == (pytest.approx(C), pytest.approx(0.0, abs=1e-9))
    assert small_turns.room([]) == (0.0, 0.0)


def test_one_print_does_not_stop_a_turn_but_a_turn_is_small() -> None:
    assert small_turns.turns([Held(10.0, -0.2, 0.2)]) == (-MOST, MOST)
    assert small_turns.turns([Held(10.0, 0.2, -0.2)]) is None
    assert not small_turns.spread_out([Held(10.0, 0.0, 1.0), Held(10.0, 0.0, 1.0)])
    assert small_turns.spread_out([Held(10.0, 0.0, 1.0), Held(11.0, 0.0, 1.0)])


def test_levers_are_those_of_a_turn_to_the_right_hand() -> None:
    """About z a place (x, y) goes by (-y, x) for each radian; the others by changing round."""
    at = (3.0, 5.0, 7.0)
    assert [small_turns.levers(axis, "z", at) for axis in "xy"] == [-5.0, 3.0]
    assert [small_turns.levers(axis, "x", at) for axis in "yz"] == [-7.0, 5.0]
    assert [small_turns.levers(axis, "y", at) for axis in "zx"] == [-3.0, 7.0]


hundredths = st.integers(-100, 20).map(lambda n: n / 100)
prints = st.tuples(st.integers(-300, 300), hundredths, st.integers(1, 100).map(lambda n: n / 100))


@given(st.lists(prints, min_size=1, max_size=5), st.lists(prints, max_size=4), st.integers(-600, 600))
def test_reach_and_turns_agree_with_a_linear_programme(first: list, second: list, lever: int) -> None:
    """scipy's linprog over (shift, other shift, turn), the same bounds."""
    a = [Held(lev, low, low + wide) for lev, low, wide in first]
    b = [Held(lev, low, low + wide) for lev, low, wide in second]
    rows, most = [], []
    for held, column in ((a, 0), (b, 1)):
        for h in held:
            row = np.zeros(3)
            row[column], row[2] = 1.0, h.lever
            rows += [row, -row]
            most += [h.high, -h.low]
    bounds = [(-inf, inf), (-inf, inf), (-MOST, MOST)]

    def best(goal: list[float]) -> float | None:
        solved = linprog(goal, A_ub=np.array(rows), b_ub=np.array(most), bounds=bounds)
        return float(solved.fun) if solved.status == 0 else None

    between = small_turns.turns(a, b)
    least = best([1.0, 0.0, lever])
    allowed = small_turns.turns(b)
    left, turn = small_turns.room(a, allowed) if allowed is not None else (-1.0, 0.0)
    if between is None or between[1] - between[0] < 1e-7 or least is None:
        assert (least is None) == (between is None) or abs(left) < 1e-5 or allowed[1] - allowed[0] < 1e-6
        return
    low, high = small_turns.reach(a, between, lever)
    assert low == pytest.approx(least, abs=1e-5) and high == pytest.approx(-best([-1.0, 0.0, -lever]), abs=1e-5)
    assert left > -1e-6 and between[0] - 1e-6 <= turn <= between[1] + 1e-6
