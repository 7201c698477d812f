"""`surprises`: nothing is said of a quiet shop, and a step says who moved."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tests.commands.conftest import Ran
from tests.commands.test_wear import on, path  # noqa: F401
from tests.worlds.worn_box import START, WornBox


def test_surprises_say_when_there_is_nothing_to_say(on: Callable[..., Ran]) -> None:
    ran = on("surprises")
    assert ran.status == 0 and "nothing to say: nothing changed in 1 sizes beyond chance" in " ".join(ran.out.split())
    said = json.loads(on("surprises", "--json", "--rate", "0.01").out)
    assert said["changed"] == [] and said["rate"] == 0.01 and said["too_short"] == 1
    assert on("surprises", "--rate", "2").status == 2


def test_a_surprise_as_json_says_who_moved(on: Callable[..., Ran], tmp_path: Path) -> None:
    worn = WornBox(tmp_path / "step.db")
    worn.wear(40)
    worn.wear(20, first_week=40, start=80.97, seed=4)
    worn.record.close()
    said = json.loads(on("--record", str(tmp_path / "step.db"), "surprises", "--json").out)
    (one,) = said["changed"]
    assert (one["on"], one["feature"], one["kind"]) == ("box 1", "W", "step")
    assert one["change"] == pytest.approx(0.17, abs=0.03) and one["q"] < 0.05
    assert one["since_on"] == (START + timedelta(weeks=40)).isoformat()
