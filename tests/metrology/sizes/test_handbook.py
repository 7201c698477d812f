"""What is printed for stock, draft and grades: figures as the sources print them, order, and what is weak."""

from __future__ import annotations

from math import atan, degrees

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import TableError
from inspect_tui.metrology.sizes import contraction, handbook, tables
from inspect_tui.metrology.sizes.handbook import (
    FACES,
    Printed,
    draft,
    draft_span,
    grade_halves,
    grade_says,
    grade_span,
    grades,
    span,
    stock,
    stock_span,
)
from inspect_tui.metrology.typed.show import Style

INCHES = Style("in")


def of(printed: list[Printed], source: str) -> list[tuple[float, float]]:
    return [(one.lo, one.hi) for one in printed if source in one.source]


# ------------------------------------------------------------------------------ stock
@pytest.mark.parametrize(
    ("size", "alloy", "face", "afs_in", "rao_mm"),
    [
        # AFS machine-finish allowances in inches and P. N. Rao's in mm, a face (both recalled)
        (300.0, "grey iron", "surface", 3 / 32, 3.0),
        (300.0, "ductile iron", "bore", 1 / 8, 3.0),
        (400.0, "cast iron", "bore", 3 / 16, 5.0),
        (400.0, "cast iron", "cope", None, 6.0),
        (100.0, "cast steel", "bore", 3 / 16, 3.0),
        (160.0, "steel", "surface", 1 / 8, 5.5),
        (700.0, "CF8M", "cope", None, 9.0),
        (200.0, "malleable iron", "surface", 1 / 16, None),
        (250.0, "aluminium", "bore", 3 / 32, 2.5),
        (700.0, "tin bronze", "surface", 5 / 32, 2.5),
        (250.0, "zinc", "cope", None, 3.0),
    ],
)
def test_stock_is_what_the_handbooks_print(size, alloy, face, afs_in, rao_mm):
    printed = stock(size, alloy, face)
    assert of(printed, "AFS pattern") == ([] if afs_in is None else [pytest.approx((25.4 * afs_in,) * 2)])
    assert of(printed, "P. N. Rao") == ([] if rao_mm is None else [(rao_mm, rao_mm)])
    known = [x for x in (afs_in and 25.4 * afs_in, rao_mm) if x is not None]
    assert span(printed) == pytest.approx((min(known), max(known)))


def test_stock_of_a_range_ends_with_it():
    assert of(stock(300.0, "grey iron"), "P. N. Rao") == [(3.0, 3.0)]
    assert of(stock(300.1, "grey iron"), "P. N. Rao") == [(4.0, 4.0)]


def test_the_cope_side_is_the_face_and_what_is_added_for_it():
    # a foundry's list for DCTG 11 + RMAG G: 7 mm over 250 up to 400 mm, 3 mm more where cast uppermost
    assert of(stock(300.0, "malleable iron", "cope"), "Foundry design guideline") == [(10.0, 10.0)]
    assert of(stock(300.0, "malleable iron", "surface"), "Foundry design guideline") == [(7.0, 7.0)]
    assert of(stock(300.0, "malleable iron", "bore"), "Foundry design guideline") == []


def test_weak_sources_come_last_and_do_not_widen_the_range():
    printed = stock(300.0, "grey iron")
    assert [bool(one.weak) for one in printed] == sorted(bool(one.weak) for one in printed)
    assert printed[-1].weak == "weak: from a page of the web" and printed[-1].hi > span(printed)[1]
    alone = [one for one in printed if one.weak]
    assert span(alone) == (2.5, 7.0)  # where there is nothing else
    assert span([]) is None
    assert any(one.weak == "weak: an old general table" for one in stock(300.0, "steel"))


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("alloy", contraction.alloys())
def test_every_alloy_that_can_be_chosen_has_its_stock_without_an_address(alloy, face):
    printed = stock(150.0, alloy, face)
    assert printed or (alloy == "malleable iron" and face == "cope")
    for one in printed:
        assert 0.0 < one.lo <= one.hi < 20.0
        assert "http" not in one.said and one.status in one.said and one.said.endswith(one.weak)


