"""`kit look`: pictures of the mould in the terminal, as SVG and as JSON, and what is said where none can be made."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.common import parting
from tests.commands.conftest import Run
from tests.worlds.kit_jobs import begin, two_cores


@pytest.fixture
def placed(tmp_path: Path) -> str:
    path = tmp_path / "placed.db"
    with Record.open(path, create=True) as record:
        kit = two_cores(record)
        for part, box in (
            (1, (0, 60, 0, 40, 10, 30)),
            (2, (28, 50, 0, 40, 30, 50)),
            ("drag", (-10, 80, -10, 50, 0, 20)),
        ):
            for n, axis in enumerate("xyz"):
                low, high = box[2 * n : 2 * n + 2]
                kit.add_feature(f"{part}{axis}", axis, high - low, (part, -1, low), (part, 1, high))
        kit.add_feature("R1", "none", 8.0, (1, 1, None), (1, 1, None), quantity="radius")
        parting.say(record, kit.job, "-10 80 30")
    return str(path)


@pytest.fixture
def bare(tmp_path: Path) -> str:
    path = tmp_path / "bare.db"
    with Record.open(path, create=True) as record:
        begin(record, "EMPTY").add_core(1)
    return str(path)


def test_plan_and_section_are_drawn(cli: Run, placed: str) -> None:
    got = cli("kit", "look", "--record", placed, "--width", "60")
    assert (got.status, got.err) == (0, "")
    assert "plan, from above" in got.out and "section along x" in got.out and "section along y" not in got.out
    assert "core 1" in got.out and "core 2" in got.out and "parting at z 30" in got.out
    assert max(len(line) for line in got.out.splitlines()) <= 60


def test_the_core_at_hand_is_solid_and_those_before_it_are_drawn(cli: Run, placed: str) -> None:
    first = cli("kit", "look", "--record", placed, "--core", "1")
    assert "core 1, the one at hand" in first.out and "Set later and not drawn: core 2." in first.out
    assert "█" in first.out
    both = cli("kit", "look", "--record", placed, "--core", "1", "--later")
    assert "Set later" not in both.out and "core 2" in both.out


def test_all_views_stand_in_their_order(cli: Run, placed: str) -> None:
    out = cli("kit", "look", "--record", placed, "--view", "exploded", "--view", "across").out
    assert out.index("section along y") < out.index("exploded stack") and "plan" not in out
    every = cli("kit", "look", "--record", placed, "--view", "all").out
    places = [every.index(w) for w in ("plan, from above", "section along x", "section along y", "exploded stack")]
    assert places == sorted(places)


def test_a_section_is_cut_where_it_is_said(cli: Run, placed: str) -> None:
    assert "section along y at x 55" in cli("kit", "look", "--record", placed, "--view", "across", "--at", "55").out
    got = cli("kit", "look", "--record", placed, "--view", "all", "--at", "55")
    assert got.status == 2 and "--at says where one section is cut" in got.err
    assert "section along x at y 1" in cli("kit", "look", "--record", placed, "--at", "1").out


def test_a_feature_is_marked_in_the_views_that_show_its_axis(cli: Run, placed: str) -> None:
    for axis, shown, not_shown in (("x", "plan", "along y"), ("y", "along y", "along x"), ("z", "along x", "plan")):
        out = cli("kit", "look", "--record", placed, "--feature", f"1{axis}").out
        assert f"1{axis} is measured here: core 1, {axis}" in out and shown in out and not_shown not in out
    wall = cli("kit", "look", "--record", placed, "--feature", "F1").out
    assert "F1 is measured here: core 1, x 20 to core 2, x 28" in wall
    got = cli("kit", "look", "--record", placed, "--feature", "R1")
    assert got.status == 2 and "R1 is no size along x, y or z" in got.err


def test_the_svg_is_written_once_and_its_path_said(cli: Run, placed: str, tmp_path: Path) -> None:
    path = tmp_path / "mould.svg"
    got = cli("kit", "look", "--record", placed, "--core", "2", "--to", str(path))
    assert (got.status, got.out.strip()) == (0, str(path))
    assert ElementTree.parse(path).getroot().tag.endswith("svg")
    again = cli("kit", "look", "--record", placed, "--to", str(path))
    assert again.status == 2 and "is there already" in again.err
    assert cli("kit", "look", "--record", placed, "--to", str(path), "--force").status == 0
    wrong = cli("kit", "look", "--record", placed, "--to", str(tmp_path / "mould.png"))
    assert wrong.status == 2 and "none of .svg" in wrong.err


def test_json_holds_the_bodies(cli: Run, placed: str) -> None:
    ran = cli("kit", "look", "--record", placed, "--json")
    assert ran.status == 0
    got = json.loads(ran.out)
    first = got["cores"][0]
    assert (first["core"], first["step"], first["way_in"], first["given"]) == (1, 1, "z-", False)
    assert first["boxes"] == [{"x0": 0, "x1": 60, "y0": 0, "y1": 40, "z0": 10, "z1": 30}]
    assert got["outline"] == {"x0": -10, "x1": 80, "y0": -10, "y1": 50, "z0": 0, "z1": 20}
    assert got["parting"] == {"axis": "z", "steps": [{"place": 30, "along": "x", "from": -10, "to": 80}]}


def test_a_core_that_is_not_there_and_a_job_without_places(cli: Run, placed: str, bare: str) -> None:
    got = cli("kit", "look", "--record", placed, "--core", "7")
    assert got.status == 2 and "There is no core '7' of job TK-1" in got.err
    empty = cli("kit", "look", "--record", bare)
    assert empty.status == 2
    assert "Nothing can be drawn: no size of this job says where its ends stand" in empty.err
