"""geometry on the command line: added, changed, looked at, dropped, as the forms take it."""

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


def test_geometry_is_added_changed_looked_at_and_dropped(on: On) -> None:
    fields = ("what=parallelism", "tolerance=0.02 in", "datums=A", "sizes=F11, F12", "zone=D2")
    assert on("geometry", "add", "G9", *fields, "--by", "LE").out == "geometry G9 added\n"
    assert "tolerance 0.508 → 0.4" in on("geometry", "change", "G9", "tolerance=0.4", "--by", "LE").out
    looked = on("geometry", "look", "G3", "C1", "accepted=yes", "method=square", "--by", "IN")
    assert looked.out == "G3 on C1: accepted (square).\n"
    out = on("geometry", "list").out
    assert "square: accepted" in out and "dia 0.80 mm" in out
    assert on("geometry", "unlook", "G3", "C1", "--by", "IN").out == "G3 on C1: taken back.\n"
    assert on("geometry", "drop", "G9", "--by", "LE").out == "geometry G9 withdrawn\n"
    assert "G9" not in {line["balloon"] for line in json.loads(on("geometry", "list", "--json").out)}
