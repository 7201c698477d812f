"""From causes to cuts: corrections of the invented manifold, signs on every kind of tool, checks, predictions."""

from __future__ import annotations

from dataclasses import replace
from math import log

import pytest

from inspect_tui.metrology.causes.cut_work import Maker
from inspect_tui.metrology.causes.cuts import plan_cuts
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.sentences import Clearance
from inspect_tui.metrology.faces.observed import Face, Observed, Read
from inspect_tui.metrology.judge.verdict import Answer
from tests.worlds.casting_manifold import CARRIERS, FEET, FIRST, SECOND, Truth, sampling

MAKERS = [
    Maker("drag", "drag pattern", "pattern_drag"),
    Maker("cope", "cope pattern", "pattern_cope"),
    *(Maker(f"core {k}", f"box {k}", "core_box") for k in range(1, 8)),
]
CLEARANCES = (
    Clearance(name="K4", part="core 4", axis="y", mm=1.20, lower=0.30, upper=0.70, seat="box 2"),
    Clearance(name="K6", part="core 5", axis="yz", mm=-0.10, lower=0.20, upper=0.50),
)
SEEDS = range(300, 312)


def planned(truth: Truth, seed: int):
    features = sampling(truth, seed)
    found = explain(features, carriers=CARRIERS, datums=(FEET,))
    return features, found, plan_cuts(features, found, MAKERS, clearances=CLEARANCES, rule="full_u")


@pytest.fixture(scope="module")
def first():
    out = [planned(FIRST, seed) for seed in SEEDS]
    names = {"contraction x", "core 4 y", "core 5 z", "parting z", "size F55"}
    full = [v for v in out if {f.candidate.name for f in v[1].findings if f.candidate.kind != "bias"} == names]
    assert len(full) >= 9
    return full


def test_the_length_is_laid_out_again_at_its_real_contraction(first):
    for _, _, plan in first:
        parts = {c.part: c for c in plan.cuts if c.cause == "contraction x"}
        assert {"drag", "cope", "core 3"} <= set(parts)
        port = next(v for v in parts["core 3"].faces if v.place_mm == 510.0)
        assert port.move_mm == pytest.approx(-1.02, abs=0.30)  # 510 x 0.002
        assert port.low < port.move_mm < port.high < 0
        assert "F07" in port.balloons
        for v in parts["core 3"].faces:  # the others in proportion
            assert v.move_mm / v.place_mm == pytest.approx(port.move_mm / 510.0)
        end = next(v for v in parts["drag"].faces if v.place_mm == 624.0)
        assert (end.word, end.metal) == ("cut", "off")
        assert "lay out again in X at 0.8" in parts["drag"].words or "at 0.7" in parts["drag"].words


def test_the_worn_seat_is_lined_on_the_side_the_core_went_to(first):
    for _, _, plan in first:
        seat = next(c for c in plan.cuts if c.cause == "core 4 y")
        assert seat.tool == "box 2"
        assert seat.change_mm == pytest.approx(-0.707, abs=0.25)
        assert "add" in seat.words and "on the +Y side" in seat.words and "K4 has 1.20" in seat.words
        assert seat.casting_words.endswith("toward -Y; no size of it changes")
        assert not seat.faces  # no surface of box 4 is touched in y


def test_the_small_box_is_opened_half_at_each_end(first):
    for _, _, plan in first:
        box = next(c for c in plan.cuts if c.cause == "size F55")
        assert box.tool == "box 4"
        assert box.change_mm == pytest.approx(2.60, abs=0.16)  # 2.57 x 1.010
        assert box.low < box.change_mm < box.high
        low, high = sorted(box.faces, key=lambda v: v.place_mm)
        assert low.move_mm == pytest.approx(-high.move_mm)
        assert high.move_mm == pytest.approx(1.30, abs=0.09)
        assert {low.word, high.word} == {"cut"} and {low.metal, high.metal} == {"off"}
        assert box.sure


def test_the_keys_are_lowered_and_the_mould_is_checked(first):
    for _, _, plan in first:
        keys = next(c for c in plan.cuts if c.cause == "core 5 z")
        assert keys.change_mm == pytest.approx(-0.61, abs=0.36)
        assert "it comes down" in keys.words and "K6" in keys.words
        check = next(c for c in plan.checks if c.cause == "parting z")
        assert "Do not cut: check weights, clamps and closing flash" in check.words
        assert not any(c.cause == "parting z" for c in plan.cuts)


def test_nothing_is_cut_across_the_passages(first):
    for _, _, plan in first:
        assert {c.axis for c in plan.cuts if c.tool in ("box 1", "box 3", "box 6", "box 7")} <= {"x"}
        assert not any(c.cause == "size F41" for c in plan.cuts)


