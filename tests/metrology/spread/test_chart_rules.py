"""Tests of: tests for assignable causes on a control chart: what pattern each looks for and how often it cries without cause"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.spread.chart_rules import DEFAULT, RULES, beyond, false_alarms, rules
from tests.metrology.spread.test_charts import hits


def test_each_pattern_is_found_where_it_is_complete_and_not_before() -> None:
    assert hits("beyond_limits", [0, 3.01, 0, -3.01, 3.0]) == [1, 3]
    assert hits("seven_one_side", [-1, *[0.5] * 8]) == [7, 8]
    assert hits("seven_one_side", [0.5] * 6 + [-0.1] + [0.5] * 6) == []
    assert hits("seven_one_side", [0.5] * 6 + [0.0] + [0.5] * 6) == []  # a point on the line is on neither side
    assert hits("seven_trend", [0, 1, 2, 3, 4, 5, 6]) == [6]
    assert hits("seven_trend", [0, -1, -2, -3, -4, -5, -6, -7]) == [6, 7]
    assert hits("seven_trend", [0, 1, 2, 3, 3, 4, 5, 6]) == []  # standing still is no trend
    assert hits("six_trend", [5, 4, 3, 2, 1, 0]) == [5]
    assert hits("fourteen_alternating", [0.1, -0.1] * 7) == [13]
    assert hits("fourteen_alternating", [0.1, -0.1] * 6 + [0.1]) == []
    assert hits("two_of_three_in_a", [2.1, 0, 2.1]) == [2]
    assert hits("two_of_three_in_a", [2.1, 0, 0, 2.1]) == []
    assert hits("two_of_three_in_a", [2.1, -2.1, 0]) == []  # both must lie on one side
    assert hits("two_of_three_in_a", [2.1, 2.1, 0]) == [1]  # the signal stands at a point that is out itself
    assert hits("four_of_five_in_b", [1.1, 1.1, 0, 1.1, 1.1]) == [4]
    assert hits("four_of_five_in_b", [-1.1, -1.1, 0, 1.1, -1.1]) == []
    assert hits("nine_one_side", [0.1] * 9) == [8]
    assert hits("eight_one_side", [-0.1] * 8) == [7]
    assert hits("fifteen_in_c", [0.9, -0.9] * 7 + [0.5]) == [14]
    assert hits("fifteen_in_c", [0.9, -0.9] * 7 + [1.5]) == []
    assert hits("eight_outside_c", [1.5, -1.5] * 4) == [7]
    assert hits("eight_outside_c", [1.5] * 8) == []  # all on one side is another pattern


@given(st.lists(st.floats(-4, 4), max_size=40), st.sampled_from(sorted(RULES)))
def test_mirrored_points_give_the_same_signals(z: list[float], name: str) -> None:
    assert hits(name, z) == hits(name, [-v for v in z])


@given(st.lists(st.floats(-4, 4), min_size=1, max_size=40), st.integers(1, 5), st.integers(0, 4), st.floats(0, 3))
def test_k_of_m_is_counted_as_it_reads(z: list[float], k: int, more: int, limit: float) -> None:
    m = k + more
    rule = beyond("one", k, m, limit, "", "")
    want = []
    for i in range(len(z)):
        last = z[max(0, i - m + 1) : i + 1]
        up, down = sum(v > limit for v in last), sum(v < -limit for v in last)
        want.append((z[i] > limit and up >= k) or (z[i] < -limit and down >= k))
    assert rule.hits(np.array(z)).tolist() == want


def test_unknown_tests_are_refused_with_the_list() -> None:
    with pytest.raises(DataError, match="beyond_limits"):
        rules(["nine"])
    with pytest.raises(DataError, match="cannot be"):
        beyond("odd", 3, 2, 1.0, "", "")
    assert false_alarms(rules(DEFAULT)) == pytest.approx(0.0027 + 2 / 128 + 2 / 5040, abs=1e-6)
