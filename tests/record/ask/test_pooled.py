"""Tests of: the newest readings of lengths with all that tells whose they are and of what."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.model.measuring import Calibration, Reading
from inspect_tui.model.work import Feature
from inspect_tui.record.ask import pooled
from tests.worlds.many_hands import ManyHands, shop


@pytest.fixture
def many(tmp_path: Path) -> ManyHands:
    return shop(tmp_path / "many.db", boxes=1, of_each=2, of_castings=1)


def test_the_newest_readings_come_first_with_the_tool_or_the_item_and_the_day(many: ManyHands) -> None:
    on_box, on_casting = many.read([(0, 3, 0, 1, 40.4), (2, 5, 1, 2, 30.1)])
    casting, box = pooled.readings(many.record, 10)
    assert (casting.id, casting.item_id, casting.tool_of_id) == (on_casting.id, many.items[5].id, None)
    assert (box.id, box.item_id, box.tool_of_id, box.value) == (on_box.id, None, many.tools[0].of_id, 40.4)
    assert casting.at_us - box.at_us == 2 * 86_400_000_000  # the days that were said, not the day it was logged
    assert pooled.readings(many.record, 1) == [casting]
    assert pooled.count_of_readings(many.record) == 2


def test_what_is_void_or_no_length_is_left_out(many: ManyHands) -> None:
    first, second = many.read([(0, 3, 0, 1, 40.4), (0, 4, 0, 1, 40.5)])
    many.record.void(first.id, "misread", "upside down", by=many.by)
    angle = many.record.add(
        Feature(
            revision_id=many.drawing.id, balloon="A1", name="draft", axis="x", nominal=3.0, quantity="angle", lower=2.0
        ),
        by=many.by,
    )
    (casting,) = many.read([(2, 4, 0, 1, 30.2)])
    on = {"setup_id": casting.setup_id, "item_id": casting.item_id}
    many.record.append_reading(Reading(feature_id=angle.id, value=3, typed="3", **on))
    assert [row.id for row in pooled.readings(many.record, 10)] == [casting.id, second.id]
    assert pooled.count_of_readings(many.record) == 4


def test_a_setup_tells_person_gauge_day_and_certificate(many: ManyHands) -> None:
    many.read([(0, 3, 0, 1, 40.4)])
    setup = many.setups[3, 0, 1]
    told = pooled.used_by(many.record, [setup.id])
    assert told == {setup.id: pooled.UsedBy(many.people[1].of_id, many.gauges[0].of_id, "2025-01-09", None, None)}
    assert pooled.used_by(many.record) == told
    assert pooled.used_by(many.record, []) == {}


def test_adjustings_sizes_and_items_are_listed(many: ManyHands) -> None:
    many.read([(2, 5, 1, 2, 30.1)])
    gauge = many.gauges[1].of_id
    for day in ("2025-03-01", "2025-02-01"):
        many.record.add(Calibration(instrument_of_id=gauge, done_on=day, u95_mm=0.04, result="adjusted"), many.by)
    assert pooled.adjusted(many.record) == {gauge: ["2025-02-01", "2025-03-01"]}
    assert pooled.feature_rows(many.record)[many.cast[0].id] == pooled.FeatureRow(many.job.of_id, None, 30.0)
    assert pooled.made_by(many.record) == {many.items[5].id: ("casting", None)}


def test_there_is_something_to_compare_from_two_people_two_gauges_or_an_adjusting_on(many: ManyHands) -> None:
    assert pooled.several_hands(many.record)
