"""Verdicts flip exactly at the limits, something settles a doubt or nothing does, and cuts speak one language."""

from __future__ import annotations

from math import inf, nan, sqrt

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge.cut import cut
from inspect_tui.metrology.judge.uncertainty import K2_COVERAGE, BudgetLine, combine, reading_budget
from inspect_tui.metrology.judge.verdict import Answer, conformity, guard_factor, guard_in, judge, settle
from inspect_tui.model.words import LIMIT_SLACK_MM, RULES, Band

sizes = st.floats(-1000.0, 1000.0).map(lambda x: round(x, 3))
widths = st.floats(0.0, 10.0).map(lambda x: round(x, 3))
us = st.floats(0.0, 2.0).map(lambda x: round(x, 4))
rules = st.sampled_from(RULES)
dofs = st.one_of(st.just(inf), st.floats(1.0, 200.0))
ASKED = {"proof95": 0.95, "full_u": 0.9772498680518208, "plain": 0.0}  # Phi(2), tables of the normal distribution


@st.composite
def bands(draw):
    lower, width = draw(sizes), draw(widths)
    kind = draw(st.sampled_from(["both", "lower", "upper"]))
    return Band(None if kind == "upper" else lower, None if kind == "lower" else lower + width, "test")


# ------------------------------------------------------------------------------ the verdict
@given(sizes, us, bands(), rules, dofs)
def test_three_answers_cover_everything_and_never_overlap(value, u, band, rule, dof):
    got = judge(value, u, band, rule, dof)
    within = got.margin >= got.guard - LIMIT_SLACK_MM
    fails = got.margin < -got.guard - LIMIT_SLACK_MM
    assert not (within and fails)
    assert (got.answer is Answer.DOES_NOT_CONFORM) == fails
    if got.answer is Answer.CONFORMS:
        assert within
    elif within:  # undecided by the other limit: that is for bands that are narrow against u
        assert band.width is not None
        assert got.p_conform < ASKED[rule]
    assert 0.0 <= got.p_conform <= 1.0


@given(sizes, st.floats(1e-3, 2.0), bands(), rules, dofs)
def test_a_value_conforms_when_it_is_as_probable_as_the_rule_asks(value, u, band, rule, dof):
    """ISO 14253-1:2017 and JCGM 106:2012, 8.3: a rule asks for a probability, with both limits counted."""
    got = judge(value, u, band, rule, dof)
    assume(abs(got.p_conform - ASKED[rule]) > 1e-3)
    if rule != "plain":
        assert (got.answer is Answer.CONFORMS) == (got.p_conform > ASKED[rule])
    if got.answer is Answer.DOES_NOT_CONFORM:
        assert got.p_conform <= 1.0 - ASKED[rule] + 1e-9


@pytest.mark.parametrize("rule, half_width_in_u", [("proof95", 1.959964), ("full_u", 2.277797)])
def test_the_middle_of_a_band_a_few_u_wide(rule, half_width_in_u):
    """Half-widths by the two-sided normal quantile of 0.95 and 0.97725 (tables of the normal distribution)."""

    def middle(half):
        return judge(10.0, 0.1, Band(10.0 - 0.1 * half, 10.0 + 0.1 * half, "t"), rule)

    assert middle(half_width_in_u + 1e-3).answer is Answer.CONFORMS
    assert middle(half_width_in_u - 1e-3).answer is Answer.UNDECIDED
    assert middle(1.645).p_conform == pytest.approx(0.90, abs=1e-4)
    assert middle(1.645).answer is Answer.UNDECIDED
    assert middle(0.02).answer is Answer.UNDECIDED  # hardly probable to conform, but what was read lies in the middle


