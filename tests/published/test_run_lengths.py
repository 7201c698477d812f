"""How long charts run until they give a signal: the program's own tests and sums on simulated charts, against tables.

Simulations use fixed seeds; bounds are four standard errors of the simulated mean beside the table's own tolerance.
"""

from __future__ import annotations

from collections.abc import Callable
from math import erfc, exp, sqrt
from typing import TYPE_CHECKING, Any

import pytest

from inspect_tui.metrology.spread.chart_memory import cusum_run_length, ewma_run_length, smooth, sums
from inspect_tui.metrology.spread.chart_rules import RULES, Rule, beyond
from tests.amounts import some
from tests.published.stats_data import agrees, load

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Hits = Callable[[NDArray[np.float64]], NDArray[np.bool_]]


def simulated(hits: Hits, shift: float, charts: int, expected: float, seed: int) -> tuple[float, float]:
    """Mean run length of charts that start fresh, and its standard error; charts that have not ended are lengthened."""
    import numpy as np

    rng = np.random.default_rng(seed)
    length = int(2 * expected) + 20
    block = max(1, 1_000_000 // length)
    runs: list[NDArray[np.int64]] = []
    for start in range(0, charts, block):
        z = rng.standard_normal((min(block, charts - start), length)) + shift
        while z.size:
            hit = hits(z)
            ended = hit.any(axis=1)
            runs.append(hit[ended].argmax(axis=1) + 1)
            z = z[~ended]
            z = np.concatenate([z, rng.standard_normal(z.shape) + shift], axis=1)
    all_runs = np.concatenate(runs)
    assert all_runs.size == charts
    return float(all_runs.mean()), float(all_runs.std(ddof=1) / sqrt(all_runs.size))


def enough(expected: float) -> int:
    """How many charts: a million points in all (six on demand), so that a short run is known to about one percent."""
    return min(some(20_000, 80_000), max(some(1_500, 5_000), int(some(1_000_000, 6_000_000) / expected)))


def tolerated(check: dict[str, Any], name: str) -> float:
    within = check["tolerance"].get(name, check["tolerance"]["default"])
    return float(within.get("abs", 0.0) + within.get("rel", 0.0) * abs(check["expected"][name]))


def rules_of(rows: list[list[float]]) -> list[Rule]:
    return [beyond(f"{int(k)} of {int(m)} beyond {z}", int(k), int(m), z, "", "") for k, m, z in rows]


@pytest.mark.parametrize("combination", ["C1", "C12", "C123", "C1234"])
def test_tests_for_assignable_causes_together(combination: str) -> None:
    """Champ and Woodall (1987), Technometrics 29, table 1."""
    check = load("d_arl_shewhart_rules")
    tests = rules_of(check["data"]["combinations"][combination])

    def hits(z: NDArray[np.float64]) -> NDArray[np.bool_]:
        found = tests[0].hits(z)
        for rule in tests[1:]:
            found = found | rule.hits(z)
        return found

    for i, shift in enumerate(check["data"]["shifts"]):
        name = f"{combination}[shift={shift}]"
        want = check["expected"][name]
        mean, error = simulated(hits, shift, enough(want), want, seed=11 + i)
        assert abs(mean - want) < 4 * error + tolerated(check, name), (name, mean, want, error)


def test_the_named_tests_are_those_of_the_table() -> None:
    named = ["beyond_limits", "two_of_three_in_a", "four_of_five_in_b", "eight_one_side"]
    rows = load("d_arl_shewhart_rules")["data"]["combinations"]["C1234"]
    assert [(RULES[n].k, RULES[n].m, RULES[n].z) for n in named] == [tuple(r) for r in rows]


def test_waiting_times_of_runs_and_single_limits() -> None:
    """Closed forms (Feller), reached by the program's tests in simulation where the wait is short enough."""
    check = load("d_run_waiting_times")
    expected = check["expected"]
    for r, name in ((7, "seven_one_side"), (8, "eight_one_side"), (9, "nine_one_side")):
        want = expected[f"either-side run r={r}"]
        mean, error = simulated(RULES[name].hits, 0.0, enough(want), want, seed=r)
        assert abs(mean - want) < 4 * error, (name, mean, want)
    for limit, shift in check["data"]["single_limit"]:
        rule = beyond("one", 1, 1, float(limit), "", "")
        want = expected[f"limit {limit} shift {shift}"]
        if shift == 0:
            assert abs(1.0 / rule.false_alarm - want) < 1e-9 * want
        mean, error = simulated(rule.hits, shift, enough(want), want, seed=int(10 * limit + shift))
        assert abs(mean - want) < 4 * error, (limit, shift, mean, want)
    # fifteen in a row in zone C: the mean wait for the run follows from the chance of one point
    inside = 1.0 - erfc(1.0 / sqrt(2.0))
    assert abs((1 - inside**15) / ((1 - inside) * inside**15) - expected["run p=0.6826894921370859,r=15"]) < 1e-6
    mean, error = simulated(RULES["fifteen_in_c"].hits, 0.0, 1200, 963.27, seed=5)
    assert abs(mean - expected["run p=0.6826894921370859,r=15"]) < 4 * error


@pytest.mark.parametrize("name", sorted(RULES))
def test_the_stated_false_alarm_rate_is_what_happens(name: str) -> None:
    """Computed here: share of points with a signal in long charts in control, away from their start."""
    import numpy as np

    rule = RULES[name]
    z = np.random.default_rng(20).standard_normal((300, 4000))
    share = rule.hits(z)[:, rule.m :].mean(axis=1)
    error = float(share.std(ddof=1) / sqrt(share.size))
    assert abs(float(share.mean()) - rule.false_alarm) < 4 * error


def test_ewma_run_lengths_by_the_integral_equation() -> None:
    """Lucas and Saccucci (1990), Technometrics 32."""
    check = load("d_arl_ewma")
    got = {
        f"lambda={weight},L={width}[shift={shift}]": ewma_run_length(weight, width, shift)
        for weight, width in check["data"]["designs"]
        for shift in check["data"]["shifts"]
    }
    agrees(check, got)


def test_ewma_charts_run_as_tabulated() -> None:
    """The program's own EWMA on simulated charts, against the same table."""
    check = load("d_arl_ewma")
    for weight, width in check["data"]["designs"]:
        limit = width * sqrt(weight / (2.0 - weight))
        for shift in (0.5, 1, 2):
            name = f"lambda={weight},L={width}[shift={shift}]"
            want = check["expected"][name]

            def hits(z: NDArray[np.float64], weight: float = weight, limit: float = limit) -> NDArray[np.bool_]:
                return abs(smooth(z, weight, 0.0)) > limit

            mean, error = simulated(hits, shift, enough(want), want, seed=31)
            assert abs(mean - want) < 4 * error + tolerated(check, name), (name, mean, want)


def test_cusum_run_lengths_by_the_integral_equation() -> None:
    """Lucas and Crosier (1982), Technometrics 24, with and without head start."""
    check = load("d_arl_cusum")
    got = {}
    for k, h, head in check["data"]["two_sided"]:
        for shift in check["data"]["shifts"]:
            got[f"two:k={k},h={h},headstart={head}[shift={shift}]"] = cusum_run_length(k, h, shift, head)
    siegmund = [f"siegmund:k=0.5,h=5[shift={s}]" for s in (0, 1.0)]
    agrees(check, got, besides=siegmund)


def test_siegmunds_approximation_is_near_the_exact_run_length() -> None:
    """Siegmund (1985): the approximation as published, and within 1 % of what the program solves."""
    check = load("d_arl_cusum")
    for k, h, shift in check["data"]["siegmund"]:
        sides = []
        for d in (shift - k, -shift - k):
            b = h + 1.166
            sides.append((exp(-2 * d * b) + 2 * d * b - 1) / (2 * d * d))
        approx = 1.0 / sum(1.0 / s for s in sides)
        name = f"siegmund:k={k},h={h}[shift={shift}]"
        assert abs(approx - check["expected"][name]) <= tolerated(check, name)
        assert abs(cusum_run_length(k, h, shift) / approx - 1) < 0.01


def test_cusum_charts_run_as_tabulated() -> None:
    """The program's own sums on simulated charts, with and without head start."""
    check = load("d_arl_cusum")
    for k, h, head in check["data"]["two_sided"]:

        def hits(z: NDArray[np.float64], k: float = k, h: float = h, head: float = head) -> NDArray[np.bool_]:
            return (sums(z, k, head) > h) | (sums(-z, k, head) > h)

        for shift in (0, 0.5, 1, 2):
            name = f"two:k={k},h={h},headstart={head}[shift={shift}]"
            want = check["expected"][name]
            mean, error = simulated(hits, shift, enough(want), want, seed=41)
            assert abs(mean - want) < 4 * error + tolerated(check, name), (name, mean, want)
