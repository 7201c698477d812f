"""A call read without argparse means what argparse makes of it, or is left to argparse."""

from __future__ import annotations

from importlib import import_module
from random import Random
from types import SimpleNamespace
from typing import Any

import pytest

from inspect_tui import cli
from inspect_tui.commands import spelt_out

LOG = ["log", "--on", "stick 3", "--by", "B1", "--with", "caliper 1"]


def taken_down(command: str) -> spelt_out.Options | None:
    """What a command takes; None of one that takes more than options."""
    options = spelt_out.Options()
    try:
        import_module(f"inspect_tui.commands.{cli.COMMANDS[command][0]}").arguments(options)
    except spelt_out.NotPlain:
        return None
    return options


PLAIN = [name for name in cli.COMMANDS if taken_down(name)]


def by_argparse(argv: list[str], command: str) -> dict[str, Any] | None:
    try:
        return vars(cli.parser({command}).parse_args(argv))
    except (SystemExit, Exception):
        return None


def test_log_and_due_are_read_without_argparse() -> None:
    assert {"log", "due"} <= set(PLAIN)
    assert cli._spelt_out(["--record", "r.db", *LOG, "--json"], "log").json is True


@pytest.mark.parametrize("command", PLAIN)
def test_a_call_that_is_spelt_out_is_what_argparse_makes_of_it(command: str) -> None:
    """Fifty random calls of each: options it has and has not, with values of every sort, before and behind it."""
    options = taken_down(command)
    assert options is not None
    draw = Random(command)
    names = [*options._by_name, "--record", "--show", "--nothing", "--js", "word", "-h"]
    values = ["x", "2025-03-31", "12", "raw", "mm", "in", "nonsense", "", "-1", "--json", "a b", "20 C", "0.5"]
    read = 0
    for _ in range(50):
        argv = [word for _ in range(draw.randrange(2)) for word in ("--record", draw.choice(values))]
        argv.append(command)
        for name in draw.sample(names, draw.randrange(4)):
            flag = name in options._by_name and options._by_name[name].flag
            argv += [name] if flag and draw.random() < 0.9 else [name, draw.choice(values)]
        for name, option in options._by_name.items():
            if option.required and draw.random() < 0.9:
                argv += [name, draw.choice(values)]
        plain = cli._spelt_out(argv, command) if argv.count(command) == 1 else None
        if plain is not None:
            read += 1
            assert vars(plain) == by_argparse(argv, command), argv
    assert read, "none of them was read"


@pytest.mark.parametrize(
    "argv",
    [
        [*LOG, "--help"],
        [*LOG, "--js"],  # argparse takes what is begun
        [*LOG, "--day=2025-03-31"],
        [*LOG, "--day", "2025-13-31"],
        [*LOG, "--state", "cooked"],
        [*LOG, "more"],
        LOG[:-2],
        ["--record", *LOG],
        [*LOG, "--job", "--json"],
    ],
)
def test_what_is_not_plain_is_left_to_argparse(argv: list[str]) -> None:
    assert cli._spelt_out(argv, "log") is None


def test_a_command_that_takes_words_is_left_to_argparse() -> None:
    def of_command(parser: Any) -> None:
        parser.add_argument("size")

    assert spelt_out.read(["size"], "size", lambda _: None, of_command) is None
    groups = SimpleNamespace(read=lambda parser: parser.add_mutually_exclusive_group())
    assert spelt_out.read(["size"], "size", lambda _: None, groups.read) is None


def test_nobody_is_asked_for_argparse_by_log() -> None:
    import subprocess
    import sys

    code = f"import sys; from inspect_tui import cli; cli._spelt_out({LOG!r}, 'log'); print('argparse' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout == "False\n", done.stderr
