from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inspect_tui.errors import LimitsError, TableError
from inspect_tui.metrology.sizes.tolerance import (
    en12890,
    inside,
    iso286,
    iso2768_1,
    iso8062_3,
    machining_allowance,
    raw_limits,
    raw_size,
    shifted,
    tooling_band,
)
from inspect_tui.model.words import LIMIT_SLACK_MM, Band

sizes = st.floats(0.5, 9000.0)


# ------------------------------------------------------------------------------ inside
def test_a_reading_exactly_on_the_limit_is_in():
    band = Band(61.2, 62.8, "drawing")
    assert inside(61.2, band) and inside(62.8, band)
    assert inside(0.1 + 0.2, Band(None, 0.3, "x"))  # binary rounding puts the sum above 0.3
    assert not inside(62.8 + 2 * LIMIT_SLACK_MM, band) and not inside(61.2 - 2 * LIMIT_SLACK_MM, band)


def test_an_open_side_lets_everything_in():
    assert inside(1e9, Band(6.0, None, "min")) and not inside(5.9, Band(6.0, None, "min"))
    assert inside(-1e9, Band(None, 6.0, "max")) and not inside(6.1, Band(None, 6.0, "max"))


# ------------------------------------------------------------------------------ standards
@given(sizes, st.sampled_from("fmcv"))
def test_iso_2768_is_symmetric_and_widens_with_size_and_class(size, grade):
    try:
        band = iso2768_1(size, grade)
    except TableError:
        assert size > 2000 or (grade == "v" and size <= 3)
        return
    assert band.lower < size < band.upper
    assert size - band.lower == pytest.approx(band.upper - size, abs=1e-8)
    for larger in (size * 1.5, size * 4):
        if larger <= 2000:
            assert iso2768_1(larger, grade).width >= band.width - 1e-9
    if grade == "m":
        assert iso2768_1(size, "c").width > band.width - 1e-9
        assert f"ISO 2768-1 {grade}" in band.source and "found" in band.source


@given(sizes, st.integers(1, 14))
def test_iso_8062_is_symmetric_and_widens_with_size_and_grade(size, grade):
    try:
        band, coarser = iso8062_3(size, grade), iso8062_3(size, grade + 1)
    except TableError:
        assume(False)
    assert band.lower < size < band.upper
    assert size - band.lower == pytest.approx(band.upper - size, abs=1e-8)
    assert coarser.width > band.width
    assert iso8062_3(size, grade, wall=True).width == pytest.approx(coarser.width, abs=1e-8)
    with suppress(TableError):
        assert iso8062_3(size * 1.7, grade).width >= band.width - 1e-9


def test_iso_8062_says_where_the_table_has_a_dash():
    for size, grade in [(5, 13), (12, 14), (5000, 8), (700, 2), (700, "DCTG 3"), (11000, 12)]:
        with pytest.raises(TableError, match="no value"):
            iso8062_3(size, grade)
    for grade in (0, 16, 17):
        with pytest.raises(TableError, match="not a general grade"):
            iso8062_3(100, grade)
    with pytest.raises(TableError, match="not a casting tolerance grade"):
        iso8062_3(100, "G9")


def test_an_older_edition_s_values_are_not_mixed_in():
    for size, grade in [(700, 4), (1200, 4), (1200, 5)]:  # CT rows of 1994; the 2007 copy prints a dash for the first
        with pytest.raises(TableError):
            iso8062_3(size, grade)


def test_a_wall_says_that_it_takes_one_grade_coarser():
    band = iso8062_3(7.0, "dctg 9", wall=True)
    assert band.width == pytest.approx(iso8062_3(7.0, 10).width)
    assert "DCTG 10 (a wall, one coarser than 9)" in band.source
    assert iso8062_3(20, 15, wall=True).width == pytest.approx(12)


