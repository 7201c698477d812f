"""A count typed at the bench: with its way, day and lot, or with a sentence that says why not."""

from __future__ import annotations

from inspect_tui.shop.trends.counts import entry as counts_entry
from tests.shop.trends.counts.test_counter import (
    TODAY,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox


def test_a_typed_count_may_name_its_lot(worn: WornBox) -> None:
    worn.lot("L1", "2025-01-06")
    found = counts_entry.read_count(
        worn.record, worn.job, worn.box, {"count": "40", "way": "made", "on_date": "2025-01-06", "lot": "L1"}, TODAY
    )
    assert found.thing is not None and found.thing.lot_id == worn.lots["L1"].id
    for values, sentence in (
        ({"count": "many"}, "whole number"),
        ({"count": "1", "way": "odd"}, "one of total, made, restart"),
        ({"count": "1", "on_date": "6/1/2025"}, "may be two days"),
        ({"count": "1", "lot": "L9"}, "no lot"),
    ):
        assert sentence in counts_entry.read_count(worn.record, worn.job, worn.box, values, TODAY).wrong
