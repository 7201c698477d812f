"""All ways to read the readings: their probabilities, lag, swing over the year, slips, rates after repairs."""

from __future__ import annotations

import numpy as np
import pytest

from inspect_tui.metrology.wear.clock import Clock
from inspect_tui.metrology.wear.ways import LAGS, Kind, Readings, Way, _gaps, _lags, _solve, ways

X = np.linspace(0, 6000, 40)


def readings(y: np.ndarray, days: float = 40.0, seg: np.ndarray | None = None, suspects: tuple = ()) -> Readings:
    x = np.tile(X, len(y) // len(X))
    seg = np.zeros(len(y), dtype=int) if seg is None else seg
    return Readings(x=x, y=y, segment=seg, day=np.linspace(0, days, len(y)), suspects=suspects)


def noise(seed: int, n: int = 40, sd: float = 0.03) -> np.ndarray:
    return np.random.default_rng(seed).normal(0, sd, n)


def share(found: list[Way], of: object) -> float:
    return sum(way.weight for way in found if of(way.kind))  # type: ignore[operator]


def test_the_likeliest_stands_first_and_all_are_certain_together() -> None:
    found = ways(readings(80 + 3e-5 * X + noise(1)), [0], 0)
    weights = [way.weight for way in found]
    assert weights == sorted(weights, reverse=True) and sum(weights) == pytest.approx(1)
    assert found[0].kind == Kind(Clock()) or found[0].kind.clock.kind == "straight"


def test_evidence_is_that_of_the_normal_model_with_its_noise_integrated_out() -> None:
    # two flat coefficients, sigma as 1/sigma: p(y) ~ G(nu/2) pi^(-nu/2) |X'X|^(-1/2) RSS^(-nu/2), nu = n - 2
    # (Gelman et al., Bayesian Data Analysis, 14.2); here against a straight computation with numpy
    from math import lgamma, log, pi

    y = 80 + 3e-5 * X + noise(2)
    value, made = _solve(readings(y), Kind(Clock()), [0], 0, 0.0, 0.0)  # type: ignore[misc]
    design = np.column_stack([np.ones(40), X - X.mean()])
    beta, rss, _, _ = np.linalg.lstsq(design, y, rcond=None)
    expected = lgamma(19) - 19 * (log(rss[0]) + log(pi)) - 0.5 * np.linalg.slogdet(design.T @ design)[1]
    assert value == pytest.approx(expected, rel=1e-9)
    assert made["beta"] == pytest.approx(beta)
    assert np.sqrt(np.diag(made["cov"])) == pytest.approx(
        np.sqrt(rss[0] / 38 * np.diag(np.linalg.inv(design.T @ design)))
    )


def test_lag_makes_generalised_least_squares() -> None:
    import statsmodels.api as sm

    y = 80 + 3e-5 * X + noise(3)
    _, made = _solve(readings(y), Kind(Clock(), 0.6), [0], 0, 0.0, 0.0)  # type: ignore[misc]
    corr = 0.6 ** np.abs(np.subtract.outer(np.arange(40), np.arange(40)))
    theirs = sm.GLS(y, sm.add_constant(X - X.mean()), sigma=corr).fit()
    assert made["beta"] == pytest.approx(theirs.params, rel=1e-9)
    assert np.sqrt(np.diag(made["cov"])) == pytest.approx(theirs.bse, rel=1e-9)


def test_readings_that_swing_to_and_fro_lean_the_other_way() -> None:
    import statsmodels.api as sm

    y = 80 + 3e-5 * X + noise(3)
    _, made = _solve(readings(y), Kind(Clock(), -0.4), [0], 0, 0.0, 0.0)  # type: ignore[misc]
    corr = (-0.4) ** np.abs(np.subtract.outer(np.arange(40.0), np.arange(40.0))).round()
    theirs = sm.GLS(y, sm.add_constant(X - X.mean()), sigma=corr).fit()
    assert np.sqrt(np.diag(made["cov"])) == pytest.approx(theirs.bse, rel=1e-9)
    swung = 80 + 3e-5 * X + 0.02 * np.resize([1, -1], 40) + noise(4, sd=0.01)
    assert share(ways(readings(swung), [0], 0), lambda k: k.lag < 0) > 0.9
    few = Readings(x=X[:12], y=swung[:12], segment=np.zeros(12, dtype=int), day=X[:12] / 100.0)
    assert not share(ways(few, [0], 0), lambda k: k.lag < 0)  # twelve cannot tell, and are not surer for it
    assert [lag for lag, _ in _lags(11)] == [lag for lag, _ in LAGS]
    assert all(lag >= 0 for lag, _ in _lags(10)) and sum(p for _, p in _lags(10)) == pytest.approx(1)


def test_readings_close_in_time_lean_on_each_other_more() -> None:
    assert _gaps(np.array([0.0, 10.0, 20.0, 21.0, 51.0])) == pytest.approx([1, 1, 0.1, 3])
    assert _gaps(np.array([3.0, 3.0])) == pytest.approx([0.05])


def test_lag_is_seen_where_it_is() -> None:
    rng = np.random.default_rng(4)
    e = np.zeros(40)
    for i in range(1, 40):
        e[i] = 0.8 * e[i - 1] + rng.normal(0, 0.02)
    assert share(ways(readings(80 + 3e-5 * X + e), [0], 0), lambda k: k.lag > 0) > 0.9
    clean = [share(ways(readings(80 + 3e-5 * X + noise(s)), [0], 0), lambda k: k.lag > 0) for s in range(20)]
    assert np.mean(clean) < sum(p for lag, p in LAGS if lag)  # less than beforehand


def test_the_odds_of_a_lag_are_the_same_however_many_readings_there_are() -> None:
    assert sum(p for _, p in LAGS) == pytest.approx(1) and sum(p for lag, p in LAGS if lag > 0) == pytest.approx(0.5)
    for n in (13, 16):  # so few noisy readings hardly change what is taken beforehand
        x = X[:n]
        lean = [
            share(
                ways(
                    Readings(x=x, y=80 + 3e-5 * x + noise(s, n=n), segment=np.zeros(n, dtype=int), day=x / 100.0),
                    [0],
                    0,
                ),
                lambda k: k.lag > 0,
            )
            for s in range(12)
        ]
        assert 0.3 < np.mean(lean) < 0.6


def test_the_likeliest_straight_way_is_kept_however_unlikely() -> None:
    found = ways(readings(80 + 3e-5 * X * X / 6000 + noise(7, sd=0.0005)), [0], 0)
    straight = [way.weight for way in found if way.kind.clock.kind == "straight"]
    assert 1 <= len(straight) <= 2 and 0 < sum(straight) < 1e-6
    assert any(way.kind.clock.kind == "straight" and not way.kind.lag for way in found)


def test_a_swing_over_the_year_is_seen_where_it_is_and_bounded_where_it_is_known() -> None:
    swing = 0.05 * np.cos(2 * np.pi * np.linspace(0, 730, 40) / 365.25 + 1)
    found = ways(readings(80 + 3e-5 * X + swing + noise(5, sd=0.02), days=730), [0], 0)
    assert share(found, lambda k: k.season) > 0.9
    assert not share(ways(readings(80 + noise(5), days=200), [0], 0), lambda k: k.season)  # too short to look for it
    short = readings(80 + 3e-5 * X + noise(6), days=120)
    plain, swung = ways(short, [0], 0)[0], ways(short, [0], 0, season_mm=0.05)[0]
    assert swung.kind.season and swung.cov[1, 1] > 4 * plain.cov[1, 1]


def test_how_wear_bends_is_seen() -> None:
    faster = ways(readings(80 + 3e-5 * X * X / 6000 + noise(7, sd=0.005)), [0], 0)
    assert share(faster, lambda k: k.clock.speeds_up) > 0.99
    worn_in = 80 + 3e-5 * (3 * np.minimum(X, 1200) + np.maximum(X - 1200, 0)) + noise(8, sd=0.005)
    assert share(ways(readings(worn_in), [0], 0), lambda k: k.clock.slows) > 0.99


def test_a_suspect_is_weighed_by_how_far_it_lies_off() -> None:
    y = 80 + 3e-5 * X + noise(9, sd=0.02)
    out = []
    for off in (0.0, 0.04, 0.08, 0.12, 1.0):
        z = y.copy()
        z[20] = 80 + 3e-5 * X[20] + off
        out.append(share(ways(readings(z, suspects=((20, False),)), [0], 0), lambda k: 20 in k.slips))
    assert out == sorted(out) and out[0] < 0.01 and out[-1] == pytest.approx(1)
    asked = share(ways(readings(z_at(y, 0.08), suspects=((20, True),)), [0], 0), lambda k: 20 in k.slips)
    assert asked > out[2]


def z_at(y: np.ndarray, off: float) -> np.ndarray:
    z = y.copy()
    z[20] = 80 + 3e-5 * X[20] + off
    return z


def test_rates_after_repairs_are_weighed_too() -> None:
    seg = np.repeat([0, 1], 40)
    same = 80 + 3e-5 * np.tile(X, 2) + noise(10, 80)
    other = 80 + np.repeat([2e-5, 6e-5], 40) * np.tile(X, 2) + noise(10, 80)
    apart = [share(ways(readings(y, seg=seg), [0, 1], 1), lambda k: k.apart) for y in (same, other)]
    assert apart[0] < 0.5 and apart[1] > 0.99


def test_that_somebody_asked_makes_a_slip_as_likely_as_not_beforehand() -> None:
    y = z_at(80 + 3e-5 * X + noise(9, sd=0.02), 0.07)
    odds = []
    for asked in (False, True):
        p = share(ways(readings(y, suspects=((20, asked),)), [0], 0), lambda k: 20 in k.slips)
        odds.append(p / (1 - p))
    assert odds[1] / odds[0] == pytest.approx((0.5 / 0.5) / (0.02 / 0.98), rel=0.1)
