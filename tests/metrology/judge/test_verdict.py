"""Verdicts flip exactly at the limits, something settles a doubt or nothing does, and cuts speak one language."""

from __future__ import annotations

from math import inf, isclose, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge.cut import TOOL_WORDS, cut, per_face, tool_change
from inspect_tui.metrology.judge.verdict import Answer, conformity, guard_factor, judge, settle
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.words import LIMIT_SLACK_MM, RULES, SENSES, TOOL_KINDS, Band

sizes = st.floats(-1000.0, 1000.0).map(lambda x: round(x, 3))
widths = st.floats(0.0, 10.0).map(lambda x: round(x, 3))
us = st.floats(0.0, 2.0).map(lambda x: round(x, 4))
rules = st.sampled_from(RULES)
dofs = st.one_of(st.just(inf), st.floats(1.0, 200.0))


@st.composite
def bands(draw):
    lower, width = draw(sizes), draw(widths)
    kind = draw(st.sampled_from(["both", "lower", "upper"]))
    return Band(None if kind == "upper" else lower, None if kind == "lower" else lower + width, "test")


# ------------------------------------------------------------------------------ the verdict
@given(sizes, us, bands(), rules, dofs)
def test_three_answers_cover_everything_and_never_overlap(value, u, band, rule, dof):
    got = judge(value, u, band, rule, dof)
    conforms = got.margin >= got.guard - LIMIT_SLACK_MM
    fails = got.margin < -got.guard - LIMIT_SLACK_MM
    assert not (conforms and fails)
    assert got.answer is (Answer.CONFORMS if conforms else Answer.DOES_NOT_CONFORM if fails else Answer.UNDECIDED)
    assert 0.0 <= got.p_conform <= 1.0


@given(bands(), us, rules, dofs)
def test_the_verdict_flips_exactly_at_the_guarded_limits(band, u, rule, dof):
    guard = guard_factor(rule, dof) * u
    step = 3 * LIMIT_SLACK_MM
    for limit, inward in [(band.lower, 1.0), (band.upper, -1.0)]:
        if limit is None or (band.width is not None and band.width < 2 * guard + 4 * step):
            continue
        assert judge(limit + inward * guard, u, band, rule, dof).answer is Answer.CONFORMS
        assert judge(limit + inward * (guard + step), u, band, rule, dof).answer is Answer.CONFORMS
        just_less = judge(limit + inward * (guard - step), u, band, rule, dof).answer
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
    free = judge(5.0, 1.0, Band(None, None, "none"))
    assert (free.answer, free.nearest, free.margin, free.p_conform) == (Answer.CONFORMS, None, inf, 1.0)


def test_the_answers_are_the_words_of_the_screen():
    assert [str(a) for a in Answer] == ["conforms", "does not conform", "undecided"]


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


def test_a_casting_error_is_taken_out_at_tool_scale():
    """Demo scenario, box 4: -2.57 on the casting is 2.60 to open at 1.0 % contraction (computed there)."""
    assert tool_change(-2.57, 0.010) == pytest.approx(2.60, abs=0.005)
    assert tool_change(0.5, 0.0) == -0.5


@given(st.floats(-5.0, 5.0), st.floats(0.0, 0.05), st.floats(5.0, 500.0))
def test_after_the_change_the_casting_comes_to_target(error, a, wanted):
    tool = (wanted + error) * (1 + a)
    assert (tool + tool_change(error, a)) / (1 + a) == pytest.approx(wanted)


def test_a_stick_too_big_is_cut_and_the_casting_gains_metal_there():
    got = cut("core_stick", "metal", 59.66, 59.59, a=0.01, band=STICK, u_mm=0.02)
    assert got.words == "cut 0.07 to centre (stick)"
    assert got.casting_words == "metal on 0.07 once the box is cast again"
    assert (got.word, got.metal, got.to_limit_mm) == ("cut", "on", 0.0)
    assert got.change_mm == pytest.approx(-0.07)
    assert got.casting_mm == pytest.approx(-0.07 / 1.01)


def test_a_stick_too_small_is_added_to_and_says_the_least_that_helps():
    got = cut("core_stick", "metal", 59.37, 59.59, a=0.01, band=STICK, u_mm=0.02)
    assert got.words == "add 0.22, at least 0.07 (stick)"
    assert got.to_limit_mm == pytest.approx(0.07)
    assert got.metal == "off"