def test_the_next_casting_is_predicted_and_everything_that_moves_is_listed(first):
    for features, _, plan in first:
        after = {p.balloon: p for p in plan.features}
        assert after["F55"].after_mm == pytest.approx(70.0, abs=0.25)
        assert after["F55"].before.answer is Answer.DOES_NOT_CONFORM
        assert after["F55"].after.answer is Answer.CONFORMS
        assert after["F07"].after_mm == pytest.approx(510.0, abs=0.45)
        assert {"F38", "F39", "F40", "F55", "F56", "F57", "F48", "F50"} <= {p.balloon for p in plan.moving}
        assert not after["F41"].moves and not after["F29"].moves
        # parting growth is not cut away: it is still there after the cuts and gone after the check
        wall = after["F51"]
        assert wall.after_mm == pytest.approx(wall.before_mm)
        assert wall.after_checks_mm == pytest.approx(wall.after_mm - 0.40, abs=0.31)
        assert len(plan.features) == len(features)


def test_only_what_brings_features_home_is_marked_as_needed(first):
    for _, _, plan in first:
        needed = {c.cause for c in plan.cuts if c.needed}
        assert {"contraction x", "size F55"} <= needed
        order = [c.needed for c in plan.cuts]
        assert order == sorted(order, reverse=True)
        assert set(plan.tools) == {c.tool for c in plan.cuts if c.needed}
    # F48 and F50 pass as they are in most of the castings: the keys can wait
    waits = [not next(c for c in plan.cuts if c.cause == "core 5 z").needed for _, _, plan in first]
    assert sum(waits) / len(waits) > 0.5


def test_a_single_wrong_mould_moves_no_tool():
    for seed in SEEDS[:4]:
        _, found, plan = planned(SECOND, seed)
        assert found.named("cope x on casting 3")
        check = next(c for c in plan.checks if c.cause == "cope x on casting 3")
        assert "Do not cut" in check.words
        assert not any("cope" in c.part and c.axis == "x" for c in plan.cuts)
        before = next(p for p in plan.features if p.balloon == "F20").before_mm
        assert before == pytest.approx(455.0, abs=0.25)  # the mould's 0.95 is not in the mean


# ------------------------------------------------------------------------------ signs
def block(kind: str, facing_a: int, facing_b: int, part: str, error: float):
    """One size of one tool, wrong by `error` with two neighbours that show which faces are off."""

    def size(name, a, b, off):
        mm = b.coord_mm - a.coord_mm
        return Observed(
            balloon=name,
            axis="y",
            a=a,
            b=b,
            predicted_mm=mm,
            cast_size_mm=mm,
            contraction=0.01,
            target_mm=mm,
            lower_mm=mm - 0.5,
            upper_mm=mm + 0.5,
            readings={s: Read(mm + off, 0.02) for s in "1234"},
        )

    low, high = Face(part, 40, facing_a), Face(part, 110, facing_b)
    features = [
        size("S", low, high, error),
        size("low wall", Face("drag", 30, -facing_a), low, -error / 2),
        size("high wall", high, Face("drag", 120, -facing_b), -error / 2),
        size("overall", Face("drag", 30, -1), Face("drag", 120, 1), 0.0),
    ]
    return plan_cuts(features, explain(features), [Maker(part, "the tool", kind)])


def test_where_no_neighbour_shows_the_face_it_is_said_before_cutting():
    size = Observed(
        balloon="S",
        axis="y",
        a=Face("core 1", 40, 1),
        b=Face("core 1", 110, -1),
        predicted_mm=70,
        cast_size_mm=70,
        contraction=0.01,
        readings={s: Read(68.5, 0.02) for s in "123"},
    )
    other = replace(
        size,
        balloon="T",
        axis="x",
        readings={s: Read(70.0, 0.02) for s in "123"},
        a=Face("drag", 0, -1),
        b=Face("drag", 70, 1),
    )
    found = explain([size, other])
    made = plan_cuts([size, other], found, MAKERS).cuts
    assert found.findings and found.findings[0].candidate.name == "size S"
    assert not made[0].sure
    assert "measure its neighbours before cutting" in made[0].words


def test_a_worn_box_is_filled_on_every_face():
    features = []
    for o in sampling(Truth(real={"x": 0.010, "y": 0.010, "z": 0.010}), 5):
        move = sum(s * -0.5 * f.facing for s, f in ((1, o.b), (-1, o.a)) if f.part == "core 1")
        features.append(replace(o, readings={k: replace(r, mm=r.mm + move) for k, r in o.readings.items()}))
    plan = plan_cuts(features, explain(features, carriers=CARRIERS), MAKERS)
    box = next(c for c in plan.cuts if c.tool == "box 1")
    assert box.words.startswith("add 0.5")
    assert {v.word for v in box.faces} == {"add"} and {v.metal for v in box.faces} == {"on"}


