"""What samplings, imports and reports ask of the record, and the record as it stood at a frontier."""

from __future__ import annotations

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.model.first_article import DatumTarget, NotMeasurable, Realigned
from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.model.work import Item, Lot
from inspect_tui.record.frontier import reader_at
from inspect_tui.shop.common import find
from tests.conftest import SmallShop


def casting(shop: SmallShop, serial: str = "C1", label: str = "S1") -> Item:
    job = find.job(shop.record, "PB-12")
    lot = shop.record.add(Lot(job_of_id=job.of_id, label=label))
    return shop.record.add(Item(job_of_id=job.of_id, serial=serial, lot_id=lot.id))


def read(shop: SmallShop, item: Item, balloon: str, value: float) -> Reading:
    job = find.job(shop.record, "PB-12")
    revision = find.latest_revision(shop.record, job)
    feature = find.feature(shop.record.features(revision.id), balloon)
    session = shop.record.add(Session(kind="casting", job_of_id=job.of_id, revision_id=revision.id))
    setup = shop.record.add(Setup(session_id=session.id, person_id=shop.ab.id, instrument_id=shop.caliper.id))
    return shop.record.append_reading(
        Reading(setup_id=setup.id, feature_id=feature.id, item_id=item.id, value=value, typed=f"{value}")
    )


def test_only_readings_that_count_are_taken(shop: SmallShop) -> None:
    item = casting(shop)
    kept, wrong = read(shop, item, "F2", 40.0), read(shop, item, "F3", 21.0)
    shop.record.void(wrong.id, "misread", "typed wrong")
    assert [one.id for one in shop.record.taken([item.id])] == [kept.id]


def test_castings_of_a_lot_and_those_without_one_are_kept_apart(shop: SmallShop) -> None:
    item = casting(shop)
    job = find.job(shop.record, "PB-12")
    loose = shop.record.add(Item(job_of_id=job.of_id, serial="loose"))
    assert [one.serial for one in shop.record.castings(job.of_id, item.lot_id)] == ["C1"]
    assert [one.id for one in shop.record.castings(job.of_id, None)] == [loose.id]


def test_the_last_word_on_a_cell_that_cannot_be_measured_counts(shop: SmallShop) -> None:
    item = casting(shop)
    job = find.job(shop.record, "PB-12")
    feature = shop.record.features(find.latest_revision(shop.record, job).id)[0]
    shop.record.add(NotMeasurable(feature_id=feature.id, item_id=item.id, reason="beyond reach"))
    assert [one.reason for one in shop.record.not_measurable(job.of_id)] == ["beyond reach"]
    shop.record.add(NotMeasurable(feature_id=feature.id, item_id=item.id, reason="reached after all", holds=False))
    assert shop.record.not_measurable(job.of_id) == []


def test_a_realignment_and_a_datum_target_are_replaced_by_the_next_one(shop: SmallShop) -> None:
    item = casting(shop)
    job = find.job(shop.record, "PB-12")
    shop.record.add(Realigned(item_id=item.id, pivot_mm=60.0, slope=-0.001, why="tilted"))
    shop.record.add(Realigned(item_id=item.id, pivot_mm=60.0, slope=-0.002, why="looked again"))
    assert [one.slope for one in shop.record.realigned([item.id])[item.id]] == [-0.002]
    shop.record.add(DatumTarget(job_of_id=job.of_id, label="A1", axis="z", x_mm=60.0))
    shop.record.add(DatumTarget(job_of_id=job.of_id, label="A1", axis="z", x_mm=65.0))
    assert [one.x_mm for one in shop.record.datum_targets(job.of_id)] == [65.0]


# ------------------------------------------------------------------------------ the frontier
def test_what_came_after_the_frontier_is_not_seen(shop: SmallShop) -> None:
    item = casting(shop)
    first = read(shop, item, "F2", 40.0)
    frontier, heads = shop.record.frontier(), shop.record.heads()
    job = find.job(shop.record, "PB-12")
    later = read(shop, item, "F3", 210.0)
    shop.record.void(first.id, "misread", "found wrong afterwards")
    shop.record.revise(job, name="another name")
    with reader_at(shop.path, frontier) as then:
        assert [one.id for one in then.taken([item.id])] == [first.id]  # the void lies beyond
        assert then.job(job.of_id).name == "pump bowl"
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
