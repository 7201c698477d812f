"""Numbers on a picture are read as people type them, come back as they are kept, and follow a new name."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.pictures import balloons
from inspect_tui.shop.pictures.balloons import Mark

KNOWN = ("F12", "F 3", "G1")


@pytest.mark.parametrize(
    ("typed", "marks"),
    [
        ("", ()),
        (" ; \n", ()),
        ("F12 31.5 42; G1 50 60", (Mark("F12", 31.5, 42.0), Mark("G1", 50.0, 60.0))),
        ("f012 31,5 % 42%\nG1 0 100", (Mark("F12", 31.5, 42.0), Mark("G1", 0.0, 100.0))),
        ("F 3 1 2;", (Mark("F 3", 1.0, 2.0),)),
    ],
)
def test_they_are_read_as_people_type_them(typed: str, marks: tuple[Mark, ...]) -> None:
    assert balloons.read(typed, KNOWN) == marks


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("F12 31", "F12 31 is no number with its place"),
        ("F13 1 2", "there is no size and no geometrical tolerance F13"),
        ("F12 1 100.1", "F12: 100.1 does not lie between 0 and 100"),
        ("F12 -1 2", "F12: -1 does not lie"),
        ("F12 x 2", "F12:"),
        ("F12 1 2; f12 3 4", "F12 stands twice"),
    ],
)
def test_what_is_none_is_said(typed: str, said: str) -> None:
    wrong = balloons.read(typed, KNOWN)
    assert isinstance(wrong, Wrong) and wrong.sentence.startswith(said) and wrong.do


def test_more_than_the_record_holds_are_not_taken() -> None:
    many = "; ".join(f"F{n} {n % 100}.25 {n % 99}.75" for n in range(600))
    wrong = balloons.read(many)
    assert isinstance(wrong, Wrong) and "too many for one picture" in wrong.sentence
    assert balloons.kept(many) == ()


PLACES = st.floats(0, 100).map(lambda x: round(x, 2))


@given(st.dictionaries(st.sampled_from(["F1", "F2", "F10", "G1", "a-7"]), st.tuples(PLACES, PLACES)))
def test_as_they_are_kept_they_are_read_again(places: dict[str, tuple[float, float]]) -> None:
    marks = tuple(Mark(balloon, x, y) for balloon, (x, y) in places.items())
    assert balloons.kept(balloons.written(marks)) == marks


def test_a_number_follows_its_new_name() -> None:
    assert balloons.renamed("F1 2 3; F10 4 5", "f01", "F7") == "F7 2 3; F10 4 5"
    assert balloons.renamed(None, "F1", "F7") is None
