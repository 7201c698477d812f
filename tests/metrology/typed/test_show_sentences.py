"""Sentences of the computations are written in the style of whoever asks; each inch figure is worked by hand."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.faces.rows import Swap
from inspect_tui.metrology.faces.stacks import Link, Term, stack
from inspect_tui.metrology.faces.stock_turns import target_words
from inspect_tui.metrology.gauges.bias import bias_study
from inspect_tui.metrology.judge.cut import cut, per_face
from inspect_tui.metrology.judge.uncertainty import reading_budget
from inspect_tui.metrology.kit.capacity import capacity
from inspect_tui.metrology.kit.fits import FitSizes, judge_fit, judge_kit, tool_words
from inspect_tui.metrology.sizes.tolerance_text import parse_band
from inspect_tui.metrology.spread.charts import individuals
from inspect_tui.metrology.spread.checks import order_effects
from inspect_tui.metrology.spread.outliers import grubbs
from inspect_tui.metrology.typed.show import MM, Style
from inspect_tui.metrology.wear.life import Stage, compare
from inspect_tui.model.words import Band, Estimate

INCH, COMMA = Style("in"), Style(mark=",")


def test_a_fit_says_its_clearance_in_inches() -> None:
    # 0.10 / 25.4 = 0.003937; 0.20 and 0.40 are 0.007874 and 0.015748; 0.10 short of the least
    fit = FitSizes(
        name="P1", core="core 1", into="drag", axis="x", print_drawn=40.0, seat_drawn=40.1, band=Band(0.2, 0.4, "")
    )
    said = judge_fit(fit, style=INCH).sentence
    assert "clearance 0.0039 in (0.0079 to 0.0157)" in said and "rubs, 0.0039 under" in said
    assert judge_kit([fit], style=INCH).verdicts[0].sentence == said
    assert "clearance 0,10 mm (0,20 to 0,40)" in judge_fit(fit, style=COMMA).sentence
    assert tool_words("seat", "core_box", 0.2, INCH) == "add 0.0079"


def test_a_wall_and_its_worst_case() -> None:
    # 12.7 mm is half an inch; 0.254 mm is 0.01 in
    term = Term(Link(name="F1", a="a", b="b", size=12.7, plus=0.254, minus=0.254), 1.0)
    said = stack("wall", [term], style=INCH).sentence
    assert said.startswith("wall: 0.5000 in; worst case 0.4900 to 0.5100, likely 0.5000 ± 0.0100")


def test_amounts_to_cut_and_to_raise() -> None:
    assert cut("core_stick", "metal", 61.0, 59.73, ends="both", style=INCH).words == (
        "cut 0.0500 to centre (stick), 0.0250 a face"  # 1.27 / 25.4
    )
    assert per_face(0.07, style=COMMA) == "0,035 a face"
    assert target_words([("A1", 1.27), ("A2", -1.27)], "z", INCH).startswith(
        "raise datum target A1 by 0.0500 in, lower A2 by 0.0500 in"
    )


def test_rows_that_fit_each_other() -> None:
    swap = Swap("C1", "F1", "F2", (2.54, -2.54), (0.0, 0.0))
    assert swap.said(INCH) == "Casting C1: F1 is +0.1000 off and F2 -0.1000; each fits the other."
    assert swap.said() == "Casting C1: F1 is +2.54 off and F2 -2.54; each fits the other."


def test_a_budget_says_how_it_was_come_by() -> None:
    lines = reading_budget(u95_cal=0.0254, k_cal=2.0, resolution=0.0254, style=INCH).lines
    assert "U 0.001 of the certificate over k = 2" in lines[0].how and "0.0005, over the root of 3" in lines[1].how
    assert "U 0,0254 of" in reading_budget(u95_cal=0.0254, k_cal=2.0, resolution=0.01, style=COMMA).lines[0].how


def test_what_readings_show() -> None:
    values = [25.4, 25.4254, 25.3746, 25.4, 25.4254, 25.3746, 27.94]
    assert "reading 7 (1.1)" in grubbs(values, style=INCH).sentence
    assert "reading 7 (27,94)" in grubbs(values, style=COMMA).sentence
    # a signal is told by its value: 27.94 mm are 1.1 in
    many = [25.4 + 0.0254 * (i % 2) for i in range(30)] + [27.94]
    assert any("point 31 (1.1)" in signal.sentence for signal in individuals(many, style=INCH).signals)
    drifting = [25.4 + 0.0254 * i + 0.001 * (i % 3) for i in range(20)]
    by = order_effects(drifting).slope / 25.4
    assert f"drift by {by:+.3g} per reading" in order_effects(drifting, style=INCH).sentence


def test_a_bias_of_a_gauge() -> None:
    values = [25.4508, 25.4508, 25.4508 + 0.00254, 25.4508 - 0.00254]  # 0.0508 mm are 0.002 in
    assert bias_study(values, 25.4, style=INCH).sentence.startswith("reads 0.002 high (")
    assert bias_study(values, 25.4).sentence.startswith("reads 0.0508 high (")


def test_a_station_that_left_its_course_and_limits_far_away() -> None:
    stages = [Stage("stick", "stick 1", Estimate(100.0, 0.01), Estimate(102.54, 0.01))]
    assert "stick stick 1: +0.1000 in against prediction" in compare(stages, style=INCH).sentence
    told = parse_band("254..300", 25.4, style=INCH)
    assert isinstance(told, str) and "nowhere near 1;" in told
    angle = parse_band("70..60", 65.0, "angle", style=INCH)
    assert isinstance(angle, str) and "lower 70 is above upper 60" in angle


@pytest.mark.parametrize(("style", "said"), [(MM, "6.0 % under: 94.0 of 100.0"), (COMMA, "6,0 % under: 94,0 of 100,0")])
def test_a_capacity_has_the_mark_of_its_reader(style: Style, said: str) -> None:
    assert capacity(Estimate(94.0, 0.0), 100.0, 100.0, style=style).sentence.startswith(said)
