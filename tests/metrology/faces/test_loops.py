"""Closed loops found from the faces, misreads that open them, swapped rows, units of a file, tilt (invented job)."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.loops import check_loops, find_loops, say_open, slips_of
from inspect_tui.metrology.faces.observed import Face, Observed, Read
from inspect_tui.metrology.faces.rows import Row, realigned, swapped, tilt, unit_of
from tests.worlds.casting_manifold import SECOND, THIRD, sampling

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
        Observed(
            balloon=f"F{a}-{b}",
            axis="y",
            a=Face(f"core {a}", place[a]),
            b=Face(f"core {b}", place[b]),
            predicted_mm=0.0,
            cast_size_mm=place[b] - place[a],
            readings={"1": Read(place[b] - place[a], 0.01)},
        )
        for a, b in sorted(pairs)
    ]
    loops = find_loops(features)
    assert len(loops) == len(pairs) - (n + 1) + 1
    assert all(abs(c.gap_mm) < 1e-9 and not c.open for c in check_loops(features, loops))


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


def test_slips_of_a_reading_hold_the_usual_ones():
    slips = dict((round(mm, 4), kind) for kind, mm in slips_of(Read(82.70, 0.02, text="82,70")))
    assert slips[82.07] == "digits swapped"
    assert slips[28.70] == "digits swapped"
    assert slips[round(82.70 * 25.4, 4)] == "inch for mm"
    assert slips[8.27] == "decimal point"
    assert slips[82.10] == "one digit misread"
    assert slips_of(Read(3.0, 0.02, text="about 3")) == []


# ------------------------------------------------------------------------------ rows, units, tilt
def test_swapped_rows_are_found_although_their_loop_stays_closed():
    for seed in range(10):
        features = sampling(SECOND, seed)
        by_name = {o.balloon: o for o in features}
        gap, wall = by_name["F31"].readings["2"], by_name["F32"].readings["2"]
        mixed = change(change(features, "F31", "2", mm=wall.mm), "F32", "2", mm=gap.mm)
        closed = next(c for c in check_loops(mixed) if c.loop.name == WIDTH and c.serial == "2")
        assert not closed.open
        swaps = swaps_of(mixed)
        assert [(s.first, s.second, s.serial) for s in swaps] == [("F31", "F32", "2")]
        assert swaps[0].said().endswith("; each fits the other.")
        predicted = by_name["F31"].predicted_mm
        assert swaps[0].off_mm[0] == pytest.approx(wall.mm - predicted)
        assert swaps[0].swapped_off_mm[0] == pytest.approx(gap.mm - predicted)


def swaps_of(features):
    found = []
    for serial in sorted({s for o in features for s in o.readings}):
        here = [(o, o.readings[serial]) for o in features if serial in o.readings]
        rows = [Row(o.balloon, r.mm, o.predicted_mm, (r.u**2 + o.u_predicted**2) ** 0.5) for o, r in here]
        found += swapped(serial, rows)
    return found


def test_honest_castings_and_real_errors_are_not_called_swapped():
    assert not any(swaps_of(sampling(SECOND, seed)) for seed in range(20))


def test_rows_that_are_only_one_way_wrong_are_not_swapped():
    rows = [Row("A", 7.0, 14.0, 0.1), Row("B", 7.1, 7.0, 0.1), Row("C", 14.0, 20.0, 0.1)]
    assert swapped("1", rows) == ()  # A is wrong, but its reading fits neither place of C, and B stands right


@pytest.mark.parametrize(("unit", "scale"), [("mm", 1.0), ("in", 25.4), ("cm", 10.0), ("m", 1000.0)])
def test_the_unit_of_a_file_is_seen_from_its_ratio_to_the_nominals(unit, scale):
    features = [o for o in sampling(THIRD, 1) if o.balloon <= "F22"]
    nominal = {o.balloon: o.cast_size_mm for o in features}
    values = {o.balloon: o.readings["5"].mm / scale for o in features if "5" in o.readings}
    got, share = unit_of(values, nominal)
    assert got == unit
    assert share > 0.9


def test_a_file_in_no_unit_is_not_guessed():
    assert unit_of({"A": 500.0, "B": 20.0}, {"A": 10.0, "B": 90.0})[0] == ""
    with pytest.raises(DataError, match="no row of the file"):
        unit_of({"X": 1.0}, {"A": 1.0})


def test_a_ground_datum_pad_shows_as_a_slope_and_realigning_takes_it_out():
    slopes = []
    for seed in range(20):
        features = sampling(THIRD, seed)
        found = tilt(features, "4", at_mm=60.0)
        slopes.append(found.over(500.0).value)
        assert found.n == 6
        level = tilt(realigned(features, found), "4", at_mm=60.0)
        assert abs(level.slope.value) < level.slope.u
    assert sum(abs(s + 0.50) <= 0.20 for s in slopes) >= 17
    assert sum(slopes) / len(slopes) == pytest.approx(-0.50, abs=0.08)


def test_two_stations_make_no_tilt():
    few = [o for o in sampling(THIRD, 0) if o.balloon in ("F52", "F53")]
    assert tilt(few, "4") is None


def test_a_line_without_scatter_gives_its_slope_and_the_textbook_uncertainty():
    places = [100.0, 300.0, 500.0]
    features = [
        Observed(
            balloon=f"H{k}",
            axis="z",
            a=Face("drag", 0, -1),
            b=Face("drag", 23, -1),
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
