"""Tests of: propagation of distributions by simulation (JCGM 101), as a check on budgets; numpy is imported when it runs"""

from __future__ import annotations

from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge._dist import t_quantile
from inspect_tui.metrology.judge.uncertainty import (
    BudgetLine,
    combine,
)
from inspect_tui.metrology.judge.uncertainty_mc import Input, monte_carlo


def test_the_same_seed_gives_the_same_outcome():
    inputs = [Input(1.0, 0.1), Input(2.0, 0.1, "triangular")]
    first = monte_carlo(lambda a, b: a * b, inputs, draws=20_000, seed=5)
    assert first == monte_carlo(lambda a, b: a * b, inputs, draws=20_000, seed=5)
    assert first != monte_carlo(lambda a, b: a * b, inputs, draws=20_000, seed=6)


@pytest.mark.parametrize(
    "shape, half", [("rectangular", sqrt(3.0)), ("triangular", sqrt(6.0)), ("arcsine", sqrt(2.0)), ("normal", inf)]
)
def test_shapes_have_the_standard_deviation_asked_for(shape, half):
    seen = {}

    def keep(x):
        seen["x"] = x
        return x

    outcome = monte_carlo(keep, [Input(7.0, 0.2, shape)], draws=200_000)
    assert outcome.u == pytest.approx(0.2, rel=0.01)
    assert outcome.mean == pytest.approx(7.0, abs=0.002)
    assert abs(seen["x"] - 7.0).max() <= 0.2 * half


def test_a_t_distributed_input_is_wider_than_its_scale():
    outcome = monte_carlo(lambda x: x, [Input(0.0, 1.0, "t", 5.0)], draws=200_000)
    assert outcome.u == pytest.approx(sqrt(5.0 / 3.0), rel=0.02)
    assert outcome.high == pytest.approx(t_quantile(0.975, 5.0), rel=0.02)


def test_the_shortest_interval_of_a_lopsided_outcome_is_shorter_and_holds_as_much():
    outcome = monte_carlo(lambda x: x * x, [Input(0.0, 1.0)], draws=200_000)
    assert outcome.shortest_high - outcome.shortest_low < 0.9 * (outcome.high - outcome.low)
    assert outcome.shortest_low == pytest.approx(0.0, abs=0.01)
    assert outcome.shortest_high == pytest.approx(stats.chi2.ppf(0.95, 1), rel=0.02)
    assert outcome.low == pytest.approx(stats.chi2.ppf(0.025, 1), abs=0.001)


@given(st.floats(-0.99, 0.99))
def test_correlated_draws_agree_with_the_budget(r):
    inputs = [Input(0.0, 3.0), Input(0.0, 4.0)]
    outcome = monte_carlo(lambda a, b: a + b, inputs, draws=20_000, correlations=[[1.0, r], [r, 1.0]])
    assert outcome.u == pytest.approx(
        combine([BudgetLine(name="a", u=3.0), BudgetLine(name="b", u=4.0)], {(0, 1): r}).u, rel=0.05
    )


@pytest.mark.parametrize(
    "inputs, more, said",
    [
        ([Input(0, 1)], {"draws": 10}, "at least"),
        ([Input(0, 1, "square")], {}, "no shape"),
        ([Input(nan, 1)], {}, "cannot be drawn"),
        ([Input(0, -1)], {}, "cannot be drawn"),
        ([Input(0, 1), Input(0, 1, "triangular")], {"correlations": [[1, 0.5], [0.5, 1]]}, "normal"),
        ([Input(0, 1), Input(0, 1)], {"correlations": [[1, 2], [2, 1]]}, "cannot exist"),
        ([Input(0, 1)], {"correlations": [[1, 0], [0, 1]]}, "square"),
    ],
)
def test_simulations_that_cannot_run_are_refused(inputs, more, said):
    with pytest.raises(DataError, match=said):
        monte_carlo(lambda *x: sum(x), inputs, **{"draws": 20_000, **more})


def test_a_function_that_gives_no_numbers_is_refused():
    with pytest.raises(DataError, match="no finite value"), pytest.warns(RuntimeWarning):
        monte_carlo(lambda x: 1.0 / (x - x), [Input(0, 1)], draws=20_000)
    with pytest.raises(DataError, match="one value for each draw"):
        monte_carlo(lambda x: 1.0, [Input(0, 1)], draws=20_000)
