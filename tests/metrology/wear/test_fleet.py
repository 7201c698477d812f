"""The fleet: order of urgency, what to measure next."""

from __future__ import annotations

import math

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.wear.fleet import (
    Watched,
    measure_next,
    rank,
    rate_from_new,
)
from inspect_tui.metrology.wear.line import WearFit, fit_wear


def fit(rate: float, n: int = 60, noise: float = 0.03, upto: float = 6000.0, seed: int = 1) -> WearFit:
    rng = np.random.default_rng(seed)
    x = np.linspace(0, upto, n)
    return fit_wear(x, 50.0 + rate / 1000 * x + rng.normal(0, noise, n))


def test_boxes_are_ranked_by_risk_then_by_date() -> None:
    ranked = rank(
        [
            Watched(label="slow", fit=fit(0.02), lower=None, upper=50.50, per_week=160.0),
            Watched(label="past", fit=fit(0.06), lower=None, upper=50.20, per_week=160.0),
            Watched(label="soon", fit=fit(0.045), lower=None, upper=50.30, per_week=160.0),
            Watched(label="still", fit=fit(0.0), lower=None, upper=50.30, per_week=160.0),
            Watched(label="no count", fit=fit(0.045), lower=None, upper=50.30, per_week=None),
        ],
        horizon_weeks=4,
    )
    assert [r.label for r in ranked][:2] == ["past", "soon"]
    assert ranked[0].risk == 1.0 and ranked[1].risk is not None and 0.02 < ranked[1].risk < 0.98
    by = {r.label: r for r in ranked}
    assert by["soon"].weeks == pytest.approx(by["soon"].left.left / 160)  # type: ignore[operator]
    assert by["no count"].weeks is None and "no cores per week, so no date" in by["no count"].sentence
    assert by["still"].weeks is None and by["still"].weeks_high == math.inf and "no wear seen" in by["still"].sentence


def test_a_faster_line_brings_the_date_nearer() -> None:
    slow, fast = (
        rank([Watched(label="b", fit=fit(0.03), lower=None, upper=50.5, per_week=c)])[0] for c in (80.0, 160.0)
    )
    assert fast.weeks == pytest.approx(slow.weeks / 2)  # type: ignore[operator]


def test_the_next_to_measure_is_the_widest_interval_that_matters() -> None:
    ranked = rank(
        [
            Watched(label="open", fit=fit(0.045, n=8), lower=None, upper=50.30, per_week=160.0),
            Watched(label="sure", fit=fit(0.01), lower=None, upper=51.00, per_week=160.0),
            Watched(label="past", fit=fit(0.06), lower=None, upper=50.20, per_week=160.0),
        ]
    )
    found = measure_next(ranked)
    assert found.label == "open" and "it is open whether it lasts 4 weeks" in found.sentence
    assert measure_next([r for r in ranked if r.label == "sure"]).label is None
    assert measure_next([]).label is None


def test_a_box_too_little_is_known_of_is_asked_for_when_nothing_else_matters() -> None:
    three = fit_wear([0, 100, 200], [10.0, 10.1, 10.2])
    assert (
        measure_next(rank([Watched(label="new box", fit=three, lower=None, upper=11.0, per_week=100.0)])).label
        == "new box"
    )


def test_the_horizon_is_above_zero() -> None:
    with pytest.raises(DataError, match="above 0"):
        rank([], 0)


def test_risk_grows_with_the_cores_to_come() -> None:
    f = fit(0.03)
    risks = [f.p_beyond(f.reach + c, 50.3) for c in (0, 2000, 4000, 6000, 20000)]
    assert risks == sorted(risks) and risks[0] < 0.01 and risks[-1] > 0.99


def test_the_line_from_new_goes_through_the_origin() -> None:
    slope, u, dof = rate_from_new([1000, 2000, 3000], [0.03, 0.06, 0.09])
    assert (slope, u, dof) == (pytest.approx(3e-5), pytest.approx(0.0, abs=1e-12), 2.0)
    with pytest.raises(DataError):
        rate_from_new([0.0, 0.0], [1.0, 2.0])
