"""Members of a cause against each other, worked by hand; and sets of causes that undo each other."""

from __future__ import annotations

from math import exp, inf, sqrt

import numpy as np
import pytest
from scipy import stats

from inspect_tui.metrology.causes import noise as causes_noise
from inspect_tui.metrology.causes.candidates import candidates
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.members import Agreement, agreement, chi_squared_tail, undone
from inspect_tui.metrology.causes.problem import Candidate, Noise
from inspect_tui.metrology.causes.sentences import say_all, tell_on_tools
from inspect_tui.metrology.faces.observed import Observed, Read
from tests.worlds.ends import End, observed

QUIET = Noise(seat_mm=0.0, face_mm=0.0, scale=0.0)


def place(balloon: str, b: End, off: float, u: float = 0.1, serials: str = "1", a: End | None = None) -> Observed:
    at = b.place_mm - (a.place_mm if a else 0.0)
    readings = {s: Read(at + off, u) for s in serials}
    return observed(balloon=balloon, axis="y", a=a, b=b, predicted_mm=at, cast_size_mm=at, readings=readings)


def asked(offs: list[float], u: float = 0.1, odd: tuple[int, ...] = (), serials: str = "1") -> Agreement:
    """The shift of one core of which every feature is a place of its own; nothing scatters but the readings."""
    features = [place(f"N{n}", End("core 14", 10.0 * n), off, u, serials) for n, off in enumerate(offs, 1)]
    t = causes_noise.table(features, "drag")
    only = [c for c in candidates(features) if c.name == "core 14 y"]
    return agreement(t, t.columns(only), only, np.array([0.8]), QUIET, odd, (0,), 0)


@pytest.mark.parametrize(("value", "dof"), [(3.841, 1), (5.991, 2), (20.0, 4), (60.0, 30)])
def test_the_tail_of_chi_squared_is_that_of_scipy(value, dof):
    assert chi_squared_tail(value, dof) == pytest.approx(stats.chi2.sf(value, dof), rel=1e-3)


def test_members_that_say_the_same_agree():
    said = asked([0.8, 0.75, 0.85])
    # about their mean: (0.05^2 + 0.05^2) / 0.1^2 = 0.5 with two degrees of freedom, exp(-0.25)
    assert said.p == pytest.approx(exp(-0.25), rel=1e-6)
    assert said.left_out == () and said.holds
    assert said.shown == pytest.approx(0.8 / (0.1 / sqrt(3)), rel=1e-4)


def test_where_one_says_so_and_two_do_not_the_cause_rests_on_the_one():
    """0.8, 0, 0 of u 0.1: about the mean (0.5333^2 + 2 x 0.2667^2) / 0.01 = 42.667, exp(-21.333); the rest shows 0."""
    said = asked([0.8, 0.0, 0.0])
    assert said.p == pytest.approx(exp(-0.5 * 42.6667), rel=1e-2)
    assert said.left_out == ("N1",)
    assert said.shown == pytest.approx(0.0, abs=1e-6)
    assert not said.holds


def test_one_that_is_off_leaves_a_cause_that_the_others_show():
    said = asked([0.8, 0.8, 0.8, -0.5])
    assert said.left_out == ("N4",)
    assert said.shown == pytest.approx(8.0 * sqrt(3), rel=1e-4)
    assert said.holds


def test_what_is_left_must_show_the_cause_at_two_standard_deviations():
    assert not asked([0.8, 0.135, 0.135]).holds  # 0.135 / (0.1 / sqrt 2) = 1.91
    assert asked([0.8, 0.145, 0.145]).holds  # 2.05


def test_members_disagree_at_one_in_a_hundred():
    # two members d apart: chi-squared d^2 / (2 u^2) with one degree of freedom; 6.635 is one in a hundred
    assert asked([1.0, 1.0 - 0.1 * sqrt(2 * 6.5)]).left_out == ()
    assert len(asked([1.0, 1.0 - 0.1 * sqrt(2 * 6.8)]).left_out) == 1


def test_more_castings_make_the_members_surer_of_their_disagreement():
    one, three = asked([0.5, 0.2], serials="1"), asked([0.5, 0.2], serials="123")
    assert one.p == pytest.approx(stats.chi2.sf(0.09 / 0.02, 1), rel=1e-4)
    assert three.p == pytest.approx(stats.chi2.sf(3 * 0.09 / 0.02, 1), rel=1e-3)


def test_a_reading_that_was_set_aside_says_nothing():
    assert asked([0.8, 0.8, -3.0], odd=(2,)).left_out == ()
    assert asked([0.8, -3.0], odd=(1,)) == Agreement(1.0, (), inf)  # one member alone has nobody to disagree with


def test_causes_that_undo_each_other_are_seen_and_those_that_help_are_not():
    gram = np.array([[4.0, 3.6], [3.6, 4.0]])
    assert undone(gram, {0: 1.0, 1: -1.0}) == {0: (1,), 1: (0,)}  # 3.6 of 4 is undone
    assert undone(gram, {0: 1.0, 1: 1.0}) == {}
    assert undone(gram, {0: 1.0, 1: -0.8}) == {1: (0,)}  # the larger one keeps 1 - 0.72 of itself
    assert undone(np.diag([4.0, 4.0]), {0: 1.0, 1: -1.0}) == {}


