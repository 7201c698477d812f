"""Contraction against worked examples, certified regression sets, and published random-effects results."""

from __future__ import annotations

from fractions import Fraction
from math import log, sqrt

import pytest

from inspect_tui.metrology.sizes import chain
from inspect_tui.metrology.sizes.contraction import double, handbook, learn, of_pattern, plan
from inspect_tui.metrology.sizes.contraction_book import between_jobs, pooled, posterior
from inspect_tui.model.words import Estimate
from inspect_tui.model.work import ChainStep
from tests.published.worked import example


def in_per_ft(text):
    return float(Fraction(text) / 12)


def grown(size, *contractions):
    """`size` through one contraction step after another."""
    steps = [ChainStep(ord=i, kind="contraction", scale=1 + a) for i, a in enumerate(contractions, 1)]
    return chain.forward(size, steps).value


# ------------------------------------------------------------------------------ worked examples
def test_volume_of_a_grown_block():
    we = example("WE01")
    a = we.inputs["contraction_percent"] / 100
    ratio = 1.0
    for size in we.inputs["dims_mm"]:
        ratio *= grown(size, a) / size
    we.says("ratio", ratio)
    we.says("ratio_printed", ratio)


def test_double_contraction_multiplies_and_old_books_add():
    we = example("WE02")
    first, second = (mm_per_m / 1000 for mm_per_m in we.inputs["allowances_mm_per_m"])
    we.says("master_multiplied_mm", we.inputs["size_mm"] * (1 + double(first, second)))
    we.says("master_multiplied_mm", grown(we.inputs["size_mm"], first, second))
    we.says("master_added_mm", grown(we.inputs["size_mm"], first + second))

    we = example("WE03")
    first, second = (in_per_ft(text) for text in we.inputs["allowances_in_per_ft"])
    we.says("master_multiplied_in", grown(we.inputs["size_in"], first, second))
    we.says("master_added_in", grown(we.inputs["size_in"], first + second))
    we.says("total_in_per_ft", 12 * (first + second))


def test_one_and_one_point_three_per_cent_give_2_313():
    # arithmetic of trade practice: the product is 2.313 %, the sum 2.300 %
    assert double(0.010, 0.013) == pytest.approx(0.02313, abs=1e-12)


def test_bronze_length():
    we = example("WE04")
    we.says("pattern_in", grown(we.inputs["size_in"], in_per_ft(we.inputs["allowance_in_per_ft"])))
    we.says("pattern_with_0_015_in", grown(we.inputs["size_in"], 0.015))


def test_cube_that_shrinks_by_volume():
    """The linear loss of the cube is a contraction of the mould; the way back must land on the printed volume."""
    we = example("WE06")
    left = (1 - we.inputs["freeze_percent"] / 100) * (1 - we.inputs["solid_percent"] / 100)
    a = of_pattern(1 - left ** (1 / 3))
    edge = chain.back(we.inputs["edge_mm"], 0.0, [ChainStep(ord=1, kind="contraction", scale=1 + a)]).value
    we.says("edge_mm", edge)
    we.says("volume_mm3", edge**3)


def test_contraction_rules_are_longer_by_their_contraction():
    we = example("WE07")
    rules = [grown(we.inputs["marked_in"], in_per_ft(text)) for text in we.inputs["allowances_in_per_ft"]]
    we.says("true_in", rules)


def test_units_and_bases_of_contraction():
    we = example("WE08")
    a = in_per_ft(we.inputs["in_per_ft"])
    printed = next(h for h in handbook("cast iron") if h.text == "1/8 in/ft")
    assert printed.a == pytest.approx(a, abs=1e-12)
    we.says("percent", 100 * printed.a)
    we.says("mm_per_m", 1000 * printed.a)
    we.says("factor_pattern_based", 1 + of_pattern(we.inputs["percent_of_pattern"] / 100))
    we.says("factor_casting_based", grown(1.0, we.inputs["percent_of_pattern"] / 100))


def test_lookup_by_size_and_construction():
    we = example("WE09")
    entry = plan(we.inputs["alloy"], 25.4 * we.inputs["size_in"], we.inputs["construction"])
    we.says("in_per_ft", 12 * entry.a)
    we.says("pattern_in", grown(we.inputs["size_in"], entry.a))


@pytest.mark.parametrize(
    ("alloy", "size_in", "construction", "text"),
    [
        # Cast Metals Handbook, American Foundrymen's Society, pattern shrinkage allowances (recalled)
        ("grey iron", 12, "open", "1/8"),
        ("grey iron", 60, "open", "1/12"),
        ("grey iron", 30, "cored", "1/10"),
        ("steel", 20, "cored", "3/16"),
        ("steel", 50, "cored", "5/32"),
        ("steel", 100, "open", "5/32"),
        ("aluminium", 60, "open", "9/64"),
        ("aluminium", 10, "cored", "5/32"),
        ("magnesium", 20, "open", "11/64"),
    ],
)
def test_rows_of_the_size_and_construction_table(alloy, size_in, construction, text):
    assert plan(alloy, 25.4 * size_in, construction).a == pytest.approx(in_per_ft(text), abs=1e-12)


