"""`surprises`: nothing is said of a quiet shop, and a step says who moved."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from tests.commands.conftest import Ran
from tests.commands.test_wear import on, path  # noqa: F401
from tests.worlds.many_hands import changed_for_good, shop
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


def test_a_change_of_gauge_is_one_line_in_words_and_json_and_no_knock_on_the_wear_page(
    on: Callable[..., Ran], tmp_path: Path
) -> None:
    many = shop(tmp_path / "changed.db", boxes=2, of_each=6, of_castings=0)
    many.read(changed_for_good(12, 1, 0.08))
    many.count(60)
    many.record.close()
    asked = ("--record", str(tmp_path / "changed.db"))
    lines = " ".join(on(*asked, "surprises").out.split())
    assert lines.startswith("1. the gauge changed on 2025-02-05: caliper G0 reads 0.08 lower than caliper G1, over 12 ")
    assert "2. " not in lines and "beside this nothing changed in 12 sizes" in lines
    said = json.loads(on(*asked, "surprises", "--json").out)
    (off,) = said["gauges_and_people"]
    assert said["changed"] == []
    assert (off["name"], off["sizes"], off["changed_on"]) == ("caliper G0", 12, "2025-02-05")
    assert off["offset_mm"] == pytest.approx(-0.08, abs=0.015) and off["sentence"] in lines
    worn = json.loads(on(*asked, "wear", "--all", "--json").out)
    assert len(worn["sizes"]) == 12
    assert not any("jump" in remark for size in worn["sizes"] for remark in size["remarks"])
    assert worn["gauges_and_people"] == [off]  # once, and not with each size
    assert not any("caliper" in remark for size in worn["sizes"] for remark in size["remarks"])
    told = on(*asked, "wear")
    assert " ".join((told.out + told.err).split()).count("caliper G0 reads 0.08 lower than caliper G1") == 1
