"""Kept summaries of trends: a cache beside the chain, which may be lost at any time."""

from __future__ import annotations

import json
import sqlite3
import threading
from array import array
from pathlib import Path

import pytest

from inspect_tui.errors import RecordError
from inspect_tui.record.ask import trend_cache, trends
from inspect_tui.record.ask.trend_rows import KEPT, KeptRecent, KeptTrend
from tests.record.conftest import Bench
from tests.worlds.trend_rows import kept_trend


def row(bench: Bench, n: int = 1, tool: bytes | None = None) -> KeptTrend:
    return kept_trend(
        tool_of_id=tool or bench.tool.of_id,
        feature_id=bench.features[0].id,
        job_of_id=bench.job.of_id,
        n=n,
        high=None,
        count_day=None,
        remarks="a\nb",
    )


def recent(bench: Bench) -> KeptRecent:
    return KeptRecent(
        tool_of_id=bench.tool.of_id,
        feature_id=bench.features[0].id,
        source="tool",
        place=3,
        width=0.8,
        value=array("d", [0.1, -0.2]),
    )


def test_summaries_are_kept_beside_the_chain(bench: Bench) -> None:
    before = bench.record.heads()
    trend_cache.keep(bench.record.path, [row(bench)], [recent(bench)], bench.record.frontier(), "1")
    assert bench.record.kept_trends() == [row(bench)]
    assert bench.record.kept_recent() == [recent(bench)]
    assert bench.record.trend_mark() == (bench.record.frontier(), "1")
    assert bench.record.heads() == before and bench.record.verify().ok
    assert len(KEPT) == len(KeptTrend._fields)


def test_making_one_tool_again_leaves_the_others(bench: Bench) -> None:
    other = bytes(15) + b"z"
    frontier = bench.record.frontier()
    trend_cache.keep(bench.record.path, [row(bench), row(bench, 7, other)], [], frontier, "1")
    trend_cache.keep(bench.record.path, [row(bench, 2)], [], frontier, "1", made_again=[bench.tool.of_id])
    assert {(k.tool_of_id, k.n) for k in bench.record.kept_trends()} == {(bench.tool.of_id, 2), (other, 7)}
    trend_cache.keep(bench.record.path, [], [], frontier, "1", made_again=[other])
    assert [k.tool_of_id for k in bench.record.kept_trends()] == [bench.tool.of_id]
    trend_cache.keep(bench.record.path, [], [], frontier, "1")
    assert bench.record.kept_trends() == []


def test_the_summaries_may_be_dropped_at_any_time(bench: Bench) -> None:
    trend_cache.keep(bench.record.path, [row(bench)], [recent(bench)], bench.record.frontier(), "1")
    con = sqlite3.connect(bench.record.path, isolation_level=None)
    for table in ("cache_trend", "cache_recent", "cache_trend_mark"):
        con.execute(f"DELETE FROM {table}")
    con.close()
    assert bench.record.trend_mark() is None and bench.record.verify().ok


def test_a_mark_that_cannot_be_read_is_no_mark(bench: Bench) -> None:
    trend_cache.keep(bench.record.path, [], [], {}, "1")
    con = sqlite3.connect(bench.record.path, isolation_level=None)
    con.execute("UPDATE cache_trend_mark SET frontier = 'torn'")
    con.close()
    assert bench.record.trend_mark() is None


def test_an_interrupted_writing_leaves_no_mark_so_that_it_is_made_again(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(trend_cache, "PART", 1)
    trend_cache.keep(bench.record.path, [row(bench)], [], {"old": 1}, "1")
    real = json.dumps

    def power_cut(*_: object, **__: object) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(json, "dumps", power_cut)  # the mark is written in the last part
    with pytest.raises(KeyboardInterrupt):
        trend_cache.keep(bench.record.path, [row(bench), row(bench, 2, b"y" * 16)], [], {"new": 2}, "1")
    monkeypatch.setattr(json, "dumps", real)
    assert bench.record.trend_mark() is None
    assert bench.log().id  # and the record still takes readings


def test_summaries_are_kept_from_another_thread_while_readings_come(bench: Bench) -> None:
    rows = [row(bench, n, n.to_bytes(16, "big")) for n in range(1, 3000)]
    worker = threading.Thread(target=trend_cache.keep, args=(bench.record.path, rows, [], bench.record.frontier(), "1"))
    worker.start()
    logged = [bench.log() for _ in range(20)]
    worker.join()
    assert len(bench.record.kept_trends()) == 2999
    assert len(trends.on_tool(bench.record, bench.tool.of_id, [bench.features[0].id]).id) == len(logged)
    assert bench.record.verify().ok


def test_a_record_that_may_not_be_written_says_so(bench: Bench, tmp_path: Path) -> None:
    with pytest.raises(RecordError):
        trend_cache.keep(tmp_path / "no" / "such.db", [], [], {}, "1")
