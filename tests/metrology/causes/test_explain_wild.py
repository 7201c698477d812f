"""A single wild reading never makes a cause, whatever its size and wherever it stands."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.sentences import say_all
from tests.worlds.casting_manifold import CARRIERS, FEET, FIRST, Truth, sampling

NOTHING = Truth(real={"x": 0.010, "y": 0.010, "z": 0.010})


@settings(max_examples=15, deadline=None)
@given(
    seed=st.integers(0, 10_000),
    castings=st.integers(1, 3),
    row=st.integers(0, 57),
    which=st.integers(0, 2),
    off=st.floats(0.6, 500.0),
    low=st.booleans(),
)
def test_a_single_wild_reading_never_makes_a_cause(seed, castings, row, which, off, low):
    features = sampling(replace(NOTHING, serials=("1", "2", "3")[:castings]), seed, cut_up="1")
    before = {f.candidate.name for f in explain(features, carriers=CARRIERS, datums=(FEET,)).findings}
    o = features[row]
    serial = sorted(o.readings)[which % len(o.readings)]
    wild = replace(o.readings[serial], mm=o.readings[serial].mm + (-off if low else off))
    features[row] = replace(o, readings={**o.readings, serial: wild})
    after = explain(features, carriers=CARRIERS, datums=(FEET,))
    assert {f.candidate.name for f in after.findings} <= before


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
