"""Capability indices and their bounds against the NIST/SEMATECH e-Handbook and the formulas of Kane and Bissell."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.spread.capability import (
    capability,
    cp_bound,
    cpk_bound,
    cpk_lower_side,
    cpk_upper_side,
    one_sided_bound,
    ratio_cp,
    ratio_cpk,
)
from inspect_tui.model.words import Band
from tests.published.stats_data import agrees, load


def test_indices_of_known_limits_mean_and_sd() -> None:
    check = load("e_capability_handbook")
    d = check["data"]
    low, high, mean, s = d["LSL"], d["USL"], d["mean"], d["s"]
    cp, cpk = ratio_cp(low, high, s), ratio_cpk(low, high, mean, s)
    got = {
        "Cp": cp,
        "Cpu": cpk_upper_side(high, mean, s),
        "Cpl": cpk_lower_side(low, mean, s),
        "Cpk": cpk,
        "k": 1.0 - cpk / cp,
    }
    agrees(check, got)


def test_bounds() -> None:
    check = load("e_capability_bounds")
    got = {}
    for i, case in enumerate(check["data"]["cp_cases"]):
        n, cp, level = case["n"], case["Cp"], case["level"]
        got[f"Cp{i}_lower2"] = cp_bound(cp, n - 1, 0.5 + level / 2)
        got[f"Cp{i}_upper2"] = cp_bound(cp, n - 1, 0.5 - level / 2)
        got[f"Cp{i}_lower1"] = cp_bound(cp, n - 1, level)
    for i, case in enumerate(check["data"]["cpk_cases"]):
        n, cpk, level = case["n"], case["Cpk"], case["level"]
        got[f"Cpk{i}_lower2"] = cpk_bound(cpk, n, 0.5 + level / 2)
        got[f"Cpk{i}_upper2"] = cpk_bound(cpk, n, 0.5 - level / 2)
        got[f"Cpk{i}_lower1"] = cpk_bound(cpk, n, level)
        got[f"Cpu{i}_lower1_exact"] = one_sided_bound(cpk, n, level)
    agrees(check, got)


@pytest.mark.parametrize(("how", "key"), [("s", "sbar_c4"), ("range", "rbar_d2"), ("pooled", "pooled")])
def test_stable_and_total_spread_of_subgroups(how: str, key: str) -> None:
    check = load("e_capability_gear")
    d = check["data"]
    c = capability(None, Band(d["LSL"], d["USL"], "chosen for the check"), d["subgroups"], how)
    got = {
        f"sigma_{key}": c.s_within,
        f"Cp_{key}": c.c_p.value,
        f"Cpk_{key}": c.c_pk.value,
        "sigma_overall": c.s_total,
        "Pp": c.p_p.value,
        "Ppk": c.p_pk.value,
        "Cpm": c.p_m,
        "ppm_normal_overall": 1e6 * (c.fraction_out or 0.0),
    }
    others = [name for name in check["expected"] if name not in got]
    assert all(name.split("_", 1)[1] in ("sbar_c4", "rbar_d2", "pooled") for name in others)
    agrees(check, got, besides=others)
