"""`cuts`: the list in the words of tool and casting, taken over, and samplings side by side."""

from __future__ import annotations

import json

from tests.commands.test_first_article import On, on, on_s1  # noqa: F401


def test_cuts_as_json_keep_tool_and_casting_words_apart(on: On) -> None:
    plain = json.loads(on("cuts", "--round", "S1", "--json").out)
    box = next(one for one in plain["cuts"] if one["cause"] == "size F55")
    assert box["words"].startswith("F55: cut")
    assert box["casting_words"] == "metal off"
    assert box["accepted"] is True  # the invented shop took it over
    assert plain["taken_over"][0]["round"] == "S1"
    later = json.loads(on("cuts", "--round", "S2", "--json").out)
    assert {one["word"] for one in later["promises"]} <= {"as promised", "not as promised", "not measured yet"}
    assert "metal on and metal off are the casting" in on("cuts", "--round", "S1").out


def test_samplings_side_by_side(on: On) -> None:
    plain = json.loads(on("cuts", "--history", "--json").out)
    assert plain["rounds"] == ["S1", "S2", "S3"]
    assert "S1" in on("cuts", "--history").out


def test_cuts_are_taken_over_on_the_command_line(on_s1: On) -> None:
    listed = json.loads(on_s1("cuts", "--json").out)["cuts"]
    seat = next(one["number"] for one in listed if one["cause"] == "core 4 y")
    done = on_s1("cuts", "--accept", str(seat), "--by", "SL")
    assert done.status == 0
    assert "box 2" in done.out
    assert "taken over" in done.err
    blocked = next(one["number"] for one in listed if one["cause"] == "size F55")
    refused = on_s1("cuts", "--accept", str(blocked))
    assert refused.status == 2
    assert "measure F55 on box 4 first" in refused.err


def test_the_forecast_is_for_the_cuts_that_are_ticked(on_s1: On) -> None:
    plain = json.loads(on_s1("cuts", "--json").out)
    box = next(one["number"] for one in plain["cuts"] if one["cause"] == "size F55")
    alone = json.loads(on_s1("cuts", "--tick", str(box), "--json").out)
    assert alone["ticked"] == [box]
    after = {one["balloon"]: one for one in alone["predicted"]}
    assert after["F38"]["after"] == after["F38"]["before"]
    assert abs(after["F55"]["after"] - after["F55"]["before"]) > 2
    assert f"forecast with cut {box} made" in on_s1("cuts", "--tick", str(box)).out
    refused = on_s1("cuts", "--tick", "99")
    assert refused.status == 2 and "no cut 99" in refused.err
