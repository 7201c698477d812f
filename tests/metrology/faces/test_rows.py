"""Tests of: rows, units and tilt: readings of one casting that are right but stand in the wrong row, unit or alignment"""

from __future__ import annotations

import pytest

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.loops import check_loops
from inspect_tui.metrology.faces.rows import CastingRow, realigned, swapped, tilt, unit_of
from tests.metrology.faces.test_loops import WIDTH, change, swaps_of
from tests.worlds.casting_manifold import SECOND, THIRD, sampling


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


def test_honest_castings_and_real_errors_are_not_called_swapped():
    assert not any(swaps_of(sampling(SECOND, seed)) for seed in range(20))


def test_rows_that_are_only_one_way_wrong_are_not_swapped():
    rows = [CastingRow("A", 7.0, 14.0, 0.1), CastingRow("B", 7.1, 7.0, 0.1), CastingRow("C", 14.0, 20.0, 0.1)]
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