def test_the_least_is_rounded_up_so_that_it_is_enough():
    got = cut("core_stick", "metal", 59.812, 59.59, band=STICK)
    assert "at least 0.08" in got.words
    assert judge(59.812 - 0.08, 0.0, STICK).answer is Answer.CONFORMS


def test_a_box_opened_1_3_each_half():
    got = cut("core_box", "space", 68.10, 70.70, a=0.01, ends="both", label="box 4")
    assert got.words == "cut 2.60 to centre (box 4), 1.30 a face"
    assert got.casting_words == "metal off 2.57 (the core grows)"


def test_one_end_takes_it_all():
    assert cut("core_box", "space", 70.9, 70.7, ends="B").words == "add 0.20 (box), all on end B"
    words = cut("core_box", "space", 70.5, 70.7, ends="the +Y side").words
    assert words == "cut 0.20 to centre (box), all on the +Y side"


@pytest.mark.parametrize("change, said", [(0.07, "0.035 a face"), (-2.6, "1.30 a face"), (0.25, "0.125 a face")])
def test_half_a_change_keeps_its_half_hundredth(change, said):
    assert per_face(change) == said


# The sign table of trade practice, the heart of every correction sheet. Common practice, no published source.
@pytest.mark.parametrize(
    "tool, sense, value, word, metal",
    [
        ("pattern_drag", "metal", 100.2, "cut", "off"),
        ("pattern_cope", "metal", 99.8, "add", "on"),
        ("pattern_drag", "space", 99.8, "cut", "off"),
        ("production_pattern", "metal", 100.2, "cut", "off"),
        ("master", "metal", 99.8, "add", "on"),
        ("loose_piece", "metal", 100.2, "cut", "off"),
        ("core_box", "space", 99.8, "cut", "off"),
        ("core_box", "space", 100.2, "add", "on"),
        ("core_box", "metal", 100.2, "cut", "off"),
        ("core_stick", "metal", 100.2, "cut", "on"),
        ("core_stick", "metal", 99.8, "add", "off"),
        ("core_stick", "space", 99.8, "cut", "on"),
    ],
)
def test_the_sign_table(tool, sense, value, word, metal):
    got = cut(tool, sense, value, 100.0, a=0.01)
    assert (got.word, got.metal) == (word, metal)
    assert got.words.startswith(word)
    assert got.casting_words.startswith(f"metal {metal}")


@pytest.mark.parametrize("tool", ["core_stick", "core_box", "pattern_drag"])
@pytest.mark.parametrize("target", [10.12, 9.88])
@pytest.mark.parametrize("facing", [1, -1])
def test_a_face_moves_to_its_place_and_metal_follows_its_facing(tool, target, facing):
    """Where the casting's metal faces +X, moving the face toward +X is metal on, whichever tool makes it."""
    got = cut(tool, "face", 10.0, target, axis="x", facing=facing)
    side = "+X" if target > 10.0 else "-X"
    assert got.words == f"{got.word}: move the face 0.12 toward {side} ({TOOL_WORDS[tool]})"
    assert got.metal == ("on" if (target > 10.0) == (facing == 1) else "off")
    assert got.word == (
        ("cut" if got.metal == "on" else "add") if tool == "core_stick" else ("add" if got.metal == "on" else "cut")
    )


def test_a_face_of_unknown_facing_is_only_moved():
    got = cut("core_box", "face", 10.0, 9.9, axis="oblique")
    assert got.words == "move the face 0.10 toward the - side (box)"
    assert got.word == "move"
    assert "metal" not in got.casting_words


@pytest.mark.parametrize(
    "fit, value, said",
    [
        ("seat", 60.0, "0.20 more"),
        ("seat", 60.4, "0.20 less"),
        ("print", 60.0, "0.20 less"),
        ("print", 60.4, "0.20 more"),
    ],
)
@pytest.mark.parametrize("tool, sense", [("core_stick", "metal"), ("core_box", "space"), ("pattern_drag", "metal")])
def test_prints_and_seats_change_slack_and_no_surface(fit, value, said, tool, sense):
    got = cut(tool, sense, value, 60.2, a=0.01, fit=fit)
    assert got.casting_words == f"{said}: slack only, no surface moves"
    assert (got.casting_mm, got.metal) == (0.0, "")
    assert cut(tool, "face", value, 60.2, fit=fit).casting_words == "fit only, no surface moves"


