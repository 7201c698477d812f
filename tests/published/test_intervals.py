"""Confidence, prediction and tolerance intervals against the NIST/SEMATECH e-Handbook and published factors."""

from __future__ import annotations

from math import isclose, sqrt

from inspect_tui.metrology.spread.intervals import (
    fewest_for_extremes,
    mean_interval,
    prediction_factor,
    prediction_factor_of_mean,
    prediction_interval,
    sd_interval,
    tolerance_factor,
    tolerance_factor_one_sided,
    tolerance_interval,
)
from inspect_tui.metrology.spread.statistics import Summary, from_values
from tests.published.stats_data import agrees, load


def test_intervals_of_the_check_standard() -> None:
    check = load("f_median_and_sd_intervals")
    y = check["data"]["y"]
    summary = from_values(y)
    mean, sd, nxt = mean_interval(y), sd_interval(y), prediction_interval(y)
    got = {
        "n": summary.n,
        "mean": summary.mean,
        "sd": summary.s,
        "mean_lower": mean.lower,
        "mean_upper": mean.upper,
        "sd_lower": sd.lower,
        "sd_upper": sd.upper,
        "prediction_lower": nxt.lower,
        "prediction_upper": nxt.upper,
    }
    agrees(check, got)
    assert mean.holds
    assert sd.holds


def test_prediction_factors_and_distribution_free_sample_sizes() -> None:
    check = load("f_prediction_and_order")
    d = check["data"]
    got: dict[str, float] = {}
    for n, level, m in d["prediction"]:
        got[f"prediction factor n={n},level={level},m={m} Bonferroni"] = prediction_factor(n, level, m)
    for n, level, m in d["mean_of_future"]:
        got[f"factor for mean of {m} future, n={n},level={level}"] = prediction_factor_of_mean(n, level, m)
    for p, confidence in d["nonparametric"]:
        got[f"n two-sided extremes p={p},conf={confidence}"] = fewest_for_extremes(p, confidence, 2)
        got[f"n one-sided extreme p={p},conf={confidence}"] = fewest_for_extremes(p, confidence, 1)
    agrees(check, got)


def test_exact_tolerance_factors() -> None:
    check = load("f_tolerance_factors")
    got = {}
    for n, p, confidence in check["data"]["cases"]:
        got[f"k2_exact[n={n},p={p},conf={confidence}]"] = tolerance_factor(n, p, confidence)
        got[f"k1_exact[n={n},p={p},conf={confidence}]"] = tolerance_factor_one_sided(n, p, confidence)
    approximations = [name for name in check["expected"] if name.startswith(("k2_howe", "k1_natrella"))]
    agrees(check, got, besides=approximations)
    for name in approximations:  # Howe's and Natrella's factors are near, not equal: nobody took them for exact
        exact = name.replace("k2_howe", "k2_exact").replace("k1_natrella", "k1_exact")
        assert isclose(check["expected"][name], got[exact], rel_tol=0.02)
        assert abs(check["expected"][name] - got[exact]) > 1e-4


def test_two_sided_factors_of_the_standard() -> None:
    # ISO 16269-6, table of exact two-sided factors, unknown mean and sd, confidence 0.95 (from memory)
    for n, p, k in ((2, 0.95, 36.5192), (3, 0.95, 9.7888)):
        assert abs(tolerance_factor(n, p, 0.95) - k) < 6e-5, (n, p)


def test_tolerance_interval_of_the_wafers() -> None:
    check = load("f_tolerance_handbook")
    (n, p, confidence) = check["data"]["cases"][0]
    mean, s = check["data"]["mean"], check["data"]["sd"]
    summary = Summary(n, mean, s * s * (n - 1), mean - 3 * s, mean + 3 * s)
    two, one = tolerance_interval(summary, p, confidence), tolerance_interval(summary, p, confidence, "upper")
    key = f"n={n},p={p},conf={confidence}"
    got = {
        f"k2_exact[{key}]": tolerance_factor(n, p, confidence),
        f"k1_exact[{key}]": tolerance_factor_one_sided(n, p, confidence),
    }
    # the handbook's limits come from Howe's 2.217 and Natrella's 1.8752; the exact factors widen the first by 0.3 %
    printed = [f"k2_howe[{key}]", f"k1_natrella[{key}]", "lower2", "upper2", "upper1"]
    agrees(check, got, besides=printed)
    e = check["expected"]
    assert abs(two.upper - e["upper2"]) < 2e-4
    assert abs(two.lower - e["lower2"]) < 2e-4
    assert abs(one.upper - e["upper1"]) < 5e-5
    assert isclose((two.upper - mean) / s, e[f"k2_exact[{key}]"], rel_tol=1e-6)
    assert two.holds is None  # a summary cannot show whether its readings were normal


def test_a_mean_of_many_future_readings_tends_to_the_interval_of_the_mean() -> None:
    assert abs(prediction_factor_of_mean(20, 0.95, 10**9) * sqrt(20) - 2.0930240544) < 1e-6  # t(19; 0.975)
