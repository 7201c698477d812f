"""Runs the command line in this process and gives back status, stdout and stderr."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from inspect_tui.cli import main
from tests.conftest import SmallShop


@dataclass
class Ran:
    """What a command did."""

    status: int
    out: str
    err: str


Run = Callable[..., Ran]


@pytest.fixture
def cli(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def run(*argv: str, stdin: str = "") -> Ran:
        monkeypatch.setattr("sys.stdin", io.StringIO(stdin))
        try:
            status = main(list(argv))
        except SystemExit as stopped:
            status = int(stopped.code or 0)
        got = capsys.readouterr()
        return Ran(status, got.out, got.err)

    return run


@pytest.fixture
def on_shop(cli: Run, shop: SmallShop) -> Run:
    """The command line on the small shop's record, which nothing else has open."""
    shop.record.close()

    def run(*argv: str, stdin: str = "") -> Ran:
        return cli("--record", str(shop.path), *argv, stdin=stdin)

    return run
