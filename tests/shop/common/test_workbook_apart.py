"""XLS in a process of its own: what ends that process does not end this one, and nothing that lies about is run."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from inspect_tui.errors import NoTable
from inspect_tui.shop.common import workbook_apart
from inspect_tui.shop.common.table_file import nobody_waits
from tests.worlds import tables

GOOD = tables.xls(["Casting", "F2"], ["C1", 40.1], ["größer", True])


def test_the_old_kind_is_read_and_says_that_errors_look_empty() -> None:
    sheet = workbook_apart.read(GOOD, "f.xls", None, nobody_waits)
    assert list(sheet.rows) == [(1, ["Casting", "F2"]), (2, ["C1", "40.1"]), (3, ["größer", "TRUE"])]
    assert sheet.remarks == ("a spreadsheet of the old kind does not tell cells that hold an error from empty ones",)


def test_its_sheets_are_named_and_chosen() -> None:
    raw = tables.xls(["a"], also=lambda book: book.add_sheet("Zweites").write(0, 0, "b"))
    assert workbook_apart.names(raw, "f.xls") == ["Sheet", "Zweites"]
    assert workbook_apart.read(raw, "f.xls", None, nobody_waits).others == ("Zweites",)
    assert list(workbook_apart.read(raw, "f.xls", "zweites", nobody_waits).rows) == [(1, ["b"])]
    with pytest.raises(NoTable, match=r"f\.xls has no sheet x; it has: Sheet, Zweites"):
        workbook_apart.read(raw, "f.xls", "x", nobody_waits)


def test_a_number_of_rows_that_no_memory_holds_ends_the_other_process_only() -> None:
    raw = bytearray(GOOD)
    at = raw.index(b"\x00\x02\x0e\x00")  # the record Dimensions of [MS-XLS] 2.4.90: first row, one past the last
    raw[at + 8 : at + 12] = b"\xff\xff\xff\x7f"
    with pytest.raises(NoTable, match=r"is no workbook that can be read.*\(CalledProcessError\)\. Save it again"):
        workbook_apart.read(bytes(raw), "f.xls", None, nobody_waits)


def test_what_takes_too_long_or_cannot_be_started_is_said(monkeypatch) -> None:
    with monkeypatch.context() as patch, pytest.raises(NoTable, match="TimeoutExpired"):
        patch.setattr(workbook_apart, "MOST_SECONDS", 0.001)
        workbook_apart.names(GOOD, "f.xls")
    with monkeypatch.context() as patch, pytest.raises(NoTable, match="FileNotFoundError"):
        patch.setattr(sys, "executable", "/there/is/no/python")
        workbook_apart.names(GOOD, "f.xls")


def test_nothing_that_lies_in_the_folder_is_run(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "json.py").write_text("raise SystemExit(3)")
    (tmp_path / "python_calamine.py").write_text("raise SystemExit(3)")
    monkeypatch.chdir(tmp_path)
    assert workbook_apart.names(GOOD, "f.xls") == ["Sheet"]
