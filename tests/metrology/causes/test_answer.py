"""From weighed explanations to an answer: what is named, what cannot be told apart, contraction averaged."""

from __future__ import annotations

from dataclasses import replace
from math import exp, log, sqrt

import pytest

from inspect_tui.metrology.causes.answer import castings_differ
from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.problem import Candidate, Explanation, Noise
from inspect_tui.metrology.causes.sentences import say_all
from inspect_tui.metrology.faces.observed import Observed, Read
from inspect_tui.model.words import Estimate
from tests.metrology.causes.test_explain import first  # noqa: F401  a fixture
from tests.worlds.cuts_by_hand import QUIET, size
from tests.worlds.ends import End, observed


def test_causes_that_the_features_cannot_tell_apart_are_named(first):
    cause = first.named("core 5 z")  # no feature shows core 6 in z
    assert [c.name for c in cause.alike] == ["core 5 with core 6 z"]
    assert cause.probability > 0.95 > cause.own


def test_two_causes_with_one_signature_are_not_named():
    """A wall between two cores, and nothing else of either: which of them moved is anybody's guess."""
    wall = observed(
        balloon="W",
        axis="y",
        a=End("core 1", 40, -1),
        b=End("core 2", 47, 1),
        predicted_mm=7,
        cast_size_mm=7,
        readings={s: Read(7.9, 0.03) for s in "123"},
    )
    overall = observed(
        balloon="L",
        axis="y",
        a=End("drag", 0, -1),
        b=End("drag", 150, 1),
        predicted_mm=150,
        cast_size_mm=150,
        readings={s: Read(150.0, 0.03) for s in "123"},
    )
    answer = explain([wall, overall])
    assert not answer.findings
    unclear = answer.cannot_tell[0]
    assert {"core 1 y", "core 2 y"} <= {unclear.candidate.name, *(c.name for c in unclear.alike)}
    assert unclear.probability > 0.95
    assert len(answer.cannot_tell) == 1  # said once, with all that it could be
    assert {r.names for r in answer.rivals[:2]} == {("core 1 y",), ("core 2 y",)}
    assert all("Do not cut" in t.text for t in say_all(answer) if t.name)
    assert say_all(answer)[0].text == "No cause is named; what is open follows."
    calm = say_all(explain([overall, replace(overall, balloon="M")]))
    assert [t.text for t in calm] == ["No cause is named: the castings agree with the tools within their scatter."]


def test_contraction_is_averaged_over_what_else_could_explain_the_sizes():
    """Mean and variance of the mixture over the explanations (law of total variance), each asked by itself.

    Where the parting is no cause it may still be off by what is never named: 2.5 x 0.08, one standard deviation.
    """
    cands = [c for c in all_candidates(heights(0.25)) if c.name in ("contraction z", "parting z")]
    answer = explain(heights(0.25), candidates=cands, learn_noise=False)
    assert not answer.odd
    weights = {frozenset(r.names): r.probability for r in answer.rivals}
    there = [replace(c, prior=1 - 1e-12) for c in cands]
    alone, both = (
        explain(heights(0.25), candidates=some, learn_noise=False).contraction["z"]
        for some in ([c if c.kind == "contraction" else replace(c, sd=0.2) for c in there], there)
    )
    parting = sum(p for names, p in weights.items() if "parting z" in names)
    assert 0.2 < parting < 0.8  # neither explanation has won
    mean = (1 - parting) * alone.value + parting * both.value
    square = (1 - parting) * (alone.u**2 + alone.value**2) + parting * (both.u**2 + both.value**2)
    assert answer.contraction["z"].value == pytest.approx(mean, rel=0.01)
    assert answer.contraction["z"].u == pytest.approx((square - mean**2) ** 0.5, rel=0.01)
    assert min(alone.u, both.u) < answer.contraction["z"].u < max(alone.u, both.u)


def test_a_contraction_is_weighed_with_the_cope_off_by_what_is_never_named():
    """Its probability where the parting is there for sure, 2.5 x 0.08 wide, is that from which it is named."""
    shrunk = heights(0.0, 0.0021)
    cands = [c for c in all_candidates(shrunk) if c.name in ("contraction z", "parting z")]
    wide = [c if c.kind == "contraction" else replace(c, sd=0.2, prior=1 - 1e-12) for c in cands]
    due = next(
        f.own
        for answer in [explain(shrunk, candidates=wide, learn_noise=False)]
        for f in (*answer.findings, *answer.cannot_tell)
        if f.candidate.kind == "contraction"
    )
    named, unsure = (
        explain(shrunk, candidates=cands, learn_noise=False, name_at=at) for at in (due - 0.004, due + 0.004)
    )
    (finding,) = named.findings
    assert finding.own > due + 0.004 and not unsure.findings
    (said,) = unsure.cannot_tell
    assert said.candidate.kind == "contraction" and [c.name for c in said.alike] == ["parting z"]


