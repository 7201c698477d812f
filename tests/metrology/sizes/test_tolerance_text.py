"""Tests of: what a person types for limits -> a band: deviations, limits, one-sided, or the name of a general tolerance"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.sizes.tolerance import (
    iso2768_1,
    iso8062_3,
)
from inspect_tui.metrology.sizes.tolerance_text import parse_band
from inspect_tui.model.words import Band
from tests.metrology.sizes.test_tolerance import SENTENCES, TYPED


@pytest.mark.parametrize(("text", "lower", "upper"), TYPED)
def test_limits_as_people_type_them(text, lower, upper):
    band = parse_band(text, 62.0)
    assert isinstance(band, Band), band
    assert (band.lower, band.upper) == (pytest.approx(lower, abs=1e-9), pytest.approx(upper, abs=1e-9))
    assert text in band.source or "ISO" in band.source or "EN" in band.source


def test_limits_above_a_thousand_may_have_their_thousands_apart():
    for text in ("998..1 002", "998 to 1002", "998..1.002e3"):
        band = parse_band(text, 1000.0)
        assert isinstance(band, Band) and (band.lower, band.upper) == (998.0, 1002.0), text
    assert parse_band("max 1 000", 900.0).upper == 1000.0
    assert parse_band("12 120/128 in..13 in", 329.0).lower == pytest.approx((12 + 120 / 128) * 25.4)


@pytest.mark.parametrize(("text", "sentence"), SENTENCES)
def test_what_is_not_understood_is_a_sentence(text, sentence):
    answer = parse_band(text, 62.0)
    assert isinstance(answer, str) and sentence in answer, answer


def test_what_kind_of_feature_it_is_decides_the_table():
    assert parse_band("DCTG 9", 7.0, "wall") == iso8062_3(7.0, 9, wall=True)
    assert parse_band("ISO 2768-m", 28.0, "radius") == iso2768_1(28.0, "m", "radius_chamfer")
    assert parse_band("ISO 2768-m", 75.0, "angle", leg_mm=60) == iso2768_1(75.0, "m", "angle", leg_mm=60)
    assert "shorter leg" in parse_band("ISO 2768-m", 75.0, "angle")
    assert isinstance(parse_band("DCTG 9", 75.0, "angle"), str)
    assert parse_band("0.5", 0.0, "flatness") == Band(None, 0.5, "drawing 0.5")
    assert parse_band("0.02 in", 0.0, "flatness").upper == pytest.approx(0.508)
    assert parse_band("max 2.5 in", 62.0).upper == pytest.approx(63.5)
    assert parse_band("min 2.4 in", 62.0).lower == pytest.approx(60.96)
    assert parse_band("-0.5..0.5", 62.0, "position") == Band(-0.5, 0.5, "drawing -0.5..0.5")
    assert parse_band("±0.5", 0.0, "position") == Band(-0.5, 0.5, "drawing ±0.5")


def test_angles_take_degrees_and_minutes():
    for text, half in [("±1", 1.0), ("±1°", 1.0), ("±30'", 0.5), ("±1°30'", 1.5), ("±0.5 deg", 0.5)]:
        band = parse_band(text, 75.0, "angle")
        assert (band.lower, band.upper) == (pytest.approx(75 - half), pytest.approx(75 + half))
    assert "cannot be in mm" in parse_band("±1 mm", 75.0, "angle")


def test_the_unit_of_the_drawing_serves_where_none_is_typed():
    assert parse_band("±0.03", 62.0, unit="in") == Band(61.238, 62.762, "drawing ±0.03")
    assert parse_band("±0.8 mm", 62.0, unit="in") == Band(61.2, 62.8, "drawing ±0.8 mm")


@given(st.integers(0, 9999), st.integers(0, 9999), st.sampled_from(["+{u}/-{d}", "-{d}/+{u}", "+{u} -{d}", "+{u}-{d}"]))
def test_deviations_are_read_back_whatever_their_order(up, down, form):
    text = form.format(u=f"{up / 1000:.3f}", d=f"{down / 1000:.3f}")
    band = parse_band(text, 62.0)
    assert (band.lower, band.upper) == (pytest.approx(62 - down / 1000), pytest.approx(62 + up / 1000))
    assert parse_band(text.replace(".", ","), 62.0).upper == band.upper


@given(st.integers(32000, 123000), st.integers(0, 900), st.sampled_from(["{a}..{b}", "{a} - {b}", "{a} to {b} mm"]))
def test_limits_are_read_back(low, width, form):
    a, b = low / 1000, (low + width) / 1000
    band = parse_band(form.format(a=f"{a:.3f}", b=f"{b:.3f}"), 62.0)
    assert (band.lower, band.upper) == (pytest.approx(a), pytest.approx(b))


@given(
    st.one_of(st.text(max_size=60), st.text("±+-/.,0123456789 inmax'\"°HDCTGISO", max_size=30)),
    st.sampled_from(["length", "angle", "wall", "flatness", "temperature"]),
    st.sampled_from([62.0, 0.0, -28.0]),
)
@settings(max_examples=400)
def test_any_text_is_a_band_or_a_sentence(text, quantity, nominal):
    answer = parse_band(text, nominal, quantity)
    assert isinstance(answer, Band) or (isinstance(answer, str) and len(answer) > 10)
    if isinstance(answer, Band):
        for limit in (answer.lower, answer.upper):
            assert limit is None or abs(limit) < 1e9
