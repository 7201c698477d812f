"""Fits: clearances at tooling scale, rubbing and floating, which part to change, the kit as a whole."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import TableError
from inspect_tui.metrology.judge.verdict import Answer
from inspect_tui.metrology.kit.fits import (
    FitSizes,
    FitState,
    clearance,
    clearance_band,
    judge_fit,
    judge_kit,
    tool_words,
)
from inspect_tui.model.words import Band, Estimate

sizes = st.floats(5, 500)
small = st.floats(-1, 1)


def a_fit(**changes: object) -> FitSizes:
    """K4 of the invented manifold: an outlet print of 76.76 in a seat of 77.26, limits 0.30 to 0.70."""
    fit = FitSizes(
        name="K4", core="4", into="2", axis="y", print_drawn=76.76, seat_drawn=77.26, band=Band(0.30, 0.70, "drawing")
    )
    return replace(fit, **changes)  # type: ignore[arg-type]


def measured(print_: float, seat: float, u: float = 0.02) -> FitSizes:
    return a_fit(print_measured=Estimate(print_, u), seat_measured=Estimate(seat, u))


def test_a_clearance_is_seat_less_print_and_never_scaled() -> None:
    assert clearance(a_fit()).value == pytest.approx(0.50)
    assert clearance(measured(76.80, 77.20)).value == pytest.approx(0.40)
    assert clearance(measured(76.80, 77.20), measured=False).value == pytest.approx(0.50)


@given(sizes, small, small, st.floats(0, 0.1), st.floats(0, 0.1))
def test_a_clearance_shifts_with_either_part_and_its_u_is_the_root_of_both(
    size: float, dp: float, ds: float, up: float, us: float
) -> None:
    fit = a_fit(print_measured=Estimate(size + dp, up), seat_measured=Estimate(size + ds, us))
    c = clearance(fit)
    assert c.value == pytest.approx(ds - dp, abs=1e-9)
    assert c.u**2 == pytest.approx(up**2 + us**2, abs=1e-12)


def test_core_wash_takes_its_room_in_the_seat() -> None:
    assert clearance(a_fit(coat_mm=0.2)).value == pytest.approx(0.30)


def test_a_part_that_was_not_measured_counts_as_drawn_with_the_doubt_of_a_drawn_size() -> None:
    fit = a_fit(seat_measured=Estimate(77.30, 0.02), u_print_drawn=0.06)
    verdict = judge_fit(fit)
    assert verdict.measured == "seat"
    assert verdict.clearance == Estimate(pytest.approx(0.54), pytest.approx((0.02**2 + 0.06**2) ** 0.5))
    assert "only the seat measured" in verdict.sentence


def test_a_print_larger_than_its_seat_does_not_go() -> None:
    key = FitSizes(
        name="K6.3",
        core="5",
        into="1",
        axis="y",
        print_drawn=30.00,
        seat_drawn=30.30,
        band=Band(0.20, 0.50, "drawing"),
        kind="key",
    )
    verdict = judge_fit(replace(key, print_measured=Estimate(30.00, 0.02), seat_measured=Estimate(29.90, 0.02)))
    assert verdict.state == "does not go" and verdict.answer is Answer.DOES_NOT_CONFORM
    assert verdict.p_clash > 0.99
    assert verdict.change is not None and verdict.change.part == "seat"
    assert verdict.change.by_mm == pytest.approx(0.40)
    assert "0.10 larger than its seat" in verdict.sentence and "0.40 larger" in verdict.sentence


def test_a_worn_seat_floats_and_has_to_come_back_by_its_wear() -> None:
    verdict = judge_fit(measured(76.76, 77.96))
    assert verdict.state == "floats" and verdict.p_floats > 0.99
    assert verdict.change is not None
    assert (verdict.change.part, verdict.change.by_mm) == ("seat", pytest.approx(-0.70))
    assert "0.50 over the most" in verdict.sentence and "the seat is 0.70 larger than drawn" in verdict.sentence


def test_a_fat_print_is_the_part_to_change_when_the_seat_is_as_drawn() -> None:
    verdict = judge_fit(measured(77.16, 77.26))
    assert verdict.state == "rubs"
    assert verdict.change is not None
    assert (verdict.change.part, verdict.change.by_mm) == ("print", pytest.approx(-0.40))


def test_a_fit_drawn_out_of_its_band_goes_to_the_middle_by_its_seat() -> None:
    verdict = judge_fit(a_fit(seat_drawn=76.86, u_print_drawn=0.01, u_seat_drawn=0.01))
    assert verdict.change is not None
    assert (verdict.change.part, verdict.change.by_mm) == ("seat", pytest.approx(0.40))


def test_near_a_limit_it_stays_undecided_with_both_chances() -> None:
    verdict = judge_fit(measured(76.76, 77.08, 0.03))
    assert verdict.answer is Answer.UNDECIDED and verdict.state == "undecided"
    assert 0.1 < verdict.p_rubs < 0.5 and verdict.p_floats < 1e-6


def test_a_clearance_exactly_on_either_limit_is_in() -> None:
    for seat in (77.06, 77.46):
        verdict = judge_fit(a_fit(print_measured=Estimate(76.76, 0.0), seat_measured=Estimate(seat, 0.0)))
        assert verdict.answer is Answer.CONFORMS
        assert verdict.p_rubs == 0.0 and verdict.p_floats == 0.0


@given(st.floats(-0.5, 1.5), st.floats(0.001, 0.2))
def test_chances_of_rubbing_floating_and_fitting_are_one_together(c: float, u: float) -> None:
    verdict = judge_fit(a_fit(print_measured=Estimate(76.76, u), seat_measured=Estimate(76.76 + c, 0.0)))
    assert 0 <= verdict.p_clash <= verdict.p_rubs + 1e-12
    assert verdict.p_rubs + verdict.p_floats <= 1 + 1e-9
    if verdict.answer is Answer.CONFORMS:
        assert verdict.p_rubs < 0.051 and verdict.p_floats < 0.051


@given(st.floats(-0.5, 1.5))
def test_the_change_it_asks_for_brings_the_fit_inside(c: float) -> None:
    fit = measured(76.76, 76.76 + c, 0.005)
    verdict = judge_fit(fit)
    if verdict.change is not None and verdict.change.part == "seat":
        assert judge_fit(measured(76.76, 76.76 + c + verdict.change.by_mm, 0.005)).answer is Answer.CONFORMS


@pytest.mark.parametrize(
    "part, tool, by, words",
    [
        ("seat", "pattern_drag", 0.4, "add 0.40"),  # the seat is the impression of the pattern's print
        ("seat", "pattern_drag", -0.4, "cut 0.40"),
        ("seat", "core_box", 0.4, "add 0.40"),  # the seat in a core is made by a projection in its box
        ("seat", "core_stick", 0.4, "cut 0.40"),
        ("print", "core_box", 0.4, "cut 0.40"),  # a larger cavity gives a larger print
        ("print", "core_box", -0.4, "add 0.40"),
        ("print", "core_stick", 0.4, "add 0.40"),
        ("seat", "core_stick", 0.0, ""),
    ],
)
def test_cut_and_add_follow_the_tool(part: str, tool: str, by: float, words: str) -> None:
    assert tool_words(part, tool, by) == words


def test_bands_by_practice_are_total_and_say_where_they_come_from() -> None:
    # common practice without a standard: 0.15 to 0.30 per side up to 100 mm, 0.25 to 0.50 to 300 mm (core_prints.csv)
    assert (clearance_band(60).lower, clearance_band(60).upper) == (0.30, 0.60)
    assert (clearance_band(100).lower, clearance_band(100.1).lower) == (0.30, 0.50)
    assert "common-practice" in clearance_band(60).source
    key = clearance_band(30, "key")
    assert key.lower is not None and key.upper is not None and key.upper < 0.60
    assert clearance_band(150, "key") == clearance_band(150)
    assert clearance_band(56, "cope print").lower == 0.8


@given(st.floats(0.1, 5000), st.sampled_from(["print", "key", "cope print"]))
def test_every_size_has_a_band_of_positive_width_above_zero(size: float, kind: str) -> None:
    band = clearance_band(size, kind)
    assert band.lower is not None and band.upper is not None and 0 < band.lower < band.upper


@pytest.mark.parametrize("size, kind", [(0, "print"), (-3, "key"), (10, "dowel")])
def test_a_size_or_kind_without_a_row_is_said_so(size: float, kind: str) -> None:
    with pytest.raises(TableError, match=r"above 0|one of"):
        clearance_band(size, kind)


def test_the_kit_names_its_first_clash_in_setting_order_and_its_slackest_seat() -> None:
    good = FitSizes(
        name="K1", core="1", into="drag", axis="y", print_drawn=60.0, seat_drawn=60.6, band=Band(0.4, 0.8, "drawing")
    )
    clash = FitSizes(
        name="K6", core="5", into="1", axis="y", print_drawn=30.0, seat_drawn=29.9, band=Band(0.2, 0.5, "drawing")
    )
    slack = a_fit(seat_drawn=77.96)
    kit = judge_kit([slack, clash, good], ["1", "2", "5", "4"])
    assert [v.fit.name for v in kit.verdicts] == ["K1", "K6", "K4"]
    assert kit.first_clash is not None and kit.first_clash.fit.name == "K6"
    assert kit.slackest is not None and kit.slackest.fit.name == "K4"
    assert kit.answer is Answer.DOES_NOT_CONFORM and kit.p_all == 0.0
    assert kit.sentence.startswith("the kit does not assemble")


def test_a_kit_without_clashes_says_what_it_is() -> None:
    good = FitSizes(
        name="K1", core="1", into="drag", axis="y", print_drawn=60.0, seat_drawn=60.6, band=Band(0.4, 0.8, "drawing")
    )
    read = replace(good, print_measured=Estimate(60.0, 0.02), seat_measured=Estimate(60.6, 0.02))
    assert judge_kit([read, read]).sentence == "all 2 fits are inside their limits"
    assert judge_kit([read]).answer is Answer.CONFORMS
    unsure = replace(read, print_measured=Estimate(60.0, 0.5))
    assert judge_kit([read, unsure]).answer is Answer.UNDECIDED
    assert judge_kit([read, unsure]).sentence == "1 of 2 fits are undecided: measure them"
    assert judge_kit([good, unsure]).sentence == "1 of 2 fits are undecided: measure them"
    assert judge_kit([]).answer is Answer.UNDECIDED


def test_what_nobody_read_is_as_drawn_and_no_answer() -> None:
    good = FitSizes(
        name="K1", core="1", into="drag", axis="y", print_drawn=60.0, seat_drawn=60.6, band=Band(0.4, 0.8, "drawing")
    )
    verdict = judge_fit(good)
    assert (verdict.state, verdict.answer) == (FitState.AS_DRAWN, Answer.UNDECIDED)
    assert verdict.sentence == "K1, 1 in drag, y: clearance 0.60 mm (0.40 to 0.80) as drawn, not read"
    assert judge_kit([good]).sentence == "1 of 1 fits are as drawn, nobody read them"
    assert judge_kit([good]).answer is Answer.UNDECIDED and judge_kit([good]).first_clash is None
    assert judge_fit(replace(good, print_measured=Estimate(60.0, 0.02))).state is FitState.FITS
    assert judge_fit(replace(good, u_print_drawn=0.5)).state is FitState.AS_DRAWN
    assert judge_fit(replace(good, seat_drawn=59.0)).state is FitState.DOES_NOT_GO
