"""A file that is not taken in says how much is wrong or asked, each of it once, and what to do. Invented for the test."""

from __future__ import annotations

import pytest

from inspect_tui.shop.answers.refusals import refuse_unanswered, refused
from inspect_tui.shop.intake.rows import ImportRefused
from inspect_tui.todo import Todo


def test_what_is_wrong_is_counted_and_said_once() -> None:
    told = refused("a.csv", ["line 2: odd", "line 3: odd", "line 2: odd"], Todo.SAY_NAME, "Ann")
    assert str(told).startswith("a.csv was not taken in: 3 things are wrong.")
    assert list(told.lines) == ["line 2: odd", "line 3: odd"] and (told.todo, told.about) == (Todo.SAY_NAME, "Ann")
    assert "1 thing is wrong" in str(refused("a.csv", ["line 2: odd"]))


def test_what_is_asked_stops_it_and_nothing_asked_does_not() -> None:
    with pytest.raises(ImportRefused, match="1 thing is to be looked at first") as told:
        refuse_unanswered("a.csv", ["F1: is it right?"])
    assert told.value.todo is Todo.KEEP_ODD and list(told.value.lines) == ["F1: is it right?"]
    refuse_unanswered("a.csv", ())
