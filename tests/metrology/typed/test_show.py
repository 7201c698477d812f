"""Figures as people read them, in mm, decimal inches, fractions with thou, and with a decimal comma."""

from __future__ import annotations

from datetime import UTC, date, datetime
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.typed import show
from inspect_tui.metrology.typed.quantity import TypedLine, parse_line
from inspect_tui.metrology.typed.show import MM, PAPER, Style

IN4, IN3, FRACTION, COMMA = Style("in"), Style("in", 3), Style("fraction"), Style(mark=",")
STYLES = (MM, PAPER, IN4, IN3, FRACTION, COMMA)

# The inch figures are worked by hand: 59.66 / 25.4 = 2.348819; 2 11/32 = 2.34375, the rest 0.005069 in = 5.07 thou.


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (59.66, ("59.66 mm", "59.66 mm", "2.3488 in", "2.349 in", "2 11/32 in +5.1 thou", "59,66 mm")),
        (59.53125, ("59.53 mm", "59.53 mm", "2.3438 in", "2.344 in", "2 11/32 in", "59,53 mm")),
        (-0.13, ("-0.13 mm", "−0.13 mm", "-0.0051 in", "-0.005 in", "-5.1 thou", "-0,13 mm")),
        # 8.05 / 25.4 = 0.316929; 20/64 = 0.3125 and 21/64 = 0.328125: 5/16 and 4.43 thou
        (8.05, ("8.05 mm", "8.05 mm", "0.3169 in", "0.317 in", "5/16 in +4.4 thou", "8,05 mm")),
        # -60 / 25.4 = -2.362205; -2 23/64 = -2.359375, the rest -2.83 thou
        (-60.0, ("-60.00 mm", "−60.00 mm", "-2.3622 in", "-2.362 in", "-2 23/64 in -2.8 thou", "-60,00 mm")),
        (0.0, ("0.00 mm", "0.00 mm", "0.0000 in", "0.000 in", "0 in", "0,00 mm")),
        (-0.0004, ("0.00 mm", "0.00 mm", "0.0000 in", "0.000 in", "0 in", "0,00 mm")),
        (304.8, ("304.80 mm", "304.80 mm", "12.0000 in", "12.000 in", "12 in", "304,80 mm")),
        (None, ("",) * 6),
        (nan, ("–", "", "–", "–", "–", "–")),
        (-inf, ("–", "", "–", "–", "–", "–")),
    ],
)
def test_one_length_in_every_style(mm: float | None, shown: tuple[str, ...]) -> None:
    assert tuple(style.length(mm) for style in STYLES) == shown


def test_the_unit_can_stand_in_the_head_of_a_table_and_thou_never_lose_theirs() -> None:
    assert [style.length(59.66, unit=False) for style in STYLES] == [
        "59.66",
        "59.66",
        "2.3488",
        "2.349",
        "2 11/32 +5.1 thou",
        "59,66",
    ]
    assert [style.word for style in STYLES] == ["mm", "mm", "in", "in", "in", "mm"]
    assert [IN4.unit_word(quantity) for quantity in ("diameter", "angle", "temperature")] == ["in", "deg", "C"]


@pytest.mark.parametrize(
    ("digits", "mm", "four", "three", "fraction"),
    [
        (0, "60 mm", "2.35 in", "2.3 in", "2 11/32 in +5 thou"),
        (1, "59.7 mm", "2.349 in", "2.35 in", "2 11/32 in +5 thou"),
        (3, "59.660 mm", "2.34882 in", "2.3488 in", "2 11/32 in +5.07 thou"),
    ],
)
def test_more_decimals_in_mm_are_more_in_inches(digits: int, mm: str, four: str, three: str, fraction: str) -> None:
    assert [style.length(59.66, digits) for style in (MM, IN4, IN3, FRACTION)] == [mm, four, three, fraction]


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (0.13, ("+0.13", "+0.13", "+0.0051", "+0.005", "+5.1 thou", "+0,13")),
        (-1.0, ("-1.00", "−1.00", "-0.0394", "-0.039", "-39.4 thou", "-1,00")),
        (0.0, ("+0.00", "0.00", "+0.0000", "+0.000", "+0.0 thou", "+0,00")),
        (-0.001, ("+0.00", "0.00", "+0.0000", "+0.000", "+0.0 thou", "+0,00")),
    ],
)
def test_a_deviation_says_its_direction_unless_there_is_none(mm: float, shown: tuple[str, ...]) -> None:
    assert tuple(style.signed(mm, unit=False) for style in STYLES) == shown


