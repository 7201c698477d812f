"""One-way analysis of variance and linear fits against NIST StRD sets and the NIST/SEMATECH e-Handbook."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.statistics_checks import one_way
from inspect_tui.metrology.statistics_fit import least_squares

from .stats_data import agrees, load, log_relative_error


@pytest.mark.parametrize("name", ["a_sirstv", "a_smls01", "a_smls07", "a_anova_machine"])
def test_one_way_analysis_of_variance(name: str) -> None:
    check = load(name)
    table = one_way(check["data"]["groups"])
    got = {
        "df_between": table.df_between, "ss_between": table.ss_between, "ms_between": table.ms_between,
        "F": table.f, "df_within": table.df_within, "ss_within": table.ss_within, "ms_within": table.ms_within,
        "r_squared": table.r_squared, "residual_sd": table.residual_sd, "p_value": table.p,
    }  # fmt: skip
    agrees(check, {k: v for k, v in got.items() if k in check["expected"]}, besides=["F_crit"])
    # constant leading digits (SmLs07: thirteen) must not cost any: 9 digits and more on every set
    if name.startswith("a_s"):
        assert log_relative_error(table.f, check["expected"]["F"]) >= 9


@pytest.mark.parametrize("name", ["a_norris", "a_noint1", "a_noint2", "a_longley"])
def test_least_squares(name: str) -> None:
    check = load(name)
    data = check["data"]
    fit = least_squares(data.get("columns") or [data["x"]], data["y"], data["intercept"])
    first = 0 if data["intercept"] else 1
    got = {f"B{i}": b for i, b in enumerate(fit.b, first)} | {f"sd_B{i}": u for i, u in enumerate(fit.u, first)}
    got |= {
        "residual_sd": fit.residual_sd, "residual_dof": fit.dof, "r_squared": fit.r_squared, "F": fit.f,
        "ss_regression": fit.ss_regression, "ss_residual": fit.ss_residual,
    }  # fmt: skip
    agrees(check, got)
    digits = 13 if name == "a_norris" else 10
    assert all(log_relative_error(got[b], want) >= digits for b, want in check["expected"].items() if b.startswith("B"))
