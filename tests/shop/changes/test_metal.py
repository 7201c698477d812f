"""Alloy and contraction of a job are put right: its tools are laid out anew, readings keep the size they were read by."""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.changes import changed, metal
from tests.conftest import SmallShop


def _target(bench: Bench) -> float:
    return next(task.sizes.target for task in bench.tasks if task.feature.balloon == "F3")


def test_another_contraction_lays_the_tools_out_anew(shop: SmallShop) -> None:
    record = shop.record
    (job,) = record.jobs()
    bench = shop.bench("stick 1")
    bench.goto("F3")
    was = _target(bench)
    bench.take("212.10")
    bench.keep_pending()
    made = metal.read(record, job, {"alloy": "ductile iron", "contraction": "1.2 % 1.2 % 1.5 %"})
    assert made.sentence.startswith("3 tools get other sizes")
    metal.write(record, job, made, "alloy misread", shop.ab)
    now = record.job(job.of_id)
    assert (now.alloy, now.a_x, now.a_y, now.a_z) == ("ductile iron", 0.012, 0.012, 0.015)
    assert _target(shop.bench("stick 1")) == pytest.approx(was / 1.01 * 1.012)
    (reading,) = record.readings()
    then = record.tool_feature(reading.reading.tool_feature_id or b"")
    assert then.steps[-1].scale == pytest.approx(1.01)
    said = next(change for change in changed.changes(record) if change.what.startswith("job"))
    assert "contraction x 1.00 % → 1.20 %" in said.how and said.why == "alloy misread"
    assert record.verify().ok


def test_another_alloy_alone_moves_no_size(shop: SmallShop) -> None:
    record = shop.record
    (job,) = record.jobs()
    first = metal.shown(job)
    made = metal.read(record, job, {**first, "construction": "cored"})
    assert made.sentence == "its tools stay as they are laid out"
    before = record.counts()["tool_feature"]
    metal.write(record, job, made, "not said", shop.ab)
    assert record.job(job.of_id).construction == "cored" and record.counts()["tool_feature"] == before


def test_what_is_wrong_is_said_and_nothing_written(shop: SmallShop) -> None:
    record = shop.record
    (job,) = record.jobs()
    before = record.heads()
    with pytest.raises(DataError, match="contraction: "):
        metal.read(record, job, {"contraction": "much"})
    with pytest.raises(DataError, match="Nothing is another"):
        metal.write(record, job, metal.read(record, job, metal.shown(job)), "x", shop.ab)
    with pytest.raises(DataError, match="Say why"):
        metal.write(record, job, metal.read(record, job, {"alloy": "steel"}), " ", shop.ab)
    assert record.heads() == before


def test_where_a_contraction_comes_from_is_said_with_it(shop: SmallShop) -> None:
    (job,) = shop.record.jobs()
    said = {"contraction": "1.2 %", "source": "the first sampling"}
    assert metal.read(shop.record, job, {**metal.shown(job), **said}).job.a_source == "the first sampling"
    assert metal.read(shop.record, job, {**metal.shown(job), "contraction": "1.2 %"}).job.a_source == metal.PUT_RIGHT
    alone = metal.read(shop.record, job, {**metal.shown(job), "source": "the foundry"})
    assert (alone.job.a_source, alone.moves) == ("the foundry", False)
