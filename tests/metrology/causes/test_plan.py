"""Tests of: what a measuring plan can tell: causes its features cannot tell apart, the fewest to add, the best one to take next"""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from inspect_tui.metrology.causes.candidates import candidates as all_candidates
from inspect_tui.metrology.causes.plan import fewest_to_add, identifiable
from tests.metrology.causes.test_explain import NOTHING
from tests.worlds.casting_manifold import CARRIERS, sampling


def test_the_plan_says_which_causes_it_cannot_tell_apart_or_see():
    features = sampling(NOTHING, 1)
    cands = all_candidates(features, carriers=CARRIERS)
    plan = identifiable(features, cands)
    pairs = {(c.cause, c.stand_in) for c in plan.confusions}
    assert ("core 5 z", "core 5 with core 6 z") in pairs
    thin = [o for o in features if o.balloon not in ("F50", "F51", "F57", "F58")]
    assert "parting z" in identifiable(thin, cands).unseen


def test_the_fewest_features_to_add_are_found_and_settle_what_can_be_settled():
    features = sampling(NOTHING, 1)
    cands = all_candidates(features, carriers=CARRIERS)
    hidden = ("F38", "F39", "F40", "F22")
    chosen = [o for o in features if o.balloon not in hidden]
    pool = [replace(o, readings={}) for o in features if o.balloon in hidden]
    added, plan = fewest_to_add(chosen, pool, cands)
    assert 1 <= len(added) <= 3
    assert plan.open_questions == identifiable([*chosen, *pool], cands).open_questions
    for smaller in combinations(pool, len(added) - 1):
        assert not identifiable([*chosen, *smaller], cands).open_questions <= plan.open_questions
