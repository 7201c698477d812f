"""The record as it was: what came later is not seen, and nothing can be written through the window."""

from __future__ import annotations

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.record.frontier import reader_at
from inspect_tui.shop.common import find
from tests.conftest import SmallShop
from tests.record.ask.test_first_article import casting, read


def test_what_came_after_the_frontier_is_not_seen(shop: SmallShop) -> None:
    item = casting(shop)
    first = read(shop, item, "F2", 40.0)
    frontier, heads = shop.record.frontier(), shop.record.heads()
    job = find.job(shop.record, "SV-12")
    later = read(shop, item, "F3", 210.0)
    shop.record.void(first.id, "misread", "found wrong afterwards")
    shop.record.revise(job, name="another name")
    with reader_at(shop.path, frontier) as then:
        assert [one.id for one in then.taken([item.id])] == [first.id]  # the void lies beyond
        assert then.job(job.of_id).name == "stove box"
        assert then.heads() == heads
        assert then.frontier() == frontier
        assert then.reading(later.id) is None
    assert [one.id for one in shop.record.taken([item.id])] == [later.id]


def test_every_recorded_table_is_behind_the_window(shop: SmallShop) -> None:
    only_the_device = {device: 1 for device in shop.record.frontier()}
    with reader_at(shop.path, only_the_device) as then:
        counts = then.counts()
    assert counts.pop("device") == 1
    assert set(counts.values()) == {0}


def test_a_frontier_that_the_record_does_not_reach_is_refused(shop: SmallShop) -> None:
    (device,) = shop.record.frontier()
    with pytest.raises(RecordError, match="does not hold entry 99999"):
        reader_at(shop.path, {device: 99999})
    with pytest.raises(RecordError, match="fuller record"):
        reader_at(shop.path, {"00" * 16: 1})
    with pytest.raises(RecordError, match="32 hex digits"):
        reader_at(shop.path, {"not a device": 1})


def test_the_window_cannot_be_written_through(shop: SmallShop) -> None:
    with (
        reader_at(shop.path, shop.record.frontier()) as then,
        pytest.raises(Exception, match=r"readonly|read-only|modify"),
    ):
        then._con.execute("INSERT INTO main.lot SELECT * FROM main.lot")
