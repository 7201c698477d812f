"""Sums of squares: balanced as the textbook has them, with gaps as an independent fit and a hand formula have them."""

from __future__ import annotations

from math import nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.gauges.squares import squares_of


def readings(seed: int, p: int = 5, o: int = 3, r: int = 3) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return 50 + rng.normal(0, 1, (p, 1, 1)) + rng.normal(0, 1, (1, o, 1)) + rng.normal(0, 1, (p, o, r))


def test_by_hand() -> None:
    """Two parts, two people, two trials: cells 1,3 | 5,7 | 2,4 | 10,12, grand mean 5.5."""
    squares = squares_of(np.array([[[1.0, 3.0], [5.0, 7.0]], [[2.0, 4.0], [10.0, 12.0]]]))
    assert [squares.by[n].ss for n in ("part", "person", "interaction", "repeatability")] == pytest.approx(
        [18, 72, 8, 8]
    )
    assert [squares.by[n].dof for n in ("part", "person", "interaction", "repeatability")] == [1, 1, 1, 4]
    assert squares.total == pytest.approx(106)
    assert squares.total_dof == 7
    assert (squares.by["part"].k_own, squares.by["part"].k_interaction) == (4, 2)


@given(st.integers(0, 10_000))
@settings(max_examples=20, deadline=None)
def test_a_gap_that_holds_what_was_expected_is_no_gap(seed: int) -> None:
    """The way of the gaps on a balanced table gives the balanced figures."""
    from inspect_tui.metrology.gauges.squares import _unbalanced

    y = readings(seed)
    z = y - y.mean()
    one, two = squares_of(y), _unbalanced(z, np.isfinite(z))
    for name, square in one.by.items():
        assert two.by[name] == pytest.approx(square, rel=1e-7)


def test_with_gaps_they_agree_with_type_two_sums_of_an_independent_fit() -> None:
    import pandas as pd  # type: ignore[import-untyped]
    import statsmodels.formula.api as smf
    from statsmodels.stats.anova import anova_lm

    y = readings(3)
    y[0, 1, 2] = y[3, 2, 0] = nan
    part, person, _ = np.nonzero(np.isfinite(y))
    frame = pd.DataFrame({"part": part, "person": person, "value": y[np.isfinite(y)]})
    other = anova_lm(smf.ols("value ~ C(part) * C(person)", frame).fit(), typ=2)
    squares = squares_of(y)
    for ours, theirs in (
        ("part", "C(part)"),
        ("person", "C(person)"),
        ("interaction", "C(part):C(person)"),
        ("repeatability", "Residual"),
    ):
        assert squares.by[ours].ss == pytest.approx(other.loc[theirs, "sum_sq"], rel=1e-8)
        assert squares.by[ours].dof == other.loc[theirs, "df"]


def test_one_way_with_gaps_has_the_textbook_coefficient() -> None:
    """n0 = (N - sum n_i^2 / N) / (a - 1) (Searle, Casella and McCulloch, Variance Components, 1992; from memory)."""
    y = readings(1, p=4, o=1, r=5)
    y[0, 0, 3:] = nan
    y[2, 0, 4] = nan
    n = [3, 5, 4, 5]
    expected = (sum(n) - sum(i * i for i in n) / sum(n)) / 3
    assert squares_of(y).by["part"].k_own == pytest.approx(expected, rel=1e-12)
