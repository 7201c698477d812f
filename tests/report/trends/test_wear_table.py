"""The wear list as a table: every figure under its head, what has no end left empty."""

from __future__ import annotations

import csv
import io
from math import inf
from pathlib import Path

import openpyxl
import pytest

from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.trends.wear_table import HEADS, cells, make, write
from inspect_tui.shop.trends.fleet import FleetLine
from tests.worlds.trend_rows import kept_trend

LINE = FleetLine(
    kept=kept_trend(rate=2e-5, high=inf, risk=0.25),
    weeks=10.0,
    weeks_low=7.0,
    weeks_high=None,
    due="2026-05-01",
    worst="2026-04-10",
)


def test_each_figure_stands_under_its_head() -> None:
    row = dict(zip(HEADS, cells([LINE])[0], strict=True))
    assert [row[h] for h in ("tool", "size", "name", "unit", "readings")] == ["box 1", "F1", "width", "mm", 40]
    assert [row[h] for h in ("now", "target", "limit", "wear of 1000")] == [80.9, 80.8, 81.4, pytest.approx(0.02)]
    assert [row[h] for h in ("made a week", "left", "left at least", "left at most")] == [100.0, 1000.0, 700.0, None]
    assert [row[h] for h in ("day of the limit", "at worst", "risk in four weeks")] == [
        "2026-05-01",
        "2026-04-10",
        0.25,
    ]
    assert row["out of use since"] is None and row["what it says"] == "1 000 left, 700 at worst"


def test_figures_are_figures_in_both_forms(tmp_path: Path) -> None:
    page = openpyxl.load_workbook(io.BytesIO(make([LINE], "xlsx"))).active
    assert page is not None and [cell.value for cell in page[1]] == list(HEADS)
    assert page["F2"].value == 80.9 and page["F2"].data_type == "n"
    (row,) = csv.DictReader(io.StringIO(make([LINE], "csv").decode("utf-8"), newline=""))
    assert row["limit"] == "81.4" and row["left at most"] == ""
    assert write([LINE], tmp_path / "w.csv").read_bytes() == make([LINE], "csv")
    with pytest.raises(PaperError, match="left as it is"):
        write([LINE], tmp_path / "w.csv")
    with pytest.raises(PaperError, match=r"\.xlsx, \.csv"):
        write([LINE], tmp_path / "w.pdf")
