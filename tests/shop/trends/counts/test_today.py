"""The day for which is forecast: this machine's, but never before the last count."""

from __future__ import annotations

from datetime import date

from inspect_tui.shop.trends.counts.today import later, machine_day


def test_today_is_the_machines_day_and_no_count_lies_after_it() -> None:
    assert date.fromisoformat(machine_day()) <= date.today()
    counted = date(2025, 3, 1).toordinal()
    assert later("2025-02-01", counted) == "2025-03-01" and later("2025-04-01", counted) == "2025-04-01"
    assert later("2025-04-01", None) == "2025-04-01"
