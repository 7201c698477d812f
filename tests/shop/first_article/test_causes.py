"""Tests of: what explains the castings of a sampling."""

from __future__ import annotations

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.record.store import Record
from inspect_tui.shop.first_article.castings.rounds import Round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.first_article.castings.screening import look
from inspect_tui.shop.first_article.causes import plan_answer


def test_a_plan_says_which_causes_it_cannot_tell_and_what_to_add(sampled: Record) -> None:
    job = sampled.jobs()[0]
    sampling = Sampling(sampled, job, Round("plan", None, ()))
    looked = look(sampling)
    few = plan_answer(sampling, looked, ["F01", "F38", "F39"])
    assert any("contraction in X" in text for pair in few.confused for text in pair) or few.unseen
    assert few.add
    every = plan_answer(sampling, looked)
    assert set(every.add) <= {f.balloon for f in sampling.features if f.note and "section" in f.note}
    with pytest.raises(NotFound, match="F99"):
        plan_answer(sampling, looked, ["F99"])
    with pytest.raises(NotFound, match="no cause moves"):
        plan_answer(sampling, looked, ["F63"])
