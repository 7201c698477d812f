"""`import readings` of tools: taken in, checked, asked about, stopped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from inspect_tui.shop.intake import tool_take_in
from tests.commands.conftest import Run
from tests.conftest import SmallShop

HEADS = "tool;day;count;person;gauge;feature;reading\n"


def test_a_file_is_checked_then_taken_in_and_a_grown_one_adds_what_is_new(
    cli: Run, shop: SmallShop, tmp_path: Path
) -> None:
    file = tmp_path / "three years.csv"
    file.write_text(HEADS + "box 1;5.3.2020;120;IN;caliper 1;F2;40,41\n", "utf-8")
    call = ("--record", str(shop.path), "import", "readings", str(file))
    looked = cli(*call, "--check")
    assert looked.status == 0, looked.err
    assert "1 reading on 1 tool, 2020-03-05, 1 count; nothing was written" in looked.out
    assert shop.record.readings() == []
    assert "1 reading on 1 tool, 2020-03-05, 1 count taken in" in cli(*call).out
    file.write_text(file.read_text("utf-8") + "box 1;6.3.2020;130;IN;caliper 1;F2;40,42\n", "utf-8")
    grown = json.loads(cli(*call, "--json").out)
    assert (grown["readings"], grown["already"], grown["counts"], grown["counts_already"]) == (1, 1, 1, 1)


def test_what_is_unknown_or_odd_is_asked_with_the_option_that_answers_it(
    cli: Run, shop: SmallShop, tmp_path: Path
) -> None:
    file = tmp_path / "odd.csv"
    file.write_text(HEADS + "bocks 9;2020-03-05;120;IN;caliper 1;F2;404\n", "utf-8")
    call = ("--record", str(shop.path), "import", "readings", str(file))
    unknown = cli(*call)
    assert unknown.status == 2 and "There is no tool 'bocks 9'" in unknown.err
    assert "--name 'bocks 9=NAME'" in unknown.err
    odd = cli(*call, "--name", "bocks 9=box 1")
    assert odd.status == 2 and "404 for F2 of box 1" in odd.err and "--keep" in odd.err
    assert "asked" in cli(*call, "--name", "bocks 9=box 1", "--check").out
    assert shop.record.readings() == []
    assert cli(*call, "--name", "bocks 9=box 1", "--keep").status == 0


def test_stopping_says_that_nothing_came_in(
    cli: Run, shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(tool_take_in, "check_tools", stop)
    file = tmp_path / "long.csv"
    file.write_text(HEADS + "box 1;2020-03-05;120;IN;caliper 1;F2;40,4\n", "utf-8")
    stopped = cli("--record", str(shop.path), "import", "readings", str(file))
    assert (stopped.status, stopped.out) == (130, "")
    assert "stopped; nothing was taken in" in stopped.err