def test_no_table_reaches_zero_or_the_infinite():
    for size in (0.0, float("nan"), float("inf")):
        for look_up in (
            lambda s: iso2768_1(s, "m"),
            lambda s: iso8062_3(s, 9),
            lambda s: iso286(s, "H7"),
            lambda s: machining_allowance(s, "G"),
        ):
            with pytest.raises(TableError, match="above zero"):
                look_up(size)


def test_a_distance_below_a_datum_has_the_tolerance_of_its_length():
    assert iso2768_1(-28.0, "m") == Band(-28.2, -27.8, iso2768_1(28.0, "m").source)


def test_half_a_millimetre_itself_is_in_the_first_row():
    assert iso2768_1(0.5, "m").upper == pytest.approx(0.6)
    with pytest.raises(TableError):
        iso2768_1(0.49, "m")


def test_an_angle_needs_its_shorter_leg():
    assert iso2768_1(75.0, "c", "angle", leg_mm=60).upper == pytest.approx(75.5)
    with pytest.raises(TableError, match="shorter leg"):
        iso2768_1(75.0, "c", "angle")


@given(st.floats(0.1, 500.0), st.integers(5, 11))
def test_iso_286_letters_lie_as_their_names_say(size, grade):
    hole, shaft = iso286(size, f"H{grade}"), iso286(size, f"h{grade}")
    assert hole.lower == pytest.approx(size, abs=1e-9) and shaft.upper == pytest.approx(size, abs=1e-9)
    assert hole.width == pytest.approx(shaft.width, abs=1e-9)
    both = iso286(size, f"js{grade}")
    assert (both.lower + both.upper) / 2 == pytest.approx(size, abs=1e-8)
    for loose, tight in [("d", "e"), ("e", "f"), ("f", "g"), ("g", "h"), ("h", "n"), ("n", "p"), ("p", "s")]:
        assert iso286(size, f"{loose}{grade}").upper < iso286(size, f"{tight}{grade}").upper + 1e-9
    assert iso286(size, f"F{grade}").lower > iso286(size, f"G{grade}").lower > hole.lower
    assert iso286(size, f"H{grade + 1}").width > hole.width


def test_iso_286_beyond_what_is_shipped_is_a_sentence():
    for size, name in [(60, "K7"), (60, "k8"), (600, "g6"), (60, "x6"), (4000, "H7"), (0.8, "H14"), (60, "H19")]:
        with pytest.raises(TableError):
            iso286(size, name)
    with pytest.raises(TableError, match="not a tolerance class"):
        iso286(60, "7H")
    assert iso286(1000, "H7").width == pytest.approx(0.090)  # letters without deviation go on to 3150
    with pytest.raises(TableError, match="up to 1 mm"):
        iso286(1.0, "H14")
    assert iso286(1.05, "H14").width == pytest.approx(0.25)
    assert iso286(60, "k7").lower == iso286(60, "k4").lower == pytest.approx(60.002)


def test_a_band_says_the_figures_it_was_made_from():
    assert iso286(62.0, "g6").source == "ISO 286 g6, over 50 up to 80 mm: -29/-10 µm (found)"
    assert iso2768_1(75.0, "m", "angle", leg_mm=60).source == "ISO 2768-1 m, over 50 up to 120 mm: ±0.3333° (found)"
    assert iso2768_1(62.0, "m").source == "ISO 2768-1 m, over 30 up to 120 mm: ±0.3 mm (found)"
    assert iso2768_1(62.0, "m", "radius_chamfer").source.startswith("ISO 2768-1 m, over 6 mm: ±1 mm")
    assert iso8062_3(62.0, 9).source == "ISO 8062-3 DCTG 9, over 40 up to 63 mm: total 2 mm (found)"


def test_en_12890_always_says_low_confidence():
    band = en12890(62.0, "H1", "wood")
    assert "LOW CONFIDENCE" in band.source and "memory" in band.source
    assert (band.lower + band.upper) / 2 == pytest.approx(62.0)
    assert en12890(30.0, "H1", "wood").width == pytest.approx(0.52)
    assert en12890(30.01, "H1", "wood").width == pytest.approx(0.62)
    assert en12890(-31.0, "H1", "Wood").width == pytest.approx(0.62)
    for cls, material, size in [
        ("H1", "wood", 18),
        ("K1", "plastic", 62),
        ("H1", "metal", 62),
        ("H2", "wood", 2000),
        ("Q", "wood", 62),
    ]:
        with pytest.raises(TableError):
            en12890(size, cls, material)


