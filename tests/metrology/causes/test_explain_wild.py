"""A single wild reading never makes a cause, whatever its size and wherever it stands."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.causes.explain import explain
from tests.amounts import some
from tests.worlds.casting_manifold import CARRIERS, FEET, Truth, sampling

NOTHING = Truth(real={"x": 0.010, "y": 0.010, "z": 0.010})


@settings(max_examples=some(6, 100), deadline=None)
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
