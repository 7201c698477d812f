"""The life of a dimension and of a tool: predicted against obtained, station by station; and where things are."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.model.work import Item, Lot
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import life_story
from inspect_tui.shop.kit.facts import KitFacts
from tests.shop.kit.test_cores import core_job
from tests.worlds.kit_jobs import Kit


@pytest.fixture
def record(tmp_path: Path):
    with Record.open(tmp_path / "life.db", create=True) as opened:
        yield opened


def data(made: Kit) -> KitFacts:
    return KitFacts(made.record, made.job)


# ------------------------------------------------------------------------------ a dimension
def test_the_whole_way_from_layout_to_the_next_casting_is_told(record: Record) -> None:
    made = core_job(record)
    made.read("stick 1", {"W": 101.0})
    made.read("box 1", {"W": 100.88})  # 0.12 % smaller: as the resin does
    made.read("box 1", {"W": 101.0})
    for serial in ("1", "2"):
        made.read(
            record.add(Item(job_of_id=made.job.of_id, kind="core", serial=f"C{serial}", core_id=made.core[1].id)),
            {"W": 101.02},
        )
    for serial in ("1", "2"):
        made.read(made.casting(serial), {"W": 100.02})
    told = life_story.story(data(made), "w")
    assert [s.stage.kind for s in told.stations] == ["layout", "stick", "box", "correction", "core", "casting"]
    assert told.stations[2].stage.predicted.value == pytest.approx(101.0 * (1 - 0.0012))
    assert told.stations[3].correction == "was to change by +0.12, changed by +0.12: as wanted"
    assert told.stations[4].stage.predicted.value == pytest.approx(101.0)
    assert told.stations[5].stage.predicted.value == pytest.approx(100.0)
    assert told.life.first_off is None
    assert "as predicted at all" in told.sentence


def test_where_it_left_its_course_is_the_first_station_that_differs(record: Record) -> None:
    made = core_job(record)
    made.read("stick 1", {"W": 101.0})
    made.read("box 1", {"W": 100.88})
    for serial in ("1", "2"):
        made.read(made.casting(serial), {"W": 97.4})  # somebody dressed the box and did not say
    told = life_story.story(data(made), "W")
    assert told.life.first_off.stage.kind == "casting"
    assert told.life.first_off.difference == pytest.approx(97.4 - 100.88 / 1.01, abs=0.01)
    assert "left its course at casting" in told.sentence


def test_a_reading_in_inches_does_not_pull_a_station_and_is_mentioned(record: Record) -> None:
    made = core_job(record)
    made.read("box 1", {"W": 101.0})
    lot = record.add(Lot(job_of_id=made.job.of_id, label="S"))
    for n, value in enumerate((100.0, 100.1, 99.9, 100.0 / 25.4)):
        item = record.add(Item(job_of_id=made.job.of_id, serial=f"T-{n}", lot_id=lot.id))
        made.read(item, {"W": value})
    told = life_story.story(data(made), "W")
    assert told.stations[-1].stage.obtained.value == pytest.approx(100.0)
    assert told.stations[-1].words == "4 castings, 1 left out as a slip"


def test_a_wall_between_cores_is_predicted_by_its_loop(record: Record) -> None:
    from tests.worlds.kit_jobs import two_cores

    made = two_cores(record)
    made.read(made.casting("1"), {"F1": 8.1})
    told = life_story.story(data(made), "F1")
    assert [s.stage.kind for s in told.stations] == ["casting"]
    assert told.stations[0].stage.predicted.value == pytest.approx(8.0)


def test_a_size_nobody_read_has_no_story_and_an_unknown_one_is_named(record: Record) -> None:
    made = core_job(record)
    told = life_story.story(data(made), "H")
    assert told.stations == ()
    assert "nothing to compare yet" in told.sentence
    with pytest.raises(NotFound, match="Q is not"):
        life_story.story(data(made), "Q")


def test_production_comes_in_blocks_and_a_sampling_by_itself(record: Record) -> None:
    made = core_job(record)
    made.read("box 1", {"W": 101.0})
    lot = record.add(Lot(job_of_id=made.job.of_id, label="S"))
    sampling = [record.add(Item(job_of_id=made.job.of_id, serial=f"T-{n}", lot_id=lot.id)) for n in range(2)]
    for item in [*sampling, *(made.casting(f"P-{n}") for n in range(53))]:
        made.read(item, {"W": 100.0})
    told = life_story.story(data(made), "W")
    assert [s.words for s in told.stations if s.stage.kind == "casting"] == ["2 castings", "50 castings", "3 castings"]


# ------------------------------------------------------------------------------ a tool


# ------------------------------------------------------------------------------ where things are