def test_an_uncertainty_in_inches_never_reads_as_nought() -> None:
    # 0.04 / 25.4 = 0.001575; 0.0127 is half a thou; 0.002 / 25.4 = 0.0000787
    assert [style.uncertainty(0.04) for style in STYLES] == [
        "0.04 mm",
        "0.04 mm",
        "0.0016 in",
        "0.002 in",
        "1.6 thou",
        "0,04 mm",
    ]
    assert IN3.uncertainty(0.0127, unit=False) == "0.001" and IN3.uncertainty(0.0120, unit=False) == "0.0005"
    assert (IN4.uncertainty(0.001), FRACTION.uncertainty(0.001)) == ("0.00004 in", "0.04 thou")
    assert (IN4.uncertainty(0.0), FRACTION.uncertainty(0.0), MM.uncertainty(0.002)) == (
        "0.0000 in",
        "0.0 thou",
        "0.00 mm",
    )
    assert MM.uncertainty(None) == IN4.uncertainty(None) == "" and IN4.uncertainty(inf) == "–"


def test_values_with_their_uncertainty_pairs_and_limits() -> None:
    assert [style.plus_minus(44.3, 0.06) for style in STYLES] == [
        "44.30 ± 0.06 mm",
        "44.30 ± 0.06 mm",
        "1.7441 ± 0.0024 in",
        "1.744 ± 0.002 in",
        "1 3/4 in -5.9 thou ± 2.4 thou",
        "44,30 ± 0,06 mm",
    ]
    assert MM.plus_minus(0.2, 0.05, signed=True) == "+0.20 ± 0.05 mm" and MM.plus_minus(44.3, None) == "44.30 mm"
    assert MM.plus_minus(44.3, 0.06, unit=False) == "44.30 ± 0.06"
    assert [style.pair(81.2, 82.8) for style in (MM, IN4, COMMA)] == [
        "81.20 to 82.80 mm",
        "3.1969 to 3.2598 in",
        "81,20 to 82,80 mm",
    ]
    # 81.2 / 25.4 = 3.196850, 3 13/64 = 3.203125; 82.8 / 25.4 = 3.259843, 3 17/64 = 3.265625
    assert FRACTION.pair(81.2, 82.8) == "3 13/64 in -6.3 thou to 3 17/64 in -5.8 thou"
    assert [MM.band(*limits) for limits in ((81.2, 82.8), (81.2, None), (None, 82.8), (None, None))] == [
        "81.20 to 82.80 mm",
        "at least 81.20 mm",
        "at most 82.80 mm",
        "no limits",
    ]
    assert PAPER.band(-0.5, 0.5, unit=False) == "−0.50 to 0.50"
    assert MM.pair(0.0, 150.0, None) == "0 to 150 mm" and IN4.band(2.5, None, None) == "at least 0.0984 in"
    assert MM.signed(0.5, None, unit=False) == "+0.5" and FRACTION.pair(25.4, 50.8, None) == "1 in to 2 in"


def test_limits_beside_their_nominal_as_drawings_have_them() -> None:
    assert MM.deviations(62.0, 61.2, 62.8) == "±0.80"
    assert MM.deviations(62.0, 61.7, 62.7) == "+0.70/-0.30"
    assert MM.deviations(62.0, 62.1, 62.4) == "+0.40/+0.10" and MM.deviations(62.0, 61.6, 61.9) == "-0.10/-0.40"
    assert (MM.deviations(6.0, 6.0, None), MM.deviations(6.0, None, 6.5)) == ("min 6.00", "max 6.50")
    assert MM.deviations(6.0, None, None) == ""
    assert IN4.deviations(62.0, 61.7, 62.7) == "+0.0276/-0.0118"
    assert FRACTION.deviations(62.0, 61.7, 62.7) == "+27.6 thou/-11.8 thou"
    assert PAPER.deviations(62.0, 61.7, 62.7) == "+0.70/−0.30"
    assert MM.deviations(45.0, 44.5, 45.5, "angle", 0.1) == IN4.deviations(45.0, 44.5, 45.5, "angle", 0.1) == "±0.5"


