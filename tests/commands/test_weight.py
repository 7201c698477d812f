"""`weight`: weights are kept, listed and corrected; what is none is refused."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Ran
from tests.commands.test_wear import on, path  # noqa: F401


def test_weights_are_kept_listed_and_corrected_by_entering_them_again(on: Callable[..., Ran], tmp_path: Path) -> None:
    who, name = ["--by", "AB"], _casting(tmp_path)
    assert on("weight", "add", name, "41,35", "--u95", "0.05", *who).status == 0
    assert on("weight", "add", name, "41.30", *who).status == 0
    assert on("weight", "wall", "1.85", *who).status == 0
    assert on("weight", "wall", "1.9", "--density", "7200", *who).status == 0
    said = json.loads(on("weight", "list", "--json").out)
    (one,) = said["weights"]
    assert (one["kg"], one["u95_kg"], said["wall_area_m2"], said["density_kg_m3"]) == (41.30, None, 1.9, 7200.0)
    assert "41.3 kg" in on("weight", "list").out


@pytest.mark.parametrize("text", ["0", "-3", "nan", "heavy", "1e9"])
def test_a_weight_that_is_none_is_refused_and_nothing_kept(on: Callable[..., Ran], tmp_path: Path, text: str) -> None:
    ran = on("weight", "add", _casting(tmp_path), "--by", "AB", "--", text)
    assert ran.status == 2 and ("such as 41.35" in ran.err or "beyond 1000000 kg" in ran.err)
    assert json.loads(on("weight", "list", "--json").out)["weights"] == []


def test_a_tool_has_no_weight(on: Callable[..., Ran]) -> None:
    ran = on("weight", "add", "box 1", "4", "--by", "AB")
    assert ran.status == 2 and "is a tool" in ran.err


def _casting(folder: Path) -> str:
    with Record.open(folder / "copy.db", read_only=True) as record:
        return next(f"casting {i.serial}" for i in record.items(record.jobs()[0].of_id) if i.kind == "casting")
