"""Tests of: how much to cut or add on a tool, on which face and which way, and what that does to the casting"""

from __future__ import annotations

from math import isclose, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.judge.cut import TOOL_WORDS, cut, per_face, tool_change
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.words import SENSES, TOOL_KINDS, Band
from tests.metrology.judge.test_verdict import STICK


def test_a_casting_error_is_taken_out_at_tool_scale():
    """Demo scenario, box 4: -2.57 on the casting is 2.60 to open at 1.0 % contraction (computed there)."""
    assert tool_change(-2.57, 0.010) == pytest.approx(2.60, abs=0.005)
    assert tool_change(0.5, 0.0) == -0.5


@given(st.floats(-5.0, 5.0), st.floats(0.0, 0.05), st.floats(5.0, 500.0))
def test_after_the_change_the_casting_comes_to_target(error, a, wanted):
    tool = (wanted + error) * (1 + a)
    assert (tool + tool_change(error, a)) / (1 + a) == pytest.approx(wanted)


def test_a_stick_too_big_is_cut_and_the_casting_gains_metal_there():
    got = cut("core_stick", "metal", 59.66, 59.59, a=0.01, band=STICK, u_mm=0.02)
    assert got.words == "cut 0.07 to centre (stick)"
    assert got.casting_words == "metal on 0.07 once the box is cast again"
    assert (got.word, got.metal, got.to_limit_mm) == ("cut", "on", 0.0)
    assert got.change_mm == pytest.approx(-0.07)
    assert got.casting_mm == pytest.approx(-0.07 / 1.01)


def test_a_stick_too_small_is_added_to_and_says_the_least_that_helps():
    got = cut("core_stick", "metal", 59.37, 59.59, a=0.01, band=STICK, u_mm=0.02)
    assert got.words == "add 0.22, at least 0.07 (stick)"
    assert got.to_limit_mm == pytest.approx(0.07)
    assert got.metal == "off"


def test_a_box_opened_1_3_each_half():
    got = cut("core_box", "space", 68.10, 70.70, a=0.01, ends="both", label="box 4")
    assert got.words == "cut 2.60 to centre (box 4), 1.30 a face"
    assert got.casting_words == "metal off 2.57 (the core grows)"


def test_one_end_takes_it_all():
    assert cut("core_box", "space", 70.9, 70.7, ends="B").words == "add 0.20 (box), all on end B"
    words = cut("core_box", "space", 70.5, 70.7, ends="the +Y side").words
    assert words == "cut 0.20 to centre (box), all on the +Y side"


@pytest.mark.parametrize("change, said", [(0.07, "0.035 a face"), (-2.6, "1.30 a face"), (0.25, "0.125 a face")])
def test_half_a_change_keeps_its_half_hundredth(change, said):
    assert per_face(change) == said


@pytest.mark.parametrize(
    "tool, sense, value, word, metal",
    [
        ("pattern_drag", "metal", 100.2, "cut", "off"),
        ("pattern_cope", "metal", 99.8, "add", "on"),
        ("pattern_drag", "space", 99.8, "cut", "off"),
        ("production_pattern", "metal", 100.2, "cut", "off"),
        ("master", "metal", 99.8, "add", "on"),
        ("loose_piece", "metal", 100.2, "cut", "off"),
        ("core_box", "space", 99.8, "cut", "off"),
        ("core_box", "space", 100.2, "add", "on"),
        ("core_box", "metal", 100.2, "cut", "off"),
        ("core_stick", "metal", 100.2, "cut", "on"),
        ("core_stick", "metal", 99.8, "add", "off"),
        ("core_stick", "space", 99.8, "cut", "on"),
    ],
)
def test_the_sign_table(tool, sense, value, word, metal):
    got = cut(tool, sense, value, 100.0, a=0.01)
    assert (got.word, got.metal) == (word, metal)
    assert got.words.startswith(word)
    assert got.casting_words.startswith(f"metal {metal}")


@pytest.mark.parametrize("tool", ["core_stick", "core_box", "pattern_drag"])
@pytest.mark.parametrize("target", [10.12, 9.88])
@pytest.mark.parametrize("facing", [1, -1])
def test_a_face_moves_to_its_place_and_metal_follows_its_facing(tool, target, facing):
    """Where the casting's metal faces +X, moving the face toward +X is metal on, whichever tool makes it."""
    got = cut(tool, "face", 10.0, target, axis="x", facing=facing)
    side = "+X" if target > 10.0 else "-X"
    assert got.words == f"{got.word}: move the face 0.12 toward {side} ({TOOL_WORDS[tool]})"
    assert got.metal == ("on" if (target > 10.0) == (facing == 1) else "off")
    assert got.word == (
        ("cut" if got.metal == "on" else "add") if tool == "core_stick" else ("add" if got.metal == "on" else "cut")
    )


def test_a_face_of_unknown_facing_is_only_moved():
    got = cut("core_box", "face", 10.0, 9.9, axis="oblique")
    assert got.words == "move the face 0.10 toward the - side (box)"
    assert got.word == "move"
    assert "metal" not in got.casting_words


