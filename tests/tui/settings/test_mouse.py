"""What a click at a place of the foot or the tabs means."""

from __future__ import annotations

import pytest
from textual.binding import Binding

from inspect_tui.tui.place import tabs_text
from inspect_tui.tui.settings.mouse import foot_key, foot_with, foot_within, tab_at

FOOT = "F1 keys  Ctrl+U page  ←→ reading  / narrow  F10"
BINDINGS = [
    Binding("f1,question_mark", "help"),
    Binding("ctrl+u", "page"),
    Binding("slash", "narrow"),
    Binding("f10", "x"),
]


@pytest.mark.parametrize(
    ("words", "key"),
    [("F1", "f1"), ("keys", "f1"), ("page", "ctrl+u"), ("reading", ""), ("narrow", "slash"), ("F10", "f10")],
)
def test_a_word_of_the_foot_is_its_key(words: str, key: str) -> None:
    assert foot_key(FOOT, FOOT.index(words), BINDINGS) == key


def test_between_and_behind_the_words_is_nothing() -> None:
    assert foot_key(FOOT, FOOT.index("  "), BINDINGS) == "" == foot_key(FOOT, len(FOOT) + 3, BINDINGS)


def test_a_tab_is_where_it_is_written() -> None:
    tabs = ("list", "picture")
    text = tabs_text(tabs, 0, 80).plain
    assert tab_at(tabs, text.index("list")) == 0 and tab_at(tabs, text.index("picture")) == 1
    assert tab_at(tabs, text.index("picture") - 4) is None and tab_at(tabs, 79) is None


def test_the_foot_names_the_keys_that_were_chosen() -> None:
    assert (
        foot_with(FOOT, [("ctrl+u", "f11,x"), ("f10", "ctrl+k")]) == "F1 keys  F11 page  ←→ reading  / narrow  Ctrl+K"
    )


def test_where_the_foot_is_too_long_the_last_key_stays() -> None:
    foot = "F1 keys  F3 who  F9 take back  F10 places"
    assert foot_within(foot, 80) == foot_within(foot, 41) == foot
    assert foot_within(foot, 40) == "F1 keys  F3 who  F10 places"
    assert foot_within(foot, 26) == "F1 keys  F10 places" and foot_within(foot, 5) == "F10 places"
    assert foot_within("f fits  m measure  F1 keys  F10", 26) == "f fits  F1 keys  F10"