@given(st.floats(1e-3, 0.2), st.floats(0.05, 3.0), rules, dofs)
@example(0.1, 1.0, "proof95", 1.9999999999999716)
def test_how_far_inside_a_value_must_lie(u, width, rule, dof):
    band = Band(5.0, 5.0 + width, "t")
    guard = guard_in(band, u, rule, dof)
    whole = (
        dof if dof == inf else float(int(dof * (1.0 + 1e-12)))
    )  # what falls short of a whole number by rounding is that number
    assert guard >= guard_factor(rule, whole) * u - 1e-12
    if guard < width / 2.0 - 1e-5:
        assert judge(5.0 + guard + 1e-5, u, band, rule, dof).answer is Answer.CONFORMS
        assert judge(5.0 + width - guard - 1e-5, u, band, rule, dof).answer is Answer.CONFORMS
        if guard > 0.0:
            assert judge(5.0 + guard - 1e-5, u, band, rule, dof).answer is not Answer.CONFORMS
    elif guard > width / 2.0 + 1e-5:
        assert judge(5.0 + width / 2.0, u, band, rule, dof).answer is not Answer.CONFORMS


def test_against_a_wide_band_or_one_limit_the_guard_is_the_one_sided_one():
    assert guard_in(Band(0.0, 100.0, "t"), 0.1, "proof95") == pytest.approx(0.16449, abs=1e-5)
    assert guard_in(Band(0.0, None, "t"), 0.1, "full_u") == pytest.approx(0.2)
    assert guard_in(Band(0.0, 0.45, "t"), 0.1, "full_u") == pytest.approx(0.225)  # the half width: it never can


@given(sizes, st.floats(1e-3, 2.0), bands(), st.one_of(st.just(inf), st.floats(1.0, 60.0)))
def test_the_u_that_is_printed_is_the_u_that_decides(value, u, band, dof):
    """With the whole U as guard, a value that is undecided or not shows so by the U beside it."""
    budget = combine([BudgetLine(name="all", u=u, dof=dof)], coverage=K2_COVERAGE)
    got = judge(value, budget.u, band, "full_u", budget.dof)
    assert got.guard == pytest.approx(budget.U, rel=1e-9)
    if dof == inf:
        assert budget.k == pytest.approx(2.0, abs=1e-12)


def test_a_reading_has_a_k_of_two():
    got = reading_budget(0.04, 2.0, 0.01)
    assert got.k == pytest.approx(2.0, abs=1e-12)
    u = sqrt(0.02**2 + 0.005**2 / 3.0)
    assert pytest.approx(2.0 * u) == got.U


@given(bands(), us, rules, dofs)
def test_the_verdict_flips_exactly_at_the_guarded_limits(band, u, rule, dof):
    for limit, inward in [(band.lower, 1.0), (band.upper, -1.0)]:
        if limit is None:
            continue
        one = Band(limit, None, "t") if inward > 0 else Band(None, limit, "t")
        guard = judge(limit, u, one, rule, dof).guard
        step = 3 * LIMIT_SLACK_MM
        assert judge(limit + inward * guard, u, one, rule, dof).answer is Answer.CONFORMS
        assert judge(limit + inward * (guard + step), u, one, rule, dof).answer is Answer.CONFORMS
        just_less = judge(limit + inward * (guard - step), u, one, rule, dof).answer
        just_out = judge(limit - inward * (guard + step), u, band, rule, dof).answer
        assert just_less is not Answer.CONFORMS
        assert just_out is Answer.DOES_NOT_CONFORM
        if guard > step:
            assert judge(limit - inward * guard, u, band, rule, dof).answer is Answer.UNDECIDED


@given(sizes, bands(), us)
def test_the_plain_rule_and_a_certain_value_are_never_undecided(value, band, u):
    assert judge(value, u, band, "plain").answer is not Answer.UNDECIDED
    for rule in RULES:
        assert judge(value, 0.0, band, rule).answer is not Answer.UNDECIDED


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("value", [59.44, 59.74, 0.1 + 0.2 + 59.14])
def test_a_reading_exactly_on_the_limit_is_in(rule, value):
    assert judge(value, 0.0, Band(59.44, 59.74, "t"), rule).answer is Answer.CONFORMS
    assert judge(value, 0.5, Band(59.44, 59.74, "t"), "plain").answer is Answer.CONFORMS


@given(sizes, us, bands(), rules)
def test_moving_toward_the_middle_never_makes_it_worse(value, u, band, rule):
    assume(band.width is not None)
    order = [Answer.DOES_NOT_CONFORM, Answer.UNDECIDED, Answer.CONFORMS]
    middle = (band.lower + band.upper) / 2
    nearer = judge((value + middle) / 2, u, band, rule)
    here = judge(value, u, band, rule)
    assert order.index(nearer.answer) >= order.index(here.answer)
    assert nearer.p_conform >= here.p_conform - 1e-9


