"""Tests of: cores left, when a wear line reaches its limit, by inverse prediction with its interval."""

from __future__ import annotations

from inspect_tui.metrology.wear.cores_left import cores_left
from inspect_tui.metrology.wear.line import fit_wear
from inspect_tui.metrology.wear.steps import unlogged_repair
from tests.metrology.wear.test_production_trends import SEEDS, share, wear_of
from tests.worlds.production_simulator import Plants, produce


def test_the_worn_box_its_rate_its_lining_and_its_next_limit() -> None:
    rates, limits, linings = [], [], []
    for seed in SEEDS:
        made = produce(seed)
        fit, _ = wear_of(made, "W")
        rates.append(abs(fit.rate.value * 1000 - 0.030) <= 0.006)
        left = cores_left(fit, None, 82.82 + 0.30)
        limits.append(left.left is not None and 17_000 <= 9_000 + left.now + left.left <= 20_000)
        gap = unlogged_repair(list(made.cores), made.series["W"])  # as if nobody had logged the lining
        linings.append(gap is not None and abs(gap.at - 225) <= 8)
    assert share(rates) >= 0.95 and share(limits) >= 0.95 and share(linings) >= 0.95


def test_a_box_that_does_not_wear_gets_no_date() -> None:
    honest = []
    for seed in range(60):
        made = produce(seed, Plants(rate=0.0, rate_port=0.0, residual=0.0))
        # the second caliper's bias ends at lot 180, which a line takes for a little shrinking: look after it
        left = cores_left(fit_wear(made.cores[180:], made.series["W"][180:]), None, 82.82 + 0.30)
        honest.append(left.left is None and left.low > 0)
    assert share(honest) >= 0.92  # 97.5 % expected
