"""What is due to be measured again, by wear and by what was made since."""

from __future__ import annotations

from datetime import date

import pytest

from inspect_tui.shop.common import find
from inspect_tui.shop.measuring import due
from inspect_tui.shop.trends import kept
from tests.conftest import SmallShop
from tests.worlds.trend_rows import kept_trend


def test_half_of_what_was_left_in_the_worst_case_makes_a_size_due(
    monkeypatch: pytest.MonkeyPatch, shop: SmallShop
) -> None:
    tool = find.subject(shop.record, find.job(shop.record, None), "stick 1").tool
    assert tool
    row = kept_trend(tool_of_id=tool.of_id, last_day=date(2026, 1, 1).toordinal(), per_week=50.0)
    rows = [
        row._replace(balloon="A", low=1000.0),
        row._replace(balloon="B", low=190.0),
        row._replace(balloon="C", kind="past", low=None),
        row._replace(balloon="D", low=None, per_week=None),
        row._replace(balloon="E", source="casting"),
        row._replace(balloon="G", tool_of_id=b"x" * 16),
    ]
    monkeypatch.setattr(kept, "current", lambda reader: (rows, []))
    found = due.due(shop.record, tool, "2026-01-15")
    assert found["A"] == due.Due(
        100.0, False, "about 100 made since it was read; limit after 1 000 more at the earliest"
    )
    assert found["B"].by_wear and "due by wear: limit after 190 more" in found["B"].words
    assert found["C"].by_wear and found["C"].words.endswith("past its limit")
    assert sorted(found) == ["A", "B", "C"]
    assert due.first(found) == ["B", "C"]
