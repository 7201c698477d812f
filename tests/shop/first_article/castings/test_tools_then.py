"""Tools as they stood before a pour, and what they promise of the casting."""

from __future__ import annotations

import pytest

from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.tools_then import ToolLog


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
