"""Earlier readings are put right at the Bench: by the same gauge, on the size that they were meant for, once."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.bench import earlier
from inspect_tui.shop.common import find
from tests.conftest import SmallShop


def test_a_reading_is_typed_right_in_its_own_unit_and_the_first_stays_struck(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.set_instrument(find.instrument(shop.record, "inch caliper"))
    bench.goto("F1")
    bench.take("2.346")
    bench.set_instrument(shop.caliper)
    ((balloon, row),) = earlier.readings(bench)
    assert balloon == "F1"
    assert earlier.put_right(bench, row, "2.347", shop.ab) == pytest.approx(2.347 * 25.4)
    new, old = (row for _, row in earlier.readings(bench))
    assert (old.out, new.out, new.instrument) == (True, False, "inch caliper")
    task = bench.tasks[bench.index_of("F1") or 0]
    assert task.n == 1 and task.last == pytest.approx(2.347 * 25.4)
    assert bench.void_last() is None  # it is not what this stay logged any more
    with pytest.raises(DataError, match="does not count"):
        earlier.put_right(bench, old, "2.348", shop.ab)


def test_a_reading_moves_to_the_size_it_was_meant_for(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("40.41")
    bench.take("")  # kept on F1, by mistake
    ((_, row),) = earlier.readings(bench)
    with pytest.raises(DataError, match="stands on F1 already"):
        earlier.move(bench, row, "F1", shop.ab)
    with pytest.raises(DataError, match="F99 is not"):
        earlier.move(bench, row, "F99", shop.ab)
    task = earlier.move(bench, row, "F2", shop.ab)
    assert (task.feature.balloon, task.last, task.n) == ("F2", 40.41, 1)
    assert task.odd == ()  # it was asked about on F1, and lies where F2 is made
    assert bench.tasks[bench.index_of("F1") or 0].state == "to measure"
    (new,) = shop.record.readings(include_void=False)
    assert new.reading.tool_feature_id == task.sizes.tool_feature.id if task.sizes.tool_feature else False
    old = next(row for row in shop.record.readings() if row.out)
    assert old.supersede and (old.supersede.reason, old.supersede.why) == ("wrong_feature", "meant for F2")


def test_a_reading_is_taken_back_and_its_size_is_to_be_measured(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    ((_, row),) = earlier.readings(bench)
    earlier.take_back(bench, row, "jaws dirty", shop.ab)
    assert bench.tasks[bench.index_of("F1") or 0].open
    ((_, row),) = earlier.readings(bench)
    assert row.out and row.supersede and row.supersede.why == "jaws dirty"
    with pytest.raises(DataError):
        earlier.take_back(bench, row, "again", shop.ab)


@pytest.mark.parametrize("text", ["abc", "59.6 59.7", ""])
def test_what_is_not_one_size_puts_nothing_right(shop: SmallShop, text: str) -> None:
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    ((_, row),) = earlier.readings(bench)
    with pytest.raises(DataError):
        earlier.put_right(bench, row, text, shop.ab)
    assert len(shop.record.readings()) == 1
