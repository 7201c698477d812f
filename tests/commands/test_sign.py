"""sign on the command line: checked, released, taken back; what may not be."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.commands.conftest import Ran, Run
from tests.worlds.signed_shop import GOOD, made

On = Callable[..., Ran]


@pytest.fixture
def on(cli: Run, tmp_path: Path) -> On:
    made(tmp_path / "s.db", {"C1": {**GOOD, "F2": 50.9}}).close()
    return lambda *argv: cli("--record", str(tmp_path / "s.db"), *argv)


def test_a_check_comes_before_a_release_and_both_are_taken_back(on: On) -> None:
    assert on("disposition", "add", "F2", "decision=scrap", "why=x", "--by", "LE").status == 0
    early = on("sign", "released", "--by", "LE")
    assert early.status == 2 and "nobody has checked it" in early.err
    assert "checked by IN" in on("sign", "checked", "--words", "twice", "--by", "IN").out
    assert "released by LE" in on("sign", "released", "--by", "LE").out
    for act in ("released", "checked"):
        assert on("sign", "take-back", act, "--why", "x", "--by", "LE").out == f"T-1 S1 is no longer {act}.\n"
    again = on("sign", "take-back", "checked", "--why", "x", "--by", "LE")
    assert again.status == 2 and "is not checked" in again.err
    assert json.loads(on("first-article", "--json").out)["signs"] == []
