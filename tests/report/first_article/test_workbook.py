"""The workbook: numbers stay numbers, heads stay in sight, no text becomes a formula or a link."""

from __future__ import annotations

import io

import openpyxl
import pytest

from inspect_tui.report.first_article.forms import make
from tests.worlds.hostile import TEXTS, everywhere
from tests.worlds.report_samples import plain

PLAIN = plain(24, 3)
FEW = plain(3, 2)


def test_the_workbook_has_numbers_filters_and_frozen_heads() -> None:
    book = openpyxl.load_workbook(io.BytesIO(make(PLAIN, "xlsx")))
    assert book.sheetnames[:3] == ["Report", "Features", "Readings"]
    sheet = book["Readings"]
    assert sheet.freeze_panes == "F2" and sheet.auto_filter.ref.startswith("A1:")
    head = [cell.value for cell in sheet[1]]
    for name in ("as_cast", "value", "U", "p_conform"):
        column = head.index(name) + 1
        kinds = {sheet.cell(row, column).data_type for row in range(2, sheet.max_row + 1)}
        assert kinds == {"n"}, name
    assert book["Features"].max_row == len(PLAIN["features"]) + 1


@pytest.mark.parametrize("text", TEXTS)
def test_xlsx_gives_every_text_back_and_has_no_formula(text: str) -> None:
    book = openpyxl.load_workbook(io.BytesIO(make(everywhere(FEW, text), "xlsx")))
    head = [cell.value for cell in next(book["Readings"].iter_rows())]
    column = head.index("name")
    assert {row[column].value for row in book["Readings"].iter_rows(min_row=2)} == {text}
    for sheet in book:
        assert not sheet._hyperlinks
        for row in sheet.iter_rows():
            assert all(cell.data_type in ("s", "n") for cell in row)