def heights(up: float, shrunk: float = 0.0) -> list[Observed]:
    """Two heights to the cope and a short one on the drag: contraction and parting are rivals."""
    ends = {
        "H1": (("drag", 0.0), ("cope", 180.0)),
        "H2": (("drag", 20.0), ("cope", 150.0)),
        "H3": (("drag", 0.0), ("drag", 60.0)),
    }
    return [
        observed(
            balloon=name,
            axis="z",
            a=End(*a),
            b=End(*b),
            predicted_mm=b[1] - a[1],
            cast_size_mm=b[1] - a[1],
            contraction=0.01,
            readings={s: Read((b[1] - a[1]) * (1 - shrunk) + up * (b[0] == "cope"), 0.03) for s in "123"},
        )
        for name, (a, b) in ends.items()
    ]


def test_a_common_cause_is_given_for_each_casting_too(first):
    by_casting = dict(first.named("core 4 y").by_casting)
    assert set(by_casting) == {"1", "2", "3"}
    assert all(e.value == pytest.approx(0.70, abs=4 * e.u) for e in by_casting.values())


# ------------------------------------------------------------------------------ worked by hand
DRAG = End("drag", 0.0, -1)
SEATS = Noise(seat_mm=0.08, face_mm=0.0, scale=0.0)
CORE = End("core 1", 50.0, 1)
WIDE = 100.0  # so wide a believable size that nothing pulls at the mean of the readings


def place(balloon: str, off, u: float = 0.05, **more):
    return size(balloon, "x", DRAG, End("core 1", 50.0 + float(more.pop("at", 0.0)), 1), off, u=u, **more)


def cause(name: str, column: dict[str, float], **more) -> Candidate:
    known: dict[str, object] = {"kind": "shift", "axis": "x", "sd": WIDE, "prior": 0.03, "parts": ("core 1",), **more}
    return Candidate(name=name, column=column, **known)


def asked(features, cands, noise=QUIET, **more) -> Explanation:
    honest = replace(noise, odd_share=1e-12)  # nobody slips: every reading counts
    return explain(features, candidates=cands, noise=honest, learn_noise=False, **more)


def all_said(answer: Explanation) -> dict[str, object]:
    return {f.candidate.name: f for f in (*answer.findings, *answer.cannot_tell)}


TWELVE = [place("N", dict.fromkeys("abcdefghijkl", 0.25), 0.25)]  # a quarter on each of twelve castings, u as much
ONE = [cause("core 1 x", {"N": 1.0}, sd=0.5, prior=0.1)]


def test_probability_size_and_interval_of_one_cause_are_those_of_the_closed_form():
    """Twelve readings of 0.25, u 0.25, slab 0.5, prior 0.1: 1 + 48 in units of the slab, 24^2 / 49 / 2 in all."""
    answer = asked(TWELVE, ONE, name_at=0.3)
    found = all_said(answer)["core 1 x"]
    h, g = 1.0 + 0.5**2 * 12 / 0.25**2, 0.5 * 12 * 0.25 / 0.25**2
    weight = 0.1 / 0.9 * exp(0.5 * g * g / h) / sqrt(h)
    assert found.probability == pytest.approx(weight / (1 + weight), rel=1e-6)
    assert found.own == pytest.approx(found.probability)
    assert found.size.value == pytest.approx(0.5 * g / h)
    assert found.size.u == pytest.approx(0.5 / sqrt(h))
    assert found.high - found.size.value == pytest.approx(1.959964 * 0.5 / sqrt(h))
    assert found.size.value - found.low == pytest.approx(1.959964 * 0.5 / sqrt(h))
    assert {r.names: r.probability for r in answer.rivals}[()] == pytest.approx(1 / (1 + weight), rel=1e-6)


def test_a_cause_is_named_from_the_probability_that_is_asked():
    p = all_said(asked(TWELVE, ONE, name_at=0.3))["core 1 x"].probability
    assert 0.3 < p < 0.9
    assert asked(TWELVE, ONE, name_at=p - 0.01).named("core 1 x")
    unsure = asked(TWELVE, ONE, name_at=p + 0.01)
    assert not unsure.findings and unsure.cannot_tell[0].status == "cannot tell"


