"""Errors are sentences: what was wrong, what can be done, and whether a reading is on the disk."""

from __future__ import annotations

from inspect_tui.errors import DataError, DiskFull, InspectError, RecordError, not_logged
from inspect_tui.todo import Todo


def test_an_error_is_its_sentence_and_carries_what_can_be_done() -> None:
    problem = DataError("too few readings", todo=next(iter(Todo)), about="F1")
    assert str(problem) == "too few readings"
    assert (problem.todo, problem.about) == (next(iter(Todo)), "F1")
    assert InspectError().todo is None


def test_the_tree_lets_a_face_catch_all_and_each() -> None:
    assert issubclass(DiskFull, RecordError) and issubclass(RecordError, InspectError)


def test_a_reading_that_could_not_be_written_is_said_not_to_be_logged() -> None:
    assert not_logged(DataError("no room")) == "Not logged: no room"
