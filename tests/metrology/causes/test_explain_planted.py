"""Planted truths of an invented manifold, recovered within their bands over many seeds.

The bands are the job's own (invented with it); that the castings are made independently of the program's signatures
is seen in casting_manifold.py.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.sentences import say, say_all
from inspect_tui.metrology.faces.observed import Read
from tests.amounts import some
from tests.worlds.casting_manifold import CARRIERS, FEET, FIRST, SECOND, THIRD, Truth, sampling

SEEDS = range(100, 100 + some(6, 32))
NOTHING = Truth(real={"x": 0.010, "y": 0.010, "z": 0.010})


def told(truth: Truth, seed: int):
    return explain(sampling(truth, seed), carriers=CARRIERS, datums=(FEET,))


@pytest.fixture(scope="module")
def first():
    return [told(FIRST, seed) for seed in SEEDS]


def share(answers, test) -> float:
    return sum(bool(test(a)) for a in answers) / len(answers)


def near(answer, name: str, size: float, within: float) -> bool:
    cause = answer.named(name)
    return cause is not None and abs(cause.size.value - size) <= within


# ------------------------------------------------------------------------------ planted truths
def test_the_contraction_along_the_length_is_found_and_the_others_are_left_alone(first):
    assert share(first, lambda a: near(a, "contraction x", -0.0020, 0.0006)) >= 0.95
    assert share(first, lambda a: abs(a.contraction["y"].value) <= 0.0015) >= 0.95
    assert share(first, lambda a: abs(a.contraction["z"].value) <= 0.0025) >= 0.95
    assert share(first, lambda a: not (a.named("contraction y") or a.named("contraction z"))) >= 0.95


def test_the_core_on_the_worn_seat_is_named_with_its_three_features(first):
    assert share(first, lambda a: near(a, "core 4 y", 0.70, 0.25)) >= 0.95
    assert share(first, lambda a: {"F38", "F39", "F40"} <= set(a.named("core 4 y").speaks_for)) >= 0.95
    assert not any("F41" in a.named("core 4 y").speaks_for for a in first if a.named("core 4 y"))


def test_a_core_on_high_keys_is_told_from_a_cope_that_did_not_close(first):
    assert share(first, lambda a: near(a, "core 5 z", 0.60, 0.35)) >= 0.95
    assert share(first, lambda a: near(a, "parting z", 0.40, 0.30)) >= 0.95


def test_a_box_opened_wrong_is_a_size_and_no_contraction(first):
    assert share(first, lambda a: near(a, "size F55", -2.57, 0.15)) >= 0.95


def test_all_five_and_nothing_else_are_named_together(first):
    planted = {"contraction x", "core 4 y", "core 5 z", "parting z", "size F55"}
    # CAL2 does read 0.05 high in these castings; to say so is no mistake
    named = [{f.candidate.name for f in a.findings if f.candidate.kind != "bias"} for a in first]
    assert sum(n == planted for n in named) / len(named) >= 0.90


def test_most_intervals_hold_the_planted_sizes(first):
    sizes = {"contraction x": -0.0020, "core 4 y": 0.70, "core 5 z": 0.60, "parting z": 0.40, "size F55": -2.57}
    inside = [f.low <= size <= f.high for a in first for name, size in sizes.items() if (f := a.named(name))]
    assert sum(inside) / len(inside) >= 0.90


def test_one_wrongly_closed_mould_is_not_smeared_over_the_round():
    answers = [told(SECOND, seed) for seed in SEEDS]
    assert share(answers, lambda a: near(a, "cope x on casting 3", 0.95, 0.25)) >= some(80, 90) / 100
    assert not any(a.named("cope x") or a.named("contraction x") for a in answers)
    assert share(answers, lambda a: near(a, "core 5 z", 0.60, 0.35)) >= 0.95
    cause = answers[0].named("cope x on casting 3")
    assert cause.candidate.process
    assert "Do not cut" in say(cause).text


def test_a_ground_datum_pad_is_a_tilt_of_one_casting():
    answers = [told(THIRD, seed) for seed in SEEDS]
    assert share(answers, lambda a: near(a, f"tilt at {FEET.far} on casting 4", -0.50, 0.20)) >= 0.95
    assert not any(f.candidate.kind in ("contraction", "size", "shift") for a in answers for f in a.findings)


def test_castings_of_right_tools_name_no_cause():
    answers = [told(NOTHING, seed) for seed in SEEDS]
    assert share(answers, lambda a: not [f for f in a.findings if f.candidate.kind != "bias"]) >= 0.90  # 199 of 200


def test_a_shift_inside_the_seating_scatter_cannot_be_told():
    """Exact readings but for a shift of 0.195: a core may sit like that by itself."""
    features = []
    for o in sampling(NOTHING, 0):
        moved = 0.195 * ((o.b.maker == "core 4") - (o.a.maker == "core 4")) if o.axis == "y" else 0.0
        features.append(replace(o, readings={s: Read(o.predicted_mm + moved, 0.03) for s in o.readings}))
    answer = explain(features, carriers=CARRIERS, learn_noise=False)
    assert not answer.findings
    unclear = next(f for f in answer.cannot_tell if f.candidate.name == "core 4 y")
    assert unclear.status == "below scatter"
    assert unclear.size.value == pytest.approx(0.195, abs=0.02)
    said = next(t.text for t in say_all(answer) if t.name == "core 4 y")
    assert "inside the seating scatter (0.08 per casting)" in said and "Do not cut" in said


def test_an_instrument_that_reads_high_is_not_cut_for():
    features = []
    for o in sampling(NOTHING, 4):
        high = {s: replace(r, mm=r.mm + 0.25) if r.instrument == "HG1" else r for s, r in o.readings.items()}
        features.append(replace(o, readings=high))
    cause = explain(features, carriers=CARRIERS).named("HG1 bias")
    assert cause is not None
    assert cause.low <= 0.25 <= cause.high
    assert "check piece" in say(cause).text


def test_a_worn_box_shows_as_growth_of_its_core_outward_at_every_end():
    grown = []
    for o in sampling(NOTHING, 5):
        # metal's normal +1 at the low face of a space: the core's face moves against it
        move = sum(s * -0.5 * f.facing for s, f in ((1, o.b), (-1, o.a)) if f.maker == "core 1")
        grown.append(replace(o, readings={k: replace(r, mm=r.mm + move) for k, r in o.readings.items()}))
    cause = explain(grown, carriers=CARRIERS).named("core 1 growth")
    assert cause is not None
    assert cause.low <= 0.5 <= cause.high
    assert {"F27", "F31", "F45"} & set(cause.speaks_for)


def test_a_casting_that_is_all_over_too_large_is_asked_for_its_temperature():
    """0.25 % on one casting of three: no tool does that; 25 degrees (0.0275 %) drown in the scatter of castings."""
    features = [
        replace(o, readings={s: replace(r, mm=r.mm * (1.0025 if s == "1" else 1.0)) for s, r in o.readings.items()})
        for o in sampling(NOTHING, 6)
    ]
    answer = explain(features, carriers=CARRIERS, datums=(FEET,))
    cause = answer.named("scale on casting 1")
    assert cause is not None
    assert cause.size.value == pytest.approx(0.0025, abs=0.0007)
    assert "check its temperature" in say(cause).text and "Do not cut" in say(cause).text


def test_a_warm_casting_is_corrected_before_causes_are_searched():
    """45 degC, 11e-6: F01 reads 0.17 large raw and is right within 0.02 once corrected (ISO 1)."""
    from inspect_tui.metrology.sizes.movement import at_20c

    cold = next(o for o in sampling(THIRD, 4) if o.balloon == "F01").readings["1"].mm
    warm = cold * 1.000275
    assert warm - cold == pytest.approx(0.17, abs=0.005)
    assert at_20c(warm, 45.0, 11e-6, 20.0).value == pytest.approx(cold, abs=0.02)
