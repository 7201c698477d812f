"""`wear` and `trend` as of another day: passed limits, old counts, sizes against wear, jumps."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from tests.commands.conftest import Run
from tests.worlds.worn_box import START, WornBox

LAST = START + timedelta(weeks=39)


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    yield made
    made.record.close()


def test_wear_and_trend_take_a_day_and_are_finite_against_wear(worn: WornBox, cli: Run) -> None:
    worn.wear(40, rate=-0.05e-3, sd=0.005)  # it shrinks where wear would make it grow
    worn.record.close()
    record = str(worn.record.path)
    size = json.loads(cli("--record", record, "wear", "--json", "--today", "2030-01-01").out)["sizes"][0]
    assert size["kind"] == "backward" and size["left_low"] is None and size["weeks"] is None
    said = json.loads(cli("--record", record, "trend", "W", "--on", "box 1", "--json", "--today", "2030-01-01").out)
    assert said["today"] == "2030-01-01" and said["left"]["kind"] == "backward" and said["left"]["low"] is None


def test_wear_of_a_later_day_is_passed_with_exit_status_one(worn: WornBox, cli: Run) -> None:
    worn.wear(40)
    worn.record.close()
    record = str(worn.record.path)
    assert cli("--record", record, "wear", "--today", LAST.isoformat()).status == 0
    late = cli("--record", record, "wear", "--json", "--today", "2030-01-01")
    (size,) = json.loads(late.out)["sizes"]
    assert late.status == 1 and size["passed"] and size["due"] < "2030-01-01" and size["weeks_since_count"] > 200
    assert cli("--record", record, "wear", "--today", "soon").status == 2


def test_a_jump_is_no_repair_in_json(worn: WornBox, cli: Run) -> None:
    worn.wear(30)
    worn.wear(20, first_week=30, base=5800, seed=2)  # lined, and nobody entered it
    worn.record.close()
    said = json.loads(cli("--record", str(worn.record.path), "trend", "W", "--on", "box 1", "--json").out)
    assert said["repairs"] == [] and [jump["kind"] for jump in said["jumps"]] == ["jump"]
    assert "repair" not in next(line for line in said["remarks"] if "another rate" in line or "jumped" in line)[:6]
