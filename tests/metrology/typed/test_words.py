"""Counted nouns, names that are plain numbers, and sentences that begin large."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.typed.words import called, capital, counted


@pytest.mark.parametrize(("n", "say"), [(0, "0 readings"), (1, "1 reading"), (2, "2 readings")])
def test_one_is_not_many(n: int, say: str) -> None:
    assert counted(n, "reading") == say


def test_an_odd_plural_is_given() -> None:
    assert counted(2, "tool or casting", "tools and castings") == "2 tools and castings"


def test_only_plain_numbers_are_said_with_their_kind() -> None:
    assert [called("person", name) for name in ("1", "AB", "bench 1")] == ["person 1", "AB", "bench 1"]


def test_a_sentence_begins_large_and_keeps_the_rest() -> None:
    assert [capital(s) for s in ("two of AB", "", "◆ point 1", "6 x combined")] == [
        "Two of AB",
        "",
        "◆ point 1",
        "6 x combined",
    ]
