"""A verdict takes in what the instrument, its certificate and the metal are known to."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.sizes import roughness
from inspect_tui.metrology.sizes.movement import sound_velocity
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.words import Band
from inspect_tui.model.work import Feature, Job, Tool
from inspect_tui.shop.common import find, judging
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.sizes import Sizes, sizes
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling
from tests.conftest import SmallShop
from tests.shop.common.test_sound import GAUGE


def test_a_wall_on_a_casting_carries_it_into_the_verdict(shop: SmallShop) -> None:
    record = shop.record
    gauge = record.add(GAUGE)
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2026-01-05", u95_mm=0.1, reference="steel block"))
    job = find.job(record, "PB-12")  # grey iron, F5 a wall of 8 -0.8 +1.0
    desk.open_round(record, job, "S1", ["C1"])
    here = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), shop.ab, gauge)
    feature, item = here.sampling.feature("F5"), here.sampling.casting("C1")
    here.take(Requirement(feature), item, "7.35")
    cell = here.sampling.cell(feature, item)
    rel = sound_velocity("grey iron").u / sound_velocity("grey iron").value
    faces = 2 * roughness.of_surface(roughness.AS_CAST).u_mm ** 2
    assert cell.u == pytest.approx((0.05**2 + (0.05 / 3**0.5) ** 2 + (7.35 * rel) ** 2 + faces) ** 0.5, rel=1e-6)
    assert any("grey iron is known to" in note for note in cell.notes)
    assert cell.answer == "undecided"  # 0.15 inside the limit, with what is known of the velocity
    done_on = "2026-06-01"
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on=done_on, u95_mm=0.1, reference="grey iron step block"))
    again = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), shop.ab, gauge)
    again.take(Requirement(feature), item, "7.36")
    assert again.sampling.cell(feature, item).answer == "conforms"


JOB = Job(number="1", name="n", rule="full_u")
CALIPER = Instrument(label="caliper 1", range_hi=300.0)
PROTRACTOR = Instrument(label="protractor", kind="other", unit="deg", resolution=0.05, range_hi=360.0)
ARM = Instrument(label="arm", kind="arm", resolution=0.001)
WIDTH = Feature(balloon="F1", name="width", nominal=62.0, lower=61.2, upper=62.8)
LEAN = Feature(balloon="F2", name="lean", quantity="angle", axis="none", nominal=45.0, lower=44.5, upper=45.5)
STICK = Subject("stick 1", tool=Tool(job_of_id=b"", kind="core_stick", label="stick 1"))


def certified(instrument: Instrument, u95: float = 0.04) -> judging.Means:
    return judging.Means(
        instrument=instrument, calibration=Calibration(instrument_of_id=b"", done_on="2026-01-05", u95_mm=u95)
    )


def of(feature: Feature) -> Sizes:
    return sizes(JOB, feature, Subject("casting C1"))


def test_without_limits_nothing_is_judged() -> None:
    free = replace(WIDTH, lower=None, upper=None)
    got = judging.judge(JOB, STICK, of(free), [99.0], certified(CALIPER))
    assert got.verdict.answer is Answer.NO_LIMITS and got.standing is Standing.NO_LIMITS
    assert got.verdict.p_conform is None and got.advice is None


def test_u_of_a_length_is_not_used_for_an_angle() -> None:
    """A protractor without a certificate: 0.1 degrees, common practice; an arm's 0.04 mm says nothing of degrees."""
    bare = judging.Means(instrument=PROTRACTOR, calibration=None)
    got = judging.judge(JOB, STICK, of(LEAN), [45.2], bare)
    assert got.budget.u == pytest.approx((0.05**2 + (0.025 / 3**0.5) ** 2) ** 0.5)
    assert got.remarks == ("protractor has no calibration on record: U 0.1 deg is assumed",)
    own = judging.judge(JOB, STICK, of(LEAN), [45.2], certified(PROTRACTOR, 0.02))
    assert own.budget.u == pytest.approx((0.01**2 + (0.025 / 3**0.5) ** 2) ** 0.5)
    arm = judging.judge(JOB, STICK, of(LEAN), [45.2], certified(ARM, 0.004))
    assert arm.budget.u == pytest.approx(0.05)  # neither its U nor its step is one of degrees
    assert any("not for angles: U 0.1 deg is assumed" in remark for remark in arm.remarks)