def test_german_per_cent_is_of_the_pattern():
    # encyclopedia article on contraction (found): cast steel 1.5 to 2.5 %, usual 2 %, of the pattern
    entry = next(h for h in handbook("cast steel") if "Schwinden" in h.source)
    assert (entry.lo, entry.a, entry.hi) == pytest.approx((0.015 / 0.985, 0.02 / 0.98, 0.025 / 0.975), abs=1e-12)
    assert "pattern" in entry.note


# ------------------------------------------------------------------------------ learning it back
@pytest.mark.parametrize(
    ("x", "y", "slope", "sd"),
    [
        # NIST Statistical Reference Datasets NoInt1 and NoInt2: certified values, from memory
        (range(60, 71), range(130, 141), 2.07438016528926, 0.0165289256198347),
        ((4, 5, 6), (3, 4, 4), 0.727272727272727, 0.0420827318078432),
    ],
)
def test_with_error_in_the_tool_alone_it_is_regression_through_the_origin(x, y, slope, sd):
    """`u` rescaled to the scatter seen is then the certified standard deviation (when the stated one is smaller)."""
    learned = learn(list(y), list(x), u_tool=1e-3, u_cast=0.0)
    assert 1 + learned.a == pytest.approx(slope, rel=1e-12)
    assert learned.u == pytest.approx(sd, rel=1e-12)


def test_uncertainty_of_a_contraction_from_one_size():
    # u(c) = sqrt(u_T^2 + u_M^2)/M: shop arithmetic, common practice; (1 + c) differs from 1 by a hundredth
    assert learn([52.52], [52.0], 0.0566, 0.0566).u == pytest.approx(0.08 / 52, rel=0.01)
    assert learn([630.24], [624.0], 0.0566, 0.0566).u == pytest.approx(0.08 / 624, rel=0.01)


# ------------------------------------------------------------------------------ the book
def test_between_job_scatter_on_the_thirteen_vaccine_trials():
    """DerSimonian-Laird on the BCG trials (Colditz et al. 1994, JAMA 271): tau^2 0.3088, mean -0.7141, se 0.1787.

    Counts and results are from memory; log relative risks and their variances are computed here from the counts.
    """
    trials = [
        (4, 119, 11, 128),
        (6, 300, 29, 274),
        (3, 228, 11, 209),
        (62, 13536, 248, 12619),
        (33, 5036, 47, 5761),
        (180, 1361, 372, 1079),
        (8, 2537, 10, 619),
        (505, 87886, 499, 87892),
        (29, 7470, 45, 7232),
        (17, 1699, 65, 1600),
        (186, 50448, 141, 27197),
        (5, 2493, 3, 2338),
        (27, 16886, 29, 17825),
    ]
    effects = []
    for a, b, c, d in trials:
        n1, n2 = a + b, c + d
        effects.append(Estimate(log((a / n1) / (c / n2)), sqrt(1 / a - 1 / n1 + 1 / c - 1 / n2)))
    tau = between_jobs(effects)
    mean = pooled(effects, tau)
    assert tau**2 == pytest.approx(0.3088, abs=5e-5)
    assert mean.value == pytest.approx(-0.7141, abs=5e-5)
    assert mean.u == pytest.approx(0.1787, abs=5e-5)


# Eight schools: Rubin 1981, J. Educ. Stat. 6; Gelman et al., Bayesian Data Analysis, ch. 5 (from memory)
SCHOOLS = [(28, 15), (8, 10), (-3, 16), (7, 11), (-1, 9), (1, 11), (18, 10), (12, 18)]


def test_pooled_estimate_of_the_eight_schools():
    mean = pooled([Estimate(*school) for school in SCHOOLS])
    assert mean.value == pytest.approx(7.7, abs=0.05)
    assert mean.u**2 == pytest.approx(16.6, abs=0.05)


def test_normal_prior_and_normal_data():
    """Precisions add (Gelman et al., ch. 2.5, from memory); jobs that agree show no scatter of their own."""
    jobs = [Estimate(0.0080, 0.0010)] * 4
    book = posterior(Estimate(0.0100, 0.0015), jobs, tau=0.0, tau_jobs=0.0)
    precision = 1 / 0.0015**2 + 4 / 0.0010**2
    assert book.u == pytest.approx(precision**-0.5, rel=1e-12)
    assert book.a == pytest.approx((0.0100 / 0.0015**2 + 4 * 0.0080 / 0.0010**2) / precision, rel=1e-12)
    assert book.tau == 0.0
