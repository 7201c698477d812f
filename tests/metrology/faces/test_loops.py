"""Closed loops found from the faces, misreads that open them, swapped rows, units of a file, tilt (invented job)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inspect_tui.metrology.faces import loops as loops_module
from inspect_tui.metrology.faces.adjust import Reading, level
from inspect_tui.metrology.faces.loops import check_loops, find_loops, say_open
from inspect_tui.metrology.faces.observed import of_observed
from inspect_tui.metrology.faces.rows import CastingRow, swapped
from tests.worlds.casting_manifold import SECOND, sampling

HEIGHT = "F43 + F44 + F45 + F46 + F47 + F48 + F49 + F50 = F51"
WIDTH = "F23 + F25 + F26 + F27 + F28 + F29 + F30 + F31 + F32 = F35"


def change(features, balloon: str, serial: str, **new):
    return [
        replace(o, readings={**o.readings, serial: replace(o.readings[serial], **new)}) if o.balloon == balloon else o
        for o in features
    ]


def exact(features, serial: str):
    """The casting as its tools promise it, every loop closed to the hundredth."""
    return [
        replace(o, readings={serial: replace(o.readings[serial], mm=o.cast_size_mm, text=f"{o.cast_size_mm:.2f}")})
        for o in features
        if serial in o.readings
    ]


def true_passage(seed: int):
    """Casting 2 with a true passage width of 82.07 (F35 goes with it), before it is written down."""
    features = sampling(SECOND, seed)
    by_name = {o.balloon: o for o in features}
    moved = 82.07 - by_name["F29"].readings["2"].mm
    width = by_name["F35"].readings["2"].mm + moved
    features = change(features, "F35", "2", mm=width, text=f"{width:.2f}")
    return change(features, "F29", "2", mm=82.07, text="82.07")


def test_the_loops_of_the_drawing_are_found_from_the_faces_alone():
    assert {p.name for p in find_loops(sampling(SECOND, 0))} == {
        "F04 + F08 = F05",
        "F04 + F09 = F07",
        HEIGHT,
        WIDTH,
    }


def test_the_nominal_sizes_of_every_loop_sum_to_nothing():
    features = {o.balloon: o for o in sampling(SECOND, 0)}
    for p in find_loops(list(features.values())):
        assert sum(s * features[b].cast_size_mm for b, s in zip(p.balloons, p.signs, strict=True)) == 0.0


def test_heights_at_different_stations_are_no_loop():
    """F52 and F53 end on the same level of core 3, 420 apart."""
    loops = find_loops(sampling(SECOND, 0))
    assert not any({"F52", "F53"} <= set(p.balloons) for p in loops)


def test_a_loop_closes_within_its_readings_and_says_within_what():
    closures = check_loops(exact(sampling(SECOND, 0), "2"))
    height = next(c for c in closures if c.loop.name == HEIGHT)
    assert height.gap_mm == pytest.approx(0.0)
    # walls 0.10 and gaps 0.04 or 0.06 at k = 2, with the step of a wall gauge of 0.1: half of the sum in quadrature
    read = {o.balloon: o.readings["2"].u for o in sampling(SECOND, 0) if "2" in o.readings}
    assert height.u == pytest.approx(sum(read[b] ** 2 for b in height.loop.balloons) ** 0.5)
    assert 2 * height.u == pytest.approx(0.20, abs=0.03)


def test_honest_readings_open_few_loops():
    closures = [c for seed in range(30) for c in check_loops(sampling(SECOND, seed)) if c.serial != "3"]
    assert sum(c.open for c in closures) / len(closures) < 0.02  # casting 3 is bench 2, three times as rough


def test_a_transposed_reading_that_passes_is_found_by_its_loop():
    found = 0
    for seed in range(20):
        features = change(true_passage(seed), "F29", "2", mm=82.70, text="82.70")
        width = next(c for c in check_loops(features) if c.loop.name == WIDTH and c.serial == "2")
        assert width.open
        assert width.gap_mm == pytest.approx(0.63, abs=0.35)
        first = width.blame[0]
        found += first.balloon == "F29" and first.slip == "digits swapped" and abs(first.suggested_mm - 82.07) < 1e-9
    assert found >= 18
    clean = change(exact(sampling(SECOND, 0), "2"), "F29", "2", mm=82.70, text="82.70")
    clean = change(clean, "F35", "2", mm=185.07, text="185.07")
    said = say_open(next(c for c in check_loops(clean) if c.open))
    assert "F29 at 82.07 (digits swapped) would close it: measure it again." in said


def test_a_reading_in_two_loops_is_blamed_when_both_are_open():
    features = change(exact(sampling(SECOND, 0), "1"), "F04", "1", mm=90.90, text="90.90")
    opened = [c for c in check_loops(features) if c.open]
    assert len(opened) == 2
    assert {c.blame[0].balloon for c in opened} == {"F04"}
    assert opened[0].blame[0].suggested_mm == pytest.approx(90.0, abs=0.2)


def test_an_inch_in_the_mm_column_is_blamed_as_that():
    features = change(exact(sampling(SECOND, 0), "1"), "F08", "1", mm=140.0 / 25.4, text=f"{140 / 25.4:.3f}")
    worst = check_loops(features)[0]
    assert worst.blame[0].balloon == "F08"
    assert worst.blame[0].slip == "inch for mm"
    assert worst.blame[0].suggested_mm == pytest.approx(140.0, abs=0.02)


@pytest.mark.parametrize("seed", range(3))
def test_loops_are_judged_by_the_residuals_of_the_levelled_network(seed: int) -> None:
    """Conditions and places are two ways to one adjustment: the standardised residuals are the same."""
    features = [o for o in sampling(SECOND, seed) if "2" in o.readings]
    by_name, loops = {o.balloon: o for o in features}, find_loops(features)
    ours = loops_module._residuals(loops, by_name, "2", 0.0)
    sizes = [s for s in of_observed(features) if s.name in ours]
    readings = [Reading(size=b, mm=by_name[b].readings["2"].mm, u=by_name[b].readings["2"].u) for b in ours]
    levelled = level(sizes, readings)
    assert levelled.redundancy == len(loops)
    theirs = {r.size: abs(r.standardised) for r in levelled.residuals}
    assert ours == pytest.approx(theirs, abs=1e-6)


def test_a_lone_loop_is_open_from_3_29_standard_uncertainties_on() -> None:
    """Baarda's critical value at 0.1 %; of one loop all readings have the same standardised residual, its gap over u."""
    features = [o for o in exact(sampling(SECOND, 0), "2") if o.balloon in WIDTH]
    (loop,) = check_loops(features)
    for part, is_open in ((3.2, False), (3.4, True)):
        moved = change(features, "F35", "2", mm=185.0 + part * loop.u)
        (closure,) = check_loops(moved)
        assert abs(closure.gap_mm) == pytest.approx(part * loop.u)
        assert closure.open is is_open


def test_a_loop_that_closes_is_not_open_for_its_neighbour() -> None:
    """F04 lies in two loops; the reading that is off lies in one of them: the other one closes and stays closed."""
    features = exact(sampling(SECOND, 0), "1")
    u = next(o for o in features if o.balloon == "F08").readings["1"].u
    features = change(features, "F08", "1", mm=140.0 + u, text="")  # open by no more than its readings allow
    off = {c.loop.name: c for c in check_loops(change(features, "F07", "1", mm=510.0 + 1.5, text="511.50"))}
    assert off["F04 + F09 = F07"].open
    assert off["F04 + F08 = F05"].gap_mm == pytest.approx(u)
    assert not off["F04 + F08 = F05"].open


# ------------------------------------------------------------------------------ rows, units, tilt


def swaps_of(features):
    found = []
    for serial in sorted({s for o in features for s in o.readings}):
        here = [(o, o.readings[serial]) for o in features if serial in o.readings]
        rows = [CastingRow(o.balloon, r.mm, o.predicted_mm, (r.u**2 + o.u_predicted**2) ** 0.5) for o, r in here]
        found += swapped(serial, rows)
    return found