@pytest.mark.parametrize(("serials", "least"), [("123", 0.20), ("1", 0.20 * sqrt(3.0))])
def test_a_shift_is_told_from_two_and_a_half_seating_scatters(serials, least):
    """2.5 x 0.08 on three castings, in proportion to one over the root of their number."""
    for factor, status in ((0.98, "below scatter"), (1.02, "named"), (-0.98, "below scatter"), (-1.02, "named")):
        offs = dict.fromkeys(serials, least * factor)
        features = [place("N", offs, 0.001), place("M", offs, 0.001, at=9.0)]
        answer = asked(features, [cause("core 1 x", {"N": 1.0, "M": 1.0}, prior=0.9999)], replace(SEATS, seat_mm=0.08))
        assert all_said(answer)["core 1 x"].status == status


def test_a_shift_of_one_casting_needs_what_one_casting_shows():
    for off, status in ((0.34, "below scatter"), (0.355, "named")):
        offs = {"1": 0.0, "2": 0.0, "3": off}
        features = [place("N", offs, 0.001), place("M", offs, 0.001, at=9.0)]
        own = cause("core 1 x on casting 3", {"N": 1.0, "M": 1.0}, prior=0.9999, serial="3")
        found = all_said(asked(features, [own], SEATS))["core 1 x on casting 3"]
        assert (found.status, found.by_casting) == (status, ())


def test_a_contraction_is_told_where_it_moves_the_longest_size_by_two_seating_scatters():
    """200 / 1.01 for each unit: 0.16 is 0.000808."""
    body = End("drag", 200.0, 1)
    for kind in ("contraction", "held back"):
        for value, status in ((0.00079, "below scatter"), (0.00083, "named")):
            feature = size("B", "x", DRAG, body, -value * 200 / 1.01, u=0.001)
            own = cause("c", {"B": -200 / 1.01, "S": -10.0}, kind=kind, prior=0.9999, sd=0.5, parts=())
            assert all_said(asked([feature], [own], SEATS))["c"].status == status


def test_a_bias_is_told_from_two_and_a_half_of_what_is_stated_of_the_readings():
    for off, status in ((0.12, "below scatter"), (0.13, "named")):
        features = [place("N", off, 0.05), place("M", off, 0.05, at=9.0), place("K", off, 0.01, at=20.0)]
        own = cause("CAL1 bias", {"N": 1.0, "M": 1.0, "K": 1.0}, kind="bias", instrument="CAL1", prior=0.9999)
        assert all_said(asked(features, [own]))["CAL1 bias"].status == status


@pytest.mark.parametrize(("apart", "status"), [(0.058, "named"), (0.068, "cannot tell")])
def test_a_bias_is_the_same_on_every_casting(apart, status):
    """Three castings, three features each, u 0.05: 0.0289 a casting; 2 (apart / 0.0289)^2 against 9.21 at 1 %, two dof."""
    assert (2 * (apart / (0.05 / sqrt(3))) ** 2 < 9.21) is (status == "named")
    offs = {"1": 0.30 - apart, "2": 0.30, "3": 0.30 + apart}
    features = [place(n, offs, 0.05, at=9.0 * k) for k, n in enumerate("NMK")]
    gauge = cause("CAL1 bias", dict.fromkeys("NMK", 1.0), kind="bias", instrument="CAL1", prior=0.9999, parts=())
    assert all_said(asked(features, [gauge]))["CAL1 bias"].status == status
    shift = cause("core 1 x", dict.fromkeys("NMK", 1.0), prior=0.9999)
    assert all_said(asked(features, [shift]))["core 1 x"].status == "named"


@pytest.mark.parametrize(("r", "together"), [(0.852, True), (0.845, False)])
def test_two_causes_are_alike_while_the_readings_would_hardly_notice(r, together):
    """Columns 1, 1 and 1, r: exchanging them costs 3 x 0.25 x (1 - r)^2 / (1 + r^2) / 0.05^2, alike below 4."""
    lost = 3 * 0.5**2 * (1 - r) ** 2 / (1 + r * r) / 0.05**2
    assert (lost < 4.0) is together
    features = [place("N", 0.5), place("M", 0.5, at=9.0)]
    cands = [
        cause("core 1 x", {"N": 1.0, "M": 1.0}, sd=0.8, prior=0.3),
        cause("core 2 x", {"N": 1.0, "M": r}, sd=0.8, prior=0.001, parts=("core 2",)),
    ]
    found = all_said(asked(features, cands))["core 1 x"]
    assert [a.name for a in found.alike] == (["core 2 x"] if together else [])


