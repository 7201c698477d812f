"""wear, surprises, trend and count on the command line: tables, JSON, files, exit codes, sentences."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from xml.etree import ElementTree

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


# ------------------------------------------------------------------------------ wear
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


# ------------------------------------------------------------------------------ surprises
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


# ------------------------------------------------------------------------------ trend
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


# ------------------------------------------------------------------------------ count
def test_count_adds_lists_and_asks_when_it_goes_back(on: Callable[..., Ran]) -> None:
    added = on("count", "add", "box 1", "10 000", "--date", "2025-01-10", "--by", "AB")
    assert added.status == 0 and added.out == "box 1: 10000 cores made\n"
    back = on("count", "add", "box 1", "9000", "--date", "2025-01-12", "--by", "AB")
    assert back.status == 1 and "would go back from 10 000 (2025-01-10) to 9 000" in back.err and "--keep" in back.err
    kept = on("count", "add", "box 1", "9000", "--date", "2025-01-12", "--by", "AB", "--keep")
    assert kept.status == 0 and "left out" in kept.err
    assert on("count", "add", "box 1", "0", "--restart", "--date", "2025-01-13", "--by", "AB").out.startswith(
        "box 1: 1"
    )
    more = on("count", "add", "box 1", "40", "--made", "--date", "2025-01-14", "--by", "AB", "--note", "night shift")
    assert more.out == "box 1: 10040 cores made\n" or "cores made" in more.out
    listed = on("count", "list", "box 1")
    assert "night shift" in listed.out and "a week" in listed.out
    assert json.loads(on("count", "list", "--json").out)[0]["tool"] == "box 1"


def test_count_refuses_what_is_none_with_a_sentence(on: Callable[..., Ran]) -> None:
    assert "whole number" in on("count", "add", "box 1", "many", "--by", "AB").err
    assert "not both" in on("count", "add", "box 1", "1", "--made", "--restart", "--by", "AB").err
    assert "no person 'ZZ'" in on("count", "add", "box 1", "1", "--by", "ZZ").err
    assert "day: soon is no day" in on("count", "add", "box 1", "1", "--date", "soon", "--by", "AB").err


def test_count_brings_in_a_file(on: Callable[..., Ran], tmp_path: Path) -> None:
    file = tmp_path / "counts.csv"
    file.write_text("tool;date;count\nbox 1;2025-01-10;10000\nbox 9;2025-01-10;3\n")
    ran = on("count", "import", str(file), "--by", "AB")
    assert ran.status == 1 and "line 3: There is no tool 'box 9'" in ran.err and "Nothing was taken" in ran.out
    ran = on("count", "import", str(file), "--by", "AB", "--good-lines")
    assert ran.status == 1 and "1 counts taken, 1 lines left out." in ran.out
    assert on("count", "import", str(tmp_path / "none.csv"), "--by", "AB").status == 2


# ------------------------------------------------------------------------------ weight
def test_weights_are_kept_listed_and_corrected_by_entering_them_again(on: Callable[..., Ran], tmp_path: Path) -> None:
    who, name = ["--by", "AB"], _casting(tmp_path)
    assert on("weight", "add", name, "41,35", "--u95", "0.05", *who).status == 0
    assert on("weight", "add", name, "41.30", *who).status == 0
    assert on("weight", "wall", "1.85", *who).status == 0
    assert on("weight", "wall", "1.9", "--density", "7200", *who).status == 0
    said = json.loads(on("weight", "list", "--json").out)
    (one,) = said["weights"]
    assert (one["kg"], one["u95_kg"], said["wall_area_m2"], said["density_kg_m3"]) == (41.30, None, 1.9, 7200.0)
    assert "41.3 kg" in on("weight", "list").out


@pytest.mark.parametrize("text", ["0", "-3", "nan", "heavy", "1e9"])
def test_a_weight_that_is_none_is_refused_and_nothing_kept(on: Callable[..., Ran], tmp_path: Path, text: str) -> None:
    ran = on("weight", "add", _casting(tmp_path), "--by", "AB", "--", text)
    assert ran.status == 2 and ("such as 41.35" in ran.err or "beyond 1000000 kg" in ran.err)
    assert json.loads(on("weight", "list", "--json").out)["weights"] == []


def test_a_tool_has_no_weight(on: Callable[..., Ran]) -> None:
    ran = on("weight", "add", "box 1", "4", "--by", "AB")
    assert ran.status == 2 and "is a tool" in ran.err


def _casting(folder: Path) -> str:
    with Record.open(folder / "copy.db", read_only=True) as record:
        return next(f"casting {i.serial}" for i in record.items(record.jobs()[0].of_id) if i.kind == "casting")
