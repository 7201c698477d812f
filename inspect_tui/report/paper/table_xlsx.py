"""A table as a workbook of one sheet: heads that stay while it is scrolled, numbers as numbers, texts as they are.

Printed it lies on its side on the shop's paper and is one page wide, with its heads on every page.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from typing import Any

from inspect_tui.report.paper.html import need
from inspect_tui.shop.settings import file as settings

OPTIONS = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
SHEETS = {"A4": 9, "Letter": 1}  # as ECMA-376, Part 1, 18.3.1.63 numbers them
NARROWEST, WIDEST = 8, 40  # characters


def workbook(title: str, headings: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    """The whole file, the same bytes for the same table. PaperError where the library is missing."""
    library = need("xlsxwriter")
    out = io.BytesIO()
    cells = list(rows)
    with library.Workbook(out, OPTIONS) as book:
        book.set_properties({"created": datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)})
        head, plain = book.add_format({"bold": True, "bottom": 1}), book.add_format({"num_format": "General"})
        page = book.add_worksheet(title)
        for column, words in enumerate(headings):
            page.write_string(0, column, words, head)
            longest = max((len(str(row[column])) for row in cells if row[column] is not None), default=0)
            page.set_column(column, column, min(max(NARROWEST, len(words) + 1, longest + 1), WIDEST))
        page.freeze_panes(1, 0)
        page.set_landscape()
        page.set_paper(SHEETS[settings.paper()])
        page.fit_to_pages(1, 0)
        page.repeat_rows(0)
        write_rows(page, cells, plain)
    return out.getvalue()


def write_rows(page: Any, rows: Iterable[Sequence[object]], look: Any) -> None:
    """Every row below the heads: yes and no as words, numbers as numbers, the rest as text, nothing where None."""
    for line, row in enumerate(rows, start=1):
        for column, value in enumerate(row):
            if isinstance(value, bool):
                page.write_string(line, column, "yes" if value else "no", look)
            elif isinstance(value, int | float):
                page.write_number(line, column, value, look)
            elif value is not None:
                page.write_string(line, column, str(value), look)
