"""Stacks against closed forms and worked examples; Monte Carlo against exact fractions of uniform sums."""

from __future__ import annotations

from itertools import accumulate

import pytest

from inspect_tui.metrology.faces.assemblies import Wall, assemble
from inspect_tui.metrology.faces.stacks import Link, StackResult, Term, stack
from tests.published.assembly_data import example
from tests.published.stats_data import agrees, load


def chain(data: dict[str, list[float]]) -> StackResult:
    terms = [
        Term(Link(name=f"t{i}", a=f"f{i}", b=f"f{i + 1}", size=size, plus=plus, minus=minus), sense)
        for i, (sense, size, plus, minus) in enumerate(
            zip(data["sens"], data["nominal"], data["plus"], data["minus"], strict=True)
        )
    ]
    lower, upper = data.get("limits", [None, None])
    return stack(str(data["id"]), terms, lower, upper)


def uniforms(halves: list[float]) -> tuple[Term, ...]:
    return tuple(
        Term(Link(name=f"u{i}", a=f"f{i}", b=f"f{i + 1}", size=0.0, plus=h, minus=h, shape="uniform"), 1.0)
        for i, h in enumerate(halves)
    )


def test_worst_case_and_root_sum_square_are_the_closed_forms() -> None:
    check = load("k_stackup")  # computed: closed forms
    got: dict[str, float] = {}
    for data in check["data"]["chains"]:
        s, name = chain(data), data["id"]
        got |= {
            f"nominal_{name}": s.nominal,
            f"worst_lo_{name}": s.worst_low,
            f"worst_hi_{name}": s.worst_high,
            f"centre_{name}": s.centre,
            f"rss_{name}": s.rss,
        }
        if "limits" in data:
            got[f"p_out_normal_{name}"] = s.p_out
    agrees(check, got, besides=[n for n in check["expected"] if "uniform" in n or "trap" in n])


def test_the_sigma_ratio_is_that_of_the_closed_form() -> None:
    """Half range 0.1323 by root-sum-square; limits 0.12 from the centre lie 2.72 of its thirds away."""
    data = next(d for d in load("k_stackup")["data"]["chains"] if "limits" in d)
    terms, (lower, upper) = chain(data).terms, data["limits"]
    for ratio in (data["tol_in_sigma"], 4.0):
        s = stack("w", terms, lower, upper, tol_in_sigma=ratio)
        assert s.sigma == pytest.approx(0.132287566 / ratio)
        assert s.sigma_ratio is not None
        assert min(s.centre - lower, upper - s.centre) / (0.132287566 / ratio) == pytest.approx(s.sigma_ratio)
    assert chain({**data, "limits": [0.38, 0.62]}).sigma_ratio == pytest.approx(2.7213, abs=1e-4)


def test_drawn_fractions_meet_the_exact_ones_of_uniform_sums() -> None:
    # computed: Irwin-Hall for equal uniforms, trapezoid for two unequal ones
    check, n = load("k_stackup"), 400_000
    expected = check["expected"]
    for data in check["data"]["uniform_sums"]:
        got = assemble([Wall("w", uniforms([data["t"]] * data["n"]), -data["limit"], data["limit"])], n).walls[0]
        p, name = expected[f"p_out_uniform_{data['id']}"], data["id"]
        assert got.p_below + got.p_above == pytest.approx(p, abs=4 * (p * (1 - p) / n) ** 0.5)
        assert got.sd == pytest.approx(expected[f"sd_uniform_{name}"], rel=0.005)
    for data in check["data"]["two_unequal_uniform"]:
        got = assemble([Wall("w", uniforms([data["a"], data["b"]]), None, data["limit"])], n).walls[0]
        p = expected[f"p_above_{data['id']}"]
        assert got.p_above == pytest.approx(p, abs=4 * (p * (1 - p) / n) ** 0.5)


def test_a_ring_and_spacer_gap() -> None:
    given = example("WE28")  # found: sizes and gap printed, half ranges computed
    terms = [
        Term(Link(name=f"t{i}", a=f"f{i}", b=f"f{i + 1}", size=size, plus=tol, minus=tol), sense)
        for i, (sense, size, tol) in enumerate(given.inputs["terms"])
    ]
    s = stack("gap", terms)
    given.says("gap_mm", s.nominal)
    given.says("worst_mm", s.worst_high - s.centre)
    given.says("rss_mm", s.rss)


def test_many_equal_parts() -> None:
    given = example("WE29")  # found: printed 0.316 and 0.224
    stacks = [
        stack(
            "row",
            [
                Term(Link(name=f"t{i}", a=f"f{i}", b=f"f{i + 1}", size=1.0, plus=case["tol"], minus=case["tol"]), 1.0)
                for i in range(case["n"])
            ],
        )
        for case in given.inputs["cases"]
    ]
    given.says("worst", [s.worst_high - s.centre for s in stacks])
    given.says("rss", [s.rss for s in stacks])
    assert list(accumulate(share.share for share in stacks[0].shares))[-1] == pytest.approx(1)