@given(st.floats(1.0, 5000.0), st.floats(1.0, 5000.0))
def test_the_machining_allowance_never_falls_with_size_or_grade(one, two):
    small, large = sorted((one, two))
    column = [machining_allowance(large, grade) for grade in "ABCDEFGHJK"]
    assert column == sorted(column)
    assert machining_allowance(small, "G") <= machining_allowance(large, "RMAG G")


@given(st.floats(30.0, 2000.0), st.sampled_from("EFGH"), st.integers(8, 12), st.booleans(), st.sampled_from([1, 2]))
def test_the_raw_size_leaves_the_allowance_at_the_bad_end_of_its_tolerance(finished, grade, dctg, internal, faces):
    raw = raw_size(finished, finished, grade, dctg, faces, internal)
    half = iso8062_3(raw, dctg).width / 2
    worst = raw + half if internal else raw - half
    stock_left = (finished - worst) if internal else (worst - finished)
    assert stock_left >= faces * machining_allowance(finished, grade) - 1e-6
    assert (raw < finished) == internal


def test_raw_limits_stand_about_the_raw_size_and_are_of_its_range():
    # ISO 8062-3:2007 Table 2, DCTG 9 as a casting supplier quotes it: 1.8 up to 40, 2.0 up to 63, 2.2 up to 100 mm
    for finished, stock, lower, upper in [
        (62.0, 0.0, 61.0, 63.0),
        (62.0, 4.0, 66 - 1.1, 66 + 1.1),  # the range of 66, not of 62
        (42.0, -4.0, 38 - 0.9, 38 + 0.9),
        (-62.0, 4.0, -58 - 1.0, -58 + 1.0),  # a place below its datum
        (0.0, 3.0, 3 - 0.75, 3 + 0.75),
    ]:
        band = raw_limits(finished, "DCTG 9", stock)
        assert (band.lower, band.upper) == pytest.approx((lower, upper), abs=1e-9)
    assert raw_limits(7.0, 9, 3.0, wall=True).source.startswith("ISO 8062-3 DCTG 10 (a wall, one coarser than 9)")


def test_raw_limits_of_a_space_that_is_all_stock_or_of_no_grade_are_refused():
    for stock in (-5.0, -6.0):
        with pytest.raises(TableError, match=f"{-stock:g} mm of stock leaves nothing of 5 mm"):
            raw_limits(5.0, 9, stock)
    for finished, grade, stock in [(5.0, "CT 9", 0.0), (5.0, 16, 0.0), (5.0, 9, float("nan")), (5.0, 9, float("inf"))]:
        with pytest.raises(TableError):
            raw_limits(finished, grade, stock)


def test_the_raw_size_of_a_hole_and_of_a_size_near_the_end_of_a_range():
    # computed here from the tables: RMAG G 3.5 (250 to 400), DCTG 10: 2.8 (40 to 63), 4.4 (250 to 400), 5 (400 to 630)
    assert raw_size(60.0, 300.0, "G", 10, internal=True) == pytest.approx(60 - 7 - 1.4)
    assert raw_size(392.0, 392.0, "G", 10) == pytest.approx(392 + 7 + 2.5)  # 399 crosses 400 with its own tolerance


def test_a_hole_that_is_all_stock_is_not_cast():
    with pytest.raises(TableError, match="leave it out"):
        raw_size(5.0, 300.0, "H", 12, internal=True)


# ------------------------------------------------------------------------------ tooling band
def test_a_tooling_band_is_a_third_of_the_casting_band_at_tooling_scale():
    band = tooling_band(Band(61.2, 62.8, "drawing ±0.8"), 62.0, 62.62, 0.01, 1 / 3)
    assert band.upper - 62.62 == pytest.approx(0.8 * 1.01 / 3)
    assert 62.62 - band.lower == pytest.approx(0.8 * 1.01 / 3)
    assert band.source == "1/3 of the casting band (common practice): drawing ±0.8"


