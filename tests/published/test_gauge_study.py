"""Gauge studies against published ones: crossed (thermal impedance), linearity, nested over days and runs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from inspect_tui.metrology.gauges.bias import linearity_study, nested_study
from inspect_tui.metrology.gauges.study import crossed_study
from inspect_tui.metrology.spread.chart_constants import d2, d2_star
from inspect_tui.metrology.spread.statistics import Summary
from tests.published.stats_data import agrees, load


def rows(data: dict[str, Any]) -> Iterator[tuple[int, str, str, float]]:
    for person, trials in data["readings"].items():
        for trial, values in trials.items():
            for part, value in enumerate(values, 1):
                yield part, person, trial, value


def test_crossed_study_by_analysis_of_variance() -> None:
    """Houf and Berman (1988); table in Burdick, Borror and Montgomery (2003), J. Quality Technology 35."""
    check = load("g_grr_impedance")
    study = crossed_study(rows(check["data"]))
    line = {row.source: row for row in study.table}
    a = study.anova
    assert not study.pooled
    assert a.repeatability.value is not None
    assert a.reproducibility.value is not None
    assert a.combined.value is not None
    assert a.part.value is not None
    assert a.interaction is not None
    got = {
        "ss_part": line["part"].ss,
        "ss_operator": line["person"].ss,
        "ss_interaction": line["interaction"].ss,
        "ss_error": line["repeatability"].ss,
        "ss_total": line["total"].ss,
        "ms_part": line["part"].ms,
        "ms_operator": line["person"].ms,
        "ms_interaction": line["interaction"].ms,
        "ms_error": line["repeatability"].ms,
        "F_interaction": line["interaction"].f,
        "full_var_repeatability": a.repeatability.value**2,
        "full_var_interaction": a.interaction**2,
        "full_var_operator": a.reproducibility.value**2 - a.interaction**2,
        "full_var_part": a.part.value**2,
        "full_var_gauge": a.combined.value**2,
        "full_GRR": a.combined.value,
        "full_pct_GRR": a.percent_of_total,
    }
    agrees(check, got, besides=["EV", "AV", "GRR", "PV", "TV", "pct_GRR", "ndc"])
    assert a.distinct_categories == 7


def test_crossed_study_by_averages_and_ranges() -> None:
    """The published figures use factors rounded to four places (.5908, .5231, .3146); exact ones differ by 0.02 %."""
    check = load("g_grr_impedance")
    study = crossed_study(rows(check["data"]))
    r = study.range
    assert r is not None
    assert r.distinct_categories == check["expected"]["ndc"]
    for name, value in (
        ("EV", r.repeatability.value),
        ("AV", r.reproducibility.value),
        ("GRR", r.combined.value),
        ("PV", r.part.value),
        ("TV", r.total.value),
        ("pct_GRR", r.percent_of_total),
    ):
        assert value is not None
        assert abs(value / check["expected"][name] - 1) < 2.5e-4, name
    # the same with the rounded factors in place of the integrals, to the stated tolerance
    assert r.repeatability.value is not None
    assert r.part.value is not None
    assert r.reproducibility.value is not None
    ev = r.repeatability.value * d2(3) * 0.5908
    between = (r.reproducibility.value**2 + r.repeatability.value**2 / 30) ** 0.5 * d2_star(3, 1) * 0.5231
    av = (between**2 - ev**2 / 30) ** 0.5
    pv = r.part.value * d2_star(10, 1) * 0.3146
    grr = (ev**2 + av**2) ** 0.5
    tv = (grr**2 + pv**2) ** 0.5
    got = {"EV": ev, "AV": av, "GRR": grr, "PV": pv, "TV": tv, "pct_GRR": 100 * grr / tv, "ndc": r.distinct_categories}
    agrees(check, got, besides=[name for name in check["expected"] if name not in got])


def test_linearity() -> None:
    check = load("g_linearity")
    found = linearity_study(check["data"]["reference"], check["data"]["readings"])
    got = {
        "slope": found.slope,
        "intercept": found.intercept,
        "s": found.s,
        "r_squared": found.r_squared,
        "t_slope": found.t_slope,
        "t_intercept": found.t_intercept,
        "t_crit": found.t_critical,
    }
    got |= {f"bias{i}": b.bias for i, b in enumerate(found.biases, 1)}
    agrees(check, got)
    assert found.differs


def test_repeats_within_days_within_runs() -> None:
    check = load("g_nested_two_runs")
    n = check["data"]["repetitions"]
    runs = [
        [Summary(n, m, s * s * (n - 1), m - s, m + s) for m, s in zip(run["average"], run["sd"], strict=True)]
        for run in check["data"]["runs"]
    ]
    found = nested_study(runs)
    got = {
        "run1_mean": found.run_means[0],
        "run1_level2_sd": found.run_day_sd[0],
        "run2_mean": found.run_means[1],
        "run2_level2_sd": found.run_day_sd[1],
        "level1_sd_pooled": found.repeatability,
        "level1_dof": found.dof,
        "level2_sd_pooled": found.between_days,
        "level3_sd": found.between_runs,
        "var_days_raw": found.added_by_days,
        "var_runs_raw": found.added_by_runs,
        "reproducibility_sd": found.combined,
    }
    agrees(check, got)