@pytest.mark.parametrize(
    ("mm", "shown"),
    [
        (1.5, ("1.5 mm", "1.5 mm", "0.0591 in", "0.059 in", "1/16 in -3.4 thou", "1,5 mm")),
        (150.0, ("150 mm", "150 mm", "5.9055 in", "5.906 in", "5 29/32 in -0.7 thou", "150 mm")),
        (25.4, ("25.4 mm", "25.4 mm", "1 in", "1 in", "1 in", "25,4 mm")),
        (0.001, ("0.001 mm", "0.001 mm", "0.000039 in", "0.000039 in", "0.039 thou", "0,001 mm")),
        (-0.5, ("-0.5 mm", "−0.5 mm", "-0.0197 in", "-0.02 in", "-1/64 in -4.1 thou", "-0,5 mm")),
    ],
)
def test_a_length_that_was_given_has_no_zeros_that_nobody_wrote(mm: float, shown: tuple[str, ...]) -> None:
    assert tuple(style.given(mm) for style in STYLES) == shown


def test_significant_figures_of_a_length_and_of_a_plain_figure() -> None:
    assert [style.significant(0.0123456) for style in STYLES] == [
        "0.0123 mm",
        "0.0123 mm",
        "0.000486 in",
        "0.000486 in",
        "0.486 thou",
        "0,0123 mm",
    ]
    assert MM.significant(0.0123456, 2, unit=False, signed=True) == "+0.012" and MM.significant(nan) == "–"
    assert (MM.figures(2.0), MM.figures(0.5), COMMA.figures(1.2345678, 3), PAPER.figures(-2)) == (
        "2",
        "0.5",
        "1,23",
        "−2",
    )
    assert (MM.figure(-0.004), MM.figure(0.004, signed=True), MM.figure(None), MM.figure(inf), PAPER.figure(inf)) == (
        "0.00",
        "+0.00",
        "",
        "–",
        "",
    )
    assert (MM.spread(44.34, 0.61), MM.spread(44.34, 0.03), MM.spread(44.34, None)) == (
        "44.3 ± 0.6",
        "44.34 ± 0.03",
        "44.3",
    )


def test_a_size_is_rounded_on_its_decimals_and_to_the_step_of_its_instrument() -> None:
    assert (MM.size(2.675), MM.length(2.675, unit=False)) == ("2.68", "2.67")  # 2.675 lies below its half in binary
    assert (MM.size(59.67, step=0.02), MM.size(59.66, step=0.05), MM.size(-0.001)) == ("59.68", "59.65", "0.00")
    assert (MM.size(59.66, unit=True), IN4.size(59.66), IN3.size(59.66, unit=True)) == (
        "59.66 mm",
        "2.3488",
        "2.349 in",
    )
    assert (IN4.size(59.66, step=0.001), IN4.size(59.66, step=0.1), FRACTION.size(59.66)) == (
        "2.34882",
        "2.349",
        "2 11/32 +5.1 thou",
    )
    assert [style.size(12.345, "angle", 0.1, unit=True) for style in (MM, IN4, FRACTION, COMMA)] == [
        "12.3 deg",
        "12.3 deg",
        "12.3 deg",
        "12,3 deg",
    ]
    assert IN4.of("angle").length(1.25, unit=False) == IN4.of("deg").length(1.25, unit=False) == "1.25"
    assert (
        IN4.readings_in("mm") == (IN4, "in") and IN4.readings_in("") == (MM, "") and IN4.readings_in("deg")[1] == "deg"
    )
    assert IN4.of("diameter") is IN4 and PAPER.of("°").length(-1.25, unit=False) == "−1.25"
    assert MM.size(None) == "" and MM.size(nan) == "–" and COMMA.size(23.0, "temperature", 0.5, unit=True) == "23,0 C"


