"""Tests of: keeps a summary of every trend."""

from __future__ import annotations

from datetime import timedelta

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Calibration
from inspect_tui.model.trends import WearLimit
from inspect_tui.record.ask import trend_cache
from inspect_tui.record.ask.trend_rows import KeptTrend
from inspect_tui.shop.trends import fleet
from inspect_tui.shop.trends import kept as trend_kept
from tests.shop.trends.test_fleet import (
    labels,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import START, WornBox


def test_the_kept_list_says_what_the_chart_says(worn: WornBox) -> None:
    worn.wear(30)
    trend_kept.refresh(worn.record, worn.record.path)
    line = fleet.read(worn.record).lines[0]
    worn_trend = worn.trend()
    assert worn_trend.left is not None
    assert line.kept.sentence == worn_trend.sentence and line.kept.cores_left == worn_trend.left.left
    assert (line.due, line.kept.risk) == (worn_trend.due, worn_trend.risk)


def test_only_what_is_new_is_worked_out_again(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    worn.wear(6)
    worn.go("2024-06-01")
    assert labels(worn, monkeypatch) == ["all"]
    assert labels(worn, monkeypatch) == []
    worn.read(80.9)
    assert labels(worn, monkeypatch) == ["box 1"]
    worn.count(99, "2024-05-05", tool=worn.drag)
    assert labels(worn, monkeypatch) == ["drag"]
    worn.item(400.0, "L", "casting")
    assert labels(worn, monkeypatch) == ["castings"]
    worn.item(80.8, "W", "core")
    assert labels(worn, monkeypatch) == ["box 1", "castings"]
    wrong = worn.read(99.0)
    trend_kept.refresh(worn.record, worn.record.path)
    worn.record.void(wrong.id, "misread", "slip", worn.ab.id)
    assert labels(worn, monkeypatch) == ["box 1"]
    worn.record.add(WearLimit(tool_of_id=worn.box.of_id, feature_id=worn.features["W"].id, upper=81.0, why="x"))
    assert labels(worn, monkeypatch) == ["box 1"]
    assert labels(worn, monkeypatch) == []
    worn.lot("L1", "2024-06-01")  # its castings are counted by every tool of the job
    assert set(labels(worn, monkeypatch)) >= {"box 1", "castings"}
    worn.repair("2024-06-01", tool=worn.box2, name="S")  # moves what sits in it
    assert "castings" in labels(worn, monkeypatch)


def test_bringing_up_to_date_gives_what_making_everything_gives(worn: WornBox) -> None:
    worn.wear(10)
    trend_kept.refresh(worn.record, worn.record.path)
    worn.wear(10, first_week=10, seed=4)
    worn.item(400.0, "L", "casting")
    worn.repair(worn.go(START + timedelta(weeks=20)), at=3900)
    trend_kept.refresh(worn.record, worn.record.path)
    assert sorted(worn.record.kept_trends()) == sorted(trend_kept.compute(worn.record)[0])


def test_other_rules_make_everything_again(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    worn.wear(5)
    trend_kept.refresh(worn.record, worn.record.path)
    monkeypatch.setattr(trend_kept, "RULES", "another")
    assert trend_kept.stale(worn.record) is None


def test_a_record_that_cannot_keep_them_has_them_computed(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    from inspect_tui.errors import ReadOnly

    worn.wear(6)

    def refuse(*_: object, **__: object) -> None:
        raise ReadOnly("read only")

    monkeypatch.setattr(trend_cache, "keep", refuse)
    found, recent = trend_kept.current(worn.record)
    assert [k.label for k in found] == ["box 1"] and len(recent) == 1
    assert not worn.record.kept_trends()


def test_a_size_that_left_the_drawing_leaves_the_list(worn: WornBox) -> None:
    worn.wear(6)
    worn.wear(6, name="H", first_week=6, start=60.6)
    assert {k.balloon for k in trend_kept.compute(worn.record)[0]} == {"W", "H"}
    from inspect_tui.model.work import DrawingRevision

    b = worn.record.add(DrawingRevision(job_of_id=worn.job.of_id, number="W-1", rev="B"), worn.ab.id)
    old = worn.features["W"]
    ends = tuple(replace(end, id=b"", feature_id=b"") for end in old.ends)
    new = worn.record.add(replace(old, id=b"", revision_id=b.id, same_as_id=old.id, ends=ends), worn.ab.id)
    there = worn.on["box 1", "W"]
    worn.record.add(replace(there, id=b"", of_id=b"", feature_id=new.id), worn.ab.id)
    found = trend_kept.compute(worn.record)[0]
    assert [(k.balloon, k.n) for k in found] == [("W", 6)]  # readings on the older drawing still count


def test_making_the_summaries_tells_how_far_it_is_and_can_be_stopped(worn: WornBox) -> None:
    worn.wear(5)
    told: list[str] = []
    trend_kept.refresh(worn.record, worn.record.path, lambda job: told.append(job) is None)
    number, tools = worn.job.number, len(worn.record.tools(worn.job.of_id))
    assert told[:2] == [f"{number} (1 of 1)", f"{number} (1 of 1), 1 of {tools} tools"]
    assert not trend_kept.refresh(worn.record, worn.record.path, lambda job: False, everything=True)
    halfway = iter((True, False))
    assert not trend_kept.refresh(worn.record, worn.record.path, lambda job: next(halfway), everything=True)


def test_a_bias_moves_what_was_kept_and_taken_back_gives_it_again(worn: WornBox) -> None:
    worn.wear(6)

    def kept() -> list[KeptTrend]:
        trend_kept.refresh(worn.record, worn.record.path)
        return sorted(worn.record.kept_trends())

    known = {"from_on": "2020-01-01", "bias_mm": 0.05, "u_mm": 0.01, "why": "w", "found_from": "check"}
    before = kept()
    bias = worn.record.add(InstrumentBias(instrument_of_id=worn.caliper.of_id, **known), worn.ab.id)
    assert [row.value_mm for row in kept()] == pytest.approx([(row.value_mm or 0.0) - 0.05 for row in before])
    back = {**known, "bias_mm": 0.0, "instead_of_id": bias.id, "why": "the check piece was dirty"}
    worn.record.add(InstrumentBias(instrument_of_id=worn.caliper.of_id, **back), worn.ab.id)
    assert kept() == before


def test_a_certificate_makes_all_anew_and_a_tilt_the_castings(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    worn.wear(6)
    casting = worn.item(400.0, "L", "casting")
    worn.go("2024-06-01")
    assert labels(worn, monkeypatch) == ["all"]
    worn.record.add(Realigned(item_id=casting.id, axis="x", along="z", pivot_mm=0.0, slope=0.001, why="w"), worn.ab.id)
    assert labels(worn, monkeypatch) == ["castings"]
    adjusted = {"done_on": "2024-02-01", "result": "adjusted", "u95_mm": 0.04}
    worn.record.add(Calibration(instrument_of_id=worn.caliper.of_id, **adjusted), worn.ab.id)
    assert labels(worn, monkeypatch) == ["all"]
