"""Counts, repairs, states, limits and weights in the record, and the readings that trends ask for."""

from __future__ import annotations

from pathlib import Path

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Note, Reading
from inspect_tui.model.trends import ItemWeight, ToolCount, ToolRepair, ToolState, WallArea, WearLimit
from inspect_tui.model.work import Item
from inspect_tui.record import kinds
from inspect_tui.record.ask import trends
from inspect_tui.record.chain.clock import local_day
from inspect_tui.record.store import Record
from tests.record.conftest import Bench
from tests.record.file.released import record_of


# ------------------------------------------------------------------------------ what is entered
def test_what_is_entered_comes_back_and_the_chain_holds(bench: Bench) -> None:
    record, tool, feature = bench.record, bench.tool.of_id, bench.features[0].id
    by = bench.person.id
    count = record.add(ToolCount(tool_of_id=tool, count=900, on_date="2025-03-02", note="read twice"), by)
    early = record.add(ToolCount(tool_of_id=tool, way="made", count=40, on_date="2025-03-01"), by)
    repair = record.add(
        ToolRepair(
            tool_of_id=tool, feature_id=feature, action="line", amount_mm=0.3, done_on="2025-03-03", what="lined"
        ),
        by,
    )
    state = record.add(ToolState(tool_of_id=tool, state="retired", since_on="2025-04-01"), by)
    limit = record.add(WearLimit(tool_of_id=tool, feature_id=feature, upper=59.5, why="agreed"), by)
    weight = record.add(ItemWeight(item_id=bench.item.id, weight_kg=12.5), by)
    area = record.add(WallArea(job_of_id=bench.job.of_id, area_m2=0.8, why="from the drawing"), by)
    assert record.tool_counts(tool) == [early, count]
    assert record.tool_repairs() == record.tool_repairs(tool) == [repair]
    assert record.tool_states() == {tool: [state]}
    assert record.wear_limits(tool) == [limit]
    assert record.item_weights(bench.job.of_id) == {bench.item.id: weight}
    assert record.wall_area(bench.job.of_id) == area
    assert record.verify().ok


def test_an_entry_taken_back_is_left_out_and_stays_in_the_record(bench: Bench) -> None:
    record, tool = bench.record, bench.tool.of_id
    count = record.add(ToolCount(tool_of_id=tool, count=900, on_date="2025-03-02"), bench.person.id)
    record.revise(count, bench.person.id, holds=False)
    assert record.tool_counts(tool) == []
    assert record.counts()["tool_count"] == 2
    repair = record.add(ToolRepair(tool_of_id=tool, done_on="2025-03-03", what="lined"), bench.person.id)
    put_right = record.revise(repair, bench.person.id, done_on="2025-03-04")
    assert record.tool_repairs(tool) == [put_right]


def test_repairs_of_one_day_come_in_the_order_in_which_they_were_written(bench: Bench) -> None:
    made = [
        bench.record.add(ToolRepair(tool_of_id=bench.tool.of_id, done_on="2025-03-03", what=word), bench.person.id)
        for word in ("first", "second", "third")
    ]
    assert bench.record.tool_repairs(bench.tool.of_id) == made


@pytest.mark.parametrize(
    "wrong",
    [
        lambda t: ToolCount(tool_of_id=t, count=-1, on_date="2025-01-01"),
        lambda t: ToolCount(tool_of_id=t, count=1, on_date="1 March"),
        lambda t: ToolCount(tool_of_id=t, way="guess", count=1, on_date="2025-01-01"),
        lambda t: ToolRepair(tool_of_id=t, done_on="2025-01-01", what="x", amount_mm=-0.1),
        lambda t: ToolRepair(tool_of_id=t, done_on="2025-01-01", what="x", action="polish"),
        lambda t: ToolState(tool_of_id=t, state="sold", since_on="2025-01-01"),
        lambda t: WearLimit(tool_of_id=t, feature_id=t, lower=2.0, upper=1.0, why="x"),
        lambda t: ItemWeight(item_id=t, weight_kg=0.0),
        lambda t: WallArea(job_of_id=t, area_m2=-1.0),
    ],
)
def test_nonsense_is_refused_and_nothing_is_kept(bench: Bench, wrong) -> None:
    before = bench.record.counts()
    with pytest.raises(RecordError):
        bench.record.add(wrong(bench.tool.of_id), bench.person.id)
    assert bench.record.counts() == before


