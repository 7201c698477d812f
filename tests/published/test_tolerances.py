"""Bands against the standards: ISO 2768-1, ISO 8062-3, ISO 286, and the recalled rule behind EN 12890."""

from __future__ import annotations

from math import sqrt

import pytest

from inspect_tui.errors import TableError
from inspect_tui.metrology.sizes import tables
from inspect_tui.metrology.sizes.tolerance import en12890, iso286, iso2768_1, iso8062_3, machining_allowance, raw_size
from tests.published.worked import example, rows


def plus_minus(band):
    return (band.upper - band.lower) / 2


# ------------------------------------------------------------------------------ ISO 2768-1
# ISO 2768-1:1989 Table 1, typed again here from the standard (from memory), a size in the middle of each range.
ISO_2768_LINEAR = {
    "f": [0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None],
    "m": [0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0],
    "c": [0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0],
    "v": [None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0],
}


@pytest.mark.parametrize("grade", "fmcv")
def test_iso_2768_linear_columns(grade):
    for size, expected in zip([1, 5, 20, 80, 300, 800, 1500, 3000], ISO_2768_LINEAR[grade], strict=True):
        if expected is None:
            with pytest.raises(TableError):
                iso2768_1(size, grade)
        else:
            assert plus_minus(iso2768_1(size, grade)) == pytest.approx(expected, abs=1e-9)


def test_iso_2768_angles_in_minutes_by_the_shorter_leg():
    # ISO 2768-1:1989 Table 3 (from memory): 1 deg, 30', 20', 10', 5' for f and m
    for leg, minutes in [(10, 60), (50, 30), (120, 20), (400, 10), (401, 5)]:
        assert plus_minus(iso2768_1(75.0, "m", "angle", leg_mm=leg)) == pytest.approx(minutes / 60, abs=1e-9)


def test_iso_2768_range_end_belongs_to_the_lower_range():
    we = example("WE18")
    got = [plus_minus(iso2768_1(size, we.inputs["class"])) for size in we.inputs["sizes_mm"]]
    we.says("plus_minus_mm", got)


def test_iso_2768_queries():
    we = example("WE19")
    for (kind, grade, size), expected in zip(we.inputs["queries"], we.expected["plus_minus_mm"], strict=True):
        if expected is None:
            with pytest.raises(TableError):
                iso2768_1(size, grade, kind)
        else:
            assert plus_minus(iso2768_1(size, grade, kind)) == pytest.approx(expected, abs=1e-9), we.source


# ------------------------------------------------------------------------------ ISO 8062-3
def test_dctg_9_column():
    # ISO 8062-3:2007 DCTG 9 as a casting supplier quotes it (found), total tolerance in mm
    totals = {10: 1.5, 16: 1.6, 25: 1.7, 40: 1.8, 63: 2.0, 100: 2.2, 160: 2.5, 250: 2.8, 400: 3.2, 630: 3.6, 1000: 4.0}
    for size, total in totals.items():
        assert iso8062_3(size, 9).width == pytest.approx(total, abs=1e-9)
        assert iso8062_3(size + 0.01, 9).width > total


def test_dctg_row_25_to_40():
    # ISO 8062-3:2007 Table 2 (from memory), all grades of one row; 16 is for walls of castings toleranced to 15
    totals = [0.12, 0.17, 0.24, 0.32, 0.46, 0.64, 0.9, 1.3, 1.8, 2.6, 3.6, 5, 7, 9, 11]
    assert [iso8062_3(30, grade).width for grade in range(1, 16)] == pytest.approx(totals, abs=1e-9)
    assert iso8062_3(30, 15, wall=True).width == pytest.approx(14, abs=1e-9)


def test_dctg_lookup_example():
    we = example("WE20")
    bands = [iso8062_3(size, we.inputs["grade"]) for size in we.inputs["sizes_mm"]]
    we.says("total_mm", [band.width for band in bands])
    we.says("half_mm", [plus_minus(band) for band in bands])


def test_raw_size_example():
    we = example("WE21")
    given = we.inputs
    we.says("rma_mm", machining_allowance(given["largest_mm"], given["rma_grade"]))
    raw = raw_size(
        given["finished_mm"], given["largest_mm"], given["rma_grade"], given["dctg"], given["faces"], given["internal"]
    )
    we.says("raw_mm", raw)
    we.says("ct_mm", iso8062_3(raw, given["dctg"]).width)


def test_stock_example():
    we = example("WE22")
    largest = we.inputs["largest_mm"]
    stock = plus_minus(iso8062_3(largest, we.inputs["dctg"])) + machining_allowance(largest, we.inputs["rma_grade"])
    we.says("stock_mm", stock)


