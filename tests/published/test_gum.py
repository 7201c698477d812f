"""Budgets and simulated propagation against the worked examples of JCGM 100:2008 (GUM) and JCGM 101:2008."""

from __future__ import annotations

from math import cos, fsum, inf, sin, sqrt

import pytest

from inspect_tui.metrology.judge.uncertainty import (
    K2_COVERAGE,
    BudgetLine,
    Temperature,
    combine,
    reading_budget,
    rows,
)
from inspect_tui.metrology.judge.uncertainty_mc import Input, monte_carlo
from tests.published.uncertainty_data import check


def lines(us, dofs):
    return [
        BudgetLine(name=f"u{n}", u=u, dof=inf if dof is None else dof)
        for n, (u, dof) in enumerate(zip(us, dofs, strict=True))
    ]


# ------------------------------------------------------------------------------ H.1 end-gauge calibration
def h1_lines(inputs):
    return [BudgetLine(name=i["name"], u=i["u"] * i["c"], dof=i["dof"] or inf) for i in inputs]


def test_h1_end_gauge_calibration():
    h1 = check("gum_h1")
    h1.says("l_nm", h1.data["ls_nm"] + h1.data["d_nm"])
    budget = combine(h1_lines(h1.data["inputs"]), coverage=0.99)
    h1.says("u_c", budget.u)
    h1.says("nu_eff", budget.dof)
    h1.says("k99", budget.k)
    h1.says("U99", budget.U)
    table = {row.name: row for row in rows(budget)}
    h1.says("u_ls", table["l_s"].u)
    h1.says("u_dalpha", table["delta alpha"].u)
    h1.says("u_dtheta", table["delta theta"].u)
    assert sum(row.share for row in table.values()) == pytest.approx(1.0)
    assert max(table.values(), key=lambda row: row.share).name == "l_s"


def test_h1_comparator_difference_from_its_three_parts():
    # JCGM 100:2008, H.1.3.2: together 9.7 nm with 25.6 degrees of freedom (printed; recalled).
    h1 = check("gum_h1")
    budget = combine([line for line in h1_lines(h1.data["inputs"]) if line.name.startswith("d ")])
    h1.says("u_d", budget.u)
    # printed from the rounded 9.7; with 9.67 it is 25.45
    assert budget.dof * (9.7 / budget.u) ** 4 == pytest.approx(25.6, abs=0.1)


def test_h1_with_the_second_order_terms():
    h1 = check("gum_h1")
    more = [BudgetLine(name=f"second order {n}", u=u) for n, u in enumerate(h1.data["second_order_terms"])]
    h1.says("u_c_with_second_order", combine([*h1_lines(h1.data["inputs"]), *more]).u)


def test_h1_expansion_of_a_bar_near_20_degrees_by_the_budget_of_a_reading():
    """At 20 degC the product of two doubts (H.1.7) is all that is left; the figures are computed here."""
    warm = Temperature(alpha_work=11.5e-6, alpha_instrument=11.5e-6, delta_c=0.0, u_c=0.41, length_mm=50.0)
    line = next(x for x in reading_budget(0.0, temperature=warm).lines if x.name == "expansion")
    by_hand = 50.0 * 0.41 * sqrt(2.0) * 0.1 * 11.5e-6 / sqrt(3.0)
    assert line.u == pytest.approx(by_hand, rel=1e-12)


# ------------------------------------------------------------------------------ H.2 correlated readings
def h2():
    example = check("gum_h2")
    columns = [example.data[name] for name in ("V", "I", "phi")]
    n = len(columns[0])
    means = [fsum(c) / n for c in columns]
    covariance = [
        [
            fsum((x - mi) * (y - mj) for x, y in zip(ci, cj, strict=True)) / (n * (n - 1))
            for cj, mj in zip(columns, means, strict=True)
        ]
        for ci, mi in zip(columns, means, strict=True)
    ]
    us = [sqrt(covariance[i][i]) for i in range(3)]
    r = [[covariance[i][j] / us[i] / us[j] for j in range(3)] for i in range(3)]
    return example, means, us, r