@given(sizes, us, bands(), dofs)
def test_a_one_sided_proof_means_its_probability(value, u, band, dof):
    """Conforms by proof95 against one limit says at least 95 % on that side; against it, at most 5 %."""
    one = Band(band.lower, None, "t") if band.lower is not None else Band(None, band.upper, "t")
    got = judge(value, u, one, "proof95", dof)
    assume(u > 1e-3 and abs(abs(got.margin) - got.guard) > 1e-3)
    if got.answer is Answer.CONFORMS:
        assert got.p_conform >= 0.95
    elif got.answer is Answer.DOES_NOT_CONFORM:
        assert got.p_conform <= 0.05
    else:
        assert 0.05 < got.p_conform < 0.95


@given(sizes, st.floats(1e-3, 2.0), bands(), dofs)
def test_the_two_ways_out_of_a_band_add_up(value, u, band, dof):
    inside = conformity(value, u, band, dof)
    below = 0.0 if band.lower is None else 1.0 - conformity(value, u, Band(band.lower, None, "t"), dof)
    above = 0.0 if band.upper is None else 1.0 - conformity(value, u, Band(None, band.upper, "t"), dof)
    assert inside + below + above == pytest.approx(1.0, abs=1e-9)


def test_few_degrees_of_freedom_ask_for_more_room():
    band = Band(0.0, 100.0, "t")
    assert judge(2.0, 1.0, band, "proof95").answer is Answer.CONFORMS
    assert judge(2.0, 1.0, band, "proof95", dof=2.0).answer is Answer.UNDECIDED
    assert guard_factor("proof95", 2.0) == pytest.approx(2.92, abs=0.005)
    assert guard_factor("plain", 2.0) == 0.0
    assert guard_factor("full_u", 1e9) == pytest.approx(2.0, abs=1e-6)


def test_the_nearest_limit_is_the_one_that_decides():
    band = Band(9.0, 11.0, "t")
    assert judge(9.3, 0.1, band).nearest == 9.0
    assert judge(10.8, 0.1, band).nearest == 11.0
    beyond = judge(11.5, 0.1, band)
    assert (beyond.nearest, beyond.margin) == (11.0, pytest.approx(-0.5))


@given(sizes, us, rules, dofs)
def test_without_limits_there_is_no_verdict(value, u, rule, dof):
    free = judge(value, u, Band(None, None, "none"), rule, dof)
    assert (free.answer, free.nearest, free.margin, free.p_conform) == (Answer.NO_LIMITS, None, inf, None)
    told = settle(value, Band(None, None, "none"), rule, u, u)
    assert (told.n, told.instrument, told.sentence) == (0, None, "there are no limits to judge by")


def test_the_answers_are_the_words_of_the_screen():
    assert [str(a) for a in Answer] == ["conforms", "does not conform", "undecided", "no limits"]


@pytest.mark.parametrize("value, u", [(nan, 0.1), (inf, 0.1), (1.0, nan), (1.0, -0.1), (1.0, inf)])
def test_what_cannot_be_judged_is_said(value, u):
    with pytest.raises(DataError, match="cannot be judged"):
        judge(value, u, Band(0.0, 2.0, "t"))


def test_an_unknown_rule_is_said_with_the_known_ones():
    with pytest.raises(DataError, match="proof95, full_u or plain"):
        judge(1.0, 0.1, Band(0.0, 2.0, "t"), "4 sigma")


# ------------------------------------------------------------------------------ settling a doubt
BAND = Band(9.9, 10.1, "t")


def test_more_repeats_are_counted_beyond_those_done():
    # guard 2u: margin 0.02 needs u <= 0.01; u_bias 0.005, so 0.02 / sqrt(n) <= 0.00866: n = 6
    assert settle(10.08, BAND, "full_u", 0.005, 0.02).n == 5
    assert settle(10.08, BAND, "full_u", 0.005, 0.02, n_done=4).n == 2
    assert settle(10.08, BAND, "full_u", 0.005, 0.02).sentence == "5 more repeats would settle it, if they agree"
    one = settle(10.08, BAND, "full_u", 0.005, 0.02, n_done=5)
    assert (one.n, one.sentence) == (1, "1 more repeat would settle it, if it agrees")