def test_figures_that_keep_their_unit() -> None:
    assert [style.percent(0.0105, 2) for style in (MM, IN4, COMMA, PAPER)] == [
        "1.05 %",
        "1.05 %",
        "1,05 %",
        "1.05\u202f%",
    ]
    assert (MM.percent(0.12), MM.percent(None), MM.percent(-0.001, 1, signed=True), MM.percent(0.015, None)) == (
        "12 %",
        "",
        "-0.1 %",
        "1.5 %",
    )
    assert [MM.chance(p) for p in (None, 0.0, 0.004, 0.97, 0.996, 1.0)] == [
        "",
        "<1 %",
        "<1 %",
        "97 %",
        ">99 %",
        ">99 %",
    ]
    assert [PAPER.chance(p) for p in (0.004, 0.97, 0.996)] == ["<\u202f1\u202f%", "97\u202f%", ">\u202f99\u202f%"]
    assert (MM.angle(1.5), MM.angle(-0.25, 2), PAPER.angle(-0.25, 3), MM.angle(None)) == (
        "1.5°",
        "-0.25°",
        "−0.250°",
        "",
    )
    assert (MM.temperature(23.0), COMMA.temperature(23.5), MM.temperature(None)) == ("23 °C", "23,5 °C", "")
    assert (MM.weight(12.44), MM.weight(184.6), MM.weight(99.96), MM.weight(0.2, 2, signed=True), MM.weight(None)) == (
        "12.4 kg",
        "185 kg",
        "100.0 kg",
        "+0.20 kg",
        "",
    )
    assert (MM.flow(184.93, "m3/h", 0.15), MM.flow(184.93, "m3/h", 0.01), MM.flow(7, ""), MM.flow(None, "mm")) == (
        "184.9 ± 0.3 m3/h",
        "184.9 ± 0.02 m3/h",
        "7.0",
        "",
    )
    assert COMMA.flow(184.93, "m3/h") == "184,9 m3/h"


def test_what_a_formula_gives_goes_into_the_style_by_its_power() -> None:
    inch, coarse = IN4, IN3
    # 645.16 mm² and 16 387.064 mm³ are one of the inch's own (NIST SP 811, appendix B.8)
    assert MM.derived(3706.9, "mm²", 12.34) == "3706.9 ± 12.3 mm²"
    assert inch.derived(2 * 645.16, "mm²", 6.4516) == "2.0000 ± 0.0100 in²"
    assert coarse.derived(2 * 645.16, "mm²", 0.64516) == "2.000 ± 0.001 in²"
    assert coarse.derived(2 * 645.16, "mm²", 0.064516) == "2.000 ± 0.0001 in²"  # never nought
    assert FRACTION.derived(3 * 16387.064, "mm³") == "3.00000 in³"
    assert inch.derived(50.8, "mm", digits=2, signed=True) == "+2.0000 in" and MM.derived(50.8, "mm") == "50.8 mm"
    assert inch.derived(46.04, "m³/min", 0.0) == "46.0 ± 0.0 m³/min" and inch.derived(1.5, "") == "1.5"
    assert (MM.step, inch.step, inch.given(inch.step)) == (1.0, 25.4, "1 in")


def test_counts_are_grouped_and_one_is_not_many() -> None:
    assert [show.count(n, "core") for n in (0, 1, 2, 12400)] == ["0 cores", "1 core", "2 cores", "12 400 cores"]
    assert show.count(2, "tool or casting", "tools and castings") == "2 tools and castings"
    assert [show.number(n) for n in (985, 12400.4, inf)] == ["985", "12 400", "no end"]
    assert [show.about(n) for n in (7, 85, 985, 12417, inf)] == ["7", "85", "980", "12 000", "no end"]


