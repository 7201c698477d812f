"""Normal with rectangular: closed forms (uniform, Irwin-Hall, trapeze), the normal alone, and a million draws."""

from __future__ import annotations

from math import comb, factorial, floor
from statistics import NormalDist

import numpy as np
import pytest

from inspect_tui.metrology.judge.rectangular import chance_between

PHI = NormalDist().cdf


def irwin_hall(x: float, n: int) -> float:
    """The distribution of a sum of n even quantities between 0 and 1 (Irwin 1927, Hall 1927)."""
    return sum((-1) ** k * comb(n, k) * (x - k) ** n for k in range(floor(x) + 1)) / factorial(n)


@pytest.mark.parametrize("n", [1, 2, 3, 5, 6])
def test_without_a_normal_part_it_is_irwin_and_hall(n: int) -> None:
    for x in (0.1, 0.4 * n, 0.5 * n, 0.9 * n):
        assert chance_between(n / 2, 0.0, [1.0] * n, None, x) == pytest.approx(irwin_hall(x, n), abs=1e-9)


def test_without_play_it_is_normal() -> None:
    assert chance_between(7.0, 0.1, [], 6.9, 7.2) == pytest.approx(PHI(2) - PHI(-1))
    assert chance_between(7.0, 0.1, [0.0], 6.9, None) == pytest.approx(PHI(1))
    assert chance_between(7.0, 0.1, [], None, 6.9) == pytest.approx(PHI(-1))
    assert chance_between(7.0, 0.1, [0.2], None, None) == 1.0


def test_play_has_no_tails() -> None:
    """A core that lies anywhere in 0.6: of limits 0.3 off it keeps all, of 0.15 off half of either side."""
    assert chance_between(0.0, 0.0, [0.6], -0.3, 0.3) == 1.0
    assert chance_between(0.0, 0.0, [0.6], -0.15, None) == pytest.approx(0.75)
    # taken for normal (0.6 / sqrt(12) = 0.173) 1.7 sd would leave 4 % outside either way
    assert 1.0 - chance_between(0.0, 0.6 / 12**0.5, [], -0.3, 0.3) > 0.08


def test_one_play_and_a_normal_part_by_its_integral() -> None:
    sd, w, limit = 0.1, 0.6, 0.25
    x = np.linspace(-w / 2, w / 2, 20_001)
    inside = np.array([PHI((limit - v) / sd) - PHI((-limit - v) / sd) for v in x])
    assert chance_between(0.0, sd, [w], -limit, limit) == pytest.approx(float(np.trapezoid(inside, x)) / w, abs=1e-6)


@pytest.mark.parametrize("widths", [[0.6, 0.4, 0.3, 0.2], [0.5, 0.02, 0.01], [0.1] * 12, [0.9, 0.2] * 5])
def test_any_number_of_plays_agrees_with_draws(widths: list[float]) -> None:
    rng = np.random.default_rng(len(widths))
    n = 400_000
    draws = rng.normal(0.0, 0.08, n) + sum(rng.uniform(-w / 2, w / 2, n) for w in widths)
    for lower, upper in ((-0.2, 0.35), (None, 0.1), (-0.5, None)):
        inside = (draws >= (-9 if lower is None else lower)) & (draws <= (9 if upper is None else upper))
        assert chance_between(0.0, 0.08, widths, lower, upper) == pytest.approx(float(inside.mean()), abs=0.0035)


def test_where_nothing_spreads_a_limit_counts_as_inside() -> None:
    assert chance_between(7.0, 0.0, [], 7.0, 7.0) == 1.0
    assert chance_between(7.0, 0.0, [], 7.1, None) == 0.0
    assert chance_between(7.0, 0.0, [], None, 6.9) == 0.0
    assert chance_between(7.0, 0.01, [0.6], 3.0, 9.0) == 1.0
    assert chance_between(7.0, 0.01, [0.6], 9.0, None) == 0.0


def test_a_slight_play_adds_its_variance_to_the_normal_part() -> None:
    """0.0099 against a standard deviation of 0.1: lost in it, with w^2 / 12."""
    assert chance_between(0.0, 0.1, [0.0099], None, 0.1) == pytest.approx(PHI(0.1 / (0.01 + 0.0099**2 / 12) ** 0.5))
