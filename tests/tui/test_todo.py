"""What could be done next in the words of the screen: each has some, and they name keys the screen has."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError, DiskFull
from inspect_tui.todo import Todo
from inspect_tui.tui import todo


@pytest.mark.parametrize("one", Todo, ids=lambda one: one.name)
def test_everything_that_can_be_done_has_a_sentence(one: Todo) -> None:
    said = todo.said(DataError("It is wrong.", todo=one, about="F9"))
    assert said.startswith("It is wrong. ") and said.endswith(".") and len(said) > len("It is wrong. .")
    assert "{" not in said and ("F9" in said) == ("{about}" in todo.WORDS[one])


def test_no_two_things_to_do_are_said_alike() -> None:
    assert set(todo.WORDS) == set(Todo)
    assert len(set(todo.WORDS.values())) == len(todo.WORDS)


def test_a_reading_that_could_not_be_written_says_so_and_what_to_do() -> None:
    full = todo.not_logged(DiskFull("The disk is full.", todo=Todo.FREE_SPACE))
    assert "The disk is full." in full and full.endswith(" Free space, press Enter again.")
    bare = todo.not_logged(DiskFull("The disk is full."))
    assert full.startswith(bare) and bare == bare.strip()
