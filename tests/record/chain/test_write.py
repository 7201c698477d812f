"""Rows go into the chain with what is nested in them, and the summaries move along."""

from __future__ import annotations

import math
import sqlite3
import statistics
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inspect_tui.errors import NotFound, RecordError
from inspect_tui.record.kinds import kind_of
from inspect_tui.record.store import Record
from tests.record.conftest import furnish


def test_nested_ends_and_steps_carry_the_ids_of_what_holds_them(bench):
    assert [e.feature_id for f in bench.features for e in f.ends] == [f.id for f in bench.features for _ in f.ends]
    assert all(s.tool_feature_id == t.id and len(s.id) == 16 for t in bench.tool_features for s in t.steps)


def test_who_wrote_it_stands_in_the_chain_and_readings_leave_it_to_the_setup(bench):
    reading = bench.log()
    rows = dict(bench.record._rows_of("SELECT id, by_id FROM entry"))
    assert rows[bench.person.id] == bench.person.id  # the first person signs their own row
    assert rows[bench.job.id] == rows[bench.features[0].ends[0].id] == bench.person.id
    assert rows[reading.id] is None


def test_a_reading_is_of_one_thing(bench):
    with pytest.raises(RecordError, match="say what was measured"):
        bench.log(item_id=bench.item.id)
    with pytest.raises(RecordError, match="say what was measured"):
        bench.log(tool_id=None, tool_feature_id=None)
    with pytest.raises(RecordError, match="the tool's own target"):
        bench.log(tool_feature_id=None)
    for wrong in (math.nan, math.inf, 1e5):
        with pytest.raises(RecordError):
            bench.log(wrong, typed="1")
    assert bench.record.counts()["reading"] == 0


def test_a_version_must_say_what_it_replaces(bench):
    with pytest.raises(RecordError, match="say which version this one replaces"):
        bench.record.add(replace(bench.job, id=b""))
    with pytest.raises(NotFound, match="the version it replaces is not in the record"):
        bench.record.add(replace(bench.job, id=b"", replaces_id=b"x" * 16))
    with pytest.raises(RecordError, match="a reading is not changed"):
        bench.record.revise(bench.log(), value=1.0)


def test_taking_out_needs_a_reason_and_happens_once(bench):
    record, reading = bench.record, bench.log()
    for empty in ("", "  ", "\x1b"):
        with pytest.raises(RecordError, match=r"say why in a few words|why is empty"):
            record.void(reading.id, "misread", empty)
    with pytest.raises(RecordError, match="'mistake' is none of misread"):
        record.void(reading.id, "mistake", "x")
    with pytest.raises(NotFound, match="That reading is not in the record"):
        record.void(b"r" * 16, "misread", "x")
    new, _ = record.correct(reading.id, bench.reading(59.5), "misread", "slipped", bench.person.id)
    with pytest.raises(RecordError, match=r"^already corrected at \d\d:\d\d by JM; correct that one$"):
        record.void(reading.id, "misread", "again")
    record.void(new.id, "test", "only a trial", bench.person.id)
    with pytest.raises(RecordError, match=r"^already voided at \d\d:\d\d by JM"):
        record.void(new.id, "misread", "again")
    assert record.counts()["supersede"] == 2
    assert record.verify().ok


def test_the_hour_of_an_earlier_correction_is_the_benchs_own(tmp_path):
    clock = [1_750_000_000_000_000, 120]  # 2025-06-15 15:06:40 UTC, two hours ahead
    with Record.open(tmp_path / "b.db", create=True, clock=lambda: (clock[0], clock[1])) as record:
        bench = furnish(record)
        reading = bench.log()
        record.void(reading.id, "misread", "x", bench.person.id)
        with pytest.raises(RecordError, match="already voided at 17:06 by JM"):
            record.void(reading.id, "misread", "x")
        clock[0] += 86_400_000_000
        with pytest.raises(RecordError, match="already voided at 2025-06-15 17:06 by JM"):
            record.void(reading.id, "misread", "x")


