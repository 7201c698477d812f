"""Pages of a kit as text: symbols and words stand beside the colours."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.record.store import Record
from inspect_tui.report.term import kit_pages as term_kit_pages
from inspect_tui.shop.kit import check as kit
from tests.worlds.kit_jobs import two_cores


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as opened:
        yield opened


def test_symbols_and_words_stand_beside_the_colours(record: Record) -> None:
    made = two_cores(record)
    made.read("box 1", {"K2-S": 39.0})
    made.read("box 2", {"K2-P": 40.0})
    check = kit.check(record, made.job)
    text = term_kit_pages.summary(check, 60).plain
    assert text.startswith("✗ 1 thing against the kit as it is")
    row = next(line.plain for key, line in term_kit_pages.fit_rows(check, 60) if "K2" in line.plain)
    assert row.startswith("✗ K2") and "does not go" in row
