"""`count`: counts are added, listed and brought in, and one that goes back is asked about."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from tests.commands.conftest import Ran
from tests.commands.test_wear import on, path  # noqa: F401


def test_count_adds_lists_and_asks_when_it_goes_back(on: Callable[..., Ran]) -> None:
    added = on("count", "add", "box 1", "10 000", "--date", "2025-01-10", "--by", "AB")
    assert added.status == 0 and added.out == "box 1: 10000 cores made\n"
    back = on("count", "add", "box 1", "9000", "--date", "2025-01-12", "--by", "AB")
    assert back.status == 1 and "would go back from 10 000 (2025-01-10) to 9 000" in back.err and "--keep" in back.err
    kept = on("count", "add", "box 1", "9000", "--date", "2025-01-12", "--by", "AB", "--keep")
    assert kept.status == 0 and "left out" in kept.err
    assert on("count", "add", "box 1", "0", "--restart", "--date", "2025-01-13", "--by", "AB").out.startswith(
        "box 1: 1"
    )
    more = on("count", "add", "box 1", "40", "--made", "--date", "2025-01-14", "--by", "AB", "--note", "night shift")
    assert more.out == "box 1: 10040 cores made\n" or "cores made" in more.out
    listed = on("count", "list", "box 1")
    assert "night shift" in listed.out and "a week" in listed.out
    assert json.loads(on("count", "list", "--json").out)[0]["tool"] == "box 1"


def test_count_refuses_what_is_none_with_a_sentence(on: Callable[..., Ran]) -> None:
    assert "whole number" in on("count", "add", "box 1", "many", "--by", "AB").err
    assert "not both" in on("count", "add", "box 1", "1", "--made", "--restart", "--by", "AB").err
    assert "no person 'ZZ'" in on("count", "add", "box 1", "1", "--by", "ZZ").err
    assert "day: soon is no day" in on("count", "add", "box 1", "1", "--date", "soon", "--by", "AB").err


def test_count_brings_in_a_file(on: Callable[..., Ran], tmp_path: Path) -> None:
    file = tmp_path / "counts.csv"
    file.write_text("tool;date;count\nbox 1;2025-01-10;10000\nbox 9;2025-01-10;3\n")
    ran = on("count", "import", str(file), "--by", "AB")
    assert ran.status == 1 and "line 3: There is no tool 'box 9'" in ran.err and "Nothing was taken" in ran.out
    ran = on("count", "import", str(file), "--by", "AB", "--good-lines")
    assert ran.status == 1 and "1 count taken, 1 line left out." in ran.out
    assert on("count", "import", str(tmp_path / "none.csv"), "--by", "AB").status == 2
