"""The first article as a workbook: real numbers, filters, frozen heads; text that looks like a formula stays text."""

from __future__ import annotations

import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Any

from inspect_tui.report.first_article import rows, sheets
from inspect_tui.report.paper.html import need
from inspect_tui.report.words import visible

Plain = Mapping[str, Any]

WIDE = {
    "name": 30,
    "ends": 20,
    "words": 60,
    "sentence": 60,
    "reason": 40,
    "notes": 30,
    "why": 50,
    "question": 40,
    "corrected": 26,
    "reference": 22,
    "casting_words": 44,
    "chain_head": 30,
    "band_source": 20,
    "value": 12,
}
PERCENT = ("p_conform", "probability", "p_meets", "p_cleans_up", "share")
RATIOS = ("plan", "found", "u_found")
OPTIONS = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


class _Book:
    """The workbook with its few formats."""

    def __init__(self, target: io.BytesIO, plain: Plain) -> None:
        self.book = need("xlsxwriter").Workbook(target, OPTIONS)
        base = {"font_name": "Arial", "font_size": 9, "valign": "top"}
        self.head = self.book.add_format({**base, "bold": True, "bottom": 2, "text_wrap": True, "bg_color": "#E9E9E9"})
        self.plain = self.book.add_format(base)
        self.bold = self.book.add_format({**base, "bold": True})
        self.wrap = self.book.add_format({**base, "text_wrap": True})
        self.figure = self.book.add_format({**base, "num_format": "0.000"})
        self.percent = self.book.add_format({**base, "num_format": "0.0 %"})
        self.ratio = self.book.add_format({**base, "num_format": "0.000 %"})
        self.bad = self.book.add_format({**base, "bold": True, "font_color": "#A5140F"})
        self.doubt = self.book.add_format({**base, "bold": True})
        day = plain["identity"]["measured_to"] or "2000-01-01"
        self.book.set_properties(
            {
                "title": f"First article {visible(plain['identity']['round'])}",
                "created": datetime.fromisoformat(day[:10]).replace(tzinfo=UTC).replace(tzinfo=None),
            }
        )

    def sheet(self, name: str, headings: Sequence[str], lines: Iterable[Sequence[Any]]) -> None:
        """A sheet with a head that stays, a filter on every column and a row for each line."""
        sheet = self.book.add_worksheet(name)
        formats = [self._format(key) for key in headings]
        for column, key in enumerate(headings):
            sheet.write_string(0, column, key, self.head)
            sheet.set_column(column, column, WIDE.get(key, 11))
        last = 0
        for last, line in enumerate(lines, start=1):
            for column, value in enumerate(line):
                self._write(sheet, last, column, value, formats[column])
        sheet.freeze_panes(1, _frozen(headings))
        if last:
            sheet.autofilter(0, 0, last, len(headings) - 1)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.repeat_rows(0)

    def _format(self, key: str) -> Any:
        if key in PERCENT:
            return self.percent
        return self.ratio if key in RATIOS else self.figure

    def _write(self, sheet: Any, row: int, column: int, value: Any, number: Any) -> None:
        if value is None or value == "":
            return
        if isinstance(value, bool):
            sheet.write_string(row, column, "yes" if value else "no", self.plain)
        elif isinstance(value, int):
            sheet.write_number(row, column, value, self.plain)
        elif isinstance(value, float):
            sheet.write_number(row, column, value, number)
        else:
            text = str(value)
            style = self.bad if text == "does not conform" else self.doubt if text == "undecided" else self.plain
            sheet.write_string(row, column, visible(text)[:32767], style)

    def page(self, name: str, pairs: Iterable[tuple[str, Any]]) -> None:
        """A sheet of names and values, for reading."""
        sheet = self.book.add_worksheet(name)
        sheet.set_column(0, 0, 26)
        sheet.set_column(1, 1, 96)
        for row, (key, value) in enumerate(pairs):
            sheet.write_string(row, 0, key, self.bold)
            if isinstance(value, int | float) and not isinstance(value, bool):
                sheet.write_number(row, 1, value, self.plain)
            elif value is not None:
                sheet.write_string(row, 1, visible(str(value)), self.wrap)


def _frozen(headings: Sequence[str]) -> int:
    """Columns that stay when the sheet is moved sideways: up to and with the balloon."""
    return headings.index("balloon") + 1 if "balloon" in headings else 1


def content(plain: Plain) -> bytes:
    """The workbook; dated by the newest reading, so that the same result is the same file."""
    out = io.BytesIO()
    book = _Book(out, plain)
    book.page("Report", sheets.report(plain))
    book.sheet("Features", sheets.FEATURES, sheets.features(plain))
    book.sheet("Readings", rows.COLUMNS, rows.readings(plain))
    for name, headings, lines in sheets.more(plain):
        if lines:
            book.sheet(name, headings, lines)
    book.book.close()
    return out.getvalue()
