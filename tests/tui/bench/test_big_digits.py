"""Big digits: three rows of equal width for every number, and a character without a glyph stands as it is."""

from __future__ import annotations

import pytest

from inspect_tui.tui.bench.big_digits import GLYPHS, big_digits


def test_a_number_stands_in_three_lines() -> None:
    assert big_digits("-40,7") == [
        "  ╻ ╻ ┏━┓  ╺━┓ ",
        "╺╸┗━┫ ┃ ┃    ┃ ",
        "    ╹ ┗━┛ ▖  ╹ ",
    ]


@pytest.mark.parametrize("character", GLYPHS)
def test_the_rows_of_a_glyph_are_equally_wide(character: str) -> None:
    assert len({len(row) for row in big_digits(character)}) == 1


def test_no_two_digits_look_alike() -> None:
    assert len({tuple(big_digits(digit)) for digit in "0123456789"}) == 10


def test_what_has_no_glyph_stands_in_the_middle() -> None:
    assert big_digits("°") == [" ", "°", " "]
    assert big_digits("") == ["", "", ""]
