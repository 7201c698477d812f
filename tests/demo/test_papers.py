"""The files of the invented shop say what its sheets say, and are read as files of castings, tools, checks and counts."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from inspect_tui.demo import papers
from inspect_tui.demo.sheets import Sheets, generate


@pytest.fixture(scope="module")
def sheets() -> Sheets:
    return generate()


def read(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.read_text("utf-8").splitlines()))


def test_a_line_of_a_sheet_of_castings_is_a_line_of_the_file_and_a_blank_stays_blank(
    sheets: Sheets, tmp_path: Path
) -> None:
    blank = next(row for row in sheets.production if row.value is None)
    warm = next(row for row in sheets.sampling if row.work_c > 40)
    angle = next(row for row in sheets.sampling if row.balloon == "F63")
    lines = read(papers.castings(tmp_path, "x.csv", [blank, warm, angle]))
    assert [line["value"] for line in lines] == ["", warm.typed, angle.typed]
    assert [line["unit"] for line in lines] == ["mm", "mm", "deg"]
    assert [line["temperature"] for line in lines] == ["20", "45", "20"]
    assert [(line["serial"], line["by"], line["instrument"]) for line in lines] == [
        (row.on, row.person, row.instrument) for row in (blank, warm, angle)
    ]


def test_tools_and_checks_carry_their_day_and_counts_their_lot(sheets: Sheets, tmp_path: Path) -> None:
    (line,) = read(papers.tools(tmp_path, "t.csv", sheets.rework[:1]))
    assert (line["tool"], line["day"]) == (sheets.rework[0].on, sheets.rework[0].day.isoformat())
    (line,) = read(papers.checks(tmp_path, "c.csv", sheets.checks[:1], "block", "50", "0.002"))
    assert line["reading"] == sheets.checks[0].typed and line["gauge"] == "CAL1" and line["person"] == "B1"
    assert (line["piece"], line["size"], line["u"]) == ("block", "50", "0.002")
    (line,) = read(papers.counts(tmp_path, "n.csv", "box 3", [("2024-01-02", 40, "L001")]))
    assert line == {"tool": "box 3", "date": "2024-01-02", "made": "40", "lot": "L001"}
