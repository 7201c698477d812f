"""Tests of: what the work itself adds to a reading: thermal expansion to 20 degC, wood with its moisture, sound in a wall"""

from __future__ import annotations

import random
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.sizes.movement import STEEL, at_20c, expansion_of, moisture_change, wood_coefficient
from tests.metrology.sizes.test_chain import moistures


@given(st.floats(1.0, 2000.0), st.floats(-10.0, 60.0), st.floats(0.0, 1e-4))
def test_work_that_expands_like_the_instrument_reads_true_at_any_temperature(reading, t, alpha):
    got = at_20c(reading, t, alpha, alpha_instrument=alpha)
    assert got.value == pytest.approx(reading, rel=1e-12)


@given(st.floats(1.0, 2000.0), st.floats(-10.0, 60.0), st.floats(0.0, 1e-4), st.floats(0.0, 3.0))
def test_the_exact_correction_is_the_first_order_one_nearly(reading, t, alpha, u_c):
    got = at_20c(reading, t, alpha, u_c=u_c)
    first_order = reading * (1 - (alpha - STEEL) * (t - 20))
    assert got.value == pytest.approx(first_order, rel=3e-5)
    assert got.u >= 0.0


def test_at_20_degrees_nothing_is_corrected_and_only_the_thermometer_is_doubted():
    got = at_20c(500.0, 20.0, 50e-6, u_c=1.0)
    assert got.value == 500.0 and got.u == pytest.approx(500 * (50e-6 - STEEL) * 1.0)


def test_an_instrument_with_its_own_temperature_is_doubted_on_its_own():
    together, apart = at_20c(500.0, 28.0, 23.1e-6), at_20c(500.0, 28.0, 23.1e-6, instrument_c=28.0)
    assert apart.value == together.value and apart.u > together.u
    assert apart.u**2 == pytest.approx(
        500**2 * ((23.1e-6) ** 2 + STEEL**2 + (8 * 0.05) ** 2 * (23.1e-6**2 + STEEL**2)), rel=1e-3
    )
    assert at_20c(500.0, 28.0, 23.1e-6, u_c=2.0, instrument_c=28.0).u > apart.u
    warm_casting = at_20c(624.17, 45.0, 11e-6, instrument_c=20.0)
    assert warm_casting.value == pytest.approx(624.17 / 1.000275)


def test_a_reading_that_is_no_number_is_not_corrected():
    with pytest.raises(DataError, match="finite"):
        at_20c(float("nan"), 25.0, 11e-6)


def test_a_material_is_known_by_its_names_or_not_at_all():
    assert expansion_of("Aluminum") == expansion_of("aluminium") != expansion_of("steel")
    assert expansion_of("hardwood, lacquered") == expansion_of("wood")
    assert expansion_of("mahogany", "across grain").value > 5 * expansion_of("mahogany").value
    for unknown in ("", "not stated", "metal", "resin on a steel frame", "iron"):
        assert expansion_of(unknown) is None
    for known in ("grey iron", "ductile iron", "resin", "tooling board", "brass", "MDF", "stainless steel"):
        value, u, source = expansion_of(known)
        assert 2e-6 < value < 120e-6 and 0.04 * value < u < value and source


@given(st.floats(10.0, 1000.0), st.floats(0.0005, 0.005), moistures, moistures, moistures)
def test_moisture_changes_add_up_and_reverse(width, coefficient, one, two, three):
    def change(start, to):
        return moisture_change(width, coefficient, start, to).value

    assert change(one, two) == pytest.approx(-change(two, one), abs=1e-9)
    assert change(one, two) + change(two, three) == pytest.approx(change(one, three), abs=1e-9)
    assert moisture_change(width, coefficient, one, two).u > 0.0


def test_moisture_uncertainty_agrees_with_drawing_at_random():
    """20,000 draws of coefficient and both meter readings (within 3 %)."""
    chance = random.Random(5)
    drawn = [
        300 * chance.gauss(0.0025, 0.0003) * 100 * (chance.gauss(0.10, 0.005) - chance.gauss(0.06, 0.005))
        for _ in range(20000)
    ]
    mean = sum(drawn) / len(drawn)
    spread = sqrt(sum((d - mean) ** 2 for d in drawn) / (len(drawn) - 1))
    got = moisture_change(300.0, 0.0025, 0.06, 0.10, u_moisture=0.005, u_coefficient=0.0003)
    assert got.u == pytest.approx(spread, rel=0.03) and got.value == pytest.approx(mean, rel=0.03)
    shrunk = moisture_change(300.0, -0.0025, 0.06, 0.10)  # a sign must not lose the doubt
    assert shrunk.u == moisture_change(300.0, 0.0025, 0.06, 0.10).u


def test_a_coefficient_is_the_middle_of_what_is_printed():
    # epoxy 45 to 65 and filled 30 to 45: 30 to 65 together; steel alone is printed 11.5 and 11.7
    assert expansion_of("resin") == (
        pytest.approx(47.5e-6),
        pytest.approx(35e-6 / sqrt(12)),
        expansion_of("resin").source,
    )
    assert expansion_of("resin").source.endswith("(found) and 1 more")
    assert expansion_of("steel")[:2] == (pytest.approx(11.6e-6), pytest.approx(0.05 * 11.6e-6))
    assert " more" not in expansion_of("stainless 316").source
    # 0.1 to 0.2 % from fibre saturation (30 %) to dry
    along = wood_coefficient("cherry", "along")
    assert along.value == pytest.approx(0.0015 / 30) and along.u == pytest.approx(0.001 / 30 / sqrt(12))


def test_a_stick_swells_across_the_grain_and_not_along_it():
    across, along = wood_coefficient("hardwood"), wood_coefficient("hardwood", "along")
    swell = moisture_change(84.84, across.value, 0.09, 0.12)
    assert abs(swell.value - 0.51) < 2 * swell.u  # 0.20 % per 1 % moisture
    assert moisture_change(78.78, along.value, 0.09, 0.12).value < 0.02
    assert wood_coefficient("maple", "radial").value < wood_coefficient("maple", "tangential").value


def test_per_cent_typed_for_a_fraction_and_wet_wood_are_refused():
    for bad in (9.0, -0.01, 0.45, float("nan")):
        with pytest.raises(DataError, match=r"9 % is 0\.09"):
            moisture_change(84.0, 0.002, bad, 0.12)


def test_board_moves_in_its_thickness_most():
    assert wood_coefficient("MDF", "thickness").value == pytest.approx(0.0035)
    assert wood_coefficient("MDF", "in plane").value == pytest.approx(0.0005)
    assert wood_coefficient("granite") is None and wood_coefficient("") is None
