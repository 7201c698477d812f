"""Tests of: the answer of the search for causes in sentences a patternmaker would say"""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.sentences import say_all
from tests.worlds.casting_manifold import CARRIERS, FEET, FIRST, sampling


def test_a_wild_reading_is_set_aside_by_name_and_the_causes_stay():
    features = sampling(FIRST, 11)
    k = next(i for i, o in enumerate(features) if o.balloon == "F39")
    read = features[k].readings["1"]
    features[k] = replace(features[k], readings={**features[k].readings, "1": replace(read, mm=read.mm + 3.0)})
    answer = explain(features, carriers=CARRIERS, datums=(FEET,))
    off = {(o.balloon, o.serial): o.off_mm for o in answer.odd}
    assert off["F39", "1"] == pytest.approx(3.0, abs=0.5)
    assert answer.named("core 4 y").size.value == pytest.approx(0.70, abs=0.25)
    assert any("F39 on casting 1 stands alone" in t.text for t in say_all(answer))
