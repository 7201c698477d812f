"""Tests of: what to look at in a sampling before any cause is sought."""

from __future__ import annotations

from inspect_tui.shop.first_article.castings.screening import look
from tests.shop.first_article.castings.test_doubts import (
    GOOD,
    Bench,
    bench,  # noqa: F401  a fixture
)


def test_swapped_rows_are_in_question_on_both_and_left_out_of_the_search(bench: Bench) -> None:
    bench.fill(("C1", "C2", "C3"))
    for balloon, value in {**GOOD, "F1": GOOD["F2"], "F2": GOOD["F1"]}.items():
        bench.log(balloon, "C4", value)
    assert bench.cell("F1", "C4").answer == bench.cell("F2", "C4").answer == "in question"
    assert bench.cell("F3", "C4").answer == "conforms"
    seen = look(bench.sampling)
    assert [(one.kind, one.balloons) for one in seen.questions] == [("rows swapped", ("F1", "F2"))]
    left = {o.balloon: set(o.readings) for o in seen.evidence.features}
    assert left["F1"] == left["F2"] == {"C1", "C2", "C3"}
    assert left["F3"] == set(bench.serials)