def test_days_and_instants_on_the_clock_of_the_bench() -> None:
    # 2026-11-21 22:42:05 UTC is the next day at +120 min
    at = int(datetime(2026, 11, 21, 22, 42, 5, tzinfo=UTC).timestamp()) * 1_000_000
    assert show.moment(at, 120) == "2026-11-22T00:42:05+02:00" and show.moment(at, -90) == "2026-11-21T21:12:05-01:30"
    assert (show.day_of(at, 120), show.day_of(at)) == ("2026-11-22", "2026-11-21")
    assert show.day_of(0) == "1970-01-01" and show.day_of(-1) == "1969-12-31" and show.day_of(-1, 1) == "1970-01-01"
    assert [show.when(at, 120, today) for today in ("2026-11-22", "2026-12-01", "2027-01-01")] == [
        "00:42",
        "22 Nov 00:42",
        "2026-11-22",
    ]
    day = date(2026, 11, 22)
    assert {show.day(x) for x in (day, "2026-11-22T00:42:05+02:00", float(day.toordinal()), day.toordinal() + 0.9)} == {
        "2026-11-22"
    }
    assert (show.day(None), show.day(nan), show.day(0.5)) == ("", "?", "?")


def test_a_style_is_hashable_never_changes_and_refuses_what_it_cannot_write() -> None:
    assert len({Style(), Style("mm"), Style("in"), Style("in", 3)}) == 3
    with pytest.raises(AttributeError):
        MM.unit = "in"  # type: ignore[misc]
    for wrong in ({"unit": "ell"}, {"unit": "in", "places": 5}, {"mark": "'"}):
        with pytest.raises(DataError, match="choose"):
            Style(**wrong)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------ what is shown can be typed again
LENGTHS = st.floats(-90_000, 90_000, allow_nan=False)


def read(text: str) -> float:
    entry = parse_line(text, "mm", 0.0, "position")
    assert isinstance(entry, TypedLine) and len(entry.sizes) == 1, (text, entry)
    return entry.sizes[0].mm


@given(
    LENGTHS,
    st.sampled_from([Style(u, p, m, o) for u in ("mm", "in") for p in (3, 4) for m in ".," for o in (False, True)]),
)
def test_decimals_read_back_are_the_value_within_half_a_last_place(value: float, style: Style) -> None:
    place = {"mm": 0.01, "in": 25.4 * 10.0**-style.places}[style.unit]
    assert read(style.length(value)) == pytest.approx(value, abs=place / 2 + 1e-9)
    assert read(style.signed(value)) == pytest.approx(value, abs=place / 2 + 1e-9)
    assert read(style.size(value, unit=True)) == pytest.approx(value, abs=place / 2 + 1e-9)


def test_an_uncertainty_of_a_size_says_one_unit() -> None:
    styles = (MM, Style("in"), Style("fraction"))
    assert [style.uncertainty_of(0.071, "length", 3) for style in styles] == ["0.071 mm", "0.00280 in", "2.80 thou"]
    assert {style.uncertainty_of(0.33, "angle") for style in styles} == {"0.33 deg"}
    assert [style.reach(1.0, None) for style in styles] == [
        "1.00 to any mm",
        "0.0394 to any in",
        "3/64 in -7.5 thou to any",
    ]
    assert [style.apart for style in styles] == [(False, " mm"), (False, " in"), (True, "")]


def test_a_given_uncertainty_and_a_fine_step_are_thou_beside_parts_of_an_inch() -> None:
    """1 in = 25.4 mm, 1 thou = 0.0254 mm: 0.2 mm is 7.9 thou, and 0.001 mm is 0.039 thou."""
    fraction, inch = Style("fraction"), Style("in")
    assert fraction.given_u(0.2) == fraction.given_u(0.2, unit=False) == "7.9 thou"
    assert (inch.given_u(0.2), MM.given_u(0.2), MM.given_u(0.2, unit=False)) == ("0.0079 in", "0.2 mm", "0.2")
    assert [fraction.given(mm) for mm in (0.001, 0.01, 0.0, 25.4)] == ["0.039 thou", "0.4 thou", "0 in", "1 in"]


@given(LENGTHS, st.sampled_from([MM, IN4, IN3, COMMA]))
def test_a_length_that_was_given_reads_back_as_six_figures_or_the_last_place(value: float, style: Style) -> None:
    if abs(value) < 0.01:  # 1e-05 is no reading
        return
    half = {"mm": 0.0, "in": 12.7 * 10.0**-style.places}[style.unit] + 1e-5 * abs(value)
    assert read(style.given(value)) == pytest.approx(value, abs=half)


