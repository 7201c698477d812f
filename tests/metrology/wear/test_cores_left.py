"""Tests of: cores left, when a wear line reaches its limit, by inverse prediction with its interval."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.cores_left import cores_left, left_words
from inspect_tui.metrology.wear.line import fit_wear
from inspect_tui.metrology.wear.steps import unlogged_repair
from tests.metrology.wear.test_production_trends import SEEDS, share, wear_of
from tests.worlds.production_simulator import Plants, produce

INCH = Style("in")


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


@pytest.mark.parametrize(
    ("unit", "style", "kind", "words"),
    [
        ("mm", MM, "left", "3 300 cores left (2 200 to 4 400), wearing 0.030 mm per 1000"),
        ("mm", INCH, "left", "3 300 cores left (2 200 to 4 400), wearing 0.00118 in per 1000"),  # 0.030 / 25.4
        ("deg", INCH, "left", "3 300 cores left (2 200 to 4 400), wearing 0.030 deg per 1000"),
        ("mm", MM, "past", "at its limit or past it, though not surely: 83.10 of 83.12 mm"),
        ("mm", INCH, "past", "at its limit or past it, though not surely: 3.2717 of 3.2724 in"),  # 83.10 and 83.12
        ("deg", INCH, "past", "at its limit or past it, though not surely: 83.10 of 83.12 deg"),
        ("mm", INCH, "backward", "moves against wear (+0.00118 in per 1000): a repair not logged, or a build-up"),
        ("mm", INCH, "at least", "no wear seen in 7 000 cores, at least 2 200 left"),
    ],
)
def test_what_is_left_is_said_in_the_style_and_unit_asked_for(unit: str, style: Style, kind: str, words: str) -> None:
    figures = {"left": 3300.0, "low": 2200.0, "high": 4400.0, "limit": 83.12, "now": 7000.0, "here": 83.10}
    assert left_words(kind, **figures, rate=0.03e-3, unit=unit, style=style) == words
