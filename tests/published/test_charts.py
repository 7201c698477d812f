"""Control-chart constants, limits and signals against published tables and the NIST/SEMATECH e-Handbook's examples."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.spread.chart_constants import c4, constants, d2, d2_star, d3, median_moving_range
from inspect_tui.metrology.spread.chart_counts import counts_chart, fractions_chart
from inspect_tui.metrology.spread.chart_memory import cusum, ewma
from inspect_tui.metrology.spread.charts import ControlChart, individuals, means_range, means_s
from inspect_tui.metrology.spread.checks import equal_spreads, equal_spreads_robust
from tests.published.stats_data import agrees, load

# Table of factors, ASTM MNL 7 and ISO 7870-2, n = 16..25, three places (from memory; the same columns as below 16 in
# the data file). Some printed entries are not the rounded integrals; they are named below, found by integration here.
TABLE_16_25 = {
    16: (3.532, 0.750, 0.9835, 0.212, 0.763, 0.448, 1.552, 0.363, 1.637),
    17: (3.588, 0.744, 0.9845, 0.203, 0.739, 0.466, 1.534, 0.378, 1.622),
    18: (3.640, 0.739, 0.9854, 0.194, 0.718, 0.482, 1.518, 0.391, 1.608),
    19: (3.689, 0.734, 0.9862, 0.187, 0.698, 0.497, 1.503, 0.403, 1.597),
    20: (3.735, 0.729, 0.9869, 0.180, 0.680, 0.510, 1.490, 0.415, 1.585),
    21: (3.778, 0.724, 0.9876, 0.173, 0.663, 0.523, 1.477, 0.425, 1.575),
    22: (3.819, 0.720, 0.9882, 0.167, 0.647, 0.534, 1.466, 0.434, 1.566),
    23: (3.858, 0.716, 0.9887, 0.162, 0.633, 0.545, 1.455, 0.443, 1.557),
    24: (3.895, 0.712, 0.9892, 0.157, 0.619, 0.555, 1.445, 0.451, 1.548),
    25: (3.931, 0.708, 0.9896, 0.153, 0.606, 0.565, 1.435, 0.459, 1.541),
}
PRINTED_OTHERWISE = {
    ("D4", 3),
    ("D4", 18),
    ("d3", 19),
    ("D3", 19),
    ("D4", 19),
    ("D3", 22),
    ("D4", 22),
    ("D3", 24),
}
COLUMNS = ("d2", "d3", "c4", "A2", "A3", "B3", "B4", "D3", "D4")


def test_every_constant_from_2_to_15() -> None:
    check = load("b_chart_constants_n2_15")
    got = {}
    for name in check["expected"]:
        which, n = name[:-1].split("[")
        got[name] = getattr(constants(int(n)), which)
    agrees(check, got)


def test_the_printed_table_from_2_to_25() -> None:
    printed = load("b_chart_constants_n2_15")["data"]["published_table"]
    rows = {int(n): row for n, row in printed.items()}
    rows |= {n: dict(zip(COLUMNS, row, strict=True)) for n, row in TABLE_16_25.items()}
    assert sorted(rows) == list(range(2, 26))
    off = set()
    for n, row in rows.items():
        for name, value in row.items():
            have = getattr(constants(n), name)
            place = 1e-4 if name == "c4" else 1e-3
            assert abs(have - value) <= place, (name, n, have, value)
            if abs(have - value) > 0.505 * place:
                off.add((name, n))
    # these printed values are not the rounded integrals; nothing else may differ in its last place
    assert off == PRINTED_OTHERWISE


def test_closed_forms_and_the_mean_of_ranges() -> None:
    check = load("b_c4_d2_relations")
    got = {f"c4[{n}]": c4(n) for n in check["data"]["c4_n"]}
    got |= {"d2[2]": d2(2), "d2[3]": d2(3), "d3[2]": d3(2), "median_moving_range_factor[2]": median_moving_range()}
    got |= {f"d2star[m={m},g={g}]": d2_star(m, g) for m, g in check["data"]["d2star_at"]}
    agrees(check, got)


def signalled(chart: ControlChart) -> list[int]:
    """Points (from 1) that any test points at."""
    return sorted({i + 1 for s in chart.signals for i in range(s.index, s.last + 1)})


def test_individuals_chart() -> None:
    check = load("c_individuals_flowrate")
    chart = individuals(check["data"]["x"])
    spread = chart.companion
    assert spread is not None
    # the handbook divides by d2 rounded to 1.128
    widen = d2(2) / 1.128
    centre = chart.centre[0] or 0.0
    got = {
        "mean": centre,
        "mr_bar": spread.centre[1],
        "UCL_x": centre + ((chart.upper[0] or 0.0) - centre) * widen,
        "LCL_x": centre + ((chart.lower[0] or 0.0) - centre) * widen,
        "signals_x": signalled(chart),
    }
    agrees(check, got)
    assert abs((chart.upper[0] or 0.0) - check["expected"]["UCL_x"]) < 0.002


def test_means_with_s_and_with_range() -> None:
    check = load("c_xbar_gear")
    groups = check["data"]["subgroups"]
    by_s, by_r = means_s(groups, tests=["beyond_limits"]), means_range(groups, tests=["beyond_limits"])
    assert by_s.companion is not None
    assert by_r.companion is not None
    got = {
        "grand_mean": by_s.centre[0],
        "s_bar": by_s.companion.centre[0],
        "R_bar": by_r.companion.centre[0],
        "UCL_xbar_s": by_s.upper[0],
        "LCL_xbar_s": by_s.lower[0],
        "UCL_xbar_R": by_r.upper[0],
        "LCL_xbar_R": by_r.lower[0],
        "UCL_s": by_s.companion.upper[0],
        "LCL_s": by_s.companion.lower[0],
        "UCL_R": by_r.companion.upper[0],
        "LCL_R": by_r.companion.lower[0],
        "signals_xbar_s": signalled(by_s),
        "signals_s": signalled(by_s.companion),
        "bartlett": equal_spreads(groups).statistic,
        "levene_median": equal_spreads_robust(groups).statistic,
    }
    agrees(check, got)


def test_ewma_chart() -> None:
    check = load("c_ewma_handbook")
    data = check["data"]
    design = (data["x"], data["lambda"], data["L"])
    chart = ewma(*design, centre=data["target"], sigma=data["sigma"])
    flat = ewma(*design, centre=data["target"], sigma=data["sigma"], constant_limits=True)
    got = {
        "UCL": flat.upper[0],
        "LCL": flat.lower[0],
        "ewma": [data["target"], *chart.points],
        "signals": signalled(chart),
        "UCL_exact_t1": chart.upper[0],
        "UCL_exact_t5": chart.upper[4],
    }
    agrees(check, got)


def test_cusum_chart() -> None:
    check = load("c_cusum_handbook")
    data = check["data"]
    chart = cusum(data["x"], data["k"], data["h"], centre=data["target"], sigma=1.0)
    assert chart.companion is not None
    found = signalled(chart)
    got = {
        "S_hi": chart.points,
        "S_lo": [-(p or 0.0) for p in chart.companion.points],
        "signals": found,
        "first_signal": found[0],
    }
    agrees(check, got)
    assert not chart.companion.signals


def test_counts_chart() -> None:
    check = load("c_counts_chart")
    chart = counts_chart(check["data"]["counts"])
    got = {"c_bar": chart.centre[0], "UCL": chart.upper[0], "LCL": chart.lower[0], "signals": signalled(chart)}
    agrees(check, got)


def test_fractions_chart() -> None:
    check = load("c_proportions_chart")
    n = check["data"]["n"]
    bad = [round(f * n) for f in check["data"]["fraction"]]
    chart = fractions_chart(bad, [n] * len(bad))
    got = {"p_bar": chart.centre[0], "UCL": chart.upper[0], "LCL": chart.lower[0], "signals": signalled(chart)}
    agrees(check, got)


@pytest.mark.parametrize("n", [2, 5, 10, 25])
def test_constants_hang_together(n: int) -> None:
    # definitions, ASTM MNL 7: limits from a mean range and from a given sigma are the same lines
    k = constants(n)
    assert abs(k.A2 * k.d2 - k.A) < 1e-12
    assert abs(k.A3 * k.c4 - k.A) < 1e-12
    assert abs(k.D4 * k.d2 - k.D2) < 1e-12
    assert abs(k.B4 * k.c4 - k.B6) < 1e-12
