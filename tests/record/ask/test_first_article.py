"""Questions of a sampling: what counts, of which castings, and the last word on a cell."""

from __future__ import annotations

from inspect_tui.model.first_article import DatumTarget, NotMeasurable, Realigned
from inspect_tui.model.measuring import Reading, Session, Setup
from inspect_tui.model.work import Item, Lot
from inspect_tui.shop.common import find
from tests.conftest import SmallShop


def casting(shop: SmallShop, serial: str = "C1", label: str = "S1") -> Item:
    job = find.job(shop.record, "SV-12")
    lot = shop.record.add(Lot(job_of_id=job.of_id, label=label))
    return shop.record.add(Item(job_of_id=job.of_id, serial=serial, lot_id=lot.id))


def read(shop: SmallShop, item: Item, balloon: str, value: float) -> Reading:
    job = find.job(shop.record, "SV-12")
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
    job = find.job(shop.record, "SV-12")
    loose = shop.record.add(Item(job_of_id=job.of_id, serial="loose"))
    assert [one.serial for one in shop.record.castings(job.of_id, item.lot_id)] == ["C1"]
    assert [one.id for one in shop.record.castings(job.of_id, None)] == [loose.id]
    core = shop.record.add(Item(job_of_id=job.of_id, serial="core", kind="core"))
    by_lot = shop.record.all_castings(job.of_id)
    assert {lot: [one.serial for one in castings] for lot, castings in by_lot.items()} == {
        item.lot_id: ["C1"],
        None: ["loose"],
    }
    assert core.id not in {one.id for castings in by_lot.values() for one in castings}


def test_every_version_of_every_tools_features_is_read_at_once(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    tool = shop.record.tools(job.of_id)[0]
    old = shop.record.tool_features(tool.of_id)[0]
    shop.record.revise(old, upper=(old.upper or 0.0) + 1.0)
    every = shop.record.all_tool_features(job.of_id, shop.record.tool_versions(job.of_id))
    assert every.keys() == {one.of_id for one in shop.record.tools(job.of_id) if shop.record.tool_features(one.of_id)}
    for of_id, versions in every.items():
        assert sorted(versions, key=lambda v: v.id) == sorted(
            shop.record.tool_features(of_id, old=True), key=lambda v: v.id
        )


def test_the_last_word_on_a_cell_that_cannot_be_measured_counts(shop: SmallShop) -> None:
    item = casting(shop)
    job = find.job(shop.record, "SV-12")
    feature = shop.record.features(find.latest_revision(shop.record, job).id)[0]
    shop.record.add(NotMeasurable(feature_id=feature.id, item_id=item.id, reason="beyond reach"))
    assert [one.reason for one in shop.record.not_measurable(job.of_id)] == ["beyond reach"]
    shop.record.add(NotMeasurable(feature_id=feature.id, item_id=item.id, reason="reached after all", holds=False))
    assert shop.record.not_measurable(job.of_id) == []


def test_a_realignment_and_a_datum_target_are_replaced_by_the_next_one(shop: SmallShop) -> None:
    item = casting(shop)
    job = find.job(shop.record, "SV-12")
    shop.record.add(Realigned(item_id=item.id, pivot_mm=60.0, slope=-0.001, why="tilted"))
    shop.record.add(Realigned(item_id=item.id, pivot_mm=60.0, slope=-0.002, why="looked again"))
    assert [one.slope for one in shop.record.realigned([item.id])[item.id]] == [-0.002]
    shop.record.add(DatumTarget(job_of_id=job.of_id, label="A1", axis="z", x_mm=60.0))
    shop.record.add(DatumTarget(job_of_id=job.of_id, label="A1", axis="z", x_mm=65.0))
    assert [one.x_mm for one in shop.record.datum_targets(job.of_id)] == [65.0]
