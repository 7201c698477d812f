"""`hub init` without what it needs says so (a real server stands behind the tests of `sync`)."""

from __future__ import annotations

import sys

import pytest

from tests.commands.conftest import Run


def test_without_the_extra_it_says_which(cli: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "psycopg", None)
    ran = cli("hub", "init", "postgresql://localhost/shop")
    assert ran.status == 2 and "pip install 'inspect-tui[hub]'" in ran.err


def test_an_address_that_is_none_is_refused(cli: Run) -> None:
    ran = cli("hub", "init", "postgresql://a:b:c@/x?nonsense=1")
    assert ran.status == 2 and "hub" in ran.err
