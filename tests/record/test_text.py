"""Recorded text is NFC and steers no screen."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.record.text import clean


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("59.66\x1b[2J", "59.66[2J"),
        ("a\tb\r\nc", "a b  c"),
        ("\u202ecba\u2066x", "cbax"),
        ("u\u0308ber", "über"),
        ("nul\0 \x7f\x9b", "nul "),
        ("lone \ud800", "lone "),
        ("[bold]x[/bold] <b>", "[bold]x[/bold] <b>"),
    ],
)
def test_control_and_direction_characters_are_taken_out(typed, kept):
    assert clean(typed) == kept


def test_a_note_keeps_its_line_ends_and_no_other_control():
    assert clean("one\r\ntwo\x1b\nthree\t4", newline=True) == "one\ntwo\nthree 4"


@given(st.text(st.characters()))  # with surrogates
def test_clean_text_is_normal_encodable_and_stays_as_it_is(text):
    for newline in (False, True):
        once = clean(text, newline)
        assert clean(once, newline) == once == unicodedata.normalize("NFC", once)
        once.encode()
        left = [c for c in once if unicodedata.category(c) == "Cc"]
        assert set(left) <= ({"\n"} if newline else set())
