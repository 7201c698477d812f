"""The first article as CSV: one row for each feature on each casting, every figure at full precision."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inspect_tui.report.first_article import rows
from inspect_tui.report.paper import table_csv as paper_csv


def content(plain: Mapping[str, Any]) -> bytes:
    """The table as RFC 4180, UTF-8."""
    return paper_csv.table(rows.COLUMNS, rows.readings(plain))
