"""`kit check`, `stack` and `contraction`: what they print, and what they say by their exit status."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Run
from tests.shop.jobs.test_contraction_book import cast
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


def test_kit_check_as_json_holds_every_number(cli: Run, demo: str) -> None:
    got = cli("--record", demo, "kit", "check", "--as-of", "2023-08-24", "--json")
    found = json.loads(got.out)
    assert got.status == 1
    assert found["holds"] is False
    assert found["order"] == [1, 2, 7, 3, 4, 5, 6]
    fits = {fit["fit"]: fit for fit in found["fits"]}
    assert fits["K6-3"]["clearance_mm"] == pytest.approx(-0.10, abs=0.05)
    assert fits["K6-3"]["verdict"] == "does not conform"
    assert fits["K4"]["state"] == "floats"
    assert found["every_wall_holds"]["assemblies"] == 100_000
    walls = {wall["label"]: wall for wall in found["walls"]}
    assert walls["ST1"]["worst_low_mm"] == pytest.approx(5.90)
    assert found["passages"][0]["unit"] == "mm²"


def test_a_day_that_is_none_and_a_job_that_is_not_there_are_2(cli: Run, two: str) -> None:
    assert cli("--record", two, "kit", "check", "--as-of", "someday").status == 2
    got = cli("--record", two, "kit", "check", "--job", "nine")
    assert (got.status, "no job 'nine'" in got.err) == (2, True)
    assert cli("--record", two, "kit").status == 2


def test_stack_lists_every_wall_and_tells_one_in_full(cli: Run, two: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "140")
    got = cli("--record", two, "stack")
    assert got.status == 0
    assert "F1" in got.out and "7.65 to 8.35" in got.out
    got = cli("--record", two, "stack", "f1")
    assert "worst case 7.65 to 8.35, root-sum-square 8.00 ± 0.26" in " ".join(got.out.split())
    assert "drawn at random: 8.00" in got.out
    assert "core 1, core 2" in got.out


def test_stack_as_json_has_its_contributors_and_the_random_draw(cli: Run, two: str) -> None:
    (wall,) = json.loads(cli("--record", two, "stack", "F1", "--json", "--assemblies", "20000", "--seed", "4").out)
    assert wall["path"] == ["core 1", "core 2"]
    assert len(wall["contributors"]) == 3
    assert wall["assemblies"]["n"] == 20000
    assert wall["assemblies"]["sd_mm"] == pytest.approx(wall["u_mm"], rel=0.05)
    again = json.loads(cli("--record", two, "stack", "F1", "--json", "--assemblies", "20000", "--seed", "4").out)
    assert again == [wall]


def test_a_wall_that_does_not_hold_is_1_and_one_that_is_not_there_2(cli: Run, tmp_path: Path, two: str) -> None:
    with Record.open(two) as record:
        made_job = record.jobs()[0]
        from inspect_tui.model.kit import Stack, StackMember
        from inspect_tui.shop.kit import edit as kit_edit

        stack = Stack(job_of_id=made_job.of_id, label="ST9", name="thin wall", lower=7.0, upper=9.0)
        kit_edit.add_stack(
            record, stack, [StackMember(stack_id=b"", ord=0, name="all", size_mm=6.0, plus_mm=0.3, minus_mm=0.3)]
        )
    assert cli("--record", two, "stack", "ST9").status == 1
    assert cli("--record", two, "stack").status == 1
    got = cli("--record", two, "stack", "ST4")
    assert got.status == 2
    assert "no wall 'ST4'" in got.err
    assert cli("--record", two, "stack", "--assemblies", "0").status == 2


def test_the_book_is_printed_and_comes_as_json(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "book.db"
    with Record.open(path, create=True) as record:
        cast(record, "J1", 0.0080)
    got = cli("--record", str(path), "contraction")
    assert got.status == 0
    assert "grey iron, X:" in got.out and "J1 x: 0.80" in got.out and "handbook:" in got.out
    rows = json.loads(cli("--record", str(path), "contraction", "--alloy", "Grey Iron", "--json").out)
    assert [row["axis"] for row in rows] == ["x", "y", "z"]
    assert rows[0]["jobs"][0]["a"] == pytest.approx(0.0080, abs=1e-6)
    assert rows[0]["handbook"]["source"]
    assert json.loads(cli("--record", str(path), "contraction", "--alloy", "lead", "--json").out) == []


def test_an_empty_book_says_what_fills_it(cli: Run, on_shop: Run, tmp_path: Path) -> None:
    path = tmp_path / "empty.db"
    Record.open(path, create=True).close()
    assert "The book is empty" in cli("--record", str(path), "contraction").out
