"""The life of a dimension: where it left its course, and whether a correction took."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.wear.life import Stage, compare, correction_took
from inspect_tui.model.words import Estimate


def stage(kind: str, predicted: float | None, obtained: float | None, u: float = 0.03) -> Stage:
    return Stage(
        kind,
        kind,
        None if predicted is None else Estimate(predicted, u),
        None if obtained is None else Estimate(obtained, u),
    )


def test_the_first_station_off_its_prediction_is_named() -> None:
    life = compare(
        [
            stage("stick", 70.70, 70.72),
            stage("box", 70.65, 68.10),
            stage("core", 68.08, 68.05),
            stage("casting", 67.40, 67.43),
            stage("correction", None, None),
        ]
    )
    assert [s.word for s in life.steps] == ["as predicted", "off", "as predicted", "as predicted", "not measured"]
    assert life.first_off is not None and life.first_off.stage.kind == "box"
    assert life.sentence == "left its course at box box: -2.55 mm against prediction; back on course at casting casting"


def test_a_life_on_course_and_one_without_readings() -> None:
    assert "all 2 stations" in compare([stage("stick", 10.0, 10.01), stage("box", 10.0, 9.99)]).sentence
    assert compare([stage("stick", None, 10.0), stage("box", 10.0, None)]).sentence.startswith("nothing to compare")
    assert compare([]).first_off is None


@given(st.floats(-1, 1), st.floats(0.001, 0.3))
def test_off_is_beyond_two_standard_uncertainties_of_the_difference(d: float, u: float) -> None:
    step = compare([stage("box", 50.0, 50.0 + d, u)]).steps[0]
    assert (step.word == "off") == (abs((50.0 + d) - 50.0) > 2 * u * 2**0.5)


def test_sizes_known_exactly_are_off_when_they_differ() -> None:
    assert compare([stage("box", 50.0, 50.1, 0.0)]).steps[0].word == "off"
    assert compare([stage("box", 50.0, 49.9, 0.0)]).steps[0].z == float("-inf")
    assert compare([stage("box", 50.0, 50.0, 0.0)]).steps[0].word == "as predicted"


@pytest.mark.parametrize(
    "wanted, before, after, word",
    [
        (-2.60, 70.70, 68.12, "as wanted"),
        (-2.60, 70.70, 69.40, "not enough"),
        (-2.60, 70.70, 67.00, "too much"),
        (-2.60, 70.70, 71.20, "wrong way"),
        (0.02, 70.70, 70.72, "cannot tell"),
        (0.0, 70.0, 70.0, "cannot tell"),
    ],
)
def test_did_the_correction_take(wanted: float, before: float, after: float, word: str) -> None:
    assert correction_took(wanted, Estimate(before, 0.03), Estimate(after, 0.03))[2] == word