def test_how_an_arm_repeats_lengths_says_nothing_of_angles() -> None:
    study = judging.uncertainty.Study(0.5, 20.0)
    got = judging.judge(JOB, STICK, of(LEAN), [45.2], replace(certified(ARM), study=study))
    assert got.budget.u == pytest.approx(0.05)


def test_an_attribute_is_seen_not_measured() -> None:
    seen = replace(LEAN, quantity="attribute", nominal=1.0, lower=1.0, upper=1.0)
    got = judging.judge(JOB, STICK, of(seen), [1.0], certified(CALIPER))
    assert got.budget.u == 0.0 and got.standing is Standing.CONFORMS


def test_repeats_that_disagree_are_in_question_and_have_no_monstrous_u() -> None:
    """Two readings 44 mm apart: Student's t at one degree of freedom would print U 307 mm."""
    got = judging.judge(JOB, STICK, of(WIDTH), [62.0, 106.0], certified(CALIPER))
    assert got.standing is Standing.IN_QUESTION
    assert got.question == "62.00 and 106.00 lie 44.00 mm apart: more than the 0.10 that caliper 1 explains"
    assert got.remarks[0] == got.question
    assert got.advice is None and got.cut is None
    assert got.budget.U < 44.0
    kept = judging.judge(JOB, STICK, of(WIDTH), [62.0, 106.0], certified(CALIPER), kept=True)
    assert kept.question is None and kept.standing is not Standing.IN_QUESTION
    assert kept.remarks[0] == got.question and kept.budget.U == got.budget.U


def test_repeats_that_agree_are_asked_nothing() -> None:
    got = judging.judge(JOB, STICK, of(WIDTH), [62.01, 62.04, 61.99], certified(CALIPER))
    assert got.question is None and "repeats apart" not in [line.name for line in got.budget.lines]


def test_a_study_tells_how_far_repeats_may_lie_apart() -> None:
    values = [62.00, 62.06]
    assert judging.judge(JOB, STICK, of(WIDTH), values, certified(CALIPER)).question is None
    fine = replace(certified(CALIPER), study=judging.uncertainty.Study(0.005, 60.0))
    assert judging.judge(JOB, STICK, of(WIDTH), values, fine).question is not None


def test_what_would_settle_it_counts_the_faces_too(shop: SmallShop) -> None:
    """A micrometer cannot settle what the roughness of an as-cast face leaves open."""
    item = judging.Item(job_of_id=b"", serial="C1")
    on_casting = Subject("casting C1", item=item)
    one = replace(of(WIDTH), band=Band(61.2, 62.8, "t"))
    fine = certified(Instrument(id=b"m", label="micrometer 1", kind="micrometer"), 0.004)
    near = judging.judge(JOB, on_casting, one, [62.75], certified(CALIPER), others=lambda: [fine])
    assert near.standing is Standing.UNDECIDED
    assert near.advice == "nothing on the list can settle it: measure another way or agree a concession"
    smooth = judging.judge(JOB, STICK, one, [62.77], certified(CALIPER), others=lambda: [fine])
    assert smooth.advice is not None and "micrometer 1 would settle it" in smooth.advice


def test_what_is_made_to_the_middle_says_so() -> None:
    odd = replace(WIDTH, lower=61.3, upper=61.7)
    got = judging.judge(JOB, STICK, of(odd), [61.5], certified(CALIPER))
    assert "F1 is made to the middle of its limits: the drawing's own size, 62.00, lies outside" in got.remarks
