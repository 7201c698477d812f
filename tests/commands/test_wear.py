"""`wear`: what is left in each tool, the work orders and the sheet of the month, on a box that wore."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Ran, Run
from tests.worlds.worn_box import START, WornBox


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    worn = WornBox(tmp_path_factory.mktemp("worn") / "worn.db")
    worn.wear(30)
    worn.repair(worn.go(START + timedelta(weeks=29), hour=15), at=5800)
    worn.wear(20, first_week=30, base=5800, seed=2)
    for n in range(8):
        worn.lot(f"L{n}", (START + timedelta(weeks=4 * n)).isoformat())
        worn.item(79.9 + 0.01 * n, "W", "casting", f"L{n}")
    worn.record.close()
    return worn.record.path


@pytest.fixture
def on(cli: Run, path: Path, tmp_path: Path) -> Iterator[Callable[..., Ran]]:
    """The command line on a copy of its own."""
    import shutil

    copy = tmp_path / "copy.db"
    shutil.copy(path, copy)

    def run(*argv: str) -> Ran:
        return cli("--record", str(copy), *argv)

    yield run


def test_wear_lists_what_is_left_and_what_to_measure_next(on: Callable[..., Ran]) -> None:
    ran = on("wear")
    assert ran.status == 0
    assert "box 1" in ran.out and "left" in ran.out and "at worst" in ran.out
    assert "none of 1 sizes is likely" in ran.err and "measure next:" in ran.err


def test_wear_as_json_has_every_figure_and_no_infinity(on: Callable[..., Ran]) -> None:
    said = json.loads(on("wear", "--json").out)
    (size,) = said["sizes"]
    assert size["tool"] == "box 1" and size["feature"] == "W" and size["kind"] == "left"
    assert size["rate_mm_per_core"] == pytest.approx(0.03e-3, rel=0.2)
    assert size["left_low"] < size["left"] < size["left_high"]
    assert size["weeks"] == pytest.approx(size["left"] / size["per_week"])
    assert said["orders"] == [] and said["next"]["size"] is None


def test_wear_at_another_rate_has_other_dates_and_other_risks(on: Callable[..., Ran]) -> None:
    plain = json.loads(on("wear", "--json").out)["sizes"][0]
    fast = json.loads(on("wear", "--json", "--per-week", "6000").out)["sizes"][0]
    assert fast["left"] == plain["left"] and fast["weeks"] == pytest.approx(fast["left"] / 6000)
    assert fast["risk"] > 0.9 > plain["risk"]
    assert json.loads(on("wear", "--json", "--per-week", "6000").out)["orders"][0]["word"] == "add"
    assert on("wear", "--per-week", "0").status == 2


def test_wear_past_its_limit_is_exit_status_one(on: Callable[..., Ran], tmp_path: Path) -> None:
    worn = WornBox(tmp_path / "past.db")
    worn.wear(10, start=81.45)
    worn.record.close()
    with Record.open(tmp_path / "past.db") as record:
        assert record.version
    ran = on("--record", str(tmp_path / "past.db"), "wear")
    assert ran.status == 1 and "✗ box 1" in ran.out


def test_wear_orders_are_for_the_bench(on: Callable[..., Ran]) -> None:
    assert "no tool has to come to the bench yet" in on("wear", "--orders").out


def test_the_months_sheet_is_written_as_page_and_paper_and_not_over_another(
    on: Callable[..., Ran], tmp_path: Path
) -> None:
    page, paper = tmp_path / "month.html", tmp_path / "month.pdf"
    assert on("wear", "--sheet", str(page), "--month", "2024-07").status == 0
    assert "2024-07-22" in page.read_text("utf-8") and "<svg" in page.read_text("utf-8")
    assert on("wear", "--sheet", str(paper)).status == 0 and paper.read_bytes().startswith(b"%PDF")
    again = on("wear", "--sheet", str(page))
    assert again.status == 2 and "left as it is" in again.err
    assert on("wear", "--sheet", str(page), "--force").status == 0
    assert "--month: July is no month" in on("wear", "--sheet", str(tmp_path / "x.html"), "--month", "July").err
    assert "none of .html, .pdf" in on("wear", "--sheet", str(tmp_path / "x.doc")).err


def test_a_job_or_a_tool_that_is_not_there_is_said(on: Callable[..., Ran]) -> None:
    assert "There is no job 'X-1'" in on("wear", "--job", "X-1").err
    assert "There is no tool 'box 9'" in on("wear", "--on", "box 9").err
    assert on("wear", "--on", "box 2").out == ""


def test_of_machined_castings_no_tool_is_judged(cli: Run) -> None:
    refused = cli("wear", "--state", "finished")
    assert refused.status == 2 and "Machined castings say nothing of the tool" in refused.err


def test_wear_goes_to_a_table(on: Callable[..., Ran], tmp_path: Path) -> None:
    to = tmp_path / "wear.csv"
    ran = on("wear", "--to", str(to))
    assert ran.status == 0 and ran.out == "" and "written:" in ran.err
    assert to.read_text("utf-8").splitlines()[1].startswith("box 1,W,width,mm,50,")
    assert on("wear", "--to", str(to)).status == 2 and on("wear", "--to", str(to), "--force").status == 0
    assert on("wear", "--to", str(tmp_path / "wear.doc")).status == 2