def test_the_body_of_a_fit_decides_what_is_cut():
    """A print's face at +X with the core's body facing +X: a box is cut to let it grow, a stick is added to."""
    assert cut("core_box", "face", 10.0, 10.2, axis="x", facing=1, fit="print").word == "cut"
    assert cut("core_stick", "face", 10.0, 10.2, axis="x", facing=1, fit="print").word == "add"
    assert cut("pattern_drag", "face", 10.0, 10.2, axis="x", facing=1, fit="seat").word == "add"


def test_near_enough_is_left_alone():
    within = cut("core_stick", "metal", 59.61, 59.59, band=STICK, u_mm=0.025)
    assert within.words == "leave: at target within the uncertainty (stick)"
    assert cut("core_stick", "metal", 59.594, 59.59, band=STICK).words == "leave: at target (stick)"
    assert cut("core_stick", "metal", 59.59, 59.59).casting_words == "no change"
    assert cut("core_stick", "metal", 59.60, 59.59, band=STICK).word == "cut"
    # closer than a step of the display, but outside a band that is narrower still
    assert cut("core_stick", "metal", 59.598, 59.59, band=Band(59.585, 59.595, "t")).word == "cut"


def test_a_template_forms_nothing_of_the_casting():
    assert cut("gauge_template", "space", 10.0, 10.2).casting_words == "no surface of the casting moves"


def test_amounts_can_be_written_the_persons_way():
    got = cut("core_stick", "metal", 61.0, 59.73, a=0.0, ends="both", style=Style("in", 3))
    assert got.words == "cut 0.050 to centre (stick), 0.025 a face"
    assert got.casting_words.startswith("metal on 0.050")
    assert cut("core_stick", "metal", 10.34, 10.0, resolution_mm=0.1).words == "cut 0.3 to centre (stick)"


@given(
    st.sampled_from(TOOL_KINDS),
    st.sampled_from(SENSES),
    st.floats(5.0, 500.0),
    st.floats(-3.0, 3.0),
    st.floats(-0.01, 0.05),
    st.sampled_from([None, "print", "seat"]),
    st.sampled_from([None, 1, -1]),
    st.sampled_from([None, "both", "A"]),
)
def test_cut_and_add_mean_the_tool_and_metal_on_and_off_the_casting(tool, sense, target, off, a, fit, facing, ends):
    got = cut(tool, sense, target + off, target, a=a, fit=fit, facing=facing, ends=ends, axis="y")
    assert "metal" not in got.words
    assert not {"cut", "add"} & set(got.casting_words.replace(",", " ").split())
    assert isclose(target + off + got.change_mm, target, abs_tol=1e-9)
    if got.metal:
        assert got.casting_mm == pytest.approx(got.change_mm / (1 + a))
    else:
        assert "metal" not in got.casting_words


@given(st.floats(55.0, 65.0), st.floats(-0.2, 0.2))
def test_the_least_change_ends_on_the_limit_and_never_beyond_the_target(value, shift):
    band = Band(59.44 + shift, 59.74 + shift, "t")
    target = 59.59 + shift
    got = cut("core_stick", "metal", value, target, band=band)
    after = value + got.to_limit_mm
    assert band.lower - 1e-6 <= after <= band.upper + 1e-6
    assert abs(got.to_limit_mm) <= abs(got.change_mm) + 1e-9
    assert got.to_limit_mm * got.change_mm >= 0.0


@pytest.mark.parametrize(
    "arguments, said",
    [
        (("spoon", "metal", 1.0, 2.0), "no kind of tool"),
        (("core_box", "hole", 1.0, 2.0), "no sense"),
        (("core_box", "space", nan, 2.0), "finite"),
    ],
)
def test_words_that_are_not_known_are_refused(arguments, said):
    with pytest.raises(DataError, match=said):
        cut(*arguments)
    with pytest.raises(DataError, match="use print"):
        cut("core_box", "space", 1.0, 2.0, fit="key")
