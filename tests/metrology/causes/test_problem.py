"""Tests of: what goes into the search for causes (candidates, noise) and what comes out of it"""

from __future__ import annotations

from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.problem import Candidate
from tests.metrology.causes.test_explain import NOTHING
from tests.worlds.casting_manifold import sampling


def test_a_cause_that_no_feature_shows_is_listed_as_unseen():
    features = sampling(NOTHING, 1)
    hidden = Candidate(name="core 9 x", kind="shift", axis="x", column={"F99": 1.0}, sd=0.8, prior=0.03)
    assert "core 9 x" in explain(features, candidates=[hidden]).unseen