def test_a_stand_in_must_be_believable_and_look_the_same():
    features = [place("N", 0.5)]
    main = cause("core 1 x", {"N": 1.0}, sd=0.8, prior=0.3)
    for sd, together in ((0.17, True), (0.16, False)):  # 0.5 is three of 0.167
        other = cause("core 2 x", {"N": 1.0}, sd=sd, prior=1e-6, parts=("core 2",))
        found = all_said(asked(features, [main, other]))["core 1 x"]
        assert [a.name for a in found.alike] == (["core 2 x"] if together else [])


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_what_speaks_for_a_cause_shows_more_than_half_of_it_and_what_should_and_does_not_is_against(way):
    """A shift of about 0.5 with u 0.1 on three castings: each feature shows it at 9 standard deviations."""
    offs = {"N": 0.5, "M": 0.5, "K": 0.5, "L": 0.1}
    features = [place(n, way * off, 0.1, at=k) for k, (n, off) in enumerate(offs.items())]
    free = cause("core 1 face x 53", {"L": 1.0}, kind="face", prior=0.5)
    shift = cause("core 1 x", {"N": 1.0, "M": 1.0, "K": 1.0, "L": 1.0, "T": 0.03}, prior=0.5)
    told = asked([*features, place("T", way * 0.02, 0.1, at=7.0)], [shift, free])
    found = told.named("core 1 x")
    assert found.speaks_for == ("N", "M", "K", "L") and found.against == ()  # its face explains what L lacks
    alone = all_said(asked(features, [shift]))["core 1 x"]
    assert alone.speaks_for == ("N", "M", "K") and alone.against == ("L",)
    assert "T" not in (*found.speaks_for, *found.against)  # it would show 0.015 of u 0.058: too little to say
    wrong_way = [*features[:3], place("L", way * -0.4, 0.1, at=3.0)]
    assert all_said(asked(wrong_way, [shift]))["core 1 x"].against == ("L",)


def test_what_is_one_in_twenty_likely_is_a_doubt_and_not_held_against_a_cause():
    """L shows less than half of 0.5, 2.4 of its own standard deviations off: its face explains that, if it may be off."""
    offs = {"N": 0.5, "M": 0.5, "K": 0.5}
    features = [place(n, off, 0.02, at=9.0 * k) for k, (n, off) in enumerate(offs.items())]
    features.append(place("L", 0.22, 0.2, at=40.0))
    shift = cause("core 1 x", dict.fromkeys((*offs, "L"), 1.0), prior=0.9999)
    for prior, likely in ((0.02, True), (0.005, False)):
        face = cause("core 1 face x 90", {"L": 1.0}, kind="face", sd=0.3, prior=prior)
        answer = asked(features, [shift, face])
        there = sum(r.probability for r in answer.rivals if face.name in r.names)
        assert 0.06 < there < 0.12 if likely else 0.01 < there < 0.04
        told = all_said(answer)["core 1 x"]
        assert ("L" in told.speaks_for, "L" in told.against) == (likely, not likely)


def test_a_cause_in_common_is_weighed_against_wild_readings_too():
    """Two readings of 1.0, u 0.1: log odds of 10.6 for the face at a share of slips of 0.4 %, of 4.0 at 10 %."""
    face = cause("core 1 face x 50", {"N": 1.0}, kind="face", sd=1.5, prior=0.01)
    for share, status in ((0.004, "named"), (0.1, "cannot tell")):
        noise = replace(QUIET, odd_share=share)
        features = [place("N", {"1": 1.0, "2": 1.0}, 0.1)]
        found = all_said(explain(features, candidates=[face], noise=noise, learn_noise=False))["core 1 face x 50"]
        assert found.status == status
        assert found.wild == ((("N", "1"), ("N", "2")) if status == "cannot tell" else ())


def test_one_feature_that_says_so_against_one_that_does_not_names_nothing():
    shift = cause("core 1 x", {"N": 1.0, "M": 1.0}, prior=0.9999)
    features = [place("N", 0.5, 0.02), place("M", 0.05, 0.7, at=9.0)]
    found = all_said(asked(features, [shift]))["core 1 x"]
    assert found.speaks_for == ("N",) and found.status == "named"  # M can say nothing either way
    sharp = [place("N", 0.5, 0.02), place("M", 0.20, 0.25, at=9.0)]  # 0.3 off by 2.1 of its own: they may agree
    found = all_said(asked(sharp, [shift]))["core 1 x"]
    assert found.speaks_for == ("N",) and found.against == ("M",)
    assert found.status == "cannot tell" and found.left_out == ("N",)