def test_h2_means_and_their_correlations():
    example, means, us, r = h2()
    for name, got in [
        ("V", means[0]),
        ("I_mA", means[1] * 1e3),
        ("phi", means[2]),
        ("u_V", us[0]),
        ("u_I_mA", us[1] * 1e3),
        ("u_phi", us[2]),
        ("r_VI", r[0][1]),
        ("r_Vphi", r[0][2]),
        ("r_Iphi", r[1][2]),
    ]:
        example.says(name, got)


@pytest.mark.parametrize("quantity", ["R", "X", "Z"])
def test_h2_resistance_reactance_and_impedance_with_correlated_inputs(quantity):
    example, (v, i, phi), us, r = h2()
    value, slopes = {
        "R": (v / i * cos(phi), (cos(phi) / i, -v / i**2 * cos(phi), -v / i * sin(phi))),
        "X": (v / i * sin(phi), (sin(phi) / i, -v / i**2 * sin(phi), v / i * cos(phi))),
        "Z": (v / i, (1 / i, -v / i**2, 0.0)),
    }[quantity]
    parts = [
        BudgetLine(name=n, u=c * u, dof=4.0, kind="A") for n, c, u in zip(("V", "I", "phi"), slopes, us, strict=True)
    ]
    budget = combine(parts, r)
    example.says(quantity, value)
    example.says(f"u_{quantity}", budget.u)
    # All three come from the same five sets of readings: four degrees of freedom (H.2.4), and so by our convention.
    assert budget.dof == pytest.approx(example.expected["dof"], rel=1e-9)
    by_name = {("V", "I"): r[0][1], ("phi", "V"): r[0][2], ("I", "phi"): r[1][2]}
    assert combine(parts, by_name).u == pytest.approx(budget.u, rel=1e-12)
    assert sum(row.share for row in rows(budget)) == pytest.approx(1.0)
    assert rows(budget)[-1].name == "correlation"
    # H.2.3, note (recalled): with the correlations left out they would come to 0.195, 0.201 and 0.204 ohm.
    assert combine(parts).u == pytest.approx({"R": 0.195, "X": 0.201, "Z": 0.204}[quantity], abs=0.0006)


def test_h2_by_simulation():
    example, means, us, r = h2()
    inputs = [Input(m, u) for m, u in zip(means, us, strict=True)]
    outcome = monte_carlo(lambda v, i, _phi: v / i, inputs, draws=200_000, seed=2, correlations=r)
    example.says("Z", round(outcome.mean, 2))
    example.says("u_Z", round(outcome.u, 3))


# ------------------------------------------------------------------------------ H.3 calibration line
def test_h3_prediction_from_correlated_coefficients():
    h3 = check("gum_h3")
    t = [x - h3.data["t0"] for x in h3.data["t"]]
    b = h3.data["b"]
    n = len(t)
    d = n * fsum(x * x for x in t) - fsum(t) ** 2
    y2 = (n * fsum(x * y for x, y in zip(t, b, strict=True)) - fsum(t) * fsum(b)) / d
    y1 = (fsum(b) - y2 * fsum(t)) / n
    s = sqrt(fsum((y - y1 - y2 * x) ** 2 for x, y in zip(t, b, strict=True)) / (n - 2))
    u1, u2 = s * sqrt(fsum(x * x for x in t) / d), s * sqrt(n / d)
    r = -fsum(t) / sqrt(n * fsum(x * x for x in t))
    for name, got in [("y1", y1), ("y2", y2), ("u_y1", u1), ("u_y2", u2), ("r", r), ("s", s)]:
        h3.says(name, got)
    away = h3.data["predict_at"] - h3.data["t0"]
    budget = combine(
        [BudgetLine(name="y1", u=u1, dof=n - 2, kind="A"), BudgetLine(name="slope", u=away * u2, dof=n - 2, kind="A")],
        {("y1", "slope"): r},
    )
    h3.says("prediction", y1 + away * y2)
    h3.says("u_prediction", budget.u)
    assert budget.dof == pytest.approx(h3.expected["dof"], rel=1e-12)


