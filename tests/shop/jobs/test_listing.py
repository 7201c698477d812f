"""The record as plain rows: every feature of every tool with its sizes, castings with what was measured, readings."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from inspect_tui.commands.demo import demo_file
from inspect_tui.frozen import replace
from inspect_tui.record.store import Record
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.jobs import jobs, listing
from tests.conftest import SmallShop
from tests.shop.feature.test_view import measured  # noqa: F401  a fixture
from tests.worlds.measured import Measured


def test_a_row_holds_the_sizes_of_the_chain_and_the_state(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
    bench = shop.bench()
    bench.goto("F1")
    bench.take("59.60")
    (row,) = [r for r in listing.rows(shop.record, job) if (r["tool"], r["feature"]) == ("stick 1", "F1")]
    # 62.00 finished, 1.5 a side inside: 59.00 as cast, times 1.01
    assert (row["nominal"], row["as_cast"], row["target"]) == (62.0, 59.0, pytest.approx(59.59))
    assert (row["n"], row["last"], row["state"]) == (1, 59.60, "conforms")
    assert row["lower"] < row["target"] < row["upper"] and row["job"] == "SV-12"
    others = [r for r in listing.rows(shop.record, job) if (r["tool"], r["feature"]) != ("stick 1", "F1")]
    assert {r["state"] for r in others} == {"to measure"}
    # F5 is a wall between mould and core: no tool makes it
    assert {(r["tool"], r["feature"]) for r in others} >= {("box 1", "F1"), ("drag pattern", "F4")}
    assert "F5" not in {r["feature"] for r in others}


def test_a_casting_gives_only_what_was_measured_on_it_unless_it_is_asked_for(measured: Measured) -> None:
    measured.on_castings([59.0])
    record, job = measured.record, measured.job
    on_it = [r for r in listing.rows(record, job) if r["tool"] == "casting C1"]
    assert [(r["feature"], r["last"], r["target"]) for r in on_it] == [("F1", 59.0, 59.0)]
    whole = listing.rows(record, job, find.subject(record, job, "casting C1"))
    assert len(whole) > 1 and {r["tool"] for r in whole} == {"casting C1"}


def test_readings_come_oldest_first_and_struck_ones_stay_marked(measured: Measured) -> None:
    first, second = measured.on_tool([59.61, 59.75])
    measured.void(second, "read upside down")
    (castings,) = measured.on_castings([59.0])
    rows = listing.readings(measured.record, measured.job)
    assert [(r["tool"], r["value"], r["void"]) for r in rows] == [
        ("stick 1", 59.61, None),
        ("stick 1", 59.75, "read upside down"),
        ("casting C1", 59.0, None),
    ]
    assert [r["typed"] for r in rows] == ["59.61", "59.75", "59"]
    assert {(r["by"], r["with"], r["feature"]) for r in rows} == {("AB", "caliper 1", "F1")}
    assert len({r["id"] for r in rows}) == 3
    only = listing.readings(measured.record, measured.job, find.subject(measured.record, measured.job, "casting C1"))
    assert [r["value"] for r in only] == [castings.value] and first.value == 59.61


def test_a_machined_casting_has_a_row_for_each_requirement(measured: Measured) -> None:
    measured.on_castings([59.0])
    bench = Bench(
        measured.record,
        measured.job,
        find.subject(measured.record, measured.job, "casting C1"),
        measured.shop.ab,
        measured.shop.caliper,
    )
    bench.set_state("finished")
    bench.goto("F1")
    bench.take("62.00")
    rows = [r for r in listing.rows(measured.record, measured.job) if r["tool"] == "casting C1"]
    asked = ("feature", "casting_state", "target", "lower", "upper", "n", "last", "verdict", "limits_raw")
    assert [tuple(r[key] for key in asked) for r in rows] == [
        ("F1", "raw", 59.0, pytest.approx(58.2), pytest.approx(59.8), 1, 59.0, "conforms", "±0.8"),
        ("F1", "finished", 62.0, 61.2, 62.8, 1, 62.0, "conforms", "±0.8"),
    ]
    assert {r["casting_state"] for r in listing.rows(measured.record, measured.job) if r["tool"] == "stick 1"} == {None}
    read = listing.readings(measured.record, measured.job)
    assert [(r["value"], r["casting_state"]) for r in read] == [(59.0, "raw"), (62.0, "finished")]


def test_a_size_that_was_put_right_says_so_and_no_other(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    f3 = next(f for f in shop.record.features(find.latest_revision(shop.record, job).id) if f.balloon == "F3")
    assert {(r["revision"], r["corrected"]) for r in listing.rows(shop.record, job)} == {("A", None)}
    shop.record._clock = lambda: (1_790_000_000_000_000, 0)
    jobs.correct(shop.record, job, [replace(f3, nominal=212.0)], "212 read as 210", shop.ab)
    rows = listing.rows(shop.record, job)
    assert {r["corrected"] for r in rows if r["feature"] == "F3"} == {"corrected 2026-09-21 by AB: 212 read as 210"}
    assert {(r["revision"], r["corrected"]) for r in rows if r["feature"] != "F3"} == {("A", None)}


def test_one_changed_size_leaves_the_state_of_all_others_in_the_demo(tmp_path: Path) -> None:
    """On every tool and on castings of each lot: what was judged stays judged, of the changed size nothing does."""
    shutil.copyfile(demo_file(), tmp_path / "demo.db")
    with Record.open(tmp_path / "demo.db") as record:
        job = find.job(record, None)
        pieces = [p for p in find.subjects(record, job) if p.tool is not None]
        pieces += [p for p in find.subjects(record, job) if p.item is not None][::80]
        before = [listing.rows(record, job, piece) for piece in pieces]
        f04 = next(f for f in record.features(find.latest_revision(record, job).id) if f.balloon == "F04")
        assert f04.lower is not None and f04.upper is not None
        changed = replace(f04, nominal=f04.nominal + 1, lower=f04.lower + 1, upper=f04.upper + 1)
        jobs.revise(record, job, "C", [changed])
        after = [listing.rows(record, job, piece) for piece in pieces]
    others = [[{**row, "revision": "C"} for row in rows if row["feature"] != "F04"] for rows in before]
    assert [[row for row in rows if row["feature"] != "F04"] for rows in after] == others
    judged = sum(row["verdict"] is not None for rows in others for row in rows)
    assert judged > 100
    own = [row for rows in after for row in rows if row["feature"] == "F04"]
    assert own and {(row["n"], row["verdict"]) for row in own} == {(0, None)}


def test_a_reading_that_was_asked_about_and_kept_counts_as_it_does_everywhere(shop: SmallShop) -> None:
    bench = shop.bench()
    for text in ("59.60", "5.96", "59.61"):
        bench.goto("F1")
        bench.take(text)
        bench.keep_pending()
    job = find.job(shop.record, "SV-12")
    (row,) = [r for r in listing.rows(shop.record, job) if (r["tool"], r["feature"]) == ("stick 1", "F1")]
    assert [logged.reading.slip for logged in shop.record.readings(newest_first=False)] == [
        "none",
        "asked_kept",
        "none",
    ]
    assert row["n"] == 3
