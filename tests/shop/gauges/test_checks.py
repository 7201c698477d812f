"""Quick checks: the sentence before work, the question at a slip, and what stays in the record."""

from __future__ import annotations

import pytest

from inspect_tui.errors import ReadOnly
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Calibration, Instrument
from inspect_tui.record.store import Record
from inspect_tui.shop.gauges import checks
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges.checks import CheckAsked, CheckRefused, CheckResult, Piece, QuickCheck
from tests.conftest import TODAY, SmallShop

BLOCK = Piece("block", 25.0, 0.001)


def desk(shop: SmallShop, instrument: Instrument | None = None, piece: Piece = BLOCK) -> QuickCheck:
    return QuickCheck(shop.record, shop.ab, instrument or shop.caliper, piece, TODAY)


def result(outcome: checks.Outcome) -> CheckResult:
    assert isinstance(outcome, CheckResult), outcome
    return outcome


def test_the_sentence_says_reading_block_and_certificate(shop: SmallShop) -> None:
    said = result(desk(shop).take("25.012")).sentence
    assert said.startswith("caliper 1 reads 25.012 on the 25.000 block: within its certificate")


@pytest.mark.parametrize(("text", "within"), [("25.04", True), ("24.96", True), ("25.05", False), ("24.95", False)])
def test_certificate_piece_and_display_together_are_allowed(shop: SmallShop, text: str, within: bool) -> None:
    outcome = result(desk(shop).take(text))
    # U 0.04 of the certificate, 0.001 of the block, half a step of 0.01 as a rectangle, all at k = 2
    assert outcome.allowed == pytest.approx((0.04**2 + 0.001**2 + (2 * 0.005 / 3**0.5) ** 2) ** 0.5)
    assert outcome.within is within
    assert ("NOT within" in outcome.sentence) is not within


def test_an_error_that_the_certificate_states_is_allowed_for_and_said(shop: SmallShop) -> None:
    shop.record.add(
        Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-03-01", u95_mm=0.01, error_mm=0.03), shop.ab.id
    )
    assert result(desk(shop).take("25.03")).within
    assert not result(desk(shop).take("25.00")).within
    assert "its certificate says +0.03" in result(desk(shop).take("25.03")).sentence


def test_an_error_found_before_an_adjustment_is_not_allowed_for(shop: SmallShop) -> None:
    shop.record.add(
        Calibration(
            instrument_of_id=shop.caliper.of_id, done_on="2026-03-01", u95_mm=0.01, error_mm=0.03, result="adjusted"
        ),
        shop.ab.id,
    )
    assert not result(desk(shop).take("25.03")).within


def bias(shop: SmallShop, mm: float = 0.06, u: float = 0.0, **known: str) -> None:
    shop.record.add(
        InstrumentBias(
            instrument_of_id=shop.caliper.of_id,
            bias_mm=mm,
            u_mm=u,
            **{"from_on": "2026-01-01", "found_from": "stated", "why": "block", **known},
        ),
        shop.ab.id,
    )


def test_what_is_left_once_the_known_bias_is_taken_off_is_judged(shop: SmallShop) -> None:
    assert not result(desk(shop).take("25.06")).within
    bias(shop)
    outcome = result(desk(shop).take("25.06"))
    assert outcome.within and outcome.error == pytest.approx(0.06)
    assert outcome.sentence.startswith(
        "caliper 1 reads 25.060 on the 25.000 block, which is 25.000 less its known bias of +0.06: within its certificate"
    )
    exact = result(desk(shop).take("25.00"))  # it reads as nobody would expect of it
    assert not exact.within and "NOT within its certificate (-0.060" in exact.sentence


def test_the_certificates_own_error_counts_until_a_bias_is_known(shop: SmallShop) -> None:
    shop.record.add(
        Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-03-01", u95_mm=0.01, error_mm=0.03), shop.ab.id
    )
    bias(shop)
    said = result(desk(shop).take("25.06"))
    assert said.within and "certificate says" not in said.sentence
    assert not result(desk(shop).take("25.03")).within


def test_how_surely_the_bias_is_known_is_allowed_for(shop: SmallShop) -> None:
    bias(shop, u=0.01)
    allowed = result(desk(shop).take("25.06")).allowed
    assert allowed == pytest.approx((0.04**2 + 0.001**2 + (2 * 0.005 / 3**0.5) ** 2 + 0.02**2) ** 0.5)


def test_a_bias_that_ended_is_no_longer_taken_off(shop: SmallShop) -> None:
    bias(shop, to_on="2026-02-01")
    assert result(desk(shop).take("25.00")).within
    line = gauges.line(shop.record, shop.caliper, TODAY)
    (logged,) = shop.record.gauge_checks(shop.caliper.of_id)
    assert checks.within(logged, line.then(TODAY)) and not checks.within(logged, line.then("2026-01-15"))


def test_a_reading_that_the_bias_explains_is_no_slip(shop: SmallShop) -> None:
    bias(shop, mm=1.0)
    assert isinstance(desk(shop).take("26.00"), CheckResult)


def test_without_a_certificate_it_says_what_is_assumed(shop: SmallShop) -> None:
    bare = next(i for i in shop.record.instruments() if i.label == "caliper 2")
    said = result(desk(shop, bare).take("25.01")).sentence
    assert "it has no certificate" in said