@given(LENGTHS, st.sampled_from([Style("fraction", 4, m, o) for m in ".," for o in (False, True)]))
def test_fractions_with_thou_read_back_are_the_value_within_half_a_last_place(value: float, style: Style) -> None:
    half = 0.05 * 0.0254 + 1e-9
    for shown in (style.length(value), style.signed(value), style.size(value, unit=True)):
        assert read(shown) == pytest.approx(value, abs=half), shown


@given(st.integers(0, 90_000), st.integers(1, 63), st.integers(-78, 78))
def test_a_fraction_with_thou_needs_no_inch_mark(inches: int, parts: int, tenths_of_thou: int) -> None:
    value = min(25.4 * (inches % 3000 + parts / 64) + 0.00254 * tenths_of_thou, 90_000.0)
    shown = FRACTION.length(value, unit=False)
    if shown.endswith(" thou") and "/" in shown:
        assert read(shown) == pytest.approx(value, abs=0.00128)


def test_thou_behind_decimals_stay_a_reading_of_their_own() -> None:
    for line, typed in (("2.5 in +5 thou", ["2.5 in", "+5 thou"]), ("12 -5.1 thou", ["12", "-5.1 thou"])):
        entry = parse_line(line, "mm", 0.0, "position")
        assert isinstance(entry, TypedLine) and [size.typed for size in entry.sizes] == typed


# ------------------------------------------------------------------------------ named units and contraction rules
@pytest.mark.parametrize(
    "value, unit, resolution, shown",
    [
        (59.664, "mm", 0.01, "59.66"),
        (2.675, "mm", 0.01, "2.68"),
        (2.665, "mm", 0.01, "2.66"),
        (2.685, "mm", 0.01, "2.68"),
        (0.125, "mm", 0.01, "0.12"),
        (-0.001, "mm", 0.01, "0.00"),
        (-0.004999, "mm", 0.01, "0.00"),
        (-0.01, "mm", 0.01, "-0.01"),
        (59.67, "mm", 0.02, "59.68"),
        (59.66, "mm", 0.05, "59.65"),
        (59.66, "mm", 1.0, "60"),
        (59.66, "mm", 0.5, "59.5"),
        (123.0, "mm", 10.0, "120"),
        (59.66, "mm", 0.001, "59.660"),
        (309.5625, "in", 0.0127, "12.1875"),
        (309.56, "in", 0.0127, "12.1875"),
        (309.5625, "in", 0.01, "12.1875"),
        (2.54, "thou", 0.0254, "100"),
        (1000.0, "m", 1.0, "1.000"),
        (304.8, "ft", 0.01, "1.00000"),
        (12.345, "deg", 0.1, "12.3"),
        (23.0, "C", 0.5, "23.0"),
        (99999.999, "mm", 0.01, "100000.00"),
        (float("nan"), "mm", 0.01, "–"),
        (float("inf"), "mm", 0.01, "–"),
    ],
)
def test_numbers_are_rounded_half_even_to_a_resolution(value: float, unit: str, resolution: float, shown: str) -> None:
    assert show.in_unit(value, unit, resolution) == shown


@pytest.mark.parametrize(
    "value, fraction, feet",
    [
        (309.5625, "12 3/16 in", "1' 3/16\""),
        (309.6625, "12 3/16 in + 0.10 mm", "1' 3/16\" + 0.10 mm"),
        (371.425, "14 5/8 in - 0.05 mm", "1' 2 5/8\" - 0.05 mm"),
        (0.0, "0 in", '0"'),
        (25.4, "1 in", '1"'),
        (304.8, "12 in", "1' 0\""),
        (19.05, "3/4 in", '3/4"'),
        (-19.15, "-3/4 in - 0.10 mm", '-3/4" - 0.10 mm'),
        (-0.1, "0 in - 0.10 mm", '0" - 0.10 mm'),
        (304.79, "12 in - 0.01 mm", "1' 0\" - 0.01 mm"),
    ],
)
def test_a_length_as_the_nearest_64th_and_its_remainder(value: float, fraction: str, feet: str) -> None:
    assert show.fraction(value) == fraction
    assert show.feet(value) == feet


