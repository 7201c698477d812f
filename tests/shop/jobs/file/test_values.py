"""What is written is read back as it was."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.metrology.typed import fields
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.shop.jobs.file import values


@given(st.floats(-0.05, 0.1))
def test_a_contraction_is_written_so_that_it_is_read_as_the_same(a: float) -> None:
    text = values.percent(a)
    assert text is not None and fields.contraction(text) == pytest.approx(a, rel=3e-16, abs=1e-17)


@pytest.mark.parametrize(
    ("a", "text"), [(0.009, "0.9 %"), (0.01, "1 %"), (1 / 96, "10.416666666666666 mm/m"), (0.0, "0 %")]
)
def test_a_contraction_is_written_shortly(a: float, text: str) -> None:
    assert values.percent(a) == text


def test_only_what_says_something_is_written() -> None:
    assert values.filled(a=None, b="", c=[], d={}, e=0, f=False, in_="x") == {"e": 0, "f": False, "in": "x"}
    assert [values.figure(value) for value in (62.0, 0.5, None, 1e12)] == [62, 0.5, None, 1e12]
    assert isinstance(values.figure(1e12), float) and isinstance(values.figure(62.0), int)
    assert (values.pair(0.0, 1.5), values.pair(None, 1.0)) == ([0, 1.5], None)
    assert values.axes(None, 2.0, 0.0) == {"y": 2, "z": 0} and values.axes(None, None, None) is None


def test_places_boxes_and_ranges_are_read_in_their_forms() -> None:
    assert values.place({"x": 1, "z": "1 in"}) == {"x": 1.0, "z": 25.4}
    assert values.place([1, 2, 3]) == values.place("1 2 3") == {"x": 1.0, "y": 2.0, "z": 3.0}
    assert values.range_of([0, "12 in"], "mm") == (0.0, 304.8) and values.range_of("0 to 300", "mm") == (0.0, 300.0)
    assert values.two_places([1, "?"]) == (1.0, None) and values.two_places(3) == (3.0, 3.0)
    read = values.box({"x": [0, 40], "y": "0 to 20", "z": [5, 60]})
    assert read == {"x0": 0.0, "x1": 40.0, "y0": 0.0, "y1": 20.0, "z0": 5.0, "z1": 60.0}


@pytest.mark.parametrize(
    ("read", "said"),
    [
        (values.place({"w": 1}), "a place is written as"),
        (values.place({"x": "here"}), "x: here is not a size"),
        (values.place({}), "a place is written as"),
        (values.box({"x": [0, 1]}), "a box is written as"),
        (values.box({"x": [0, 0], "y": [0, 1], "z": [0, 1]}), "it has no extent along x"),
        (values.box({"x": [1, 0], "y": [0, 1], "z": [0, 1]}), "does not go from low to high"),
        (values.two_sizes([1, 2, 3]), "give two values, one for each end, not 3"),
        (values.two_sizes([-1, 2]), "-1 is below 0"),
    ],
)
def test_what_is_none_is_a_sentence(read: object, said: str) -> None:
    assert isinstance(read, Wrong) and said in str(read)
