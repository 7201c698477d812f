"""`inspect-tui news`: the shipped page, newest first."""

from __future__ import annotations

import re

from inspect_tui import __version__
from tests.commands.conftest import Run


def test_the_news_begin_with_this_version(cli: Run) -> None:
    ran = cli("news")
    assert ran.status == 0
    versions = re.findall(r"^## (\d+)\.(\d+)\.(\d+)", ran.out, re.MULTILINE)
    assert ".".join(versions[0]) == __version__
    assert versions == sorted(versions, key=lambda parts: tuple(map(int, parts)), reverse=True)


def test_a_command_that_the_news_name_is_there(cli: Run) -> None:
    named = set(re.findall(r"`inspect-tui ([a-z-]+)", cli("news").out))
    assert {"export", "news"} <= named
    for name in named:
        assert cli(name, "--help").status == 0
