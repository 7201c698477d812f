"""Tools as they stood before a pour, and what they promise of the casting."""

from __future__ import annotations

from math import hypot, sqrt

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.work import Feature
from inspect_tui.record.store import Record
from inspect_tui.shop.common import faces_touched, find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.tools_then import ToolLog
from inspect_tui.shop.jobs import jobs
from tests.conftest import SmallShop


def test_the_prediction_comes_from_the_tool_as_it_stood_before_the_pour(articles) -> None:
    first, second = articles["S1"].feature("F55"), articles["S2"].feature("F55")
    assert "box 4 measured" in first.predicted_from
    assert "2023-07-17" in first.predicted_from
    assert "2023-10-02" in second.predicted_from  # opened after the first sampling
    assert "drawing size" in articles["S1"].feature("F39").predicted_from


def test_tools_that_were_changed_and_not_measured_since_promise_the_drawing(sampled: Record) -> None:
    job = sampled.jobs()[0]
    sampling = Sampling(sampled, job, pick_round(sampled, job, "S2"))
    log = ToolLog(sampling, "2023-09-23")  # x was laid out anew on 2023-09-21, measured from the 25th on
    assert "drawing size" in log.promise(sampling.feature("F09")).words
    assert log.job.a_x == pytest.approx(0.008)
    assert ToolLog(sampling, "2023-08-31").job.a_x == pytest.approx(0.010)


def promised(shop: SmallShop, balloon: str) -> tuple[Feature, str]:
    """A feature of the round S1, and what the tools promise of it, in words."""
    job = find.job(shop.record, None)
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    feature = sampling.feature(balloon)
    return feature, ToolLog(sampling, None).promise(feature).words


def test_a_tool_promises_nothing_of_a_size_between_other_faces(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    open_round(shop.record, job, "S1", ["C1"])
    bench = shop.bench()
    bench.goto("F2")
    bench.take("40.45")
    feature, words = promised(shop, "F2")
    assert "stick 1 measured 40.45" in words
    jobs.revise(shop.record, job, "B", [])
    assert "stick 1 measured 40.45" in promised(shop, "F2")[1]
    ends = tuple(replace(end, coord_mm=5.0 + 40.0 * n) for n, end in enumerate(feature.ends))
    jobs.revise(shop.record, job, "C", [replace(feature, ends=ends)])
    assert "tools not measured for it" in promised(shop, "F2")[1]


def test_a_tool_that_was_read_under_a_typing_error_still_promises(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    open_round(shop.record, job, "S1", ["C1"])
    bench = shop.bench("drag pattern")
    bench.goto("F4")
    bench.take("246.40")
    bench.keep_pending(answered=True)
    feature, words = promised(shop, "F4")
    assert "drag pattern measured 246.40" in words
    ends = tuple(replace(end, stock_mm=end.stock_mm and end.stock_mm + 1.0) for end in feature.ends)
    jobs.correct(shop.record, job, [replace(feature, ends=ends)], "4 mm of stock, not 3")
    assert promised(shop, "F4")[1] == words


def test_rough_faces_of_a_tool_leave_its_size_open(shop: SmallShop) -> None:
    job = find.job(shop.record, None)
    stick = next(tool for tool in shop.record.tools(job.of_id) if tool.label == "stick 1")
    shop.record.revise(stick, material="mahogany")
    open_round(shop.record, job, "S1", ["C1"])
    bench = shop.bench()
    bench.goto("F2")
    bench.take("40.45")
    sampling = Sampling(shop.record, job, pick_round(shop.record, job, "S1"))
    (now,) = [now for now in ToolLog(sampling, None).on_tools.values() if now.values]
    rough = faces_touched.u_rough(sampling.feature("F2"), now.tool)
    gauge = hypot(0.04 / 2, 0.01 / sqrt(12))  # certificate and display
    assert rough > 0 and now.u == pytest.approx(hypot(gauge, rough))
