"""The rows of CSV and workbook: every text comes back, and none begins like a formula."""

from __future__ import annotations

import pytest

from inspect_tui.report.first_article.forms import make
from inspect_tui.report.first_article.rows import COLUMNS
from inspect_tui.report.paper.table_csv import unguarded
from tests.worlds.hostile import TEXTS, everywhere
from tests.worlds.paper_readers import csv_rows
from tests.worlds.report_samples import plain

PLAIN = plain(24, 3)


@pytest.mark.parametrize("text", TEXTS)
def test_csv_gives_every_text_back_and_no_cell_begins_like_a_formula(text: str) -> None:
    content = make(everywhere(PLAIN, text), "csv")
    for row in csv_rows(content):
        assert unguarded(row["name"]) == text and unguarded(row["notes"]) == text and unguarded(row["job"]) == text
        for name, cell in row.items():
            if cell[:1] in tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20") and cell:
                assert name in COLUMNS and float(cell) < 0.0  # our own number
    assert content.startswith(b"job,drawing,") and b"\r\n" in content
