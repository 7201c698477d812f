"""`inspect-tui export`: the folder, what is said, and that its columns stand in the help."""

from __future__ import annotations

import csv
import sqlite3
from pathlib import Path

from inspect_tui.report.export import folder
from inspect_tui.report.export.sqlite_file import VIEWS
from inspect_tui.shop.jobs.export_columns import COLUMNS, NAMES
from tests.commands.conftest import Run
from tests.conftest import SmallShop


def test_a_record_goes_into_a_folder_and_every_view_answers(on_shop: Run, shop: SmallShop, tmp_path: Path) -> None:
    on_shop("log", "--on", "stick 1", "--by", "AB", "--with", "caliper 1", stdin="F1 59.60 59,62\nF2 40.70\n")
    ran = on_shop("export", "--to", str(tmp_path / "out"))
    assert ran.status == 0, ran.err
    assert ran.out.splitlines() == [str(tmp_path / "out" / name) for name in folder.FILES]
    assert "3 readings written" in ran.err
    with (tmp_path / "out" / folder.CSV).open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [(row["feature"], row["as_read"], row["verdict"]) for row in rows] == [
        ("F1", "59.6", "conforms"),
        ("F1", "59.62", "conforms"),
        ("F2", "40.7", "does not conform"),
    ]
    con = sqlite3.connect(tmp_path / "out" / folder.SQLITE)
    counts = {view: con.execute(f"SELECT count(*) FROM {view}").fetchone()[0] for view in VIEWS}
    assert counts == {"readings_that_count": 3, "struck": 0, "lines": 2, "by_feature": 2, "notes_of_readings": 0}
    n, mean, s = con.execute("SELECT n, mean, s FROM by_feature WHERE feature = 'F1'").fetchone()
    assert (n, round(mean, 9), round(s, 9)) == (2, 59.61, 0.014142136)  # of 59.60 and 59.62, by hand: 0.02 / sqrt 2
    con.close()


def test_it_is_not_written_over_unasked(on_shop: Run, tmp_path: Path) -> None:
    assert on_shop("export", "--to", str(tmp_path / "out")).status == 0
    again = on_shop("export", "--to", str(tmp_path / "out"))
    assert (again.status, again.out) == (2, "")
    assert "--force" in again.err
    assert on_shop("export", "--to", str(tmp_path / "out"), "--force").status == 0


def test_notes_are_searched_as_the_readme_says(on_shop: Run, shop: SmallShop, tmp_path: Path) -> None:
    from inspect_tui.record.store import Record

    with Record.open(shop.path) as record:
        shop.record = record
        bench = shop.bench()
        bench.goto("F1")
        bench.take("59.60")
        assert bench.note("a burr at the parting line")
    assert on_shop("export", "--to", str(tmp_path / "out")).status == 0
    readme = (tmp_path / "out" / folder.README).read_text("utf-8")
    query = readme.split("searched by words:", 1)[1].split("\n\n")[1]
    con = sqlite3.connect(tmp_path / "out" / folder.SQLITE)
    assert [row[1] for row in con.execute(query)] == ["F1"]
    assert con.execute(query.replace("burr", "blister")).fetchall() == []
    con.close()


def test_the_help_explains_every_column(cli: Run) -> None:
    help_ = " ".join(cli("export", "--help").out.split())
    for column in COLUMNS:
        assert f" {column.name} {column.kind}" in help_
        assert " ".join(column.meaning.split()[:4]) in help_
    assert len(NAMES) > 50
