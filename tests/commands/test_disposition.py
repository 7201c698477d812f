"""disposition on the command line, from the finding to the release."""

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


def test_from_the_finding_to_the_release(on: On) -> None:
    listed = on("disposition", "list")
    assert listed.status == 0 and on("disposition", "list", "--check").status == 1
    assert "does not conform, 50.90 ± 0.09 mm" in listed.out
    assert (
        on("sign", "checked", "--by", "IN").out
        == "T-1 S1 checked by IN on " + on("sign", "checked", "--by", "IN").out[-12:]
    )
    refused = on("sign", "released", "--by", "LE")
    assert refused.status == 2 and "nothing was decided about F2 on C1" in refused.err
    added = on("disposition", "add", "F2", "casting=C1", "decision=rework", "why=ground", "--by", "LE")
    assert added.status == 0 and "Measure it again when it is done" in added.out
    changed = on("disposition", "change", "F2", "decision=scrap", "--by", "LE")
    assert changed.out == "Decided instead: F2 on C1: scrap.\n"
    assert on("disposition", "list", "--check").status == 0  # the casting goes nowhere
    assert json.loads(on("disposition", "list", "--json").out)[0]["decision"] == "scrap"
    assert on("sign", "checked", "--by", "IN").status == on("sign", "released", "--by", "LE").status == 0
    assert json.loads(on("first-article", "--json").out)["signs"][1]["stands"] is True
    back = on("sign", "take-back", "released", "--why", "wrong drawing", "--by", "LE")
    assert back.out == "T-1 S1 is no longer released.\n"
    assert "Taken back: F2 on C1: scrap" in on("disposition", "take-back", "F2", "C1", "--by", "LE").out


@pytest.mark.parametrize(
    ("argv", "why"),
    [
        (("disposition", "add", "F2", "decision=concession", "until=2020-01-01", "quantity=1", "why=x"), "has been"),
        (
            ("disposition", "add", "F2", "decision=concession", "until=2999-01-01", "quantity=99", "why=x"),
            "of the order",
        ),
        (("disposition", "add", "F1", "decision=scrap", "why=x"), "F1 on the castings of S1 conforms"),
        (("disposition", "add", "F2", "decison=scrap", "why=x"), "nearest: decision"),
        (("disposition", "take-back", "F2"), "Nothing was decided about F2"),
        (("geometry", "add", "G9", "what=flatness", "tolerance=0.1", "sizes=F1 F2"), "at least 4 sizes"),
        (("geometry", "add", "G1", "what=flatness", "tolerance=0.1"), "There is a geometry G1 already"),
        (("geometry", "change", "G9", "tolerance=0.1"), "There is no geometry G9"),
        (("geometry", "drop", "G9"), "There is no geometry G9"),
        (("geometry", "look", "G3", "C1", "accepted=maybe", "method=x"), "type yes"),
        (("geometry", "unlook", "G3", "C1"), "nothing to take back"),
    ],
)
def test_what_cannot_be_is_said_with_status_2_and_nothing_is_written(
    on: On, tmp_path: Path, argv: tuple[str, ...], why: str
) -> None:
    before = on("export", "--help").status, (tmp_path / "s.db").read_bytes()
    ran = on(*argv, "--by", "LE")
    assert ran.status == 2 and why in ran.err and ran.out == ""
    assert (tmp_path / "s.db").read_bytes() == before[1]


def test_the_foundry_decides_nothing(on: On) -> None:
    for argv in (("disposition", "add", "F2", "decision=scrap", "why=x"), ("sign", "checked"), ("sign", "released")):
        ran = on(*argv, "--by", "FO")
        assert ran.status == 2 and "FO is here as foundry" in ran.err