def test_a_cause_whose_members_disagree_falls_to_the_faces_it_rests_on():
    """N alone says 0.8; M, K and L say 0.10 in the mean, of u 0.067."""
    offs = {"N": 0.8, "M": 0.30, "K": 0.0, "L": 0.0}
    features = [place(n, off, 0.2, at=9.0 * k) for k, (n, off) in enumerate(offs.items())]
    shift = cause("core 1 x", dict.fromkeys(offs, 1.0), prior=0.9999)
    ends = [cause(f"face of {n}", {n: 1.0}, kind="face", prior=1e-30) for n in offs]
    found = all_said(asked(features, [shift, *ends]))["core 1 x"]
    assert found.status == "cannot tell" and found.left_out == ("N",)
    assert {a.name for a in found.alike} == {"face of N"}


def test_a_size_and_its_faces_are_one_tool_and_are_named():
    features = [size("P", "x", End("core 1", 50.0, 1), End("core 1", 150.0, -1), -1.2, u=0.05)]
    (found,) = explain(features).findings
    assert found.own < 0.9 < found.probability
    said = {found.candidate.name, *(a.name for a in found.alike)}
    assert said == {"core 1 growth", "size P", "core 1 face x 50", "core 1 face x 150"}
    assert found.alike[0].name == "size P"  # the likeliest of them before all was measured


def test_a_core_that_moved_with_what_it_sits_in_is_named_as_the_core():
    """Nothing of core 2, in which core 1 sits, is seen: by itself or with it, core 1 is off."""
    far = size("M", "x", DRAG, End("core 1", 90.0, -1), 0.7)
    features = [place("N", 0.7, 0.03), far, size("B", "x", DRAG, End("drag", 200.0, 1))]
    cause = explain(features, carriers={"core 1": ["core 2"]}, noise=SEATS, learn_noise=False).named("core 1 x")
    assert cause is not None and "core 2 with core 1 x" in {a.name for a in cause.alike}
    said = next(t.text for t in say_all(explain(features, carriers={"core 1": ["core 2"]})) if t.name == "core 1 x")
    assert "Whether core 2, in which it sits, moves with it" in said


def test_each_casting_by_itself_shows_its_own_size():
    """0.4, 0.5 and 0.9 on three castings, u 0.05 each, nothing pulls at them."""
    answer = asked([place("N", {"1": 0.4, "2": 0.5, "3": 0.9})], [cause("core 1 x", {"N": 1.0}, prior=0.9999)])
    by_casting = dict(all_said(answer)["core 1 x"].by_casting)
    assert {s: e.value for s, e in by_casting.items()} == pytest.approx({"1": 0.4, "2": 0.5, "3": 0.9}, abs=1e-4)
    assert all(e.u == pytest.approx(0.05, rel=1e-3) for e in by_casting.values())


@pytest.mark.parametrize("way", [1.0, -1.0])
def test_a_casting_whose_own_cause_undoes_a_cause_in_common_does_not_show_it(way):
    """Casting 2 alone reads 2.0; "all of them, and 1 and 3 back again" says the same and is no answer."""
    offs = {"1": 0.0, "2": 2.0 * way, "3": 0.0}
    features = [place("N", offs, 0.05), place("M", offs, 0.05, at=9.0)]
    both = {"N": 1.0, "M": 1.0}
    own = [cause(f"core 2 x on casting {s}", both, serial=s, prior=0.5, parts=("core 2",)) for s in "13"]
    shift = cause("core 1 x", both, prior=0.9999)
    found = all_said(asked(features, [shift, *own]))["core 1 x"]
    sizes = {s: e.value for s, e in found.by_casting}
    assert sizes == pytest.approx(offs, abs=1e-3)
    assert found.status == "cannot tell" and found.castings_differ
    moved = {"1": 1.0 * way, "2": 2.0 * way, "3": 2.0 * way}  # half undone is another thing: 1 sits 1.0 back by itself
    features = [place("N", moved, 0.05), place("M", moved, 0.05, at=9.0)]
    found = all_said(asked(features, [shift, own[0]]))["core 1 x"]
    assert {s: e.value for s, e in found.by_casting} == pytest.approx(dict.fromkeys("123", 2.0 * way), abs=1e-2)
    assert found.status == "named"


def test_a_casting_whose_readings_are_all_set_aside_shows_no_size():
    features = [place("N", {"1": 0.5, "2": 0.5, "3": -4.0}, 0.05)]
    answer = explain(features, candidates=[cause("core 1 x", {"N": 1.0})], noise=QUIET, learn_noise=False)
    assert [s for s, _ in all_said(answer)["core 1 x"].by_casting] == ["1", "2"]