def test_one_line_says_what_it_holds_for_and_where_it_stands():
    assert stock(300.0, "grey iron")[0].said == (
        "2.4 mm, cast iron, surface, up to 305 mm: AFS pattern machine-finish allowance table (memory)"
    )
    assert "over 305 to 610 mm" in stock(400.0, "grey iron")[0].said
    assert stock(300.0, "grey iron", style=INCHES)[0].said.startswith("0.094 in, cast iron, surface, up to 12")


# ------------------------------------------------------------------------------ draft
@pytest.mark.parametrize(
    ("height", "pattern", "inside", "rao_deg"),
    [
        # P. N. Rao, draft allowances in degrees (recalled)
        (20.0, "wood", False, 3.0),
        (20.1, "wood", False, 1.5),
        (20.1, "wood", True, 2.5),
        (80.0, "wood", False, 1.0),
        (80.0, "metal", False, 0.75),
        (80.0, "metal", True, 1.0),
        (150.0, "wood", True, 1.0),
        (500.0, "metal", False, 0.35),
        (1000.0, "wood", True, 0.5),
        (3000.0, "wood", True, 0.25),
    ],
)
def test_draft_is_what_the_handbook_prints(height, pattern, inside, rao_deg):
    printed = draft(height, pattern, inside)
    assert of(printed, "P. N. Rao") == [(rao_deg, rao_deg)]
    assert span(printed) == (rao_deg, rao_deg)
    assert [bool(one.weak) for one in printed] == sorted(bool(one.weak) for one in printed)
    order = ["standard", "handbook", "page", "practice"]
    weak = [order.index(one.kind) for one in printed if one.weak]
    assert weak == sorted(weak)


def test_tapers_over_a_height_become_the_angle_at_the_upper_end():
    # EN 12890 (recalled, its column headings in doubt): 2, 2.5 and 2 mm over 30 up to 80 mm
    printed = [one for one in draft(50.0) if "EN 12890" in one.source]
    assert [one.lo for one in printed] == pytest.approx([degrees(atan(t / 80)) for t in (2.0, 2.5, 2.0)])
    assert all(one.weak == "weak: column headings in doubt" for one in printed)
    # a foundry's guide: 0.060 in over a draw of 4 in, 0.052 over 3 in; 3.5 in goes by 4
    (page,) = of(draft(3.5 * 25.4), "stpaulfoundry")
    assert page[0] == pytest.approx(degrees(atan(0.060 / 4)))
    assert of(draft(3 * 25.4), "stpaulfoundry")[0][0] == pytest.approx(degrees(atan(0.052 / 3)))
    assert of(draft(0.05 * 25.4), "stpaulfoundry")[0][0] == pytest.approx(degrees(atan(0.03 / 0.1)))
    assert of(draft(11 * 25.4), "stpaulfoundry") == [] == of(draft(50.0, inside=True), "stpaulfoundry")
    # about 1 per cent in general
    assert of(draft(50.0), "yourarticlelibrary")[0][0] == pytest.approx(degrees(atan(0.01)))


@given(st.floats(0.5, 2500.0), st.sampled_from(["wood", "metal"]), st.booleans())
def test_a_draft_is_a_believable_angle_and_falls_with_height(height, pattern, inside):
    printed = draft(height, pattern, inside)
    assert all(0.0 < one.lo <= one.hi < 20.0 and "http" not in one.said for one in printed)
    good = [one for one in draft(min(2 * height, 2500.0), pattern, inside) if not one.weak]
    if good:
        assert span(good)[1] <= span([one for one in printed if not one.weak])[1]


