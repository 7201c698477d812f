"""Instruments: the state of their calibration in words, what each is good enough for, and new certificates."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.sizes import roughness
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.shop.bench.outcomes import Logged
from inspect_tui.shop.common import find, judging
from inspect_tui.shop.common.trusted import Piece
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges.checks import QuickCheck
from inspect_tui.todo import Todo
from inspect_tui.tui.bench import text as bench_text
from tests.conftest import TODAY, SmallShop

CALIPER = Instrument(id=b"c" * 16, of_id=b"c" * 16, label="caliper 9", range_hi=150.0)


def certificate(done: str, due: str | None = None, result: str = "pass", **more: object) -> Calibration:
    return replace(
        Calibration(instrument_of_id=CALIPER.of_id, done_on=done, due_on=due, result=result, u95_mm=0.03), **more
    )


@pytest.mark.parametrize(
    ("calibrations", "state", "words"),
    [
        ((), gauges.NEVER, "was never calibrated: U 0.05 mm is assumed"),
        ((certificate("2026-01-05", "2027-01-05"),), gauges.IN_DATE, "U 0.03 mm (k = 2), due 2027-01-05"),
        ((certificate("2026-01-05", "2026-03-20"),), gauges.IN_DATE, "due 2026-03-20, in 10 days"),
        ((certificate("2026-01-05"),), gauges.NO_DUE, "gives no date when it is due again"),
        ((certificate("2025-01-05", "2026-03-09"),), gauges.OVERDUE, "is overdue since 2026-03-09"),
        ((certificate("2025-01-05", TODAY),), gauges.IN_DATE, "due 2026-03-10, in 0 days"),  # on the day it still holds
        ((certificate("2026-02-01", result="fail"),), gauges.FAILED, "failed its calibration of 2026-02-01"),
        ((certificate("2026-03-11"),), gauges.FUTURE, "the one of 2026-03-11 lies in the future"),
        (
            (certificate("2026-01-05", "2027-01-05"), certificate("2026-12-05")),
            gauges.IN_DATE,
            "A certificate of 2026-12-05 lies in the future, and counts from then: check its date.",
        ),
        ((certificate("2025-01-05", "2026-03-09"), certificate("2026-03-01", "2027-03-01")), gauges.IN_DATE, "2027"),
    ],
)
def test_every_state_of_a_calibration_has_its_sentence(
    calibrations: tuple[Calibration, ...], state: str, words: str
) -> None:
    state_now, sentence = gauges.calibration_state(CALIPER, calibrations, TODAY)
    assert (state_now, words in sentence) == (state, True), sentence
    assert state in gauges.STATE_SYMBOL


def test_a_calibration_in_the_future_does_not_count_for_a_reading(shop: SmallShop) -> None:
    shop.record.add(Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-03-11", u95_mm=0.001), shop.ab.id)
    line = gauges.line(shop.record, shop.caliper, TODAY)
    assert line.means.u95() == 0.04 and line.needs_a_word and "lies in the future" in line.sentence
    assert gauges.line(shop.record, shop.caliper, "2026-03-11").means.u95() == 0.001


def test_overdue_is_said_in_the_list_on_the_bench_and_on_every_reading(shop: SmallShop) -> None:
    old = find.instrument(shop.record, "caliper 2")
    shop.record.add(
        Calibration(instrument_of_id=old.of_id, done_on="2024-01-05", due_on="2025-01-05", u95_mm=0.04), shop.ab.id
    )
    lines = gauges.lines(shop.record, TODAY)
    assert lines[0].instrument.label == "caliper 2" and lines[0].state == gauges.OVERDUE  # what needs doing comes first
    bench = shop.bench()
    bench.set_instrument(old)
    assert "OVERDUE" in bench_text.header(bench, 120).plain
    for balloon, text in (("F1", "59.60"), ("F2", "40.40")):
        bench.goto(balloon)
        outcome = bench.take(text)
        assert isinstance(outcome, Logged)
        assert "past its calibration date since 2025-01-05" in bench_text.last(outcome, 78).plain


def test_a_failed_calibration_is_said_on_every_reading(shop: SmallShop) -> None:
    shop.record.add(
        Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-02-01", result="fail", u95_mm=0.04), shop.ab.id
    )
    outcome = shop.bench().take("212.10")
    assert isinstance(outcome, Logged)
    assert any("failed its calibration of 2026-02-01" in remark for remark in outcome.judged.remarks)


# ------------------------------------------------------------------------------ a known bias
def test_a_known_bias_is_taken_off_with_a_remark_and_changes_no_reading(shop: SmallShop) -> None:
    before = shop.bench().take("212.10")
    shop.bias(from_on="2026-02-01", bias_mm=0.05)
    bench = shop.bench()
    bench.goto("F3")
    after = bench.take("212.10")
    assert isinstance(before, Logged) and isinstance(after, Logged)
    line = next(line for line in after.judged.budget.lines if line.name == "known bias")
    assert line.u == 0.01
    assert after.judged.value == pytest.approx(212.05)  # it reads 0.05 high: 212.10 - 0.05
    assert after.judged.corrected_from == 212.10
    assert after.judged.budget.u == pytest.approx((before.judged.budget.u**2 + line.u**2) ** 0.5)
    assert any("reads 0.05 high since 2026-02-01: taken off" in remark for remark in after.judged.remarks)
    assert after.readings[0].value == 212.10 and after.judged.values == (212.10,)


def test_a_bias_ends_with_its_last_day_or_with_an_adjustment(shop: SmallShop) -> None:
    shop.bias(from_on="2026-02-01", bias_mm=0.05, to_on="2026-03-01")
    assert gauges.line(shop.record, shop.caliper, TODAY).means.bias is None
    assert gauges.line(shop.record, shop.caliper, "2026-03-01").means.bias is not None
    shop.bias(bias_mm=0.05, from_on="2026-03-02")
    assert gauges.line(shop.record, shop.caliper, TODAY).means.bias is not None
    shop.record.add(
        Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-03-05", result="adjusted", u95_mm=0.04),
        shop.ab.id,
    )
    assert gauges.line(shop.record, shop.caliper, TODAY).means.bias is None


# ------------------------------------------------------------------------------ good enough for what
def test_features_are_ranked_by_what_the_guard_takes_of_the_band(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    ranked = gauges.good_for(shop.record, job, shop.caliper, today=TODAY)
    shares = [f.share for f in ranked if f.share is not None]
    assert shares == sorted(shares) and len(ranked) == 6
    assert ranked[0].sizes.feature.balloon == "F4"  # the widest band
    for f in ranked:
        # certificate U 0.04 at k 2, half a step of 0.01, two as-cast faces; a print is on a tool that is not named
        faces = 2 * roughness.of_surface(roughness.AS_CAST).u_mm ** 2 if f.sizes.feature.scale == "cast" else 0.0
        u = (0.02**2 + (0.005**2) / 3 + faces) ** 0.5
        assert f.u == pytest.approx(u)
        assert f.share == pytest.approx(2 * 1.6448536 * u / f.sizes.band.width, rel=1e-6)  # proof at 95 %
        assert f.can_conform and f"{100 * (1 - f.share):.0f} % of the band" in f.sentence


def test_an_instrument_that_is_too_coarse_can_never_say_conforms(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    tape = shop.record.add(Instrument(label="tape", kind="tape", resolution=1.0, range_hi=5000.0), shop.ab.id)
    ranked = gauges.good_for(shop.record, job, tape, find.subject(shop.record, job, "stick 1"), today=TODAY)
    never = [f for f in ranked if not f.can_conform]
    assert never and all(f.share >= 1 and f.sentence == "can never say conforms" for f in never)
    middle = never[0].sizes
    means = judging.means(tape, (), TODAY)
    judged = judging.judge(
        job,
        find.subject(shop.record, job, "stick 1"),
        middle,
        [((middle.band.lower or 0) + (middle.band.upper or 0)) / 2],
        means,
    )
    assert judged.verdict.answer.value == "undecided"  # even in the very middle of the band


def test_sizes_out_of_its_range_or_of_another_kind_are_left_out(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    small = shop.record.add(Instrument(label="small", range_lo=25.0, range_hi=150.0), shop.ab.id)
    protractor = shop.record.add(Instrument(label="protractor", unit="deg", range_hi=180.0), shop.ab.id)
    balloons = {f.sizes.feature.balloon for f in gauges.good_for(shop.record, job, small, today=TODAY)}
    assert balloons == {"F1", "F2", "P1"}  # 210 and 240 are too long, a wall of 8 too short
    assert gauges.good_for(shop.record, job, protractor, today=TODAY) == []
    inch = find.instrument(shop.record, "inch caliper")
    assert len(gauges.good_for(shop.record, job, inch, today=TODAY)) == 6  # 12 in are 304.8 mm


# ------------------------------------------------------------------------------ a new certificate
GOOD = {
    "done": "2026-03-01",
    "due": "2027-03-01",
    "u95": "0.04",
    "k": "2",
    "result": "pass",
    "error": "",
    "reference": "C-1",
}


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"done": "32.03.2026"}, "done on: 32.03.2026 is no day that there is"),
        ({"done": ""}, "done on: nothing typed"),
        ({"done": "2026-03-11"}, "done on: 2026-03-11 is still to come (today is 2026-03-10)"),
        ({"due": "soon"}, "due on: soon is no day"),
        ({"due": "2026-03-01"}, "not after it was done"),
        ({"u95": ""}, "U: nothing typed"),
        ({"u95": "nan"}, "U: "),
        ({"u95": "0"}, "U is above 0"),
        ({"u95": "-0.04"}, "U: "),
        ({"k": "zwei"}, "k: zwei is no figure"),
        ({"k": "0"}, "k: 0 does not lie between 1 and 5"),
        ({"result": "fine"}, "the result is one of pass, adjusted, fail"),
        ({"error": "some"}, "error as found: "),
    ],
)
def test_what_is_wrong_with_a_certificate_is_said(changes: dict[str, str], sentence: str) -> None:
    made = gauges.read_calibration(CALIPER, {**GOOD, **changes}, TODAY)
    assert isinstance(made, Wrong) and sentence in made.sentence


def test_a_certificate_is_read_with_comma_and_inches() -> None:
    made = gauges.read_calibration(CALIPER, {**GOOD, "u95": "0,04", "error": "-0.002 in"}, TODAY)
    assert isinstance(made, Calibration)
    assert (made.u95_mm, made.error_mm, made.k, made.due_on) == (0.04, pytest.approx(-0.0508), 2.0, "2027-03-01")
    after = gauges.after_calibration(CALIPER, made)
    assert "As found it read 0.0508 low" in after.sentence and after.todo is Todo.TRACE_BACK
    fine = gauges.read_calibration(CALIPER, {**GOOD, "error": "+0.01"}, TODAY)
    assert isinstance(fine, Calibration) and gauges.after_calibration(CALIPER, fine).todo is None


# ------------------------------------------------------------------------------ failed checks, out of use
def test_a_gauge_that_failed_its_newest_check_is_marked_and_comes_first(shop: SmallShop) -> None:
    desk = QuickCheck(shop.record, shop.ab, shop.caliper, Piece("block 25", 25.0))
    desk.take("25.09")
    desk.keep_pending()
    first = gauges.lines(shop.record)[0]
    assert (first.instrument.label, first.state, gauges.STATE_SYMBOL[first.state]) == ("caliper 1", "failed", "✗")
    assert "do not measure with it before it passes or is certified again" in first.sentence
    desk.take("25.00")
    assert gauges.line(shop.record, shop.caliper).state in ("in date", "overdue")


def test_out_of_use_and_back(shop: SmallShop) -> None:
    values = {"since": "2026-03-02", "why": " jaws bent "}
    out = gauges.read_state(shop.caliper, values, in_use=False, today=TODAY)
    assert not isinstance(out, Wrong)
    assert (out.state, out.since_on, out.why) == ("out_of_use", "2026-03-02", "jaws bent")
    assert "Its readings stay as they are" in gauges.after_state(shop.caliper, out)
    shop.record.add(out)
    line = gauges.line(shop.record, shop.caliper, TODAY)
    assert (line.state, gauges.STATE_SYMBOL[line.state], line.needs_a_word) == ("out of use", "✗", True)
    assert gauges.lines(shop.record, TODAY)[-1].instrument.label == "caliper 1"  # what is not used is no work
    back = gauges.read_state(shop.caliper, {"since": "", "why": "new jaws"}, in_use=True, today=TODAY)
    assert not isinstance(back, Wrong) and back.since_on == TODAY
    shop.record.add(back)
    assert gauges.line(shop.record, shop.caliper, TODAY).state == "in date"
    assert "in use again" in gauges.after_state(shop.caliper, back)


@pytest.mark.parametrize(
    "values, words",
    [
        ({"since": "2026-03-11", "why": "x"}, "since: "),
        ({"since": "soon", "why": "x"}, "since: "),
        ({"since": "2026-03-02", "why": " "}, "why: say what is wrong with it"),
        ({"since": "2026-03-02", "why": "x" * 401}, "at most 400"),
    ],
)
def test_what_is_wrong_with_it_is_said(shop: SmallShop, values: dict[str, str], words: str) -> None:
    made = gauges.read_state(shop.caliper, values, in_use=False, today=TODAY)
    assert isinstance(made, Wrong) and words in str(made)
