"""Tables come in from workbooks as from text, at every command that takes one, with the sheet that is named."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.commands.conftest import Run
from tests.worlds import tables


def of_text(*rows: list[Any]) -> bytes:
    return "\n".join(";".join("" if cell is None else str(cell) for cell in row) for row in rows).encode()


KINDS = {"f.csv": of_text, "f.xlsx": tables.xlsx, "f.ods": tables.ods, "f.xls": tables.xls}
Make = Callable[..., bytes]
SIZES = [["nr", "width [in]"], [1, 2.5], [2, None], [3, 2.25], [4, 2.75]]


@pytest.mark.parametrize("name, make", KINDS.items())
def test_figures_of_a_column_are_the_same_in_every_kind_of_file(
    cli: Run, tmp_path: Path, name: str, make: Make
) -> None:
    (tmp_path / name).write_bytes(make(*SIZES))
    told = json.loads(cli("stats", "--csv", str(tmp_path / name), "--column", "width", "--unit", "mm", "--json").out)
    assert (told["n"], told["missing"], told["mean"], told["unit"]) == (3, 1, pytest.approx(63.5), "mm")
    drawn = cli("chart", "--csv", str(tmp_path / name), "--column", "width")
    assert drawn.status == 0
    budget = json.loads(cli("budget", "--csv", str(tmp_path / name), "--column", "width", "--json").out)
    assert budget["value"] == pytest.approx(2.5)


@pytest.mark.parametrize("name, make", KINDS.items())
def test_a_study_is_read_from_every_kind_of_file(cli: Run, tmp_path: Path, name: str, make: Make) -> None:
    rows = [[part, who, n, 10.0 + 0.1 * part + 0.01 * n] for part in (1, 2, 3) for who in "ab" for n in (1, 2)]
    (tmp_path / name).write_bytes(make(["part", "person", "trial", "value [mm]"], *rows))
    assert json.loads(cli("gauge", "study", str(tmp_path / name), "--json").out)["unit"] == "mm"


def test_a_sheet_is_named_and_those_that_were_not_read_are_said(cli: Run, tmp_path: Path) -> None:
    raw = tables.xlsx(
        ["width"], [1], [2], also=lambda book: [book.create_sheet("B").append(row) for row in (["b"], [5])]
    )
    (tmp_path / "f.xlsx").write_bytes(raw)
    ran = cli("stats", "--csv", str(tmp_path / "f.xlsx"), "--column", "width", "--json")
    assert json.loads(ran.out)["mean"] == 1.5
    assert "only sheet Sheet was read, not B" in ran.err
    named = cli("stats", "--csv", str(tmp_path / "f.xlsx"), "--sheet", "b", "--column", "width")
    assert named.status == 2
    assert "There is no column width in f.xlsx; its columns are: b" in named.err
    assert "with --csv FILE" in cli("stats", "--on", "stick 1", "F1", "--sheet", "B").err
    text = tmp_path / "f.csv"
    text.write_text("width\n1\n")
    assert (
        "is plain text and has no sheets. Leave the sheet B out."
        in cli("stats", "--csv", str(text), "--column", "width", "--sheet", "B").err
    )


def test_what_is_no_table_is_said_with_status_2(cli: Run, tmp_path: Path) -> None:
    (tmp_path / "f.xlsx").write_bytes(b"PK\x03\x04 not packed")
    for words in (
        ("stats", "--csv", str(tmp_path / "f.xlsx"), "--column", "width"),
        ("budget", "--csv", str(tmp_path / "f.xlsx")),
        ("gauge", "study", str(tmp_path / "f.xlsx")),
        ("stats", "--csv", "/dev/zero", "--column", "width"),
    ):
        ran = cli(*words)
        assert ran.status == 2
        assert "is no workbook that can be read" in ran.err or "is a pipe or a device" in ran.err
