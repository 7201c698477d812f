"""Repeats that no gauge explains: the critical values of the F distribution, and that honest ones are left alone."""

from __future__ import annotations

import random
from math import inf, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.judge.repeats import RISK, apart


# Upper 0.1 % points of F (n - 1, dof), from tables of the F distribution (from memory): the variance ratio that two,
# three or four repeats may show.
@pytest.mark.parametrize(
    "n, dof, ratio", [(2, inf, 10.83), (3, inf, 6.91), (4, inf, 5.42), (2, 10.0, 21.04), (3, 20.0, 9.95)]
)
def test_how_far_repeats_may_lie_apart(n: int, dof: float, ratio: float) -> None:
    s = 0.02
    unit = [float(i) for i in range(n)]
    mean = sum(unit) / n
    own = sqrt(sum((x - mean) ** 2 for x in unit) / (n - 1))

    def spread(share: float) -> list[float]:
        return [50.0 + x / own * s * sqrt(ratio) * share for x in unit]

    assert apart(spread(0.99), s, dof) is None
    found = apart(spread(1.01), s, dof)
    assert found is not None
    assert found.range == pytest.approx(max(spread(1.01)) - min(spread(1.01)))
    assert found.explained == pytest.approx(found.range / 1.01, rel=2e-3)


def test_two_readings_may_differ_by_3_29_times_root_2_s() -> None:
    """Critical 3.29 at 0.1 %, two-sided: tables of the normal distribution."""
    limit = 3.2905 * sqrt(2.0) * 0.03
    assert apart([10.0, 10.0 + limit - 1e-4], 0.03) is None
    assert apart([10.0, 10.0 + limit + 1e-4], 0.03) is not None


@given(st.lists(st.floats(-1e3, 1e3), max_size=6))
def test_one_reading_and_a_spread_that_is_not_known_ask_nothing(values: list[float]) -> None:
    assert apart(values[:1], 0.01) is None
    assert apart(values, 0.0) is None


@given(st.lists(st.floats(0.0, 100.0), min_size=2, max_size=6), st.floats(0.01, 0.1))
def test_what_is_found_lies_further_apart_than_is_explained_and_its_u_stays_within_it(
    values: list[float], s: float
) -> None:
    found = apart(values, s)
    if found is not None:
        assert 0.0 < found.explained <= found.range
        assert 2.0 * found.u < found.range  # a U of the mean is never more than they lie apart


def test_honest_repeats_are_asked_about_as_seldom_as_promised() -> None:
    source = random.Random(7)
    trials = 20_000
    asked = sum(apart([source.gauss(0.0, 0.02) for _ in range(3)], 0.02) is not None for _ in range(trials))
    assert asked <= RISK * trials + 4.0 * sqrt(RISK * trials)
    assert asked > 0