def test_no_cause_no_cut():
    features = sampling(Truth(real={"x": 0.010, "y": 0.010, "z": 0.010}), 303)
    plan = plan_cuts(features, explain(features, carriers=CARRIERS, datums=(FEET,)), MAKERS)
    assert plan.cuts == () and plan.tools == ()
    assert len(plan.leave_alone) == len(MAKERS)
    assert not plan.moving


def test_a_feature_nobody_measured_is_predicted_from_the_causes():
    features = [replace(o, readings={}) if o.balloon == "F57" else o for o in sampling(FIRST, 300)]
    found = explain(features, carriers=CARRIERS, datums=(FEET,))
    wall = next(p for p in plan_cuts(features, found, MAKERS).features if p.balloon == "F57")
    assert not wall.measured
    assert wall.before_mm == pytest.approx(7.0 + 1.285 + 0.40, abs=0.45)


def test_a_tool_that_was_measured_off_its_target_is_put_right_though_no_cause_is_named():
    """The box was measured 1.2 small at the passage width, the castings agree with it: nothing is unexplained."""
    features = sampling(Truth(real={"x": 0.010, "y": 0.010, "z": 0.010}), 303)
    small = []
    for o in features:
        off = {"F29": -1.2, "F28": 0.6, "F30": 0.6, "F34": 0.6}.get(o.balloon, 0.0)
        read = {s: replace(r, mm=r.mm + off) for s, r in o.readings.items()}
        small.append(replace(o, predicted_mm=o.predicted_mm + off, readings=read))
    found = explain(small, carriers=CARRIERS, datums=(FEET,))
    assert not found.findings
    plan = plan_cuts(small, found, MAKERS)
    made = next(c for c in plan.cuts if c.cause == "tool as measured")
    assert made.tool == "box 3"
    assert made.change_mm == pytest.approx(1.2 * 1.01, abs=0.12)
    assert {v.word for v in made.faces} == {"cut"} and not made.sure
    assert "see which end it is before cutting" in made.words
    width = next(p for p in plan.features if p.balloon == "F29")
    assert width.after_mm - width.before_mm == pytest.approx(1.2, abs=0.12)  # the cut is in what is promised
    assert width.moves and width.after.p_conform > 0.5 > width.before.p_conform


def test_the_chance_of_the_next_casting_is_the_share_of_the_castings_that_follow():
    """Forecast from three castings against 200 more of the same tools: calibrated over all features, and sharp."""
    many = tuple(str(n) for n in range(1, 204))
    gaps, sizes, surprise = [], [], []
    for seed in SEEDS[:3]:
        features = sampling(replace(FIRST, serials=many), seed)
        three = [replace(o, readings={s: r for s, r in o.readings.items() if s in many[:3]}) for o in features]
        found = explain(three, carriers=CARRIERS, datums=(FEET,))
        plan = plan_cuts(three, found, MAKERS, clearances=CLEARANCES, rule="full_u")
        by_name = {o.balloon: o for o in features}
        for p in plan.features:
            o = by_name[p.balloon]
            later = [r.mm for s, r in o.readings.items() if s not in many[:3]]
            if not later or p.p_before is None:
                continue
            low = -float("inf") if o.lower_mm is None else o.lower_mm
            high = float("inf") if o.upper_mm is None else o.upper_mm
            share = sum(low <= v <= high for v in later) / len(later)
            gaps.append(p.p_before - share)
            sizes.append(share)
            p_before = min(max(p.p_before, 1e-3), 1.0 - 1e-3)
            surprise.append(-share * log(p_before) - (1.0 - share) * log(1.0 - p_before))
    assert len(gaps) > 100
    assert abs(sum(gaps) / len(gaps)) < 0.03  # right on the average
    assert sum(map(abs, gaps)) / len(gaps) < 0.08  # and for each
    # without the scatter of one casting about the mean it would be 0.217 on these seeds: too sure of itself
    assert sum(surprise) / len(surprise) < 0.195
    assert min(sizes) < 0.2
    assert max(sizes) > 0.95  # or it would have been easy


def test_the_forecast_after_the_cut_is_better_where_it_was_needed(first):
    for _, _, plan in first:
        box = next(p for p in plan.features if p.balloon == "F55")
        assert box.p_before < 0.01
        assert box.p_after > 0.9