def test_an_asymmetric_casting_band_gives_an_asymmetric_tooling_band():
    band = tooling_band(Band(69.7, 70.7, "x"), 70.0, 70.7, 0.01, 0.25)
    assert (70.7 - band.lower, band.upper - 70.7) == pytest.approx((0.3 * 1.01 / 4, 0.7 * 1.01 / 4))


def test_a_one_sided_casting_band_stays_one_sided():
    band = tooling_band(Band(6.0, None, "min 6"), 7.0, 7.07, 0.01, 0.5)
    assert band.upper is None and band.lower == pytest.approx(7.07 - 0.5 * 1.01)
    assert tooling_band(Band(None, None, "none"), 7.0, 7.07, 0.01, 0.5).width is None


def test_a_nominal_outside_its_band_never_allows_tools_whose_castings_are_out():
    cast = Band(62.2, 62.5, "+0.2/+0.5")
    band = tooling_band(cast, 62.0, 62.0 * 1.01, 0.01, 1 / 3)
    assert inside(band.lower / 1.01, cast) and inside(band.upper / 1.01, cast)
    assert (band.lower + band.upper) / 2 / 1.01 == pytest.approx(62.35)
    assert tooling_band(Band(6.0, None, "x"), 5.0, 5.05, 0.01, 1 / 3).lower == pytest.approx(6.06)


@given(
    st.floats(10, 500), st.floats(0.01, 3), st.floats(0.01, 3), st.floats(0, 0.03), st.floats(0.05, 1), st.floats(-5, 5)
)
def test_a_tooling_band_moves_with_its_target_and_every_tool_in_it_makes_good_castings(size, up, down, a, share, move):
    cast = Band(size - down, size + up, "x")
    target = size * (1 + a)
    band = tooling_band(cast, size, target, a, share)
    moved = tooling_band(cast, size, target + move, a, share)
    assert moved.lower - band.lower == pytest.approx(move, abs=1e-9)
    assert moved.upper - band.upper == pytest.approx(move, abs=1e-9)
    assert inside(band.lower / (1 + a), cast) and inside(band.upper / (1 + a), cast)
    assert band.width == pytest.approx(share * cast.width * (1 + a), rel=1e-6)


def test_a_nominal_on_its_own_limit_is_still_inside_its_band():
    assert tooling_band(Band(62.0, 62.6, "x"), 62.0, 62.62, 0.01, 1 / 3).lower == pytest.approx(62.62)
    assert tooling_band(Band(62.0, 62.6, "x"), 62.0, 62.62, 0.01, 1 / 3).upper == pytest.approx(62.62 + 0.2 * 1.01)
    assert tooling_band(Band(62.05, 62.65, "x"), 62.0, 62.62, 0.01, 1 / 3).lower == pytest.approx(62.62 + 0.25 * 1.01)


@pytest.mark.parametrize(
    ("share", "text"), [(1.0, "100 %"), (1 / 3, "1/3"), (0.25, "1/4"), (0.3, "3/10"), (0.37, "37 %")]
)
def test_a_share_is_said_as_people_say_it(share, text):
    band = tooling_band(Band(61.0, 63.0, "x"), 62.0, 62.62, 0.01, share)
    assert band.source == f"{text} of the casting band (common practice): x"


def test_a_share_outside_nought_to_one_is_refused():
    for share in (0.0, -0.1, 1.01, float("nan")):
        with pytest.raises(LimitsError, match="share"):
            tooling_band(Band(61, 63, "x"), 62, 62.62, 0.01, share)


def test_shifting_moves_both_limits_and_keeps_the_source():
    assert shifted(Band(61.0, None, "drawing"), -3.0) == Band(58.0, None, "drawing")