def test_a_foundry_s_stock_list_agrees_with_half_dctg_11_and_rmag_g():
    """The recalled RMAG table against a printed list: equal after rounding from 100 to 1000 mm and at 2500 mm."""
    for row in rows("iso8062_3_rmag_check"):
        size = float(row["longest_axis_mm"])
        ours = plus_minus(iso8062_3(size, 11)) + machining_allowance(size, "G")
        within = 0.51 if 100 <= size <= 1000 or size == 2500 else 1.3  # the list is coarser elsewhere, as noted there
        assert ours == pytest.approx(float(row["stock_per_face_mm"]), abs=within), row["source"]


# ------------------------------------------------------------------------------ ISO 286
def test_it_formula_examples():
    """The shipped IT figures are what the standard's unit formula rounds to."""
    for number, unit in [("WE14", lambda d: 0.45 * d ** (1 / 3) + 0.001 * d), ("WE15", lambda d: 0.004 * d + 2.1)]:
        we = example(number)
        over, up_to = we.inputs["range_mm"]
        mean = sqrt(over * up_to)
        we.says("D", mean)
        we.says("i_um" if number == "WE14" else "I_um", unit(mean))
        we.says("raw_um", we.inputs["multiplier"] * unit(mean))
        width_um = 1000 * iso286((over + up_to) / 2, "H7").width
        we.says("tabled_um", width_um)


def test_the_it_table_follows_the_unit_formulas_throughout():
    """IT5 to IT18 of every range against i and I (ISO 286-1 basis, i found, I and multipliers recalled).

    The standard rounds, by up to 6 % over 6 mm and to convenient figures (10, 25, 40 ...) in the two ranges below.
    """
    multipliers = {
        r["name"][2:]: float(r["value"])
        for r in rows("iso286_formula")
        if r["name"][2:].isdigit() and r["kind"] == "multiplier"
    }
    compared = 0
    for row in tables.rows("iso286_it"):
        if row["grade"] not in multipliers:
            continue
        over, up_to = float(row["over_mm"]), float(row["up_to_mm"])
        mean = sqrt((over or 1.0) * up_to)
        unit = 0.45 * mean ** (1 / 3) + 0.001 * mean if up_to <= 500 else 0.004 * mean + 2.1
        raw = multipliers[row["grade"]] * unit
        assert float(row["tolerance_um"]) == pytest.approx(raw, rel=0.06 if over >= 6 else 0.16), dict(row)
        compared += 1
    assert compared == 14 * 21


@pytest.mark.parametrize("number", ["WE16", "WE17"])
def test_fit_examples(number):
    we = example(number)
    size = we.inputs["nominal_mm"]
    hole, shaft = iso286(size, we.inputs["hole"]), iso286(size, we.inputs["shaft"])
    we.says("hole", [hole.lower, hole.upper])
    we.says("shaft", [shaft.lower, shaft.upper])
    we.says("clearance", [hole.lower - shaft.upper, hole.upper - shaft.lower])


# ISO 286-2 limit deviations in micrometres, from memory of the standard's tables (upper, lower).
ISO_286_LIMITS = [
    (10, "H8", 22, 0),
    (30, "f7", -20, -41),
    (40, "k6", 18, 2),
    (60, "m6", 30, 11),
    (100, "n6", 45, 23),
    (70, "s6", 78, 59),
    (120, "e8", -72, -126),
    (18, "d9", -50, -93),
    (25, "F8", 53, 20),
    (25, "G7", 28, 7),
    (100, "h6", 0, -22),
    (200, "h11", 0, -290),
    (50, "js9", 31, -31),
    (80, "r6", 62, 43),
]


@pytest.mark.parametrize(("size", "name", "upper", "lower"), ISO_286_LIMITS)
def test_iso_286_limits(size, name, upper, lower):
    band = iso286(size, name)
    assert 1000 * (band.upper - size) == pytest.approx(upper, abs=1e-6)
    assert 1000 * (band.lower - size) == pytest.approx(lower, abs=1e-6)


# ------------------------------------------------------------------------------ EN 12890
def test_en_12890_is_half_of_the_it_grade_it_is_recalled_from():
    """Two shipped tables against each other, by a recalled rule of low confidence."""
    for cls, grade, material in [
        ("H1", 14, "wood"),
        ("H1a", 14, "wood"),
        ("H2", 15, "wood"),
        ("H3", 15, "wood"),
        ("M1", 12, "metal"),
        ("M2", 13, "metal"),
    ]:
        for size in (20, 40, 60, 100, 150, 200, 300, 350, 450, 600, 700, 900):
            assert en12890(size, cls, material).width == pytest.approx(iso286(size, f"H{grade}").width, abs=2e-3)
