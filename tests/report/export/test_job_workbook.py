"""A job's tables as a workbook and as CSV files: nothing is written over, nothing is half there."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.report.export import job_workbook
from inspect_tui.shop.common.tables import file as table_file
from inspect_tui.shop.jobs.job_tables import Sheet

SHEETS = [
    Sheet(name="job", heads=("what", "value"), rows=(("number", "=1+1"), ("name", "a ± b"))),
    Sheet(name="cores", heads=("number", "only_locates"), rows=((3, True), (4, None))),
    Sheet(name="tools", heads=("label",), rows=()),
]


def test_a_workbook_holds_texts_figures_and_every_sheet(tmp_path: Path) -> None:
    job_workbook.workbook(tmp_path / "j.xlsx", SHEETS)
    grids = {grid.sheet: grid.rows for grid in table_file.every(tmp_path / "j.xlsx")}
    assert grids == {
        "job": (("what", "value"), ("number", "=1+1"), ("name", "a ± b")),
        "cores": (("number", "only_locates"), ("3", "yes"), ("4",)),
        "tools": (("label",),),
    }
    assert [p.name for p in tmp_path.iterdir()] == ["j.xlsx"]


def test_a_folder_holds_a_file_for_each_sheet_that_says_something(tmp_path: Path) -> None:
    job_workbook.folder(tmp_path / "j", SHEETS)
    assert {p.name for p in (tmp_path / "j").iterdir()} == {"job.csv", "cores.csv"}
    assert "'=1+1" in (tmp_path / "j" / "job.csv").read_text("utf-8")


def test_what_is_there_stays(tmp_path: Path) -> None:
    (tmp_path / "j").write_text("mine")
    for write in (job_workbook.workbook, job_workbook.folder):
        with pytest.raises(JobFileError, match="is there already"):
            write(tmp_path / "j", SHEETS)
    assert (tmp_path / "j").read_text() == "mine"
