"""Tests of: cores left, when a wear line reaches its limit, by inverse prediction with its interval."""

from __future__ import annotations

from math import inf

import numpy as np
import pytest
from scipy import stats

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.cores_left import NO_END, cores_left, first_at, left_words
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


def test_one_line_left_open_has_fiellers_interval() -> None:
    # Fieller 1954: the counts at which (level + rate d - limit)^2 = t^2 u^2(d), here from numpy's own line
    rng = np.random.default_rng(2)
    x = np.linspace(0, 6000, 40)
    y = 50 + 3e-5 * x + rng.normal(0, 0.03, 40)
    fit = fit_wear(x.tolist(), y.tolist())
    left = cores_left(replace(fit, lines=(replace(fit.line, weight=1.0),)), None, 50.15, now=0.0)
    slope, level = np.polyfit(x - x.mean(), y, 1)
    s2 = float(np.sum((y - level - slope * (x - x.mean())) ** 2)) / 38
    t2 = stats.t.ppf(0.975, 38) ** 2
    gap, sxx = level - 50.15, float(np.sum((x - x.mean()) ** 2))
    roots = np.roots([slope**2 - t2 * s2 / sxx, 2 * slope * gap, gap**2 - t2 * s2 / 40]) + x.mean()
    assert (left.low, left.high) == pytest.approx(tuple(sorted(roots)), rel=1e-6)
    assert left.left == pytest.approx(x.mean() - gap / slope, rel=1e-9)


def grown(n: int = 40, bent: float = 0.0, noise: float = 0.01) -> tuple[list[float], list[float]]:
    x = np.linspace(0, 6000, n)
    rng = np.random.default_rng(4)
    y = 80 + 3e-5 * ((1 - bent) * x + bent * x * x / 6000) + rng.normal(0, noise, n)
    return x.tolist(), y.tolist()


def test_wear_that_speeds_up_comes_sooner_than_a_line_would_say() -> None:
    fit = fit_wear(*grown(bent=0.9, noise=0.004))
    left = cores_left(fit, None, 80.3)
    # 3e-5 (0.1 x + 0.9 x^2 / 6000) = 0.3 at 7 836 cores
    assert fit.bent == "speeds up" and left.low <= 7836 - 6000 <= left.high < 3000
    assert "wear speeds up" in left.sentence and fit.rate_now > 1.4 * fit.rate.value
    slow = fit_wear(*grown(bent=-0.65, noise=0.003))
    assert slow.bent == "slows down" and slow.rate_now < 0.6 * slow.rate.value


def test_where_straightness_cannot_be_told_both_intervals_are_said() -> None:
    fit = fit_wear(*grown(12, noise=0.03))
    left = cores_left(fit, None, 80.5)
    assert left.kind == "left" and left.straight is not None and not fit.bent
    assert left.low < left.straight[0] < left.straight[1] < left.high
    assert "if it goes on straight and no reading leans on the one before, which the readings" in left.sentence
    more = cores_left(fit_wear(*grown(40, noise=0.03)), None, 80.5)
    assert left.alone and not more.alone and "if it goes on straight, which the readings cannot" in more.sentence


def test_a_size_that_moves_against_wear_has_no_end_and_its_figures_are_said() -> None:
    x, y = grown()
    left = cores_left(fit_wear(x, [160 - v for v in y], direction=1), None, 80.3)
    assert left.kind == "backward" and left.low == inf and "inf" not in left.sentence
    still = left_words("at least", left=None, low=inf, high=inf, limit=1.0, now=500.0, here=1.0, rate=0.0)
    assert still == "no wear seen in 500 cores"


def test_the_place_of_a_chance_is_found_with_few_questions_and_never_more_than_by_halving() -> None:
    asked: list[float] = []

    def normal(count: float) -> float:
        asked.append(count)
        return float(stats.norm.cdf((count - 9000.0) / 700.0))

    for p in (0.025, 0.5, 0.975):
        assert first_at(normal, p, 6000.0, 20_000.0) == pytest.approx(9000 + 700 * stats.norm.ppf(p), rel=2e-7)
    assert len(asked) <= 3 * 14

    def jumps(count: float) -> float:
        asked.append(count)
        return float(count >= 12_345.0)

    asked.clear()
    assert first_at(jumps, 0.5, 6000.0, 20_000.0) == pytest.approx(12_345.0, rel=2e-7)
    assert jumps(first_at(jumps, 0.5, 6000.0, 20_000.0)) == 1.0  # at or beyond it, never before it
    assert len(asked) <= 2 * (2 + 24 + 2) + 1  # log2(14 000 / 2e-3) = 22.7
    assert first_at(jumps, 0.5, 13_000.0) == 13_000.0 and first_at(jumps, 0.5, 100.0, most=1000.0) == inf
    assert first_at(jumps, 0.5, 100.0) == pytest.approx(12_345.0, rel=2e-7)


