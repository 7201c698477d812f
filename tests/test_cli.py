"""The command line itself: the version, help for every command, and the exit status of bad usage."""

from __future__ import annotations

from inspect_tui import __version__
from inspect_tui.cli import COMMANDS
from tests.commands.conftest import Run, cli  # noqa: F401


def test_the_version(cli: Run) -> None:
    assert cli("--version").out == f"inspect-tui {__version__}\n"


def test_every_command_has_help(cli: Run) -> None:
    whole = cli("--help").out
    for command in COMMANDS:
        assert command in whole
        ran = cli(command, "--help")
        assert ran.status == 0 and "usage" in ran.out


def test_bad_usage_is_status_2(cli: Run) -> None:
    assert cli("log", "--nonsense").status == 2