def test_what_no_cause_explains_is_left_over_from_two_and_a_half_standard_uncertainties():
    """u 0.05 on three castings and 0.02 of the tool: 0.0351, two and a half of it 0.0878."""
    for off, kept in ((0.085, False), (0.090, True)):
        feature = place("N", off, 0.05, u_predicted=0.02)
        left = asked([feature, place("M", 0.0, at=9.0)], [cause("core 2 x", {"M": 1.0})]).left
        assert [(v.balloon, pytest.approx(v.mm)) for v in left] == ([("N", off)] if kept else [])
        assert all(v.u == pytest.approx(sqrt(0.05**2 / 3 + 0.02**2)) for v in left)


def test_causes_that_undo_each_other_are_not_named_together():
    """Two cores off by 0.8 against each other, where all that is read sees both: only their difference shows."""
    features = [place("N", 0.05, 0.01), place("M", -0.05, 0.01, at=9.0)]
    cands = [
        cause("core 1 x", {"N": 1.0, "M": 0.9}, prior=0.5),
        cause("core 2 x", {"N": 0.9, "M": 1.0}, prior=0.5, parts=("core 2",)),
    ]
    answer = asked(features, cands)
    said = all_said(answer)
    assert said["core 1 x"].size.value > 0.4 and said["core 2 x"].size.value < -0.4
    assert not answer.findings
    assert "core 2 x" in {a.name for a in said["core 1 x"].alike}
    assert said["core 1 x"].status == "cannot tell"


def test_causes_are_mentioned_from_one_in_four():
    features = [place("N", 0.10, 0.05)]
    sure = all_said(asked(features, [cause("core 1 x", {"N": 1.0}, sd=0.8, prior=0.5)]))["core 1 x"].probability
    weight = sure / (1 - sure)  # of one to one before
    for p, mentioned in ((0.24, False), (0.26, True)):
        before = p / (1 - p) / weight
        answer = asked(features, [cause("core 1 x", {"N": 1.0}, sd=0.8, prior=before / (1 + before))])
        assert bool(answer.cannot_tell) is mentioned


def test_what_is_surest_comes_first():
    features = [*TWELVE, place("M", 0.8, at=9.0)]
    both = [*ONE, cause("core 2 x", {"M": 1.0}, prior=0.5, parts=("core 2",))]
    answer = asked(features, both, name_at=0.3)
    assert [f.candidate.name for f in answer.findings] == ["core 2 x", "core 1 x"]
    assert [f.candidate.name for f in asked(features, both[::-1], name_at=0.3).findings] == ["core 2 x", "core 1 x"]


def test_a_feature_has_a_say_from_one_and_a_half_of_its_standard_uncertainties():
    """M shows 0.5 of the shift with u 0.05 / sqrt 3 and 0.16 of its tool: 0.1626, of which 1.5 is 0.244."""
    for share, has_a_say in ((0.47, False), (0.51, True)):
        features = [place("N", 0.5, 0.01), place("M", 0.5 * share, 0.05, at=9.0, u_predicted=0.16)]
        found = all_said(asked(features, [cause("core 1 x", {"N": 1.0, "M": share}, prior=0.9999)]))["core 1 x"]
        assert found.speaks_for == (("N", "M") if has_a_say else ("N",))


def test_a_reading_that_was_set_aside_does_not_speak_against_a_cause():
    """On one casting of three M is 4 mm off: set aside by name, the other two show the shift."""
    features = [place("N", 0.5, 0.05), place("M", {"1": 0.5, "2": 0.5, "3": -4.0}, 0.05, at=9.0)]
    answer = explain(features, candidates=[cause("core 1 x", {"N": 1.0, "M": 1.0})], noise=QUIET, learn_noise=False)
    assert [(o.balloon, o.serial) for o in answer.odd] == [("M", "3")]
    assert answer.named("core 1 x").speaks_for == ("N", "M")


@pytest.mark.parametrize(("r", "together"), [(-0.2, True), (-0.3, False)])
def test_a_stand_in_shares_at_least_half_of_the_direction(r, together):
    """The square of the cosine of 1, 1 and 1, r is (1 + r)^2 / 2 / (1 + r^2): 0.31 for -0.2, 0.22 for -0.3."""
    features = [place("N", 0.08, 0.1), place("M", 0.08, 0.1, at=9.0)]
    cands = [
        cause("core 1 x", {"N": 1.0, "M": 1.0}, sd=0.8, prior=0.9999),
        cause("core 2 x", {"N": 1.0, "M": r}, sd=0.8, prior=1e-9, parts=("core 2",)),
    ]
    found = all_said(asked(features, cands))["core 1 x"]
    assert [a.name for a in found.alike] == (["core 2 x"] if together else [])


