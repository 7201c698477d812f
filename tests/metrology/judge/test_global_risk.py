"""Global risks: against a double integral and a simulation, at the ends, and what is no process."""

from __future__ import annotations

from itertools import pairwise
from math import isclose

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge._dist import normal_cdf, normal_pdf
from inspect_tui.metrology.judge.global_risk import global_risk
from inspect_tui.model.words import Band


@given(st.floats(-2, 2), st.floats(0.1, 2), st.floats(0.02, 1), st.floats(-0.4, 0.4), st.sampled_from("lub"))
@settings(max_examples=40, deadline=None)
def test_they_are_the_double_integral_of_the_guide(mean: float, s: float, u: float, guard: float, side: str) -> None:
    """JCGM 106:2012, 9.5.2 and 9.5.3, integrated over the true values."""
    from scipy.integrate import quad

    lower, upper = (None if side == "u" else -1.0), (None if side == "l" else 1.0)
    risk = global_risk(mean, s, u, Band(lower, upper, "here"), guard)
    low, high = (-50.0 if lower is None else lower), (50.0 if upper is None else upper)

    def accepted(eta: float) -> float:
        up = 1.0 if upper is None else normal_cdf((upper - guard - eta) / u)
        down = 0.0 if lower is None else normal_cdf((lower + guard - eta) / u)
        return max(up - down, 0.0)

    def over(a: float, b: float, f) -> float:  # type: ignore[no-untyped-def]
        marks = sorted({min(max(x, a), b) for x in (-1.0, 1.0, *(mean + k * s for k in range(-12, 13, 2)))})
        edges = [a, *marks, b]
        return sum(float(quad(lambda x: normal_pdf((x - mean) / s) / s * f(x), p, q)[0]) for p, q in pairwise(edges))

    consumer = over(-60.0, low, accepted) * (lower is not None) + over(high, 60.0, accepted) * (upper is not None)
    producer = over(low, high, lambda x: 1.0 - accepted(x))
    assert isclose(risk.consumer, consumer, abs_tol=2e-8)
    assert isclose(risk.producer, producer, abs_tol=2e-8)
    assert isclose(1.0 - risk.accepted, risk.producer + risk.outside - risk.consumer, abs_tol=1e-9)


def test_a_simulation_says_the_same() -> None:
    rng = np.random.default_rng(1)
    true = rng.normal(0.2, 0.4, 400_000)
    read = true + rng.normal(0, 0.2, 400_000)
    accepted, good = np.abs(read) <= 0.9, np.abs(true) <= 1.0
    risk = global_risk(0.2, 0.4, 0.2, Band(-1.0, 1.0, "here"), 0.1)
    assert risk.consumer == pytest.approx((accepted & ~good).mean(), abs=6e-4)
    assert risk.producer == pytest.approx((~accepted & good).mean(), abs=1e-3)
    assert risk.accepted == pytest.approx(accepted.mean(), abs=2e-3)
    assert risk.outside == pytest.approx((~good).mean(), abs=1e-3)


def test_a_wider_guard_protects_the_consumer_at_the_producers_cost() -> None:
    band = Band(-1.0, 1.0, "here")
    risks = [global_risk(0.0, 0.5, 0.125, band, w) for w in (-0.2, 0.0, 0.2, 0.4)]
    assert [r.consumer for r in risks] == sorted((r.consumer for r in risks), reverse=True)
    assert [r.producer for r in risks] == sorted(r.producer for r in risks)
    shut = global_risk(0.0, 0.5, 0.125, band, 1.5)
    assert (shut.consumer, shut.accepted) == (0.0, 0.0)
    assert shut.producer == pytest.approx(1.0 - shut.outside)
    fine = global_risk(0.0, 0.5, 1e-6, band)
    assert fine.consumer == pytest.approx(0.0, abs=1e-5)
    assert fine.producer == pytest.approx(0.0, abs=1e-5)
    centred = global_risk(1.0, 0.5, 0.1, Band(None, 1.0, "here"))  # h = k = 0
    assert centred.accepted == pytest.approx(0.5)
    assert centred.consumer == pytest.approx(centred.producer)


@pytest.mark.parametrize("guard", [0.3, -0.3])
def test_a_process_whose_middle_is_a_limit(guard: float) -> None:
    """By quarters of the plane: half of all pieces are good, and with no guard as many wrong each way."""
    rng = np.random.default_rng(2)
    true = rng.normal(1.0, 0.5, 300_000)
    accepted = true + rng.normal(0, 0.2, 300_000) <= 1.0 - guard
    risk = global_risk(1.0, 0.5, 0.2, Band(None, 1.0, "here"), guard)
    assert risk.consumer == pytest.approx((accepted & (true > 1.0)).mean(), abs=2e-3)
    assert risk.producer == pytest.approx((~accepted & (true <= 1.0)).mean(), abs=3e-3)
    edge = global_risk(1.0 - guard, 0.5, 0.2, Band(None, 1.0, "here"), guard)
    assert edge.accepted == pytest.approx(0.5)
    assert edge.accepted == pytest.approx(1.0 - edge.outside - edge.producer + edge.consumer)


@pytest.mark.parametrize("bad", [(0.0, 0.0, 0.1), (0.0, 1.0, 0.0), (0.0, -1.0, 0.1), (float("nan"), 1.0, 0.1)])
def test_what_is_no_process_is_refused(bad: tuple[float, float, float]) -> None:
    with pytest.raises(DataError, match="spread above 0"):
        global_risk(*bad, Band(-1.0, 1.0, "here"))
    with pytest.raises(DataError, match="open on both sides"):
        global_risk(0.0, 1.0, 0.1, Band(None, None, "here"))