def test_a_small_cause_may_be_undone_by_several_together():
    gram = np.array([[4.0, 2.0, 2.0], [2.0, 40.0, 0.0], [2.0, 0.0, 40.0]])
    assert undone(gram, {0: 1.0, 1: -0.9, 2: -0.9}) == {0: (1, 2)}


def test_a_wall_that_stands_alone_is_no_moved_core_but_a_face_that_has_to_be_measured():
    """N92 from core 14 to the cope is 0.8 thick in excess; N89 and N93 from the drag to core 14 are right."""
    drag = End("drag", 0.0, -1)
    core = [End("core 14", at, facing) for at, facing in ((100.0, 1), (180.0, 1), (249.0, -1))]
    features = [
        place("N89", core[0], 0.0, 0.05, "123", drag),
        place("N93", core[1], 0.02, 0.05, "123", drag),
        place("N92", End("cope", 256.0, 1), 0.8, 0.05, "123", core[2]),
        place("N1", End("cope", 300.0, 1), 0.0, 0.05, "123", drag),
    ]
    answer = explain(features)
    assert not answer.findings
    unclear = answer.cannot_tell[0]
    group = {unclear.candidate.name, *(c.name for c in unclear.alike)}
    assert {"cope face y 256", "core 14 face y 249"} <= group
    told = [(m.part, m.place_mm) for m in tell_on_tools(unclear)]
    assert told[0] == ("cope", 256.0)  # patterns are easier to measure than boxes
    said = next(t.text for t in say_all(answer) if t.name)
    assert "the cope's face at Y 256" in said.replace("The cope's", "the cope's")
    assert "these features cannot tell them apart" in said
    assert "the face at Y 256 on the cope pattern" in said
    assert "Do not cut" in said


def beside(sd_of_face: float) -> Agreement:
    """N1 says 0.8 and three say 0, of u 0.1, beside a cause of width `sd_of_face` that moves N1 alone."""
    offs = [0.8, 0.0, 0.0, 0.0]
    features = [place(f"N{n}", End("core 14", 10.0 * n), off, 0.1, "1") for n, off in enumerate(offs, 1)]
    t = causes_noise.table(features, "drag")
    known = {c.name: c for c in candidates(features)}
    both = [known["core 14 y"], known["core 14 face y 10"]]
    return agreement(t, t.columns(both), both, np.array([0.8, sd_of_face]), QUIET, (), (0, 1), 0)


def test_another_cause_takes_what_it_can_explain_within_its_believable_width():
    """Let in with width s, the other cause leaves N1 a variance of 0.1^2 + s^2: against the mean of the other three."""
    for s in (0.1, 0.3, 3.0):
        p = stats.chi2.sf(0.8**2 / (0.1**2 + s * s + 0.1**2 / 3), 1)
        said = beside(s)
        if s >= 0.3:
            # with one degree of freedom for N1 and two for the three that say the same
            assert said.p == pytest.approx(stats.chi2.sf(0.8**2 / (0.1**2 + s * s + 0.1**2 / 3), 3), rel=1e-4)
            assert said.left_out == () and p < said.p
        else:
            assert said.left_out == ("N1",)


def test_what_is_left_out_is_taken_out_of_the_estimate_of_the_rest():
    """0.9, 0.3, 0.32, 0.28, u 0.1: without the first the mean is 0.3 of u 0.0577."""
    said = asked([0.9, 0.30, 0.32, 0.28])
    assert said.left_out == ("N1",)
    assert said.shown == pytest.approx(0.3 / (0.1 / sqrt(3)), rel=1e-4)


def test_the_worst_member_is_left_out_first():
    said = asked([0.0, 0.0, 0.0, 1.0, 2.0, 0.05])
    assert said.left_out == ("N5", "N4")
    assert not said.holds


@pytest.mark.parametrize("offs", [[0.5, -0.2, 1.1], [0.9, 0.3, 1.0], [0.2, -0.4, 0.2]])
def test_members_of_unequal_weight_and_share_are_held_to_their_best_common_size(offs):
    """Shares 1, -0.5 and 2 of the cause, u 0.1, 0.2 and 0.05: weighted least squares of one size through three."""
    shares, u = np.array([1.0, -0.5, 2.0]), np.array([0.1, 0.2, 0.05])
    features = [place(f"N{n}", End("core 14", 10.0 * n), off, u[n - 1], "1") for n, off in enumerate(offs, 1)]
    column = {f"N{n}": float(share) for n, share in enumerate(shares, 1)}
    only = [Candidate(name="c", kind="shift", axis="y", column=column, sd=0.8, prior=0.03)]
    t = causes_noise.table(features, "drag")
    said = agreement(t, t.columns(only), only, np.array([0.8]), QUIET, (), (0,), 0)
    weight = shares**2 / u**2
    best = float((shares * np.array(offs) / u**2).sum() / weight.sum())
    left = float((((np.array(offs) - best * shares) / u) ** 2).sum())
    assert said.p == pytest.approx(stats.chi2.sf(left, 2), rel=1e-3)
    if said.p >= 0.01:
        assert said.shown == pytest.approx(abs(best) * sqrt(weight.sum()), rel=1e-6)
    else:
        # which of three is left out: the one without which the other two agree best
        rests = {}
        for n in range(3):
            keep = [k for k in range(3) if k != n]
            own = float((shares * np.array(offs) / u**2)[keep].sum() / weight[keep].sum())
            rests[f"N{n + 1}"] = float((((np.array(offs) - own * shares) / u) ** 2)[keep].sum())
        assert said.left_out[0] == min(rests, key=lambda name: rests[name])
