"""Samplings are the lots labelled so, in their order."""

from __future__ import annotations

from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings.rounds import pick_round, rounds


def test_rounds_are_the_lots_labelled_as_samplings(sampled: Record) -> None:
    job = sampled.jobs()[0]
    assert [one.label for one in rounds(sampled, job)] == ["S1", "S2", "S3"]
    assert pick_round(sampled, job).label == "S3"
    assert pick_round(sampled, job, "s2").label == "S2"
