"""A change in mean against the annual flows of the Nile (Cobb 1978); false discovery rates against statsmodels."""

from __future__ import annotations

from math import log

import numpy as np

from inspect_tui.metrology.wear.change import false_discovery
from inspect_tui.metrology.wear.steps import all_steps, best_split
from tests.published.stats_data import agrees, load


def test_the_nile_changes_after_1898() -> None:
    check = load("l_changepoint_nile")  # found: Cobb (1978), Biometrika 65
    y = check["data"]["y"]
    split = best_split(y)
    deviation = np.cumsum(np.array(y) - np.mean(y))
    agrees(
        check,
        {
            "last_index_before": split.before,
            "mean_before": split.mean_before,
            "mean_after": split.mean_after,
            "rss": split.rss,
            "rss_no_change": split.rss_none,
            "F_like": split.ratio,
            "loglik_ratio": len(y) * log(split.rss_none / split.rss),
            "cusum_extreme_index": int(np.abs(deviation).argmax()) + 1,
        },
    )
    assert split.p < 1e-9
    assert all_steps(y) == [28]


def test_the_test_of_scatter_is_that_of_an_independent_program() -> None:
    from scipy.stats import levene  # Brown and Forsythe's form: about the median

    from inspect_tui.metrology.wear.change_causes import spread_by

    rng = np.random.default_rng(2)
    a, b = rng.normal(0, 0.05, 30), rng.normal(1, 0.03, 25)
    got = spread_by([*a, *b], "person", ["AB"] * 30 + ["CD"] * 25)
    want = levene(a, b, center="median").pvalue
    np.testing.assert_allclose([s.p for s in got], want, rtol=1e-9)


def test_adjusted_p_values_are_those_of_an_independent_program() -> None:
    from statsmodels.stats.multitest import multipletests

    p = np.random.default_rng(1).uniform(0, 1, 200) ** 3
    np.testing.assert_allclose(false_discovery(p), multipletests(p, method="fdr_bh")[1], rtol=1e-12)