@given(
    st.floats(9.7, 10.3),
    st.floats(0.0, 0.05),
    st.floats(0.0, 0.2),
    st.integers(1, 6),
    st.sampled_from(RULES),
    st.one_of(st.just(inf), st.integers(1, 30).map(float)),
)
def test_what_is_promised_to_settle_it_does(value, bias, random, done, rule, dof):
    got = settle(value, BAND, rule, bias, random, done, dof_random=dof)

    def answer(n):
        u = sqrt(bias**2 + random**2 / n)
        weight = (random / u) ** 2 / n if u else 0.0
        return judge(value, u, BAND, rule, (dof + n - done) / weight**2 if weight > 1e-9 else inf).answer

    if answer(done) is not Answer.UNDECIDED:
        assert (got.n, got.instrument) == (0, None)
        assert got.sentence == f"it is settled: {answer(done)}"
    elif got.n is not None:
        assert answer(done + got.n) is not Answer.UNDECIDED
        assert answer(done + got.n - 1) is Answer.UNDECIDED
    else:
        assert answer(done + 30) is Answer.UNDECIDED
        assert "nothing on the list" in got.sentence


def test_a_better_instrument_is_named():
    got = settle(10.08, BAND, "full_u", 0.02, 0.0, 1, [("tape", 0.2, 0.1), ("caliper 2", 0.009, 0.0)])
    assert (got.n, got.instrument, got.sentence) == (None, "caliper 2", "caliper 2 would settle it")


def test_the_instrument_that_needs_fewest_readings_is_named_and_how_many():
    list_of_two = [("caliper 2", 0.005, 0.02), ("caliper 3", 0.005, 0.012)]
    got = settle(10.08, BAND, "full_u", 0.02, 0.0, 1, list_of_two)
    assert (got.instrument, got.sentence) == ("caliper 3", "caliper 3 would settle it with 2 readings")


def test_of_two_that_would_do_the_earlier_on_the_list_is_named():
    both = [("caliper 4", 0.008, 0.0), ("caliper 5", 0.004, 0.0)]
    assert settle(10.08, BAND, "full_u", 0.02, 0.0, 1, both).instrument == "caliper 4"


def test_both_ways_are_told():
    got = settle(10.08, BAND, "full_u", 0.005, 0.02, 1, [("inside micrometer 1", 0.004, 0.0)])
    assert got.sentence == "5 more repeats would settle it, if they agree; or inside micrometer 1 would settle it"


def test_on_the_limit_nothing_settles_it():
    got = settle(10.1, BAND, "proof95", 0.005, 0.02, 1, [("caliper 2", 0.001, 0.0)])
    assert got.n is None
    assert got.instrument is None
    assert got.sentence == "nothing on the list can settle it: measure another way or agree a concession"


def test_a_hundred_repeats_are_no_advice():
    assert settle(10.099, BAND, "full_u", 0.0, 0.02).n is None
    assert settle(10.099, BAND, "full_u", 0.0, 0.02, most=2000).n == pytest.approx(1599, rel=0.003)


@pytest.mark.parametrize("bias, random, done", [(-0.1, 0.1, 1), (0.1, -0.1, 1), (0.1, 0.1, 0), (nan, 0.1, 1)])
def test_impossible_figures_for_settling_are_refused(bias, random, done):
    with pytest.raises(DataError):
        settle(10.0, BAND, "proof95", bias, random, done)


# ------------------------------------------------------------------------------ the cut
STICK = Band(59.44, 59.74, "a third of the casting band")


def test_the_least_is_rounded_up_so_that_it_is_enough():
    got = cut("core_stick", "metal", 59.812, 59.59, band=STICK)
    assert "at least 0.08" in got.words
    assert judge(59.812 - 0.08, 0.0, STICK).answer is Answer.CONFORMS


# The sign table of trade practice, the heart of every correction sheet. Common practice, no published source.
