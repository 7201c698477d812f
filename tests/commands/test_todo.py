"""What could be done next in the words of the command line: with options that its commands have."""

from __future__ import annotations

import re
from argparse import ArgumentParser
from collections.abc import Iterator

import pytest

from inspect_tui.cli import COMMANDS, parser
from inspect_tui.commands import todo
from inspect_tui.errors import DataError, DiskFull
from inspect_tui.todo import Todo


@pytest.mark.parametrize("one", Todo, ids=lambda one: one.name)
def test_everything_that_can_be_done_has_a_sentence(one: Todo) -> None:
    said = todo.said(DataError("It is wrong.", todo=one, about="F9"))
    assert said.startswith("It is wrong. ") and said.endswith(".") and len(said) > len("It is wrong. .")
    assert "{" not in said and ("F9" in said) == ("{about}" in todo.WORDS[one])


def test_no_two_things_to_do_are_said_alike() -> None:
    assert set(todo.WORDS) == set(Todo)
    assert len(set(todo.WORDS.values())) == len(todo.WORDS)


def options(of: ArgumentParser) -> Iterator[str]:
    """The options of a command and of what stands below it."""
    for action in of._actions:
        yield from action.option_strings
        if isinstance(action.choices, dict):
            for below in action.choices.values():
                yield from options(below)


def test_the_commands_and_options_that_are_named_are_there() -> None:
    said = " ".join(todo.WORDS.values())
    commands = set(re.findall(r"inspect-tui ([a-z]+)", said))
    assert {"log", "gauge", "job", "verify"} <= commands <= set(COMMANDS)
    named = set(re.findall(r"--[a-z][a-z0-9-]+", said))
    assert {"--by", "--with", "--map"} <= named <= set(options(parser(None)))


def test_a_reading_that_could_not_be_written_says_so_and_what_to_do() -> None:
    full = todo.not_logged(DiskFull("The disk is full.", todo=Todo.FREE_SPACE))
    assert "The disk is full." in full and full.endswith(" Free space, then run it again.")
    bare = todo.not_logged(DiskFull("The disk is full."))
    assert full.startswith(bare) and bare == bare.strip()
