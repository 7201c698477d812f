"""A job as a workbook, or as a folder of CSV files: a sheet for each kind of row, heads that stay."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from inspect_tui.errors import JobFileError
from inspect_tui.report.export import csv_file
from inspect_tui.report.paper.html import need
from inspect_tui.report.paper.table_xlsx import write_rows
from inspect_tui.shop.jobs.job_tables import Sheet
from inspect_tui.todo import Todo

OPTIONS = {"strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
WIDTH = {"what": 24, "value": 40, "name": 24, "note": 24}  # characters; other columns as wide as their head


def workbook(target: Path, sheets: Sequence[Sheet]) -> None:
    """Write the workbook whole under its name. JobFileError where a file is there, PaperError without the library."""
    library = need("xlsxwriter")
    _refuse_over(target)
    temporary = target.with_name(f".{target.name}.new")
    try:
        with library.Workbook(temporary, OPTIONS) as book:
            head, plain = book.add_format({"bold": True, "bottom": 1}), book.add_format({"num_format": "General"})
            for sheet in sheets:
                page = book.add_worksheet(sheet.name)
                for column, words in enumerate(sheet.heads):
                    page.write_string(0, column, words, head)
                    page.set_column(column, column, WIDTH.get(words, max(9, len(words) + 1)))
                page.freeze_panes(1, 1)
                write_rows(page, sheet.rows, plain)
        temporary.replace(target)
    finally:
        temporary.unlink(missing_ok=True)


def folder(target: Path, sheets: Sequence[Sheet]) -> None:
    """Write one CSV for each sheet that says something into a new folder. JobFileError where it is there."""
    _refuse_over(target)
    target.mkdir(parents=True)
    for sheet in sheets:
        if sheet.rows:
            csv_file.write(target / f"{sheet.name}.csv", sheet.heads, sheet.rows)


def _refuse_over(target: Path) -> None:
    if target.exists():
        raise JobFileError(f"{target} is there already; nothing was written.", todo=Todo.UPDATE_FILE)