def test_a_coarser_rule_leaves_a_larger_remainder() -> None:
    assert show.fraction(309.6625, 8) == "12 1/4 in - 1.49 mm"
    assert show.fraction(309.6625, 128) == "12 25/128 in - 0.10 mm"


def test_a_true_length_as_it_reads_on_the_contraction_rule() -> None:
    scale = 5 / 32 / 12
    assert show.on_rule(309.5625 * (1 + scale), scale) == "12 3/16 in"
    assert show.on_rule(309.5625 * (1 + scale) + 0.10, scale) == "12 3/16 in + 0.10 mm"
    assert show.on_rule(24.25 * 25.4, 1 / 96) == "24 in"


def test_what_no_rule_can_show_is_an_error_with_a_sentence() -> None:
    with pytest.raises(DataError, match="64"):
        show.fraction(10.0, 17)
    with pytest.raises(DataError, match="choose mm"):
        show.in_unit(10.0, "furlong")
    for resolution in (0.0, -1.0, float("nan")):
        with pytest.raises(DataError, match="resolution"):
            show.in_unit(10.0, "mm", resolution)
    assert show.fraction(float("nan")) == show.feet(float("inf")) == show.on_rule(float("nan"), 0.01) == "–"


@pytest.mark.parametrize(
    "scale, name",
    [
        (5 / 384, "5/32 in/ft rule"),
        (0.013021, "5/32 in/ft rule"),
        (1 / 96, "1/8 in/ft rule"),
        (0.25 / 12, "1/4 in/ft rule"),
        (0.010, "1.0 % rule"),
        (0.0125, "1.25 % rule"),
        (0.009, "0.9 % rule"),
        (0.02, "2.0 % rule"),
        (0.0, "plain rule"),
        (float("nan"), "–"),
    ],
)
def test_a_contraction_rule_has_the_name_its_users_know(scale: float, name: str) -> None:
    assert show.rule_name(scale) == name


def test_a_reading_of_any_unit_stands_with_its_unit() -> None:
    # 83.12 / 25.4 = 3.27244; 0.42 and 0.03 mm are 0.016535 and 0.001181 in
    assert [style.with_unit(83.12, "mm") for style in (MM, IN4, COMMA)] == ["83.12 mm", "3.2724 in", "83,12 mm"]
    assert IN4.with_unit(0.42, "mm", 0.03, signed=True) == "+0.0165 ± 0.0012 in"
    assert FRACTION.with_unit(0.42, "mm", 0.03, signed=True) == "+16.5 thou ± 1.2 thou"
    assert [style.with_unit(1.5, "deg", 0.25) for style in (MM, IN4, COMMA)] == [
        "1.50 ± 0.25 deg",
        "1.50 ± 0.25 deg",
        "1,50 ± 0,25 deg",
    ]
    assert IN4.with_unit(0.0123, "deg", digits=3) == "0.012 deg"


def test_a_contraction_is_called_as_on_a_rule() -> None:
    # 1/8 in/ft = 1/96; common shrink rules of 1/10, 1/8, 5/32, 3/16 and 1/4 in/ft (common practice, no source)
    assert [show.as_rule(a) for a in (1 / 96, 5 / 384, 3 / 192, 0.25 / 12)] == [
        "1/8 in/ft",
        "5/32 in/ft",
        "3/16 in/ft",
        "1/4 in/ft",
    ]
    assert show.as_rule(0.01) == "about 1/8 in/ft" and show.as_rule(-1 / 96) == "-1/8 in/ft"
    assert show.as_rule(0.0) == show.as_rule(0.0005) == show.as_rule(float("nan")) == ""


def test_what_lies_beyond_the_mark_of_a_rule_is_told_in_thou() -> None:
    scale = 5 / 384
    true = 12.1875 * 25.4 * (1 + scale)
    assert show.on_rule(true, scale, rest="thou") == "12 3/16 in"
    assert show.on_rule(true + 0.1016, scale, rest="thou") == "12 3/16 in + 4.0 thou"
    assert show.on_rule(true - 0.127, scale, rest="thou") == "12 3/16 in - 5.0 thou"
