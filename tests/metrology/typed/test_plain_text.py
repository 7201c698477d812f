"""What is sent becomes plain characters, and numbers are found in it: nothing lost in silence, nothing joined."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.parsed import TypedLine, Unreadable
from inspect_tui.metrology.typed.quantity import parse_line


@pytest.mark.parametrize(
    "typed, remark",
    [
        ("59.66\x1b[2J", "removed from the text: 1 escape sequence"),
        ("\x1b[31m59.66\x1b[0m", "removed from the text: 2 escape sequences"),
        ("\x1b[200~59.66\x1b[201~", "removed from the text: 2 escape sequences"),
        ("\x1b]0;title\x0759.66", "removed from the text: 1 escape sequence"),
        ("\x0059.66 \x07", "removed from the text: 2 control characters"),
        ("\u202e59.66\u202c", "removed from the text: 2 invisible marks"),
        ("\ufeff59.66", "removed from the text: 1 invisible mark"),
        ("59.66\x1b[2J\x00", "removed from the text: 1 escape sequence, 1 control character"),
    ],
)
def test_control_characters_are_removed_and_said(typed: str, remark: str) -> None:
    answer = parse_line(typed)
    assert isinstance(answer, TypedLine)
    assert answer.remarks == (remark,)
    assert (answer.sizes[0].mm, answer.sizes[0].typed) == (59.66, "59.66")


@pytest.mark.parametrize("lost", ["\x00", "\x07", "\x7f", "\x1b", "\x1b[31m", "\u202e", "\ufeff", "\x00\x00"])
@pytest.mark.parametrize("number", ["5{}9.60", "59{}.60", "59.{}60", "59,6{}0", "1{}2 3/16", "12 3{}/16", "12 3/1{}6"])
def test_what_was_lost_among_digits_joins_nothing(number: str, lost: str) -> None:
    assert isinstance(parse_line(number.format(lost)), Unreadable)


@pytest.mark.parametrize(
    "typed, mm, place",
    [
        ("1e3", [1000.0], 1.0),
        ("5.966e1", [59.66], 0.01),
        ("5966E-2 mm", [59.66], 0.01),
        ("1 000", [1000.0], 1.0),
        ("1 000,5", [1000.5], 0.1),
        ("1 050 1 060", [1050.0, 1060.0], 1.0),
        ("1 000 1/2 in", [25412.7], 12.7),
        ("12 013", [12013.0], 1.0),
        ("100 101 102", [100.0, 101.0, 102.0], 1.0),  # whole mm from a rule: three readings
        ("59 600", [59.0, 600.0], 1.0),
        ("12 064/128", [12.5], 1 / 128),
    ],
)
def test_a_group_that_no_reading_begins_like_belongs_to_the_number_before(
    typed: str, mm: list[float], place: float
) -> None:
    answer = parse_line(typed)
    assert isinstance(answer, TypedLine), answer
    assert [size.mm for size in answer.sizes] == pytest.approx(mm, rel=1e-15)
    assert answer.sizes[0].place_mm == pytest.approx(place)


def test_where_one_size_is_asked_for_blanks_part_thousands() -> None:
    one = parse_line("1 250 mm", thousands=True)
    two = parse_line("1 250; 60 000", thousands=True)
    assert isinstance(one, TypedLine) and [size.mm for size in one.sizes] == [1250.0]
    assert isinstance(two, TypedLine) and [size.mm for size in two.sizes] == [1250.0, 60000.0]
    assert isinstance(parse_line("1 250/64 in", thousands=True), Unreadable)
