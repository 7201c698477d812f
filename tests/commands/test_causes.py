"""`causes`: what explains the castings, and what a plan could tell."""

from __future__ import annotations

import json

import pytest

from tests.commands.test_first_article import (
    On,
    on,  # noqa: F401
)


def test_causes_as_json_name_core_4_with_its_interval(on: On) -> None:
    plain = json.loads(on("causes", "--round", "S1", "--json").out)
    core_4 = next(one for one in plain["causes"] if one["name"] == "core 4 y")
    assert core_4["low"] < 0.70 < core_4["high"]
    assert core_4["tool"] is True
    assert plain["contraction"]["x"]["found"] == pytest.approx(0.0080, abs=6e-4)
    assert any("Core 4 sits" in sentence for sentence in plain["sentences"])
    assert plain["rivals"][0]["probability"] > 0
    for one in (*plain["causes"], *plain["cannot_tell"]):
        assert one["names"][0] == one["name"] and len(one["names"]) == 1 + len(one["alike"])
    assert all(one["tells"] == [] for one in plain["causes"])


def test_causes_for_people_say_what_to_look_at_first(on: On) -> None:
    shown = on("causes", "--round", "S2")
    assert "look at first" in shown.out
    assert "F29" in shown.out
    assert "Do not cut" in shown.out


def test_a_reading_that_stands_alone_is_said_once(on: On) -> None:
    shown = " ".join(on("causes", "--round", "S2").out.split())
    alone = [part.split()[0] for part in shown.split("! ")[1:] if "stands alone" in part.split(".")[0]]
    assert len(alone) == len(set(alone))
    plan = on("causes", "--plan", "F01").out
    assert "with this feature\n" in plan and "with these 2 features\n" in on("causes", "--plan", "F01", "F38").out


def test_a_plan_needs_no_readings(on: On) -> None:
    plain = json.loads(on("causes", "--plan", "F01", "F38", "--json").out)
    assert plain["chosen"] == ["F01", "F38"]
    assert plain["add"]
    assert "fewest to add" in on("causes", "--plan", "F01", "F38").out
    wrong = on("causes", "--plan", "F99")
    assert wrong.status == 2
    assert "F99 is not on revision B" in wrong.err