def test_what_is_left_over_is_as_sure_as_seats_faces_and_scale_let_it_be():
    noise = Noise(seat_mm=0.08, face_mm=0.06, scale=0.003)
    feature = place("N", 0.5, 0.05, u_predicted=0.02)
    answer = asked([feature, place("M", 0.0, at=9.0)], [cause("core 2 x", {"M": 1.0})], noise)
    left = next(v for v in answer.left if v.balloon == "N")
    one = 0.05**2 + 0.08**2 + 2 * 0.06**2 + (0.003 * 50) ** 2
    assert left.u == pytest.approx(sqrt(one / 3 + 0.02**2))


def test_the_cope_and_what_hangs_in_it_are_one_place_to_look_and_the_parting_another():
    features = [place("N", 0.7)]
    for kind, other_kind, one_place in (
        ("mismatch", "mismatch", True),
        ("parting", "parting", True),
        ("mismatch", "parting", False),
    ):
        cands = [
            cause("cope x", {"N": 1.0}, kind=kind, parts=("cope",), prior=0.3, sd=0.8),
            cause("cope with core 9 x", {"N": 1.0}, kind=other_kind, parts=("cope", "core 9"), prior=0.3, sd=0.8),
        ]
        answer = asked(features, cands)
        assert bool(answer.findings) is one_place
    other_axis = [cands[0], replace(cands[0], name="cope y", axis="y")]
    assert not asked(features, other_axis).findings


def test_a_shift_and_what_rides_along_are_one_place_along_one_axis_only():
    features = [place("N", 0.7)]
    first = cause("core 1 x", {"N": 1.0}, prior=0.3, sd=0.8)
    for other, one_place in (
        (replace(first, name="core 1 with core 2 x", kind="carried", parts=("core 1", "core 2")), True),
        (replace(first, name="core 3 with core 1 x", kind="carried", parts=("core 3", "core 1")), True),
        (replace(first, name="core 3 with core 2 x", kind="carried", parts=("core 3", "core 2")), False),
        (replace(first, name="core 1 with core 2 y", kind="carried", axis="y", parts=("core 1", "core 2")), False),
        (replace(first, name="core 1 face x 50", kind="face"), False),
        (replace(first, name="core 1 turned x", kind="turned"), False),
    ):
        assert bool(asked(features, [first, other]).findings) is one_place, other.name


def test_in_one_mould_a_shift_and_what_rides_along_are_one_place_of_that_casting_only():
    """One casting, so that a cause in common would do as well: that is another place, for it is the tool."""
    features = [place("N", {"1": 0.7}), place("M", {"1": 0.7}, at=9.0)]
    first = cause("core 1 x on casting 1", {"N": 1.0, "M": 1.0}, prior=0.3, sd=0.8, serial="1")
    riding = replace(first, name="riding", kind="carried", parts=("core 1", "core 2"))
    for other, one_place in ((riding, True), (replace(riding, serial=""), False)):
        assert bool(asked(features, [first, other]).findings) is one_place


def test_turned_alone_or_with_what_sits_in_it_is_one_place():
    features = [place("N", 0.7)]
    first = cause("core 1 turned x", {"N": 1.0}, kind="turned", prior=0.3, sd=0.8)
    riding = replace(first, name="core 1 with core 2 turned x", parts=("core 1", "core 2"))
    assert asked(features, [first, riding]).findings
    assert not asked(features, [first, replace(riding, parts=("core 3", "core 2"))]).findings


def test_contraction_of_all_axes_and_of_each_are_one_thing_said_by_axis():
    """0.2 % less in x and in y, no z at all: "in all" and "x and y" are the same; each axis is named with its size."""
    features = [
        size("X", "x", DRAG, End("drag", 404.0, 1), 0.8, u=0.05),
        size("Y", "y", DRAG, End("drag", 404.0, 1), 0.8, u=0.05),
    ]
    known = [c for c in all_candidates(features) if c.kind == "contraction"]
    answer = asked(features, [replace(c, prior=0.004) if c.axis == "all" else c for c in known])
    weights = {r.names: r.probability for r in answer.rivals}
    assert 0.05 < weights["contraction",] < 0.9
    assert {f.candidate.name for f in answer.findings} == {"contraction x", "contraction y"}
    for f in answer.findings:
        assert f.size.value == pytest.approx(-0.002, abs=5e-5)
        assert f.probability == pytest.approx(1.0, abs=1e-6)


