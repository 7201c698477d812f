"""Joined segments against published and constructed answers."""

from __future__ import annotations

import numpy as np

from inspect_tui.metrology.wear.curve import bend
from tests.published.stats_data import agrees, load


def test_wear_in_and_steady_wear_part_where_they_were_joined() -> None:
    check = load("l_segmented_exact")  # computed: by construction
    got = bend(check["data"]["x"], check["data"]["y"])
    agrees(
        check,
        {
            "breakpoint": got.x,
            "intercept": got.start,
            "slope_before": got.slope_before,
            "slope_after": got.slope_after,
            "rss": got.rss,
        },
    )


def test_the_line_agrees_with_an_independent_program() -> None:
    import statsmodels.api as sm

    from inspect_tui.metrology.wear.line import fit_wear

    rng = np.random.default_rng(1)
    x = np.sort(rng.uniform(0, 9000, 50))
    y = 80 + 3e-5 * x + rng.normal(0, 0.03, 50)
    ours, theirs = fit_wear(x, y), sm.OLS(y, sm.add_constant(x)).fit()
    assert not ours.flagged
    plain = next(line for line in ours.lines if (line.clock.kind, line.lag, line.season) == ("straight", 0.0, False))
    np.testing.assert_allclose([plain.rate.value, plain.rate.u], [theirs.params[1], theirs.bse[1]], rtol=1e-9)
    assert plain.weight > 0.7 and ours.rate.value == plain.rate.value
    np.testing.assert_allclose(ours.rate.u, theirs.bse[1], rtol=0.05)  # that neighbours may lean is open besides
    at = ours.at(12_000.0)
    band = theirs.get_prediction([[1.0, 12_000.0]])
    np.testing.assert_allclose([at.value, at.u], [band.predicted_mean[0], band.se_mean[0]], rtol=1e-9)
