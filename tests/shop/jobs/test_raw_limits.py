"""Limits of the raw casting as people type them: about the raw size, from a grade, or that it must clean up."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.work import End, Feature
from inspect_tui.shop.jobs.raw_limits import asks, typed_of, with_limits


def flange(stock: float = 4.0, facing: tuple[int, int] = (-1, 1), **more: object) -> Feature:
    """620 +-0.05 with stock on its far end: 624 as cast."""
    given = {"nominal": 620.0, "lower": 619.95, "upper": 620.05, **more}
    ends = (
        End(which="A", half="drag", facing=facing[0]),
        End(which="B", half="drag", facing=facing[1], stock_mm=stock),
    )
    return Feature(balloon="F1", name="length", machined=stock > 0, ends=ends, **given)  # type: ignore[arg-type]


def stated(typed: str, feature: Feature | None = None) -> Feature:
    made = with_limits(feature or flange(), typed)
    assert isinstance(made, Feature), made
    return made


@pytest.mark.parametrize(
    "typed, lower, upper",
    [
        ("±1.5", 622.5, 625.5),
        ("+1.5/-1.0", 623.0, 625.5),
        ("622..626", 622.0, 626.0),
        ("min 622", 622.0, None),
        ("DCTG 9", 622.2, 625.8),  # 3.6 in all over 400 up to 630 (ISO 8062-3:2007 Table 2, from memory)
        ("iso 8062-3 dctg 9", 622.2, 625.8),
        ("clean up", None, None),
        ("", None, None),
    ],
)
def test_they_lie_about_the_raw_size(typed: str, lower: float | None, upper: float | None) -> None:
    made = stated(typed)
    assert (made.raw_lower, made.raw_upper) == (pytest.approx(lower), pytest.approx(upper))
    assert (made.lower, made.upper) == (619.95, 620.05)  # the drawing's stay


@pytest.mark.parametrize(
    "typed, again",
    [
        ("±1.5", "±1.5"),
        ("622..626", "622..626"),
        ("DCTG 9", "ISO 8062-3 DCTG 9"),
        ("must clean up", "clean up"),
        ("", ""),
    ],
)
def test_they_can_be_typed_again(typed: str, again: str) -> None:
    made = stated(typed)
    assert typed_of(made) == again
    assert stated(again) == made


def test_a_wall_takes_its_casting_grade_one_coarser() -> None:
    """9.5 as cast: DCTG 10 is 2.0 in all up to 10 mm (ISO 8062-3:2007 Table 2, as the shipped table has it)."""
    wall = flange(1.5, nominal=8.0, lower=7.9, upper=8.1, quantity="wall")
    made = stated("DCTG 9", wall)
    assert (made.raw_lower, made.raw_upper) == (pytest.approx(8.5), pytest.approx(10.5))
    assert typed_of(made) == "ISO 8062-3 DCTG 9" and stated(typed_of(made), wall) == made


def test_limits_that_come_without_their_words_are_typed_as_sizes() -> None:
    assert typed_of(flange(raw_lower=622.5, raw_upper=625.5, raw_source="drawing")) == "622.5..625.5"
    assert typed_of(flange(raw_lower=622.5)) == "min 622.5" and typed_of(flange(raw_upper=625.5)) == "max 625.5"


def test_what_cannot_be_is_a_sentence() -> None:
    assert with_limits(flange(0.0), "±1") == (
        "F1 carries no stock, so it has one size only: its limits are those of the drawing"
    )
    words = with_limits(flange(), "roughly")
    assert isinstance(words, str) and words.endswith("about the raw size 624 mm, or clean up")
    bore = flange(12.0, (1, -1), nominal=10.0, lower=9.9, upper=10.1)
    assert with_limits(bore, "±1") == "12 mm of stock leaves nothing of 10 mm: leave it out of the casting"
    assert "DCTG 20" in str(with_limits(flange(), "DCTG 20"))


@pytest.mark.parametrize(
    "typed, said",
    [
        ("±4.05", ""),  # 619.95 is left: just enough
        (
            "±5",
            "F1: the raw size may fall to 619.00 where 619.95 is to be left: wider than the stock. Take the least raw "
            "limit up by 0.95 to 619.95, or give 0.95 more stock and leave the limits as far from the raw size as now. "
            "Until then both stay as typed.",
        ),
        (
            "max 626",
            "F1: the raw size has no least limit where 619.95 is to be left: wider than the stock. Give it one of "
            "619.95. Until then it stays as typed.",
        ),
        ("clean up", ""),
        ("", ""),
    ],
)
def test_limits_wider_than_the_stock_are_doubted(typed: str, said: str) -> None:
    assert asks(stated(typed)) == said


def test_what_is_advised_is_enough() -> None:
    assert asks(stated("+5/-4.05")) == "" and asks(stated("619.95..629")) == ""
    assert asks(stated("±5", flange(4.95))) == "" != asks(stated("±5", flange(4.9)))


def test_over_a_space_it_is_the_greatest_that_is_doubted() -> None:
    bore = flange(3.0, (1, -1), nominal=62.0, lower=61.9, upper=62.1)  # 59 as cast
    assert asks(stated("±3.1", bore)) == ""
    said = asks(stated("±4", bore))
    assert said.startswith(
        "F1: the raw size may grow to 63.00 where 62.10 is to be left: wider than the stock. Take the"
    )
    assert "greatest raw limit down by 0.90 to 62.10, or give 0.90 more stock" in said
    assert "has no greatest limit" in asks(stated("min 58", bore))
    inch = Style(unit="in")
    assert "may grow to 2.4803" in asks(stated("±4", bore), inch)
