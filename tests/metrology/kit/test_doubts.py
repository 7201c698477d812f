"""Doubts: what sizes share moves them together; checked on closed forms, numpy's covariances and drawn errors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.kit.doubts import Doubt, Doubted, DoubtShare, carried, covariance, doubted, shares, together
from inspect_tui.metrology.kit.passage import Formula, derive, monte_carlo, parse
from inspect_tui.model.words import Estimate

POWERS = {"W": 1, "H": 1, "D": 1, "angle": 0}


def formula(text: str) -> Formula:
    parsed = parse(text, POWERS)
    assert isinstance(parsed, Formula), parsed
    return parsed


def contracted(size: float, u_read: float, name: str, ua: float = 0.0015) -> Doubted:
    return Doubted(
        size, (Doubt(f"reading of {name}", "readings", u_read, True), Doubt("contraction", "contraction", -size * ua))
    )


def test_one_error_twice_in_a_size_adds_before_it_is_squared() -> None:
    assert Doubted(1.0, (Doubt("wash", "wash", 0.1), Doubt("wash", "wash", 0.2))).u == pytest.approx(0.3)
    assert Doubted(1.0, (Doubt("a", "x", 0.3), Doubt("b", "x", 0.4))).u == pytest.approx(0.5)
    assert Doubted(1.0).u == 0.0


def test_an_estimate_is_known_from_its_own_readings_alone() -> None:
    size = doubted("W", Estimate(70.0, 0.1))
    assert size.u == pytest.approx(0.1) and size.doubts[0].measured
    assert covariance(size, doubted("H", Estimate(70.0, 0.1))) == 0.0
    assert covariance(size, size) == pytest.approx(0.01)
    assert doubted("W", size) is size


def test_contraction_in_common_is_1_1_of_185_where_readings_alone_are_0_1() -> None:
    # an oval throat of 70 x 70, 0.15 % of contraction in both widths at once: the area moves by 0.30 %, twice that of
    # 185 is 1.11; worked by hand
    sizes = {"W": contracted(70.0, 0.01, "W"), "H": contracted(70.0, 0.01, "H")}
    area = derive(formula("pi / 4 * W * H"), sizes)
    by_kind = {share.kind: share for share in area.shares}
    assert 185.0 * 2.0 * by_kind["contraction"].u / area.value == pytest.approx(1.11, abs=1e-6)
    assert 185.0 * 2.0 * by_kind["readings"].u / area.value == pytest.approx(
        185.0 * 2.0 * math.sqrt(2.0) * 0.01 / 70.0, rel=1e-6
    )
    assert by_kind["readings"].measured and not by_kind["contraction"].measured
    assert area.u == pytest.approx(math.hypot(by_kind["contraction"].u, by_kind["readings"].u))
    assert [share.kind for share in area.shares] == ["contraction", "readings"]  # the largest first


def test_apart_the_same_contraction_would_be_root_two_less_and_in_a_ratio_it_is_nothing() -> None:
    apart = {name: Doubted(70.0, (Doubt(name, "contraction", 0.105),)) for name in "WH"}
    both = {name: Doubted(70.0, (Doubt("contraction", "contraction", 0.105),)) for name in "WH"}
    assert derive(formula("W * H"), both).u == pytest.approx(math.sqrt(2.0) * derive(formula("W * H"), apart).u)
    assert derive(formula("W / H"), both).u == pytest.approx(0.0, abs=1e-9)


def test_a_feature_whose_error_another_undoes_has_a_share_below_nought() -> None:
    common = Doubt("contraction", "contraction", 1.0)
    sizes = {"W": Doubted(70.0, (common._replace(u=3.0),)), "H": Doubted(70.0, (common,))}
    shared = derive(formula("W - H"), sizes)
    assert shared.u == pytest.approx(2.0)
    assert shared.share == pytest.approx({"W": 1.5, "H": -0.5})
    assert sum(shared.share.values()) == pytest.approx(1.0)


SIZE = st.tuples(
    st.floats(10, 200), st.floats(0.005, 0.2), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2), st.floats(-0.2, 0.2)
)


@given(st.tuples(SIZE, SIZE, SIZE))
def test_the_uncertainty_is_that_of_the_full_covariance_matrix(given_: tuple[tuple[float, ...], ...]) -> None:
    """numpy's quadratic form g' C g, with C built from the loadings of every error."""
    keys = ("contraction", "wash", "face x 10")
    sizes = {
        name: Doubted(row[0], (Doubt(name, "readings", row[1], True), *map(Doubt, keys, keys, row[2:])))
        for name, row in zip("WHD", given_, strict=True)
    }
    loadings = np.column_stack([np.diag([row[1] for row in given_]), [row[2:] for row in given_]])
    matrix = loadings @ loadings.T
    for i, first in enumerate("WHD"):
        for j, second in enumerate("WHD"):
            assert covariance(sizes[first], sizes[second]) == pytest.approx(matrix[i, j], abs=1e-12)
    w, h, d = (row[0] for row in given_)
    gradient = np.array([h, w, 2 * d])  # of W * H + D**2
    found = derive(formula("W * H + D**2"), sizes)
    assert found.u == pytest.approx(math.sqrt(gradient @ matrix @ gradient), rel=1e-4, abs=1e-6)
    parts = [share.u for share in found.shares]
    assert math.hypot(*parts) == pytest.approx(found.u)
    assert math.hypot(together(found.shares, True), together(found.shares, False)) == pytest.approx(found.u)


@pytest.mark.parametrize("text", ["pi / 4 * W * H", "W / H", "series(W * H, D**2)", "parallel(W * H, D * H)", "W - H"])
def test_drawn_errors_agree_with_the_linear_law_where_sizes_share_them(text: str) -> None:
    """JCGM 101: errors drawn once for all sizes that share them; within five standard errors of the drawing itself."""
    wash = (Doubt("wash", "core wash", 0.12),)
    sizes = {
        name: Doubted(size, contracted(size, 0.03, name, 0.003).doubts + wash)
        for name, size in (("W", 70.0), ("H", 64.0), ("D", 80.0))
    }
    linear, n = derive(formula(text), sizes), 40_000
    mean, sd, low, high = monte_carlo(formula(text), sizes, n)
    assert mean == pytest.approx(linear.value, abs=5 * linear.u / n**0.5 + 1e-3 * abs(linear.value))
    assert sd == pytest.approx(linear.u, rel=5 / (2 * n) ** 0.5 + 0.005)
    assert (high - low) / 2 == pytest.approx(1.96 * linear.u, rel=0.03)


def test_errors_are_carried_with_their_signs() -> None:
    sizes = {"W": Doubted(10.0, (Doubt("face", "sand", 0.1),)), "H": Doubted(10.0, (Doubt("face", "sand", -0.1),))}
    (face,) = carried(sizes, {"W": 2.0, "H": 1.0})
    assert (face.key, face.kind, face.measured) == ("face", "sand", False)
    assert face.u == pytest.approx(0.1)


def test_kinds_are_measured_apart_from_assumed_and_nothing_is_left_out_but_nothing() -> None:
    doubts = (
        Doubt("a", "gauge", 3.0, True),
        Doubt("b", "gauge", -4.0, True),
        Doubt("c", "gauge", 1.0),
        Doubt("d", "x", 0),
    )
    assert shares(doubts, 2.0) == (DoubtShare("gauge", 10.0, True), DoubtShare("gauge", 2.0, False))
    assert together(shares(doubts), True) == pytest.approx(5.0) and together((), False) == 0.0