# ------------------------------------------------------------------------------ Welch-Satterthwaite
@pytest.mark.parametrize("case", check("welch_satterthwaite").data["cases"], ids=lambda case: case["id"])
def test_effective_degrees_of_freedom(case):
    published = check("welch_satterthwaite")
    budget = combine(lines(case["u"], case["dof"]), coverage=case["level"])
    published.says(f"u_{case['id']}", budget.u)
    published.says(f"nu_{case['id']}", budget.dof)
    if f"k_{case['id']}" in published.expected:
        published.says(f"k_{case['id']}", budget.k)
        published.says(f"U_{case['id']}", budget.U)


# Table G.2 of JCGM 100:2008, coverage 95 % and 99 %, from memory as it stands in every table of Student's t.
@pytest.mark.parametrize(
    "dof, k95, k99",
    [
        (1, 12.71, 63.66),
        (2, 4.30, 9.92),
        (3, 3.18, 5.84),
        (4, 2.78, 4.60),
        (5, 2.57, 4.03),
        (10, 2.23, 3.17),
        (20, 2.09, 2.85),
        (50, 2.01, 2.68),
        (inf, 1.960, 2.576),
    ],
)
def test_coverage_factors_of_table_g2(dof, k95, k99):
    assert combine([BudgetLine(name="only", u=1.0, dof=dof)]).k == pytest.approx(k95, abs=0.005)
    assert combine([BudgetLine(name="only", u=1.0, dof=dof)], coverage=0.99).k == pytest.approx(k99, abs=0.005)


# The same table at 95.45 %, the coverage that k = 2 has for many degrees of freedom; from memory, as above.
@pytest.mark.parametrize(
    "dof, k",
    [(1, 13.97), (2, 4.53), (3, 3.31), (4, 2.87), (5, 2.65), (7, 2.43), (8, 2.37), (10, 2.28), (20, 2.13), (inf, 2.0)],
)
def test_coverage_factors_that_stand_for_k_2(dof, k):
    assert combine([BudgetLine(name="only", u=1.0, dof=dof)], coverage=K2_COVERAGE).k == pytest.approx(k, abs=0.005)


# ------------------------------------------------------------------------------ JCGM 101, 9.2 additive model
def add(*x):
    return sum(x)


@pytest.mark.parametrize(
    "name, inputs",
    [
        ("normal", [Input(0, 1)] * 4),
        ("rect", [Input(0, 1, "rectangular")] * 4),
        ("wide", [*[Input(0, 1, "rectangular")] * 3, Input(0, 10, "rectangular")]),
    ],
)
def test_additive_model(name, inputs):
    published = check("jcgm101_additive")
    outcome = monte_carlo(add, inputs, draws=400_000, seed=11)
    # The simulation is known to about its tolerance: half a unit of the second figure of u.
    slack = outcome.tolerance
    assert outcome.u == pytest.approx(published.expected[f"{name}_u"], abs=slack)
    for high, low in [(outcome.high, outcome.low), (outcome.shortest_high, outcome.shortest_low)]:
        assert high == pytest.approx(published.expected[f"{name}_hi"], abs=slack + 0.05)
        assert low == pytest.approx(-published.expected[f"{name}_hi"], abs=slack + 0.05)
    assert outcome.mean == pytest.approx(0.0, abs=slack)


def test_additive_model_where_the_budget_and_the_simulation_part():
    """JCGM 101:2008, 9.2.4: a wide rectangle among narrow ones; the Gaussian interval 19.9 is too wide (17.0)."""
    published = check("jcgm101_additive")
    inputs = [*[Input(0, 1, "rectangular")] * 3, Input(0, 10, "rectangular")]
    outcome = monte_carlo(add, inputs, draws=400_000, seed=3)
    budget = combine([BudgetLine(name=str(n), u=i.u) for n, i in enumerate(inputs)])
    published.says("wide_gum_hi", budget.U)
    assert not outcome.agrees(0.0, budget.U)
    normal = monte_carlo(add, [Input(0, 1)] * 4, draws=2_000_000, seed=3)
    assert normal.settled
    assert normal.agrees(0.0, combine([BudgetLine(name=str(n), u=1.0) for n in range(4)]).U)