@pytest.mark.parametrize(
    "fit, value, said",
    [
        ("seat", 60.0, "0.20 more"),
        ("seat", 60.4, "0.20 less"),
        ("print", 60.0, "0.20 less"),
        ("print", 60.4, "0.20 more"),
    ],
)
@pytest.mark.parametrize("tool, sense", [("core_stick", "metal"), ("core_box", "space"), ("pattern_drag", "metal")])
def test_prints_and_seats_change_slack_and_no_surface(fit, value, said, tool, sense):
    got = cut(tool, sense, value, 60.2, a=0.01, fit=fit)
    assert got.casting_words == f"{said}: slack only, no surface moves"
    assert (got.casting_mm, got.metal) == (0.0, "")
    assert cut(tool, "face", value, 60.2, fit=fit).casting_words == "fit only, no surface moves"


def test_the_body_of_a_fit_decides_what_is_cut():
    """A print's face at +X with the core's body facing +X: a box is cut to let it grow, a stick is added to."""
    assert cut("core_box", "face", 10.0, 10.2, axis="x", facing=1, fit="print").word == "cut"
    assert cut("core_stick", "face", 10.0, 10.2, axis="x", facing=1, fit="print").word == "add"
    assert cut("pattern_drag", "face", 10.0, 10.2, axis="x", facing=1, fit="seat").word == "add"


def test_near_enough_is_left_alone():
    within = cut("core_stick", "metal", 59.61, 59.59, band=STICK, u_mm=0.025)
    assert within.words == "leave: at target within the uncertainty (stick)"
    assert cut("core_stick", "metal", 59.594, 59.59, band=STICK).words == "leave: at target (stick)"
    assert cut("core_stick", "metal", 59.59, 59.59).casting_words == "no change"
    assert cut("core_stick", "metal", 59.60, 59.59, band=STICK).word == "cut"
    # closer than a step of the display, but outside a band that is narrower still
    assert cut("core_stick", "metal", 59.598, 59.59, band=Band(59.585, 59.595, "t")).word == "cut"


def test_a_template_forms_nothing_of_the_casting():
    assert cut("gauge_template", "space", 10.0, 10.2).casting_words == "no surface of the casting moves"


def test_amounts_can_be_written_the_persons_way():
    got = cut("core_stick", "metal", 61.0, 59.73, a=0.0, ends="both", style=Style("in", 3))
    assert got.words == "cut 0.050 to centre (stick), 0.025 a face"
    assert got.casting_words.startswith("metal on 0.050")
    assert cut("core_stick", "metal", 10.34, 10.0, resolution_mm=0.1).words == "cut 0.3 to centre (stick)"


@given(
    st.sampled_from(TOOL_KINDS),
    st.sampled_from(SENSES),
    st.floats(5.0, 500.0),
    st.floats(-3.0, 3.0),
    st.floats(-0.01, 0.05),
    st.sampled_from([None, "print", "seat"]),
    st.sampled_from([None, 1, -1]),
    st.sampled_from([None, "both", "A"]),
)
def test_cut_and_add_mean_the_tool_and_metal_on_and_off_the_casting(tool, sense, target, off, a, fit, facing, ends):
    got = cut(tool, sense, target + off, target, a=a, fit=fit, facing=facing, ends=ends, axis="y")
    assert "metal" not in got.words
    assert not {"cut", "add"} & set(got.casting_words.replace(",", " ").split())
    assert isclose(target + off + got.change_mm, target, abs_tol=1e-9)
    if got.metal:
        assert got.casting_mm == pytest.approx(got.change_mm / (1 + a))
    else:
        assert "metal" not in got.casting_words


@given(st.floats(55.0, 65.0), st.floats(-0.2, 0.2))
def test_the_least_change_ends_on_the_limit_and_never_beyond_the_target(value, shift):
    band = Band(59.44 + shift, 59.74 + shift, "t")
    target = 59.59 + shift
    got = cut("core_stick", "metal", value, target, band=band)
    after = value + got.to_limit_mm
    assert band.lower - 1e-6 <= after <= band.upper + 1e-6
    assert abs(got.to_limit_mm) <= abs(got.change_mm) + 1e-9
    assert got.to_limit_mm * got.change_mm >= 0.0


@pytest.mark.parametrize(
    "arguments, said",
    [
        (("spoon", "metal", 1.0, 2.0), "no kind of tool"),
        (("core_box", "hole", 1.0, 2.0), "no sense"),
        (("core_box", "space", nan, 2.0), "finite"),
    ],
)
def test_words_that_are_not_known_are_refused(arguments, said):
    with pytest.raises(DataError, match=said):
        cut(*arguments)
    with pytest.raises(DataError, match="use print"):
        cut("core_box", "space", 1.0, 2.0, fit="key")


@given(st.floats(9.0, 11.0), st.floats(9.8, 10.2), st.floats(0.0, 5.0), st.sampled_from(["metal", "space"]))
def test_what_lies_outside_its_band_is_never_left(value: float, target: float, u: float, sense: str) -> None:
    band = Band(9.8, 10.2, "t")
    got = cut("core_stick", sense, value, target, band=band, u_mm=u)
    if not band.lower - 1e-6 <= value <= band.upper + 1e-6:
        assert got.word != "leave"
    elif abs(target - value) <= u:
        assert got.word == "leave"
