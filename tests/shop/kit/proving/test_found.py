"""One line of the checklist: how it goes, its size, how that was taken, words; typed quickly, and wrongly."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.proving import How, ProvingLine
from inspect_tui.shop.kit.proving.found import Found, how, read, text_of


@pytest.mark.parametrize(
    ("typed", "result", "value", "way", "words"),
    [
        ("+", How.GOES, None, None, None),
        ("g", How.GOES, None, None, None),
        ("T", How.TIGHT, None, None, None),
        ("rubs 0.12 feeler, at the neck", How.RUBS, 0.12, "feeler", "at the neck"),
        ("+ 0.35", How.GOES, 0.35, "feeler", None),
        ("+0.35", None, 0.35, "feeler", None),
        ("0.35", None, 0.35, "feeler", None),
        ("0,35 mm", None, 0.35, "feeler", None),
        ("0.014 in by feelers", None, pytest.approx(0.3556), "feeler", None),
        ("1/64 in block", None, pytest.approx(0.396875), "block", None),
        ("l: on the outlet side", How.LOOSE, None, None, "on the outlet side"),
        ("does not go, 3 mm too long", How.STOPS, None, None, "3 mm too long"),
        ("no", How.STOPS, None, None, None),
        ("rubs", How.RUBS, None, None, None),
        ("r 0.1, neck", How.RUBS, 0.1, "feeler", "neck"),
        ("0.5 ±0.1, neck", None, 0.5, "feeler", "neck"),
        ("0.4 wax", None, 0.4, "wax", None),
        ("0.4 on the left", None, 0.4, "feeler", "on the left"),
    ],
)
def test_a_line_of_a_fit(
    typed: str, result: How | None, value: float | None, way: str | None, words: str | None
) -> None:
    said = read(typed, "fit")
    assert isinstance(said, Found)
    assert (said.result, said.value, said.way, said.words) == (result, value, way, words)


def test_behind_plus_minus_stand_two_standard_uncertainties() -> None:
    said = read("5.2 ±0.3 plug, inlet", "wall")
    assert isinstance(said, Found)
    assert (said.value, said.u_mm, said.way, said.words) == (5.2, 0.15, "plug", "inlet")
    inches = read("0.2 +/- 0.01", "wall", "in")
    assert isinstance(inches, Found) and inches.u_mm == pytest.approx(0.127) and inches.unit == "in"


def test_the_way_of_the_whole_trial_holds_where_a_line_says_none() -> None:
    assert read("5.2", "wall").way == "clay"  # type: ignore[union-attr]
    assert read("5.2", "wall", way="wax").way == "wax"  # type: ignore[union-attr]
    assert read("5.2 plug", "wall", way="wax").way == "plug"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("typed", "sort", "said"),
    [
        ("0", "wall", "a thickness of 0 is no wall"),
        ("0.00 clay", "wall", "a thickness of 0 is no wall"),
        ("0", "fit", "a clearance of 0 cannot be taken"),
        ("-0.2", "fit", "-0.2 lies below 0"),
        ("-1", "closing", "-1 lies below 0"),
        ("perhaps", "fit", "does not say how it goes"),
        ("1.2.3", "wall", ""),
        ("x" * 401, "remark", "401 letters are too many"),
    ],
)
def test_what_cannot_be_is_said(typed: str, sort: str, said: str) -> None:
    wrong = read(typed, sort)
    assert isinstance(wrong, Wrong) and said in str(wrong)


def test_halves_that_meet_stay_nothing_apart() -> None:
    said = read("0", "closing")
    assert isinstance(said, Found) and said.value == 0.0


def test_a_remark_is_words_whatever_it_begins_with() -> None:
    assert read("rubs 0.2 at the neck", "remark") == Found(words="rubs 0.2 at the neck")


def test_how_alone() -> None:
    assert how("rubs at the neck") == (How.RUBS, "at the neck")
    assert how("tightly") == (None, "tightly")


def test_what_does_not_go_in_leaves_no_gap() -> None:
    assert read("stops 3 mm at the neck", "fit") == Found(result=How.STOPS, words="3 mm at the neck")
    assert read("stops 3", "closing").value == 3.0  # type: ignore[union-attr]


def test_plus_minus_may_stand_behind_the_way() -> None:
    said = read("5.2 plug ±0.3 inlet", "wall")
    assert isinstance(said, Found) and (said.u_mm, said.way, said.words) == (0.15, "plug", "inlet")


@given(
    st.sampled_from([None, *How]),
    st.one_of(st.none(), st.integers(1, 4000).map(lambda n: n / 100)),
    st.one_of(st.none(), st.integers(1, 50).map(lambda n: n / 100)),
    st.sampled_from(["clay", "feeler", "plug", "gauge"]),
    st.sampled_from([None, "at the neck", "left side, 3 of 4"]),
)
def test_a_line_that_is_there_is_typed_again_as_it_is(
    result: How | None, value: float | None, plus: float | None, way: str, words: str | None
) -> None:
    if result is None and value is None:
        return
    line = ProvingLine(
        proving_id=b"",
        ord=1,
        sort="closing",
        result=result,
        value=value,
        typed=None if value is None else f"{value:g}",
        typed_unit=None if value is None else "mm",
        u_mm=None if value is None or plus is None else plus / 2,
        way=None if value is None else way,
        words=words,
    )
    said = read(text_of(line), "closing")
    assert isinstance(said, Found)
    assert (said.result, said.value, said.way, said.words) == (line.result, line.value, line.way, line.words)
    assert said.u_mm == (None if line.u_mm is None else pytest.approx(line.u_mm))
