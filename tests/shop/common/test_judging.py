"""A verdict takes in what the instrument, its certificate and the metal are known to."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.sizes import roughness
from inspect_tui.metrology.sizes.movement import sound_velocity
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.model.words import Band
from inspect_tui.model.work import Feature, Item, Job, Tool
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
    job = find.job(record, "SV-12")  # grey iron, F5 a wall of 8 -0.8 +1.0
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


# ------------------------------------------------------------------------------ a bias and what is said of it
def known(bias_id: bytes, from_on: str, **more: object) -> InstrumentBias:
    plain = {"bias_mm": 0.05, "u_mm": 0.01, "why": "w", "found_from": "check", "from_on": from_on, "id": bias_id}
    return InstrumentBias(instrument_of_id=b"g", **(plain | more))


def test_a_bias_since_the_day_of_an_adjusting_holds_where_it_came_to_light_after_it() -> None:
    """`last_good` names the day of an adjusting as the last on which all was well: a bias found later begins there."""
    adjusted = [Calibration(id=b"2", instrument_of_id=b"g", done_on="2026-03-01", result="adjusted", u95_mm=0.04)]
    later, earlier = known(b"3", "2026-03-01"), known(b"1", "2026-03-01")
    assert judging.bias_on("2026-03-05", [later], adjusted) is later
    assert judging.bias_on("2026-03-05", [earlier], adjusted) is None
    assert judging.bias_on("2026-02-28", [known(b"1", "2026-01-01")], adjusted) is not None
    assert judging.bias_on("2026-03-01", [known(b"3", "2026-01-01")], adjusted) is None
    ended = known(b"1", "2026-01-01", to_on="2026-03-01")
    assert judging.bias_on("2026-03-01", [ended], adjusted) is ended
    assert judging.bias_on("2026-03-02", [ended], adjusted) is None


def test_a_bias_is_said_to_be_taken_off_where_it_was() -> None:
    of_caliper = replace(certified(CALIPER), bias=known(b"1", "2026-01-01"))
    said = "caliper 1 reads 0.05 high since 2026-01-01: taken off"
    assert said in judging.judge(JOB, STICK, of(WIDTH), [62.05], of_caliper).remarks
    for feature in (LEAN, replace(WIDTH, quantity="attribute")):
        assert not any(
            "taken off" in remark for remark in judging.judge(JOB, STICK, of(feature), [45.0], of_caliper).remarks
        )
    of_angles = replace(certified(PROTRACTOR), bias=known(b"1", "2026-01-01"))
    assert of_angles.remark(Style("in")) == "protractor reads 0.05 high since 2026-01-01: taken off"


def test_a_casting_that_was_re_aligned_is_judged_without_its_tilt() -> None:
    top = replace(WIDTH, axis="z", note="at x = 300")
    turn = Realigned(item_id=b"i", axis="z", along="x", pivot_mm=100.0, slope=0.002, u_slope=1e-4, why="sat on a burr")
    on = Subject("casting C1", item=Item(id=b"i", job_of_id=b"", serial="C1"))
    judged = judging.judge(JOB, on, of(top), [62.4], certified(CALIPER), turns=[turn])
    assert judged.value == pytest.approx(62.0)  # 0.002 * 200 less
    assert [line.u for line in judged.budget.lines if line.name == "re-alignment"] == [pytest.approx(0.02)]
