"""Words of papers: nothing steers a screen, and a text is clipped to its room."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.report.words import clipped, deep_visible, fitted, visible
from tests.worlds.hostile import STEERING


@pytest.mark.parametrize("text", STEERING)
def test_what_steers_a_screen_is_shown_as_a_mark(text: str) -> None:
    shown = visible(text)
    assert shown != text and all(c.isprintable() or c in "\t\n" for c in shown)


@given(st.text(st.characters(categories=["L", "N", "P"])))
def test_what_people_write_stays_as_it_is(text: str) -> None:
    assert visible(text) == text


def test_every_text_inside_is_made_visible_and_nothing_else_is_touched() -> None:
    told = {"a": "x\x1b", "b": [1, None, ("y\u202e", 2.5)], "c": {"d": True}}
    assert deep_visible(told) == {"a": "x␛", "b": [1, None, ["y‹U+202E›", 2.5]], "c": {"d": True}}


@given(st.text(), st.integers(1, 60))
def test_a_clipped_text_fits_and_says_where_it_goes_on(text: str, width: int) -> None:
    out = clipped(text, width)
    assert len(out) <= width
    assert out == text or (out.endswith("…") and text.startswith(out[:-1]))


def test_names_keep_whole_words_and_what_tells_them_apart() -> None:
    prints = [f"core 3 port print {n}" for n in (1, 2, 3, 4)]
    for width in range(6, 20):
        short = [fitted(name, width) for name in prints]
        assert len(set(short)) == 4 and all(len(text) <= width for text in short), short
        assert all(
            word in name.split()
            for name, text in zip(prints, short, strict=True)
            for word in text.split()
            if word != "…"
        )
    assert fitted("closed end inner wall", 18) == "closed … wall"
    assert fitted("closed end inner wall", 21) == "closed end inner wall"
    assert fitted("core 3 port print 4", 16) == "core 3 … print 4"
    assert fitted("flue", 3) == "…" and fitted("a verylongword", 8) == "a …" and fitted("ab verylongword", 2) == "ab"
    assert fitted("", 5) == fitted("flue", 0) == ""
