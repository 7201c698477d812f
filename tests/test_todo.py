"""What could be done next: every face has words for it, and says them behind the sentence."""

from __future__ import annotations

import re

import pytest

from inspect_tui import todo
from inspect_tui.commands import todo as options
from inspect_tui.errors import DataError, InspectError, RecordError
from inspect_tui.todo import Todo
from inspect_tui.tui import todo as keys

FACES = {"screen": keys.WORDS, "command line": options.WORDS}


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("one", Todo, ids=lambda one: one.name)
def test_every_face_has_words_for_everything_that_can_be_done(face: str, one: Todo) -> None:
    words = FACES[face][one]
    assert words.endswith(".")
    assert ("{about}" in words) <= ("[" in one.value), "it is about nothing"
    assert re.sub(r"\{about\}", "", words).count("{") == 0


@pytest.mark.parametrize("one", Todo, ids=lambda one: one.name)
def test_the_screen_names_no_option_and_the_command_line_no_key(one: Todo) -> None:
    assert not re.search(r"--[a-z]", keys.WORDS[one])
    assert not re.search(r"\bF\d\b|\bF1[0-2]\b|Ctrl\+|\bEnter (keeps|again)|\bEsc\b", options.WORDS[one])


def test_an_error_carries_what_can_be_done_and_each_face_says_it_its_way() -> None:
    wrong = DataError("No column says who measured.", todo=Todo.SAY_WHO)
    assert isinstance(wrong, InspectError) and str(wrong) == "No column says who measured."
    assert keys.said(wrong) == "No column says who measured. Say who measures (F3)."
    assert options.said(wrong) == "No column says who measured. Give initials (--by)."


def test_what_it_is_about_stands_in_the_words() -> None:
    wrong = RecordError("82.8: is this F12 instead?", todo=Todo.KEEP_ON, about="F29")
    assert keys.said(wrong) == "82.8: is this F12 instead? Enter keeps it on F29."
    assert todo.filled(Todo.SAY_UNIT, "in", options.WORDS).startswith("Say it with --unit in (")


def test_an_error_without_anything_to_do_is_its_sentence() -> None:
    plain = InspectError("There is no cut 9 on the list.")
    assert (plain.todo, plain.about) == (None, "")
    assert keys.said(plain) == options.said(plain) == "There is no cut 9 on the list."
