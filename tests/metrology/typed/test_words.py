"""Names that are plain numbers, and sentences that begin large."""

from __future__ import annotations

from inspect_tui.metrology.typed.words import called, capital


def test_only_plain_numbers_are_said_with_their_kind() -> None:
    assert [called("person", name) for name in ("1", "AB", "bench 1")] == ["person 1", "AB", "bench 1"]


def test_a_sentence_begins_large_and_keeps_the_rest() -> None:
    assert [capital(s) for s in ("two of AB", "", "◆ point 1", "6 x combined")] == [
        "Two of AB",
        "",
        "◆ point 1",
        "6 x combined",
    ]