def same(a, b):
    assert a.keys() == b.keys()
    for key, one in a.items():
        two = b[key]
        assert (one.n, one.min, one.max, one.last_value, one.last_at_us) == (
            two.n,
            two.min,
            two.max,
            two.last_value,
            two.last_at_us,
        )
        assert one.mean == pytest.approx(two.mean, rel=1e-12)
        assert one.m2 == pytest.approx(two.m2, rel=1e-6, abs=1e-9)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(values=st.lists(st.floats(-9e4, 9e4), min_size=1, max_size=12), voids=st.sets(st.integers(0, 11)))
def test_summaries_move_by_merging_and_agree_with_all_readings(bench, values, voids):
    item = bench.record.add(replace(bench.item, id=b""))
    logged = [bench.record.append_reading(bench.on_item(v, item_id=item.id)) for v in values]
    for n in voids:
        if n < len(logged):
            bench.record.void(logged[n].id, "test", "drawn", bench.person.id)
    left = [r.value for n, r in enumerate(logged) if n not in voids]
    moved = bench.record.summaries(item_id=item.id)
    if not left:
        assert moved == {}
        return
    one = moved[bench.features[0].id]
    assert (one.n, one.min, one.max, one.last_value) == (len(left), min(left), max(left), left[-1])
    assert one.mean == pytest.approx(statistics.fmean(left), rel=1e-9, abs=1e-9)
    assert one.m2 == pytest.approx(statistics.pvariance(left) * len(left), rel=1e-6, abs=1e-6)
    bench.record.rebuild_summaries()
    same(moved, bench.record.summaries(item_id=item.id))


def test_a_summary_does_not_lose_its_spread_on_a_large_mean(bench):
    # the textbook case against sum-of-squares: offset 1e4 mm, spread of microns
    values = [10_000.0 + n * 1e-3 for n in (4, 7, 13, 16)]
    for value in values:
        bench.record.append_reading(bench.on_item(value))
    one = bench.record.summaries(item_id=bench.item.id)[bench.features[0].id]
    assert one.m2 / 3 == pytest.approx(30e-6, rel=1e-6)  # sample variance of 4, 7, 13, 16 is 30


def test_a_summary_gathers_all_versions_of_a_tool(bench):
    bench.log(59.5)
    second = bench.record.revise(bench.tool, label="stick 3 reworked")
    bench.log(59.7, tool_id=second.id)
    one = bench.record.summaries(bench.tool.of_id)[bench.features[0].id]
    assert (one.n, one.last_value) == (2, 59.7)


def test_a_balloon_of_a_drawing_is_given_once_by_one_bench(bench) -> None:
    before = bench.record.counts()
    with pytest.raises(RecordError, match="F1 of this drawing is already in the record"):
        bench.record.add(replace(bench.features[0], id=b"", ends=()))
    assert bench.record.counts() == before


def test_a_saved_version_puts_the_one_of_another_bench_aside(bench) -> None:
    """As after a merge: two versions that take the place of the same one."""
    record, tool = bench.record, bench.tool
    here = record.revise(tool, bench.person.id, label="stick one")
    con = sqlite3.connect(record.path, isolation_level=None)
    columns = [row[1] for row in con.execute("PRAGMA table_info(tool)")]
    other = b"\xf0" * 16
    picked = ", ".join({"id": f"x'{other.hex()}'", "label": "'stick 1b'"}.get(name, name) for name in columns)
    con.execute(f"INSERT INTO tool SELECT {picked} FROM tool WHERE id = ?", (here.id,))
    con.close()
    saved = record.revise(here, bench.person.id, label="stick 1 again")
    (aside,) = record.connection.execute("SELECT about_kind, about_id, for_id FROM put_aside").fetchall()
    assert aside == (kind_of(tool).number, other, saved.id)
    assert [t.label for t in record.tools(bench.job.of_id)] == ["stick 1 again"]
    record.revise(saved, bench.person.id, label="stick 1 once more")
    assert record.connection.execute("SELECT count(*) FROM put_aside").fetchone() == (1,)
