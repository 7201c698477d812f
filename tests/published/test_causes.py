"""Lines with errors in both sizes and inverse prediction, against the published examples named in each file."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.spread.lines import deming_line, inverse_prediction, york_line
from tests.published.stats_data import agrees, load


def test_york_line_through_pearsons_points():
    """York (1966) and York et al. (2004), American Journal of Physics 72, table II (from memory)."""
    check = load("i_york_pearson")
    d = check["data"]
    line = york_line(d["x"], d["y"], [w**-0.5 for w in d["wx"]], [w**-0.5 for w in d["wy"]])
    got = {
        "slope": line.slope.value,
        "intercept": line.intercept.value,
        "u_slope": line.slope.u,
        "u_intercept": line.intercept.u,
        "S": line.fit,
        "reduced_chi2": line.fit / (line.n - 2),
    }
    agrees(check, got)


def test_deming_line_is_the_closed_form_and_the_york_line_with_one_ratio():
    """Fuller, Measurement Error Models (1987), 1.3; the expected value was computed."""
    check = load("i_deming")
    d = check["data"]
    slope, intercept = deming_line(d["x"], d["y"], d["variance_ratio_y_over_x"])
    n = len(d["x"])
    york = york_line(d["x"], d["y"], [1.0] * n, [d["variance_ratio_y_over_x"] ** 0.5] * n)
    agrees(check, {"slope": slope, "intercept": intercept, "york_slope": york.slope.value})


def test_the_load_that_gave_a_deflection():
    """NIST/SEMATECH e-Handbook 4.5.2.1: the handbook prints 1,705,106 for 1.239722 (from memory)."""
    check = load("i_inverse_loadcell")
    d = check["data"]
    got = inverse_prediction(d["x"], d["y"], d["y0"], degree=d["degree"])
    c0, c1, c2 = got.coefficients
    agrees(check, {"c0": c0, "c1": c1, "c2": c2, "residual_sd": got.residual_sd, "x0": got.x})
    assert got.x == pytest.approx(1_705_106, abs=1.0)
    assert 100 < got.u < 1000  # about the residual sd over the slope of 7.3e-7
