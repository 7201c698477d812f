"""What was done to a piece ends what its readings say: a reworked casting, a repaired face of a tool, in every room.

By the trade: who grinds a casting right changes the casting and no box; who cuts a box makes another box of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.trends import ToolRepair
from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.common.evidence import Evidence, Lives
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.common.standing import Standing
from inspect_tui.shop.feature import material
from inspect_tui.shop.first_article.castings.evidence import evidence
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.tools_then import Promise, ToolLog
from inspect_tui.shop.first_article.signed import dispositions
from inspect_tui.shop.gauges import pooled
from inspect_tui.shop.jobs import contraction_book, export
from inspect_tui.shop.jobs.export_columns import NAMES
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.trends import kept, tracks
from inspect_tui.shop.trends.job_view import JobView
from tests.conftest import SmallShop
from tests.shop.jobs.test_contraction_book import SIZES
from tests.worlds.kit_jobs import begin, with_patterns
from tests.worlds.measured import Measured
from tests.worlds.signed_shop import GOOD, made, read, sampling, who

TODAY, MADE, GROUND = "2026-03-10", 31.5, 30.1


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with made(tmp_path / "d.db", {"C1": GOOD, "C2": {**GOOD, "F11": MADE}, "C3": {**GOOD, "F11": MADE}}) as record:
        yield record


def rework(record: Record, feature: str = "F11", casting: str = "C2") -> None:
    now, person = sampling(record), who(record, "LE")
    values = {"feature": feature, "casting": casting, "decision": "rework", "why": "ground"}
    dispositions.put(record, now, dispositions.read(now, values, person, TODAY), person)


def again(record: Record) -> bytes:
    """C2 ground and read again: the id of that reading."""
    rework(record)
    read(record, "C2", {"F11": GROUND})
    return max(logged.id for logged in record.readings())


def ids(record: Record, balloon: str = "F11") -> tuple[bytes, bytes]:
    now = sampling(record)
    return now.feature(balloon).id, now.casting("C2").id


def test_the_reading_that_answers_a_rework_is_known_and_no_other(record: Record) -> None:
    job = find.job(record, None)
    assert Evidence(record).reworked(job) == frozenset()
    reading = again(record)
    assert Evidence(record).reworked(job) == {reading}
    read(record, "C3", {"F11": 31.4})  # nobody decided anything about this one
    read(record, "C2", {"F12": 30.2})
    assert Evidence(record).reworked(job) == {reading}


def test_a_rework_of_all_castings_of_a_sampling_and_of_a_tolerance_touch_theirs(record: Record) -> None:
    job = find.job(record, None)
    rework(record, casting="")
    for serial in ("C2", "C3"):
        read(record, serial, {"F11": GROUND, "F1": 100.0})
    assert len(Evidence(record).reworked(job)) == 2
    read(record, "C1", {**GOOD, "F13": 33.0})
    rework(record, feature="G2", casting="C1")  # flatness of F11 to F14
    read(record, "C1", {"F13": 30.0, "F21": 150.0})
    (feature, _), known = ids(record, "F13"), Evidence(record).reworked(job)
    assert [r.reading.feature_id for r in record.readings() if r.id in known].count(feature) == 1


def test_trends_statistics_and_the_kit_leave_it_out_and_the_casting_is_what_it_is_now(record: Record) -> None:
    reading = again(record)
    job, (feature, item) = find.job(record, None), ids(record)
    view = JobView(record, job)
    of_castings = tracks.on_castings(view, view.root[feature])
    assert list(of_castings.value) == [30.0, MADE, MADE] and reading not in of_castings.ids
    assert GROUND not in [row[4] for row in pooled._Gathered(record).rows]  # no gauge reads off by what was ground off
    facts = KitFacts(record, job)
    on_c2 = [r.value for r in facts.item_readings([item]) if r.feature_id == feature]
    assert on_c2 == [MADE]
    now = facts.readings_now(sampling(record).casting("C2"))
    assert [r.value for r in now if r.feature_id == feature] == [GROUND]
    assert len(now) == len(GOOD)
    pick = material.Pick(job, record.feature(feature), Subject(material.ALL_CASTINGS))
    of_all = material.material(record, pick)
    assert list(of_all.values) == [30.0, MADE, MADE]
    assert "1 reading of a reworked casting is left out: no tool made what was read there" in of_all.remarks
    one = material.material(record, replace(pick, subject=Subject("casting C2", item=record.item(item))))
    assert list(one.values) == [MADE, GROUND]  # its own life


def test_the_export_says_which_they_are(record: Record) -> None:
    reading = again(record)
    states = [dict(zip(NAMES, row, strict=True)) for row in export.rows(record)]
    assert [row["counts"] for row in states if row["state"] == "reworked"] == [True]
    assert {row["state"] for row in states} == {"counts", "reworked"}
    assert next(row["id"] for row in states if row["state"] == "reworked").replace("-", "") == reading.hex()


def test_a_casting_that_was_read_after_rework_alone_says_nothing_of_causes(record: Record) -> None:
    rework(record)
    target = next(r for r in record.readings() if r.reading.value == MADE and r.reading.item_id == ids(record)[1])
    record.void(target.id, "misread", "the rule slipped", who(record, "MA").id)
    read(record, "C2", {"F11": GROUND})
    now = sampling(record)
    feature, item = now.feature("F11"), now.casting("C2")
    assert now.cell(feature, item).value == pytest.approx(GROUND)
    assert now.found(feature, item).answer == Standing.TO_MEASURE
    seen = next((one for one in evidence(now).features if one.balloon == "F11"), None)
    assert seen is None or "C2" not in seen.readings


def test_kept_trends_hear_of_a_decision(record: Record) -> None:
    read(record, "C2", {"F11": GROUND})
    kept.refresh(record, record.path)
    rework(record)
    stale = kept.stale(record)
    assert stale is not None and stale.castings == {find.job(record, None).of_id}


# ------------------------------------------------------------------------------ repaired tools
def test_lives_are_counted_by_day_size_and_tool() -> None:
    box, stick, f1, f2 = b"b" * 16, b"s" * 16, b"1" * 16, b"2" * 16
    done = [
        ToolRepair(tool_of_id=box, feature_id=f1, done_on="2026-01-10", what="face cut"),
        ToolRepair(tool_of_id=box, done_on="2026-02-10", what="coat"),
    ]
    lives = Lives(done, lambda feature: {b"newer": f1}.get(feature, feature))
    assert [lives.of(box, f1, day) for day in ("2026-01-09", "2026-01-10", "2026-02-10", None)] == [0, 1, 2, 2]
    assert lives.of(box, b"newer", "2026-01-20") == 1
    assert [lives.of(box, f2, day) for day in ("2026-01-20", "2026-02-11")] == [0, 1]
    assert lives.of(stick, f1, None) == 0


def test_what_was_read_before_a_repair_learns_no_contraction_of_castings_after_it(tmp_path: Path) -> None:
    with Record.open(tmp_path / "book.db", create=True) as record:
        made = with_patterns(begin(record, "J1"))
        for balloon, size in SIZES.items():
            ends = ("drag", -1, 0.0), ("drag", 1, size)
            made.add_feature(balloon, "x", size, *ends, ("drag pattern",), size - 2, size + 2)
        made.read("drag pattern", {b: size * 1.01 for b, size in SIZES.items()}, on_date="2026-01-10")
        made.read(made.casting("1"), dict(SIZES), on_date="2026-03-10")
        pattern, of = made.tool["drag pattern"].of_id, KitFacts(record, made.job).balloon["A"].id

        def shown() -> set[str]:
            return {pair.balloon for pair in contraction_book.pairs_of(KitFacts(record, made.job))["x"]}

        for outside in ("2026-01-10", "2026-03-11"):  # on the day it was read, as it was then; after the casting
            record.add(ToolRepair(tool_of_id=pattern, feature_id=of, done_on=outside, what="cut"))
        assert shown() == {"A", "B", "C", "D"}
        between = record.add(ToolRepair(tool_of_id=pattern, feature_id=of, done_on="2026-02-01", what="cut"))
        assert shown() == {"B", "C", "D"}
        record.revise(between, holds=False)
        assert shown() == {"A", "B", "C", "D"}
        record.add(ToolRepair(tool_of_id=pattern, done_on="2026-03-10", what="all of it"))
        assert shown() == set()


def test_a_promise_rests_on_no_reading_from_before_a_repair(shop: SmallShop) -> None:
    record, job = shop.record, find.job(shop.record, "SV-12")
    Measured(shop).on_tool([62.6, 62.61], on="box 1")
    round_ = open_round(record, job, "S1", ["C1"])
    box = find.subject(record, job, "box 1").tool
    assert box is not None

    def promise(day: str | None = None) -> Promise:
        now = Sampling(record, job, pick_round(record, job, round_.label))
        return ToolLog(now, day).promise(now.feature("F1"))

    assert promise().tool == "box 1"
    feature = Measured(shop).feature.id
    other = next(f for f in record.features(record.feature(feature).revision_id) if f.balloon == "F2")
    for about, day in ((other.id, "2998-01-01"), (feature, "2999-01-01")):
        assert promise().tool == "box 1"
        record.add(ToolRepair(tool_of_id=box.of_id, feature_id=about, done_on=day, what="cut"))
    assert promise("2998-12-31").tool == "box 1"
    assert promise("2999-01-01").tool is promise().tool is None
    assert "not measured" in promise().words
