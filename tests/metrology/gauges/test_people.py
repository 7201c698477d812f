"""Whose readings spread more and who reads high, in studies with planted people."""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest

from inspect_tui.metrology.gauges.study import crossed_study
from tests.metrology.gauges.test_study import study


# ------------------------------------------------------------------------------ people
def test_the_person_with_three_times_the_spread_is_named_and_nobody_else() -> None:
    """The planted study: bench 2 repeats with 0.09 where the others have 0.03, and reads 0.04 high."""
    named = wrong = near = high = blamed = 0
    shares = []
    for seed in range(200):
        crossed = crossed_study(study(seed), band=1.0)
        spread = {x.person: x for x in crossed.spreads}
        bias = {x.person: x for x in crossed.biases}
        named += spread["bench 2"].stands_out
        wrong += spread["bench 1"].stands_out or spread["inspector"].stands_out
        near += abs((spread["bench 2"].s or 0) - 0.09) <= 0.03
        high += bias["bench 2"].stands_out
        blamed += bias["bench 1"].stands_out or bias["inspector"].stands_out
        shares.append(crossed.anova.share_of_band or 0)
    assert named == 200
    assert wrong <= 15  # 5 % risk among the two left, four standard errors
    assert near >= 190
    assert high > 5 * max(blamed, 1)  # 0.04 against a spread of 0.09 over ten parts is seen about one time in three
    assert np.mean(shares) == pytest.approx(0.37, abs=0.02)
    crossed = crossed_study(study(1), band=1.0)
    assert any(s.startswith("bench 2 repeats with s = ") and "times the others'" in s for s in crossed.sentences)


def test_people_who_are_alike_are_seldom_named() -> None:
    alike = tuple((f"p{i}", 0.0, 0.05) for i in range(3))
    named = biased = 0
    for seed in range(300):
        crossed = crossed_study(study(seed, people=alike, places=None))
        named += any(x.stands_out for x in crossed.spreads)
        biased += any(x.stands_out for x in crossed.biases)
    assert named < 33  # 5 % of 300, four standard errors
    assert biased < 33


def test_a_clear_bias_is_named_with_its_size_and_against_whom() -> None:
    two = (("a", 0.0, 0.03), ("b", 0.3, 0.03))
    crossed = crossed_study(study(8, people=two))
    bias = {x.person: x for x in crossed.biases}
    assert bias["b"].bias == pytest.approx(0.3, abs=0.03)
    assert bias["b"].lower < 0.3 < bias["b"].upper
    assert bias["b"].bias == pytest.approx(-bias["a"].bias)
    assert any("than a" in s or "than b" in s for s in crossed.sentences)
    one_part = crossed_study([r for r in study(8, people=two) if r[0] == 1])
    assert one_part.biases[1].bias == pytest.approx(0.3, abs=0.1)


def test_two_who_stand_out_are_compared_with_the_same_others() -> None:
    four = (("a", 0.0, 0.02), ("b", 0.0, 0.5), ("c", 0.0, 0.1), ("d", 0.0, 0.02))
    spread = {x.person: x for x in crossed_study(study(9, people=four, trials=4)).spreads}
    assert [name for name in "abcd" if spread[name].stands_out] == ["b", "c"]
    quiet = sqrt(((spread["a"].s or 0) ** 2 + (spread["d"].s or 0) ** 2) / 2)
    assert spread["c"].ratio == pytest.approx((spread["c"].s or 0) / quiet)
    assert spread["b"].ratio == pytest.approx((spread["b"].s or 0) / quiet)
    biased = (("a", 0.0, 0.02), ("b", 0.5, 0.02), ("c", 0.3, 0.02), ("d", 0.0, 0.02))
    bias = {x.person: x for x in crossed_study(study(9, people=biased)).biases}
    assert [name for name in "abcd" if bias[name].stands_out] == ["b", "c"]
    assert bias["b"].bias == pytest.approx(0.5, abs=0.03)  # and not 0.4, off a mean that holds c
    assert bias["c"].bias == pytest.approx(0.3, abs=0.03)
