"""Workbooks in a process of its own: what ends that process does not end this one, and nothing that lies about is run."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from inspect_tui.errors import NoTable
from inspect_tui.shop.common.tables import workbook_apart
from inspect_tui.shop.common.tables.file import nobody_waits
from inspect_tui.shop.common.tables.workbook import Sheet
from tests.worlds import tables

GOOD = tables.xls(["Casting", "F2"], ["C1", 40.1], ["größer", True])


def read(raw: bytes, sheet: str | None = None) -> Sheet:
    return workbook_apart.read(raw, "f.xls", sheet, 100, nobody_waits)


def test_the_old_kind_is_read_and_says_that_errors_look_empty() -> None:
    sheet = read(GOOD)
    assert [tuple(row) for row in sheet.rows] == [
        (1, ["Casting", "F2"]),
        (2, ["C1", "40.1"]),
        (3, ["größer", "TRUE"]),
    ]
    assert sheet.remarks == ("a spreadsheet of the old kind does not tell cells that hold an error from empty ones",)


@pytest.mark.parametrize("kind", ["xls", "xlsx"])
def test_sheets_are_named_and_chosen(kind: str) -> None:
    if kind == "xls":
        raw = tables.xls(["a"], also=lambda book: book.add_sheet("Zweites").write(0, 0, "b"))
    else:
        raw = tables.xlsx(["a"], also=lambda book: book.create_sheet("Zweites").append(["b"]))
    assert workbook_apart.names(raw, "f.xls") == ["Sheet", "Zweites"]
    assert read(raw).others == ("Zweites",)
    assert [tuple(row) for row in read(raw, "zweites").rows] == [(1, ["b"])]
    with pytest.raises(NoTable, match=r"f\.xls has no sheet x; it has: Sheet, Zweites") as problem:
        read(raw, "x")
    assert problem.value.wrong.endswith("Zweites.")


def test_no_more_rows_come_back_than_are_wanted_and_one() -> None:
    raw = tables.xlsx(*([n] for n in range(50)))
    assert len(list(workbook_apart.read(raw, "f", None, 20, nobody_waits).rows)) == 21


def rows_without_end() -> bytes:
    raw = bytearray(GOOD)
    at = raw.index(b"\x00\x02\x0e\x00")  # the record Dimensions of [MS-XLS] 2.4.90: first row, one past the last
    raw[at + 8 : at + 12] = b"\xff\xff\xff\x7f"
    return bytes(raw)


def texts_without_end() -> bytes:
    texts = '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" uniqueCount="4000000000"/>'
    return tables.added(tables.xlsx(["a"]), "xl/sharedStrings.xml", texts)


@pytest.mark.parametrize("raw", [rows_without_end(), texts_without_end()], ids=["rows", "texts"])
def test_a_number_that_no_memory_holds_ends_the_other_process_only(raw: bytes, capfd) -> None:
    with pytest.raises(NoTable, match=r"is no workbook that can be read.*\(CalledProcessError\)\. Save it again"):
        read(raw)
    assert capfd.readouterr() == ("", "")


def test_what_takes_too_long_or_cannot_be_started_is_said(monkeypatch) -> None:
    with (
        monkeypatch.context() as patch,
        pytest.raises(NoTable, match=r"was not read within 0 s, and left.*less to do"),
    ):
        patch.setattr(workbook_apart, "MOST_SECONDS", 0.001)
        workbook_apart.names(GOOD, "f.xls")
    with monkeypatch.context() as patch, pytest.raises(NoTable, match="FileNotFoundError"):
        patch.setattr(sys, "executable", "/there/is/no/python")
        workbook_apart.names(GOOD, "f.xls")


def test_whoever_leaves_ends_the_other_process(monkeypatch) -> None:
    begun: list[subprocess.Popen[bytes]] = []

    class _Seen(subprocess.Popen):  # type: ignore[type-arg]
        def __init__(self, *args: object, **how: object) -> None:
            super().__init__(*args, **how)  # type: ignore[call-overload]
            begun.append(self)

    def leave(*_: object) -> None:
        raise KeyError

    monkeypatch.setattr(subprocess, "Popen", _Seen)
    with pytest.raises(KeyError):
        workbook_apart.read(GOOD, "f.xls", None, 100, leave)
    assert [process.poll() for process in begun] == [-9]


def test_nothing_that_lies_in_the_folder_is_run(tmp_path: Path, monkeypatch) -> None:
    (tmp_path / "json.py").write_text("raise SystemExit(3)")
    (tmp_path / "python_calamine.py").write_text("raise SystemExit(3)")
    monkeypatch.chdir(tmp_path)
    assert workbook_apart.names(GOOD, "f.xls") == ["Sheet"]


def test_a_large_workbook_is_read_though_the_other_process_is_slow_to_begin(monkeypatch: pytest.MonkeyPatch) -> None:
    """More than a pipe holds, taken only after many looks at whether somebody still waits."""
    monkeypatch.setattr(workbook_apart, "PATIENCE", 0.001)
    monkeypatch.setattr(workbook_apart, "MOST_SECONDS", 60.0)
    looks: list[str] = []
    late = "import sys, time; time.sleep(0.05); print(len(sys.stdin.buffer.read()))"
    written = workbook_apart._run([sys.executable, "-c", late], b"x" * 300_000, lambda what, *_: looks.append(what))
    assert written.strip() == b"300000" and len(looks) > 1
