"""A table of any length as CSV: no cell that a spreadsheet takes for a formula, no row held."""

from __future__ import annotations

import csv
from pathlib import Path

from inspect_tui.report.export import folder
from tests.report.export.test_folder import (
    _no_views,  # noqa: F401  a fixture
    written,
)


def test_no_cell_of_text_begins_like_a_formula(tmp_path: Path) -> None:
    written(tmp_path / "out")
    with (tmp_path / "out" / folder.CSV).open(newline="", encoding="utf-8") as file:
        cells = [row[1] for row in csv.reader(file)]
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r", "＝"))]
    assert "'=1+1" in cells