def test_a_check_in_inches_is_kept_in_mm_with_what_was_typed(shop: SmallShop) -> None:
    inch = next(i for i in shop.record.instruments() if i.label == "inch caliper")
    (check,) = result(desk(shop, inch, Piece("1 in block", 25.4)).take("1.0005")).checks
    assert (check.value, check.typed, check.typed_unit) == (pytest.approx(25.4127), "1.0005", "in")


def test_a_slip_is_asked_about_once_and_kept_or_put_right(shop: SmallShop) -> None:
    one = desk(shop)
    asked = one.take("52.00")
    assert isinstance(asked, CheckAsked) and asked.suggestion == "25.00"
    assert shop.record.gauge_checks(shop.caliper.of_id) == []  # nothing is written before the answer
    assert result(one.take("=", 1.0)).within
    assert isinstance(one.take("52.00"), CheckAsked)
    assert not result(one.take("", 1.0)).within  # Enter keeps it
    assert isinstance(one.take("2.50"), CheckAsked)
    assert result(one.take("25.01", 0.01)).error == pytest.approx(0.01)  # a gauge types on: the first one is kept
    assert [c.check.value for c in shop.record.gauge_checks(shop.caliper.of_id)] == [25.0, 52.0, 2.5, 25.01]


def test_leaving_keeps_what_is_being_asked_about(shop: SmallShop) -> None:
    one = desk(shop)
    one.take("52.00")
    assert one.keep_pending() is not None and one.keep_pending() is None
    assert len(shop.record.gauge_checks(shop.caliper.of_id)) == 1


def test_a_reading_taken_again_takes_the_place_of_the_last(shop: SmallShop) -> None:
    one = desk(shop)
    assert not one.take_back()
    one.take("25.06")
    assert one.take_back()
    one.take("25.01")
    assert [c.check.value for c in shop.record.gauge_checks(shop.caliper.of_id)] == [25.01]


@pytest.mark.parametrize("text", ["", "abc", "25 kg", "-25", "nan"])
def test_what_is_no_reading_is_given_back(shop: SmallShop, text: str) -> None:
    outcome = desk(shop).take(text)
    assert isinstance(outcome, CheckRefused) and outcome.text == text
    assert shop.record.gauge_checks(shop.caliper.of_id) == []


def test_repeats_in_one_line_are_judged_as_their_mean(shop: SmallShop) -> None:
    outcome = result(desk(shop).take("25.00 25.02 25.04"))
    assert len(outcome.checks) == 3 and outcome.error == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("size", "u95", "sentence"),
    [
        ("", "", "size: nothing typed"),
        ("abc", "", "size: "),
        ("500", "", "lies outside the range of caliper 1, 0 to 300"),
        ("25", "x", "U of the piece: "),
        ("25", "10", "that is no reference"),
    ],
)
def test_what_is_wrong_with_a_piece_is_said(shop: SmallShop, size: str, u95: str, sentence: str) -> None:
    made = checks.read_piece(shop.caliper, "block", size, u95)
    assert isinstance(made, Wrong) and sentence in made.sentence


def test_a_piece_used_before_is_offered_again(shop: SmallShop) -> None:
    desk(shop).take("25.01")
    desk(shop, piece=Piece("ring", 40.0, 0.002)).take("40.01")
    assert [p.name for p in checks.pieces(shop.record, shop.caliper)] == ["ring", "block"]
    other = next(i for i in shop.record.instruments() if i.label == "caliper 2")
    assert len(checks.pieces(shop.record, other)) == 2


def test_nothing_is_logged_into_a_record_that_is_only_read(shop: SmallShop) -> None:
    with Record.open(shop.path, read_only=True) as record, pytest.raises(ReadOnly):
        QuickCheck(record, shop.ab, shop.caliper, BLOCK, TODAY).take("25.01")
    assert gauges.line(shop.record, shop.caliper, TODAY).state == gauges.IN_DATE


@pytest.mark.parametrize(
    ("style", "sentence"),
    [
        # by hand: 25.012 / 25.4 = 0.984724, 25 / 25.4 = 0.984252, 0.012 / 25.4 = 0.000472, allowed 0.040428 mm
        (Style("in", 4), "caliper 1 reads 0.98472 on the 0.98425 block: within its certificate (+0.00047; "),
        (Style(mark=","), "caliper 1 reads 25,012 on the 25,000 block: within its certificate (+0,012; "),
    ],
)
def test_a_check_is_said_in_the_style_of_whoever_asks(shop: SmallShop, style: Style, sentence: str) -> None:
    checked = QuickCheck(shop.record, shop.ab, shop.caliper, BLOCK, TODAY, style)
    assert result(checked.take("25.012 mm")).sentence.startswith(sentence)


def test_a_protractor_is_checked_in_degrees_whoever_asks(shop: SmallShop) -> None:
    protractor = shop.record.add(Instrument(label="protractor", unit="deg", resolution=0.1, range_hi=180.0))
    checked = QuickCheck(shop.record, shop.ab, protractor, Piece("square", 90.0), TODAY, Style("in"))
    said = result(checked.take("90.0")).sentence
    assert "reads 90.000 on the 90.000 square" in said and " deg " in said and " in " not in said
