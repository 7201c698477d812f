"""`kit check`: what it prints, and what it says by its exit status."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.worlds.kit_jobs import two_cores

DEMO = Path(__file__).parents[2] / "demo.db"


@pytest.fixture
def demo(tmp_path: Path) -> str:
    path = tmp_path / "demo.db"
    shutil.copyfile(DEMO, path)
    Record.open(path).close()  # brought to the newest version where it is not
    return str(path)


@pytest.fixture
def two(tmp_path: Path) -> str:
    path = tmp_path / "two.db"
    with Record.open(path, create=True) as record:
        made = two_cores(record)
        made.read("box 1", {"K1-P": 60.0, "K2-S": 40.5})
        made.read("box 2", {"K2-P": 40.0})
        made.read("drag pattern", {"K1-S": 60.5})
        for number in (1, 2):
            made.detail(number, in_metal_dm3=0.1, tol_mm=0.05)
    return str(path)


def test_kit_check_is_1_when_something_does_not_hold_and_names_it(cli: Run, demo: str) -> None:
    got = cli("--record", demo, "kit", "check")
    assert got.status == 1
    assert "K4, core 4 in core 2" in " ".join(got.out.split())
    assert "core 1 goes into its own seats" in " ".join(got.out.split())
    assert "next: read K4-S on box 2" in " ".join(got.out.split())
    assert "══ cope ══" in got.out and "══ drag ══" in got.out


def test_kit_check_is_0_when_nothing_speaks_against_the_kit(cli: Run, two: str) -> None:
    got = cli("kit", "check", "--record", two)
    assert (got.status, got.err) == (0, "")
    assert "nothing against the kit" in got.out


def test_a_fit_that_nobody_read_is_as_drawn(cli: Run, tmp_path: Path) -> None:
    path = str(tmp_path / "two.db")
    with Record.open(Path(path), create=True) as record:
        made = two_cores(record)
        made.read("box 2", {"K2-P": 40.0})
    got = cli("kit", "check", "--record", path)
    words = " ".join(got.out.split())
    assert "· as drawn" in words and "? undecided" in words and "✓ fits" not in words
    assert "K1 is as drawn: nobody read it" in words


def test_walls_say_whether_anything_of_them_was_read(cli: Run, two: str, tmp_path: Path) -> None:
    path = str(tmp_path / "drawn.db")
    with Record.open(Path(path), create=True) as record:
        two_cores(record)
    assert "walls, as drawn, nothing of them read yet:" in cli("kit", "check", "--record", path).out
    assert "walls, as measured:" in cli("kit", "check", "--record", two).out


def test_kit_check_as_json_holds_every_number(cli: Run, demo: str) -> None:
    got = cli("--record", demo, "kit", "check", "--as-of", "2023-08-24", "--json")
    found = json.loads(got.out)
    assert got.status == 1
    assert found["holds"] is False
    assert found["order"] == [1, 2, 7, 3, 4, 5, 6]
    against = {(one["kind"], tuple(one["cores"]), one["about"]) for one in found["against"]}
    assert against >= {("fit", (4, 2), "K4"), ("fit", (5, 1), "K6-3"), ("rule", (6,), "stick 6")}
    assert {one["kind"] for one in found["doubts"]} >= {"fit", "wall"} and all(
        one["sentence"] for one in found["doubts"]
    )
    goes = {(one["core"], one["axis"]): one for one in found["goes_in"]}
    assert goes[5, "y"]["fate"] == "does not go in" and goes[5, "y"]["between"] == ["K6-3"]
    assert goes[1, "y"]["fate"] == "goes in" and not goes[1, "y"]["read"]
    bodies = {one["core"]: one for one in found["bodies"]}
    assert bodies[3] == {"core": 3, "given": False, "open": [], "boxes": [[42, 536, 47, 129, 51, 129]]}
    fits = {fit["fit"]: fit for fit in found["fits"]}
    assert fits["K6-3"]["clearance_mm"] == pytest.approx(-0.10, abs=0.05)
    assert fits["K6-3"]["verdict"] == "does not conform"
    assert fits["K4"]["state"] == "floats"
    assert found["every_wall_holds"]["assemblies"] == 100_000
    assert any("how far core 1 can rise in K1" in told for told in found["every_wall_holds"]["unknown"])
    walls = {wall["label"]: wall for wall in found["walls"]}
    assert walls["ST1"]["worst_low_mm"] == pytest.approx(5.90)
    assert found["passages"][0]["unit"] == "mm²"


def test_a_day_that_is_none_and_a_job_that_is_not_there_are_2(cli: Run, two: str) -> None:
    assert cli("--record", two, "kit", "check", "--as-of", "someday").status == 2
    got = cli("--record", two, "kit", "check", "--job", "nine")
    assert (got.status, "no job 'nine'" in got.err) == (2, True)
    assert cli("--record", two, "kit").status == 2