# ------------------------------------------------------------------------------ grades
@pytest.mark.parametrize(
    ("alloy", "grade", "moulding", "said"),
    [
        # ISO 8062:1994 Table A.1 (recalled), ISO/CD 8062-2 Tables A.2 and A.3, GB/T 6414-1999
        ("ductile iron", "DCTG", "machine", "DCTG 8 to 12"),
        ("ductile iron", "DCTG", "hand", "DCTG 11 to 15"),
        ("grey iron", "DCTG", None, "DCTG 8 to 15"),
        ("aluminium", "DCTG", "machine", "DCTG 7 to 9"),
        ("aluminium", "DCTG", "hand", "DCTG 9 to 13"),
        ("bronze", "DCTG", "machine", "DCTG 8 to 10"),
        ("ductile iron", "RMAG", "hand", "RMAG F to H"),
        ("steel", "RMAG", "hand", "RMAG G to K"),
        ("steel", "RMAG", "machine", "RMAG E to H"),
        ("zinc", "GCTG", "machine", "GCTG 4 to 6"),
    ],
)
def test_grades_are_what_the_standard_prints(alloy, grade, moulding, said):
    assert grade_span(grade, span(grades(alloy, grade, moulding))) == said


def test_grades_come_to_figures_at_a_size():
    assert grade_says("DCTG", (8, 12), 62.0) == "DCTG 8 to 12: ±0.7 to ±2.8 mm at 62 mm"
    assert grade_says("RMAG", (5, 7), 300.0) == "RMAG F to H: at least 2.5 to 5 mm a face on a part of up to 300 mm"
    assert grade_says("GCTG", (4, 6), 300.0) == "GCTG 4 to 6"
    assert grade_says("DCTG", (8, 15), 5.0) == "DCTG 8 to 15 (no figure at 5 mm)"
    assert grade_says("DCTG", (9, 9), 62.0).startswith("DCTG 9: ±1 to ±1 mm")
    assert grade_halves(8, 12, 62.0) == pytest.approx((0.7, 2.8))
    assert grades("zinc", "DCTG") == []


def test_shop_pages_of_grades_are_called_weak():
    weak = [one.what for one in grades("ductile iron", "DCTG") if one.weak]
    assert "iron and steel, most sand castings" in weak and "grey and ductile iron, green sand" in weak
    assert not any("investment" in one.what or "permanent" in one.what for one in grades("ductile iron", "DCTG"))


# ------------------------------------------------------------------------------ what cannot be looked up
@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: stock(0.0, "grey iron"), "stock goes by a size above zero"),
        (lambda: stock(float("nan"), "grey iron"), "above zero"),
        (lambda: stock(100.0, "unobtainium"), "which metal 'unobtainium' is"),
        (lambda: stock(100.0, "iron"), "which metal 'iron' is"),
        (lambda: stock(100.0, "grey iron", "side"), "surface, bore, cope"),
        (lambda: draft(-1.0), "height of the face above zero"),
        (lambda: draft(50.0, "clay"), "wood or metal"),
        (lambda: grades("grey iron", "CT"), "DCTG, GCTG or RMAG"),
        (lambda: grades("grey iron", "DCTG", "robot"), "machine or hand"),
        (lambda: handbook.grade_halves(8, 15, 5.0), "no value"),
    ],
)
def test_what_cannot_be_looked_up_is_a_sentence(call, sentence):
    with pytest.raises(TableError, match=sentence):
        call()


def test_every_group_of_alloys_is_known_to_the_handbook():
    for row in tables.rows("alloy_names"):
        assert handbook._METALS[row["group"]]


def test_ranges_are_written_as_people_write_them():
    assert stock_span((2.38125, 3.0)) == "2.4 to 3.0 mm" and stock_span((3.0, 3.0)) == "3.0 mm"
    assert draft_span((0.5, 1.5)) == "0.5 to 1.5°" and draft_span((1.0, 1.0)) == "1°"
    assert grade_span("RMAG", (5, 7)) == "RMAG F to H" and grade_span("RMAG", (9, 9)) == "RMAG K"
