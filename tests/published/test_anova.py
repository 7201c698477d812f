"""One-way analysis of variance and linear fits against NIST StRD sets and the NIST/SEMATECH e-Handbook."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.spread.checks import one_way
from inspect_tui.metrology.spread.least_squares import least_squares
from tests.published.stats_data import agrees, load, log_relative_error


@pytest.mark.parametrize("name", ["a_sirstv", "a_smls01", "a_smls07", "a_anova_machine"])
def test_one_way_analysis_of_variance(name: str) -> None:
    check = load(name)
    table = one_way(check["data"]["groups"])
    got = {
        "df_between": table.df_between,
        "ss_between": table.ss_between,
        "ms_between": table.ms_between,
        "F": table.f,
        "df_within": table.df_within,
        "ss_within": table.ss_within,
        "ms_within": table.ms_within,
        "r_squared": table.r_squared,
        "residual_sd": table.residual_sd,
        "p_value": table.p,
    }
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
        "residual_sd": fit.residual_sd,
        "residual_dof": fit.dof,
        "r_squared": fit.r_squared,
        "F": fit.f,
        "ss_regression": fit.ss_regression,
        "ss_residual": fit.ss_residual,
    }
    agrees(check, got)
    digits = 13 if name == "a_norris" else 10
    assert all(log_relative_error(got[b], want) >= digits for b, want in check["expected"].items() if b.startswith("B"))


# NIST StRD linear regression, Wampler1 to Wampler5 (Wampler 1970, J. Am. Stat. Assoc. 65): a polynomial of degree 5 over
# x = 0..20, higher level of difficulty. Definition, certified coefficients, standard deviations and R squared from
# memory; the certified coefficients of 1 and 2 are the definition itself, the others follow from it by symmetry.
DELTA = (759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048)
DELTAS = (*DELTA, 2048, *DELTA[::-1])
WAMPLER_U = (
    2152.32624678170,
    2363.55173469681,
    779.343524331583,
    101.475507550350,
    5.64566512170752,
    0.112324854679312,
)


@pytest.mark.parametrize(
    ("noise", "residual_sd", "r_squared"),
    [
        (0, 0.0, 1.0),
        (1, 2360.14502379268, 0.999995559025820),
        (100, 236014.502379268, 0.957478440825662),
        (10_000, 23601450.2379268, 0.224668921574940e-2),
    ],
)
def test_wampler_polynomials_keep_every_digit(noise: int, residual_sd: float, r_squared: float) -> None:
    xs = range(21)
    y = [float(sum(x**i for i in range(6)) + noise * d) for x, d in zip(xs, DELTAS, strict=True)]
    fit = least_squares([[float(x**i) for x in xs] for i in range(1, 6)], y)
    assert fit.b == (1.0,) * 6  # rounded once, at the end
    # U = 0 is certified for the exact polynomial
    assert log_relative_error(fit.residual_sd, residual_sd) >= 14
    assert log_relative_error(fit.r_squared, r_squared) >= 14
    for got, want in zip(fit.u, WAMPLER_U, strict=True):
        assert log_relative_error(got, noise * want) >= 13.5


def test_wampler_2_with_coefficients_that_are_no_doubles() -> None:
    """y as published, to five decimals: 1 + 0.1 x + 0.01 x^2 + ... + 0.00001 x^5; y is rounded to a double first."""
    xs = range(21)
    y = [sum(x**i * 10 ** (5 - i) for i in range(6)) / 1e5 for x in xs]
    fit = least_squares([[float(x**i) for x in xs] for i in range(1, 6)], y)
    assert all(log_relative_error(b, 10.0**-i) >= 13 for i, b in enumerate(fit.b))
    assert fit.residual_sd < 1e-14