# ------------------------------------------------------------------------------ what people type
TYPED = [
    ("±0.8", 61.2, 62.8),
    ("+-0.8", 61.2, 62.8),
    ("+/- 0,8", 61.2, 62.8),
    ("± .8 mm", 61.2, 62.8),
    ("+0.7/-0.3", 61.7, 62.7),
    ("-0.3/+0.7", 61.7, 62.7),
    ("+0,7 -0,3", 61.7, 62.7),
    ("+0.7-0.3", 61.7, 62.7),
    ("−0.3 / +0.7", 61.7, 62.7),
    ("+0.7/0", 62.0, 62.7),
    ("0/-0.3", 61.7, 62.0),
    ("0 -0.3", 61.7, 62.0),
    ("+0.2/+0.5", 62.2, 62.5),
    ("61.2..62.8", 61.2, 62.8),
    ("61,2 - 62,8", 61.2, 62.8),
    ("61.2–62.8", 61.2, 62.8),
    ("61.2 to 62.8 mm", 61.2, 62.8),
    ("61.2…62.8", 61.2, 62.8),
    ("min 60 max 63", 60.0, 63.0),
    ("max 62", None, 62.0),
    ("≤ 62", None, 62.0),
    ("62 max.", None, 62.0),
    ("min 60", 60.0, None),
    (">=60", 60.0, None),
    ("±0.03 in", 61.238, 62.762),
    ('±1/32"', 61.20625, 62.79375),
    ("+1/16/-0 in", 62.0, 63.5875),
    ("2-3/8 .. 2 1/2 in", 60.325, 63.5),
    ("±1/2", 61.5, 62.5),
    ("±15 thou", 61.619, 62.381),
    ("6.1..6.3 cm", 61.0, 63.0),
    ("61 1/2 .. 62.5", 61.5, 62.5),
    ("61.5 .. 62-1/2", 61.5, 62.5),
    ("±1e0", 61.0, 63.0),
    ("+1/-1", 61.0, 63.0),
    ("+1/0", 62.0, 63.0),
    ("ISO 2768-1 m", 61.7, 62.3),
    ("ISO 2768-m", 61.7, 62.3),
    ("iso 2768 - mK", 61.7, 62.3),
    ("2768-m", 61.7, 62.3),
    ("DIN ISO 2768-c", 61.2, 62.8),
    ("ISO 8062-3 DCTG 9", 61.0, 63.0),
    ("dctg9", 61.0, 63.0),
    ("ISO 8062-3:2007 - DCTG 10", 60.6, 63.4),
    ("H7", 62.0, 62.03),
    ("iso 286 g6", 61.971, 61.99),
    ("EN 12890 H1", 61.63, 62.37),
]


SENTENCES = [
    ("", "no limits"),
    ("   ", "no limits"),
    ("abc", "write limits like"),
    ("0.8", "is that ±0.8, max 0.8 or min 0.8"),
    ("±", "write limits like"),
    ("±80", "larger than the size"),
    ("62.8..61.2", "contradict"),
    ("0.3..0.7", "nowhere near 62"),
    ("0.7/0.3", "need a sign"),
    ("max 6", "nowhere near"),
    ("min 600", "nowhere near"),
    ("±0.8 in mm", "two units"),
    ("±1°", "cannot be in"),
    ("ISO 2768", "needs its class"),
    ("CT9", "older edition"),
    ("ISO 8062 CT 9", "older edition"),
    ("K7", "not in the shipped part"),
    ("DCTG 16", "not a general grade"),
    ("DCTG 1 2", "write limits like"),
    ("EN 12890 K1", "no figure"),
    ("±1/0 in", "write limits like"),
    ("±1e999", "write limits like"),
    ("±nan", "write limits like"),
    ("±12345678901", "write limits like"),
    ("3 1/0 in", "zero below the line"),
    ("±0.8\x1b[31m", "not a pair of limits"),
    ("±0.8 " * 40, "not a pair"),
    ("=cmd", "write limits like"),
    ("+0.5", "write limits like"),
]
