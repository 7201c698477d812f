"""A table as a workbook, read with another library: numbers are numbers, signs are no formulas, bytes stay the same."""

from __future__ import annotations

import io

import openpyxl

from inspect_tui.report.paper.table_xlsx import WIDEST, workbook

HEADS = ("what", "wanted_mm", "done")
ROWS = [["=1+1", 60.6, True], ["http://x.example", None, False], ["007", 3, None]]


def test_cells_are_what_they_were() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook("sheet one", HEADS, ROWS)))
    page = book.active
    assert page is not None and book.sheetnames == ["sheet one"]
    cells = [[cell.value for cell in row] for row in page.iter_rows()]
    assert cells == [list(HEADS), ["=1+1", 60.6, "yes"], ["http://x.example", None, "no"], ["007", 3, None]]
    assert [cell.data_type for cell in page["A"][1:]] == ["s", "s", "s"]  # a text, never computed
    assert page.freeze_panes == "A2" and page["A2"].hyperlink is None


def test_columns_are_as_wide_as_what_stands_in_them() -> None:
    book = openpyxl.load_workbook(io.BytesIO(workbook("s", ("a", "b", "c"), [["x" * 20, "y", "z" * 200]])))
    assert book.active is not None
    wide = [round(book.active.column_dimensions[name].width) for name in "ABC"]
    assert wide[0] in (21, 22) and wide[1] in (8, 9) and wide[2] in (WIDEST, WIDEST + 1)


def test_the_same_table_gives_the_same_bytes() -> None:
    assert workbook("s", HEADS, ROWS) == workbook("s", HEADS, iter(ROWS))


def test_it_is_one_page_wide_when_printed_and_says_its_heads_on_each() -> None:
    page = openpyxl.load_workbook(io.BytesIO(workbook("s", HEADS, ROWS))).active
    assert page is not None and page.sheet_properties.pageSetUpPr is not None
    assert page.sheet_properties.pageSetUpPr.fitToPage
    assert (page.page_setup.fitToWidth, page.page_setup.fitToHeight) in ((1, 0), (None, 0))
    assert page.page_setup.orientation == "landscape" and page.print_title_rows == "$1:$1"
