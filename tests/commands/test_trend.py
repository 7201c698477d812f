"""`trend`: the chart at the terminal, as JSON and as a file, and the sentences for what it cannot draw."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.commands.conftest import Ran, Run
from tests.commands.test_wear import on, path  # noqa: F401


def test_trend_draws_the_chart_with_limit_repair_and_castings(on: Callable[..., Ran]) -> None:
    ran = on("trend", "W", "--on", "box 1", "--width", "80", "--height", "18")
    assert ran.status == 0
    lines = ran.out.splitlines()
    assert (
        lines[0].startswith("W width on box 1")
        and "limit 81.41" in ran.out
        and "┊" in ran.out
        and "o castings" in ran.out
    )
    assert any("cores left" in line for line in lines) and all(len(line) <= 80 for line in lines)
    assert "2024-01-01" in on("trend", "W", "--on", "box 1", "--dates", "--width", "80").out


def test_trend_as_json_has_the_readings_the_repairs_and_the_forecast(on: Callable[..., Ran]) -> None:
    said = json.loads(on("trend", "W", "--on", "box 1", "--json").out)
    assert said["left"]["kind"] == "left" and said["limit_from"].startswith("until castings leave")
    assert [(r["kind"], r["at"]) for r in said["repairs"]] == [("repair", 5800.0)]
    tool, castings = said["tracks"]
    assert (tool["of"], len(tool["readings"])) == ("tool", 50)
    assert (castings["of"], castings["readings"][0]["lot"]) == ("casting", "L0")
    alone = json.loads(on("trend", "W", "--on", "castings", "--json").out)
    assert alone["wear"] is None and alone["on"] == "castings"
    only = json.loads(on("trend", "W", "--on", "box 1", "--lot", "L3", "--json").out)
    assert len(only["tracks"][1]["readings"]) == 1


@pytest.mark.parametrize("ending", ["svg", "png", "html"])
def test_trend_is_written_in_the_form_that_the_ending_asks_for(
    on: Callable[..., Ran], tmp_path: Path, ending: str
) -> None:
    file = tmp_path / f"chart.{ending}"
    ran = on("trend", "W", "--on", "box 1", "--to", str(file))
    assert ran.status == 0 and "written:" in ran.err and ran.out == ""
    content = file.read_bytes()
    if ending == "svg":
        root = ElementTree.fromstring(content.decode())
        assert root.tag.endswith("svg")
    elif ending == "png":
        assert content.startswith(b"\x89PNG") and len(content) > 5000
    else:
        assert b"<svg" in content and b"Content-Security-Policy" in content
    assert on("trend", "W", "--on", "box 1", "--to", str(file)).status == 2


def test_what_trend_cannot_do_is_a_sentence(on: Callable[..., Ran], tmp_path: Path) -> None:
    assert "another tool makes that surface" in on("trend", "L", "--on", "box 1").err
    assert "F77 is not on revision A" in on("trend", "F77", "--on", "box 1").err
    assert "There is no tool 'box 7'" in on("trend", "W", "--on", "box 7").err
    assert ".gif is none of .svg, .png, .html" in on("trend", "W", "--on", "box 1", "--to", str(tmp_path / "a.gif")).err
    assert on("trend", "W").status == 2


def test_of_machined_castings_no_tool_is_judged(cli: Run) -> None:
    refused = cli("trend", "F1", "--on", "stick 1", "--state", "finished")
    assert refused.status == 2 and "Machined castings say nothing of the tool" in refused.err
