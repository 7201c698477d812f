"""Tests of: faces of castings, readings taken on them, and a feature as the tools promise it and the castings show it"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.frozen import replace
from inspect_tui.metrology.faces.loops import check_loops, find_loops, slips_of
from inspect_tui.metrology.faces.observed import Read, of_observed
from inspect_tui.metrology.faces.rows import tilt
from tests.worlds.ends import End, observed


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 5000), n=st.integers(3, 9), extra=st.integers(0, 8))
def test_as_many_loops_as_the_graph_has_and_all_of_them_close(seed, n, extra):
    """Independent loops of a connected graph: edges - faces + 1; readings between fixed places close each."""
    import random

    rng = random.Random(seed)
    place = [0.0, *sorted(rng.uniform(1, 500) for _ in range(n))]
    pairs = {(rng.randrange(k), k) for k in range(1, n + 1)}
    pairs |= {tuple(sorted(rng.sample(range(n + 1), 2))) for _ in range(extra)}
    features = [
        observed(
            balloon=f"F{a}-{b}",
            axis="y",
            a=End(f"core {a}", place[a]),
            b=End(f"core {b}", place[b]),
            predicted_mm=0.0,
            cast_size_mm=place[b] - place[a],
            readings={"1": Read(place[b] - place[a], 0.01)},
        )
        for a, b in sorted(pairs)
    ]
    loops = find_loops(features)
    assert len(loops) == len(pairs) - (n + 1) + 1
    assert all(abs(c.gap_mm) < 1e-9 and not c.open for c in check_loops(features, loops))


def test_slips_of_a_reading_hold_the_usual_ones():
    slips = dict((round(mm, 4), kind) for kind, mm in slips_of(Read(82.70, 0.02, text="82,70")))
    assert slips[82.07] == "digits swapped"
    assert slips[28.70] == "digits swapped"
    assert slips[round(82.70 * 25.4, 4)] == "inch for mm"
    assert slips[8.27] == "decimal point"
    assert slips[82.10] == "one digit misread"
    assert slips_of(Read(3.0, 0.02, text="about 3")) == []


def test_a_line_without_scatter_gives_its_slope_and_the_textbook_uncertainty():
    places = [100.0, 300.0, 500.0]
    features = [
        observed(
            balloon=f"H{k}",
            axis="z",
            a=End("drag", 0, -1),
            b=End("drag", 23, -1),
            predicted_mm=23.0,
            cast_size_mm=23.0,
            readings={"1": Read(23.0 + 0.2 + 0.001 * x, 0.05)},
            station_mm=x,
        )
        for k, x in enumerate(places)
    ]
    got = tilt(features, "1", process_mm=0.0)
    assert got.slope.value == pytest.approx(0.001)
    assert got.offset.value == pytest.approx(0.5)
    assert tilt(features, "1", at_mm=100.0, process_mm=0.0).offset.value == pytest.approx(0.3)
    assert got.slope.u == pytest.approx(0.05 / 80_000**0.5)  # u / root of the sum of squares about the mean station


def test_features_of_castings_are_sizes_between_their_faces() -> None:
    low, high = End("drag", 0.0, -1), End("core 3", 90.0)
    seen = observed(
        balloon="F52",
        axis="z",
        a=low,
        b=high,
        predicted_mm=90.2,
        cast_size_mm=90.0,
        contraction=0.01,
        readings={},
        station_mm=510.0,
    )
    (size,) = of_observed([seen])
    assert (size.name, size.mm, size.contraction, size.axis) == ("F52", 90.0, 0.01, "z")
    assert (size.a, size.b) == (seen.a, seen.b) and seen.faces == size.faces
    assert size.b.name == "core 3 face z 90 st 510"
    (alone,) = of_observed([replace(seen, a=None)])
    assert alone.a is None and alone.faces == (seen.b,) == replace(seen, a=None).faces
