"""Outliers and normality against Rosner, Grubbs, Anderson-Darling and Shapiro-Wilk examples."""

from __future__ import annotations

from inspect_tui.metrology.spread.checks import normality, shapiro_wilk
from inspect_tui.metrology.spread.outliers import flag_outliers, grubbs, grubbs_critical
from tests.published.stats_data import agrees, load


def test_generalised_esd_of_rosner() -> None:
    check = load("j_gesd_rosner")
    d = check["data"]
    found = flag_outliers(d["y"], d["r"], d["alpha"])
    agrees(check, {"R": found.r, "lam": found.critical, "outliers": len(found.index)})
    assert [d["y"][i] for i in found.index] == [6.01, 5.42, 5.34]  # Rosner (1983): the three largest


def test_grubbs() -> None:
    check = load("j_grubbs")
    y = check["data"]["y"]
    one, two = grubbs(y, side="upper"), grubbs(y)
    got = {"G": one.g, "G_crit_one_sided": one.critical, "index": one.index + 1, "G_crit_two_sided": two.critical}
    for n, alpha, sides in check["data"]["crit"]:
        got[f"crit n={n},alpha={alpha},sides={sides}"] = grubbs_critical(n, alpha, sides)
    agrees(check, got)
    assert one.outlier
    assert two.outlier


def test_anderson_darling() -> None:
    check = load("j_anderson_darling")
    got: dict[str, float | None] = {}
    for name, sample in check["data"]["samples"].items():
        found = normality(sample)
        got |= {f"A2_{name}": found.a2, f"A2adj_{name}": found.a2_adjusted, f"p_{name}": found.p}
        assert found.normal is False
    agrees(check, got)


def test_shapiro_wilk() -> None:
    check = load("j_shapiro")
    found = shapiro_wilk(check["data"]["samples"]["weights"])
    agrees(check, {"W_weights": found.statistic, "p_weights": found.p})