def test_whether_it_stays_straight_is_open_until_the_readings_show_how_it_goes() -> None:
    z = np.linspace(0, 0.7, 60)
    noise = np.random.default_rng(3).normal(0, 0.004, 60)
    straight, faster = fit_wear(1e4 * z, 0.3 * z + 5 * noise), fit_wear(1e4 * z, 0.3 * z * z + noise)
    assert cores_left(straight, None, 0.3).straight is not None and not straight.bent
    assert cores_left(faster, None, 0.3).straight is None and faster.bent == "speeds up"
    few = fit_wear([0, 1000, 2000, 3000], [0.0, 0.031, 0.059, 0.09])  # only straight lines are tried
    assert cores_left(few, None, 0.3).kind == "left" and cores_left(few, None, 0.3).straight is None


def test_of_few_visits_straight_wear_has_the_interval_of_a_plain_line() -> None:
    # Fieller's interval of numpy's own line, nine degrees of freedom: whether they lean on each other is left out
    rng = np.random.default_rng(5)
    x = np.linspace(0, 6000, 11)
    y = 80 + 3e-5 * x + rng.normal(0, 0.01, 11)
    fit = fit_wear(x.tolist(), y.tolist())
    left = cores_left(fit, None, 80.3, now=0.0)
    slope, level = np.polyfit(x - x.mean(), y, 1)
    s2 = float(np.sum((y - level - slope * (x - x.mean())) ** 2)) / 9
    t2, gap, sxx = stats.t.ppf(0.975, 9) ** 2, level - 80.3, float(np.sum((x - x.mean()) ** 2))
    roots = np.roots([slope**2 - t2 * s2 / sxx, 2 * slope * gap, gap**2 - t2 * s2 / 11]) + x.mean()
    assert left.alone and left.straight == pytest.approx(tuple(sorted(roots)), rel=1e-6)
    assert not fit.flagged and len([line for line in fit.lines if line.lag]) > 3  # the wide one leaves them open


def test_without_an_end_it_is_said_that_straight_wear_would_leave_more() -> None:
    x = np.linspace(0, 6000, 30)
    fit = fit_wear(x.tolist(), (80 + np.random.default_rng(3).normal(0, 0.03, 30)).tolist())
    left = cores_left(fit, None, 80.3)
    assert left.kind == "at least" and left.straight is not None and 0 < left.low < left.straight[0]
    assert fit.p_beyond(fit.reach + left.low, 80.3) == pytest.approx(NO_END, rel=1e-4)
    assert sum(
        one.weight * one.p_beyond(fit.reach + left.straight[0], 80.3, 1) for one in fit.straight
    ) == pytest.approx(0.025, rel=1e-4)
    assert left.straight[1] == inf and "; at least " in left.sentence and "if it goes on straight" in left.sentence


def test_of_three_visits_no_end_is_said_but_how_many_at_least() -> None:
    three = cores_left(fit_wear([0, 1500, 3000], [0.0, 0.046, 0.09]), None, 0.3)
    four = cores_left(fit_wear([0, 1000, 2000, 3000], [0.0, 0.031, 0.059, 0.09]), None, 0.3)
    # the line: 0.0453333 at 1500 and 0.03 per 1000, so 0.3 after 9 988.9; 2.5 % of t with 1 degree of freedom is 12.706
    assert three.kind == "left" and three.left == pytest.approx(6988.9, abs=0.1)
    assert three.high == inf and 4000 < three.low < three.left and three.straight is None
    assert "cores left (at least" in three.sentence and four.high < inf


def test_a_shape_that_is_not_beyond_doubt_is_not_said() -> None:
    noise = np.random.default_rng(8).normal(0, 0.004, 60)
    z = np.linspace(0, 0.7, 60)
    for n, bent in ((11, ""), (60, "speeds up")):
        at = np.linspace(0, 59, n).round().astype(int)
        fit = fit_wear(1e4 * z[at], 0.3 * z[at] ** 2 + noise[at])
        left = cores_left(fit, None, 0.3)
        assert fit.bent == bent and (left.straight is None) == bool(bent), n
        assert (fit.line.clock.kind == "straight") == (not bent)  # what is shown is what is said
    assert 1e-4 < fit_wear(1e4 * z[at[::6]], 0.3 * z[at[::6]] ** 2 + noise[at[::6]]).p_straight < 0.01
    sure = fit_wear(1e4 * z[::6], 0.3 * z[::6] ** 2 + noise[::6] / 40)
    assert sure.bent == "speeds up" and sure.p_straight < 1e-4
