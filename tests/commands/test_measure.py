"""measure on the command line: faces named, the plan as text, JSON and files, readings read back by file."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from tests.commands.conftest import Ran, Run
from tests.commands.test_first_article import (
    On,
    on,  # noqa: F401
)
from tests.conftest import SmallShop
from tests.worlds.sample_faces import begun, named

TABLE = """name;by;axis;metal;datum;cut up;wall to
flange face;drag;x;+;yes;no;
end wall outside;drag;x;+;no;no;
jacket near end;core 1;x;-;no;yes;end wall outside
"""
Sample = Callable[..., Ran]


@pytest.fixture
def on_sample(cli: Run, tmp_path: Path) -> Iterator[Sample]:
    path = tmp_path / "s.db"
    with Record.open(path, create=True) as record:
        begun(record)
    yield lambda *argv: cli("--record", str(path), *argv)


def test_faces_are_named_out_of_a_table_or_one_by_one(on_sample: Sample, tmp_path: Path) -> None:
    (tmp_path / "faces.csv").write_text(TABLE, encoding="utf-8")
    assert on_sample("measure", "faces", str(tmp_path / "faces.csv"), "--by", "AB").out == (
        "S1  flange face\nS2  end wall outside\nS3  jacket near end\n"
    )
    one = on_sample(
        "measure", "face", "jacket far end", "--made-by", "core 1", "--axis", "x", "--metal", "+", "--cut-up"
    )
    assert one.out == "S4  jacket far end\n"
    again = on_sample("measure", "face", "Jacket far end", "--made-by", "drag", "--axis", "x", "--metal", "+")
    assert again.status == 2 and "is named already" in again.err
    assert "S2-S3 wall" in " ".join(on_sample("measure", "plan").out.split())


def test_the_sheet_is_filled_in_and_read_back(on_sample: Sample, tmp_path: Path) -> None:
    (tmp_path / "faces.csv").write_text(TABLE, encoding="utf-8")
    on_sample("measure", "faces", str(tmp_path / "faces.csv"))
    sheet = tmp_path / "sheet.csv"
    early = on_sample("measure", "plan", "--to", str(sheet))
    assert early.status == 2 and "measure plan --enter" in early.err and not sheet.exists()
    entered = on_sample("measure", "plan", "--enter", "--by", "AB", "--to", str(sheet))
    assert "1 sizes put on the list" in entered.err and entered.out.strip() == str(sheet)
    rows = list(csv.DictReader(sheet.open(encoding="utf-8")))
    values = {"S2": "14.1", "S2-S3": "7.2"}
    with sheet.open("w", encoding="utf-8", newline="") as file:
        filled = csv.DictWriter(file, rows[0].keys())
        filled.writeheader()
        filled.writerows(row | {"value": values.get(row["feature"], "")} for row in rows)
    taken = on_sample("import", "readings", str(sheet), "--by", "AB", "--with", "CAL1")
    assert taken.status == 0 and "2 readings of 2 features on 1 casting" in taken.out + taken.err
    plain = json.loads(on_sample("measure", "plan", "--on", "sample", "--json").out)
    assert plain["on"] == "sample" and plain["lines"] == [] and "to_enter" not in plain
    at = {place["face"]: place["mm"] for place in plain["places"]}
    assert at["jacket near end (S3)"] == pytest.approx(21.3)


def test_a_size_that_nobody_knows_is_no_slip_before_it_was_read(on_sample: Sample, tmp_path: Path, cli: Run) -> None:
    (tmp_path / "faces.csv").write_text(TABLE, encoding="utf-8")
    on_sample("measure", "faces", str(tmp_path / "faces.csv"))
    log = ("log", "--on", "casting 17", "--by", "AB", "--with", "CAL1")
    record = ("--record", str(tmp_path / "s.db"))
    first = cli(*record, *log, stdin="S2 620.4\n")
    assert first.status == 0 and "typed, but" not in first.err
    wrong = cli(*record, *log, stdin="S2 620.38\nS2 62.04\n")
    assert "62.04 or 620.4? Decimal point moved?" in wrong.err
    shown = on_sample("first-article")
    assert shown.status == 0 and "no limits" in shown.out and "+" not in shown.out  # off nothing
    plain = json.loads(on_sample("first-article", "--json").out)
    (line,) = [feature for feature in plain["features"] if feature["balloon"] == "S2"]
    assert line["deviation"] is None and line["cells"][0]["deviation"] is None and line["n"] == 1


def test_of_a_sampling_the_plan_tells_causes_apart(on: On, tmp_path: Path) -> None:
    plain = json.loads(on("measure", "plan", "--round", "S1", "--json").out)
    assert (plain["on"], plain["round"]) == ("round", "S1")
    assert {"lines", "cannot_tell", "said", "open_after"} <= plain.keys()
    text = on("measure", "plan", "--round", "S1")
    assert text.status == 0 and plain["sentence"][:20] in text.out
    assert on("measure", "plan", "--round", "S1", "--enter").status == 2
    path = tmp_path / "S1.csv"
    written = on("measure", "plan", "--round", "S1", "--to", str(path))
    assert (written.status, written.out.strip()) == ((0, str(path)) if plain["lines"] else (2, ""))
    assert on("measure", "plan", "--round", "S1", "--on", "sample").status == 2


def test_without_faces_they_are_asked_for(cli: Run, tmp_path: Path) -> None:
    path = tmp_path / "s.db"
    with Record.open(path, create=True) as record:
        named(record)
    plan = cli("--record", str(path), "measure", "plan", "--job", "SB-7")
    assert plan.status == 0 and plan.out.startswith("1 of 5 faces is pinned")


def test_the_sheet_of_a_tool_is_written_in_the_unit_that_is_asked_for(
    cli: Run, shop: SmallShop, tmp_path: Path
) -> None:
    path = tmp_path / "sheet.csv"
    sheet = ("--record", str(shop.path), "measure", "sheet", "--on", "stick 1", "--to", str(path))
    assert cli(*sheet, "--show", "in").out == f"{path}\n"
    assert path.read_text("utf-8").splitlines()[1].startswith("stick 1,F3,,in")
    assert cli(*sheet).status == 2  # it is there already
    assert cli(*sheet, "--force").status == 0 and ",mm," in path.read_text("utf-8")
