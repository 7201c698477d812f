"""Verdicts and probabilities of conformity against JCGM 106:2012 and the decision rules of ISO 14253-1."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.judge._dist import normal_quantile
from inspect_tui.metrology.judge.global_risk import global_risk
from inspect_tui.metrology.judge.verdict import Answer, conformity, guard_factor, judge
from inspect_tui.model.words import Band
from tests.published.uncertainty_data import check

WORDS = {"conform": Answer.CONFORMS, "undecided": Answer.UNDECIDED, "nonconform": Answer.DOES_NOT_CONFORM}
PUBLISHED = check("jcgm106")


def band(case):
    return Band(case["lower"], case["upper"], "example")


@pytest.mark.parametrize("case", PUBLISHED.data["conformance"], ids=lambda case: case["id"])
def test_probability_of_conformity(case):
    PUBLISHED.says(f"pc_{case['id']}", conformity(case["y"], case["u"], band(case)))
    assert judge(case["y"], case["u"], band(case)).p_conform == conformity(case["y"], case["u"], band(case))


@pytest.mark.parametrize("case", PUBLISHED.data["verdicts"], ids=lambda case: case["id"])
def test_three_answers_with_a_guard_of_2u(case):
    """Stable rule of ISO 14253-1 before 2017: inside by U conforms, outside by more than U does not."""
    assert case["k"] == guard_factor("full_u")
    got = judge(case["y"], case["u"], band(case), "full_u")
    assert got.answer is WORDS[PUBLISHED.expected[f"verdict_{case['id']}"]]


def test_guard_bands_for_a_least_probability():
    """JCGM 106:2012, 8.3.2: guard w = z(p) u, acceptance limits the limits less w."""
    for case in PUBLISHED.data["guard"]:
        guard = normal_quantile(case["min_pc"]) * case["u"]
        PUBLISHED.says(f"guard_{case['id']}", guard)
        PUBLISHED.says(f"acc_lo_{case['id']}", case["lower"] + guard)
        PUBLISHED.says(f"acc_hi_{case['id']}", case["upper"] - guard)
    a = PUBLISHED.data["guard"][0]
    assert judge(10.0, a["u"], band(a), "proof95").guard == pytest.approx(PUBLISHED.expected["guard_a"], abs=1e-9)
    # just inside and just outside the acceptance limit
    edge = PUBLISHED.expected["acc_hi_a"]
    assert judge(edge - 1e-4, a["u"], band(a), "proof95").answer is Answer.CONFORMS
    assert judge(edge + 1e-4, a["u"], band(a), "proof95").answer is Answer.UNDECIDED


def test_global_risks_of_consumer_and_producer():
    """JCGM 106:2012, 9.5: process about the middle, acceptance limits a guard w inside."""
    for case in PUBLISHED.data["global_risk"]:
        half = case["T_half"]
        risk = global_risk(0.0, case["sigma0"], case["u"], Band(-half, half, "example"), case["w"])
        PUBLISHED.says(f"consumer_risk_{case['id']}", risk.consumer)
        PUBLISHED.says(f"producer_risk_{case['id']}", risk.producer)


def test_speed_of_a_car_over_a_limit_beyond_doubt():
    """JCGM 106:2012, 8.3.3.2 (recalled): limit 100 km/h, u 2 % of the reading; 99.9 % certain from 107 km/h on."""
    limit = Band(None, 100.0, "road")
    assert 1.0 - conformity(107.0, 0.02 * 107.0, limit) >= 0.999
    assert 1.0 - conformity(106.0, 0.02 * 106.0, limit) < 0.999


def test_guard_factors_of_the_rules():
    """ISO 14253-1:2017: 1.65 for 95 % where u is small against the band; earlier editions U = 2u. From memory."""
    assert guard_factor("proof95") == pytest.approx(1.645, abs=5e-4)
    assert guard_factor("full_u") == 2.0
    assert guard_factor("plain") == 0.0


# ISO 14253-1, clause 5, rules from memory; the figures (shaft 30 -0.04/0, U = 0.008) are computed here.
@pytest.mark.parametrize(
    "value, answer",
    [
        (29.980, Answer.CONFORMS),
        (29.992, Answer.CONFORMS),  # exactly U inside the upper limit: proved
        (29.995, Answer.UNDECIDED),
        (30.000, Answer.UNDECIDED),
        (30.008, Answer.UNDECIDED),  # outside by exactly U: not yet beyond it
        (30.009, Answer.DOES_NOT_CONFORM),
        (29.968, Answer.CONFORMS),
        (29.964, Answer.UNDECIDED),
        (29.951, Answer.DOES_NOT_CONFORM),
    ],
)
def test_proving_conformity_and_nonconformity(value, answer):
    assert judge(value, 0.004, Band(29.96, 30.0, "shaft"), "full_u").answer is answer