def test_numbers_of_kinds_fifty_and_up_never_change() -> None:
    assert [(k.number, k.table, k.version) for k in kinds.KINDS if 50 <= k.number < 60] == [
        (50, "tool_count", 5),
        (51, "tool_repair", 5),
        (52, "tool_state", 5),
        (53, "wear_limit", 5),
        (54, "item_weight", 5),
        (55, "wall_area", 5),
    ]


# ------------------------------------------------------------------------------ one size over time
def test_readings_on_a_tool_come_as_columns_without_those_that_do_not_count(bench: Bench) -> None:
    good = [bench.log(59.0 + n / 100) for n in range(5)]
    wrong = bench.log(95.0)
    bench.log(60.0, feature=1)
    bench.record.void(wrong.id, "misread", "slipped", bench.person.id)
    again, _ = bench.record.correct(good[0].id, bench.reading(59.5), "misread", "looked again", bench.person.id)
    found = trends.on_tool(bench.record, bench.tool.of_id, [bench.features[0].id])
    assert found.id == [*(r.id for r in good[1:]), again.id]
    assert list(found.value) == [59.01, 59.02, 59.03, 59.04, 59.5]
    assert trends.all_on_tool(bench.record, bench.tool.of_id)[bench.features[0].id] == found


def test_a_feature_that_was_measured_on_other_things_too_is_told_apart(bench: Bench) -> None:
    on_tool = bench.log(59.1)
    on_item = bench.record.append_reading(bench.on_item(58.9))
    assert trends.on_tool(bench.record, bench.tool.of_id, [bench.features[0].id]).id == [on_tool.id]
    wrong = bench.record.append_reading(bench.on_item(5.89))
    bench.record.void(wrong.id, "misread", "slipped", bench.person.id)
    found = trends.on_items(bench.record, bench.job.of_id, "casting", [bench.features[0].id])
    assert (found.id, found.item) == ([on_item.id], [bench.item.id])
    assert not trends.on_items(bench.record, bench.job.of_id, "core", [bench.features[0].id]).id
    assert bench.record.features_on(bench.job.of_id, "casting") == {bench.features[0].id}


def test_sample_cores_are_found_by_their_core(bench: Bench) -> None:
    core = bench.record.add(
        Item(job_of_id=bench.job.of_id, kind="core", serial="K1", core_id=bench.core.id), bench.person.id
    )
    bench.record.append_reading(bench.on_item(59.3, item_id=core.id))
    found = trends.all_on_items(bench.record, bench.job.of_id, "core", bench.core.of_id)
    assert list(found[bench.features[0].id].value) == [59.3]
    assert not trends.all_on_items(bench.record, bench.job.of_id, "core", b"x" * 16)


def test_who_logged_a_reading_and_when(bench: Bench) -> None:
    one = bench.log()
    who = bench.record.who_of([one.id])[one.id]
    assert (who.person, who.instrument, who.clock_doubt) == ("JM", "caliper 2", False)
    assert bench.record.written_on([one.id])[one.id][0] == who.at_us


# ------------------------------------------------------------------------------ kept summaries


def test_what_was_written_since_is_told_row_by_row_until_it_is_too_much(bench: Bench) -> None:
    frontier = bench.record.frontier()
    assert bench.record.entered_since(frontier, 10) == []
    reading = bench.log()
    note = bench.record.add(Note(about_kind=8, about_id=bench.tool.id, text="x"), bench.person.id)
    assert {one.id for one in bench.record.entered_since(frontier, 10) or []} == {reading.id, note.id}
    assert bench.record.entered_since(frontier, 1) is None
    assert bench.record.touched([reading.id]) == {(bench.tool.of_id, None)}


def test_a_file_of_the_version_before_trends_is_brought_forward_with_its_readings(tmp_path: Path) -> None:
    path = record_of(4, tmp_path / "older.db")
    with Record.open(path) as record:
        tool, person = record.tools(record.jobs()[0].of_id)[0], record.people()[0]
        assert record.version >= 5 and record.verify().ok
        assert record.tool_counts(tool.of_id) == [] and record.kept_trends() == []
        assert all(isinstance(logged.reading, Reading) for logged in record.readings())
        stored = record.add(ToolCount(tool_of_id=tool.of_id, count=1, on_date="2025-01-01"), person.id)
        assert record.tool_counts(tool.of_id) == [stored]
        assert replace(stored, count=2) != stored


def test_the_record_goes_on_to_the_day_of_its_newest_entry(bench: Bench) -> None:
    (at_us, tz_min) = bench.record.written_on([bench.log().id]).popitem()[1]
    assert bench.record.newest_day() == local_day(at_us, tz_min)
