"""The passage of a sampling: its least section as the readings give it, and that it is no flow test."""

from __future__ import annotations


def test_the_passage_of_the_first_sampling_misses_its_minimum_and_says_it_is_no_flow_test(articles) -> None:
    (mean,) = [line for line in articles["S1"].passages if line.serial is None]
    # scenario section 7: 44.3 of 46.0 with the throat as planted, minimum 45.0
    assert abs(mean.capacity - 44.3) < 0.35
    assert mean.level == "under by a few percent"
    assert "below the minimum" in mean.sentence
    assert "no flow test" in mean.caveat
    (later,) = [line for line in articles["S2"].passages if line.serial is None]
    assert abs(later.capacity - 46.1) < 0.35