def test_a_stand_in_is_looked_for_with_the_other_causes_as_they_may_well_be():
    """Core 2 moves N and M; once core 3 may take up M within its width, core 2 could stand in for core 1."""
    features = [place("N", 0.5), place("M", 0.1, at=9.0)]
    cands = [
        cause("core 1 x", {"N": 1.0}, sd=0.8, prior=0.3),
        cause("core 2 x", {"N": 1.0, "M": 0.6}, sd=0.8, prior=1e-9, parts=("core 2",)),
        cause("core 3 x", {"M": 1.0}, sd=0.8, prior=1 - 1e-9, parts=("core 3",)),
    ]
    assert [a.name for a in all_said(asked(features, cands))["core 1 x"].alike] == ["core 2 x"]
    narrow = [*cands[:2], replace(cands[2], sd=0.1)]
    assert [a.name for a in all_said(asked(features, narrow))["core 1 x"].alike] == []


def test_castings_that_do_not_agree_have_no_cause_in_common():
    """0.4, 0.4 and 0.4 + d, u 0.05: chi-squared is (2/3) d^2 / u^2 with two degrees of freedom, exp(-half of it)."""
    for p, differ in ((2e-4, False), (5e-5, True)):
        d = 0.05 * sqrt(1.5 * -2.0 * log(p))
        offs = {"1": 0.4, "2": 0.4, "3": 0.4 + d}
        features = [place("N", offs), place("M", offs, at=9.0)]
        cands = [cause("core 1 x", {"N": 1.0, "M": 1.0}, prior=0.9999)]
        sizes = [Estimate(v, 0.05) for v in offs.values()]
        assert castings_differ(sizes) is differ
        # two features say the same of each casting: u is smaller by the root of two, and so may d be
        near = {s: 0.4 + (v - 0.4) / sqrt(2) for s, v in offs.items()}
        features = [place("N", near), place("M", near, at=9.0)]
        found = all_said(asked(features, cands))["core 1 x"]
        assert found.castings_differ is differ
        assert found.status == ("cannot tell" if differ else "named")
    assert not castings_differ([Estimate(0.4, 0.05)])
    uneven = [Estimate(0.0, 0.1), Estimate(0.3, 0.05), Estimate(0.35, 0.2)]
    weights = [100.0, 400.0, 25.0]
    mean = (400 * 0.3 + 25 * 0.35) / 525
    left = sum(v * (e.value - mean) ** 2 for v, e in zip(weights, uneven, strict=True))
    assert castings_differ(uneven) is (exp(-left / 2) < 1e-4)


def test_a_cause_of_which_a_third_was_set_aside_is_not_named():
    features = [place("N", {"1": 2.0, "2": 2.02, "3": -1.5}), place("M", 0.0, at=9.0)]
    cands = [cause("core 1 face x 50", {"N": 1.0}, kind="face", sd=1.5, prior=0.3)]
    answer = explain(features, candidates=cands, noise=QUIET, learn_noise=False)
    assert [(o.balloon, o.serial) for o in answer.odd] == [("N", "3")]
    assert not answer.findings
    (unclear,) = answer.cannot_tell
    assert unclear.castings_differ
    assert "the castings do not agree about it" in next(t.text for t in say_all(answer) if t.name)


def test_a_cause_of_one_casting_needs_two_features_that_say_so():
    offs = {"1": 0.0, "2": 0.0, "3": 1.0}
    for second, status in ((1.0, "named"), (0.0, "cannot tell")):
        features = [place("N", offs), place("M", {**offs, "3": second}, 0.05 if second else 5.0, at=9.0)]
        own = cause("core 1 x on casting 3", {"N": 1.0, "M": 1.0}, serial="3", prior=0.9999)
        assert all_said(asked(features, [own], SEATS))["core 1 x on casting 3"].status == status


def test_a_casting_is_not_tilted_at_both_rows():
    features = [
        place("N", {"1": 0.0, "2": 0.6}),
        place("M", {"1": 0.0, "2": 0.6}, at=9.0),
        place("K", {"1": 0.0, "2": 0.6}, at=18.0),
    ]
    near = {"N": 1.0, "M": 0.5}
    far = {"M": 0.5, "K": 1.0}
    cands = [
        cause(
            f"tilt at {row} on casting {s}",
            column,
            kind="tilt",
            serial=s,
            where=row,
            prior=0.9999 if s == "2" else 1e-6,
            parts=(),
        )
        for s in "12"
        for row, column in (("A1", near), ("A2", far))
    ]
    answer = asked(features, cands)
    assert not answer.findings
    assert {f.candidate.name: [a.name for a in f.alike] for f in answer.cannot_tell} == {
        "tilt at A1 on casting 2": ["tilt at A2 on casting 2"],
        "tilt at A2 on casting 2": ["tilt at A1 on casting 2"],
    }
