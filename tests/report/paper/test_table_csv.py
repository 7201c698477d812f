"""Cells of a CSV: the apostrophe against formulas goes on and off exactly once."""

from __future__ import annotations

from inspect_tui.report.paper.table_csv import guarded, unguarded
from tests.worlds.hostile import STEERING, TEXTS


def test_the_apostrophe_goes_on_and_off_exactly_once() -> None:
    for text in (*TEXTS, *STEERING, "", "'", "''=x", "plain"):
        assert unguarded(guarded(text)) == text
