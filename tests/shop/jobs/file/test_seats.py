"""A [[seat]] makes print, seat and fit in one line."""

from __future__ import annotations

import pytest

from inspect_tui.errors import JobFileError
from inspect_tui.metrology.kit.fits import clearance_band
from inspect_tui.shop.jobs.file import seats
from tests.worlds.job_files import HEAD, SIZE, plan

SEAT = """[[seat]]
label = "K7-1"
kind = "key"
core = 2
in = "core 1"
axis = "x"
size = 30
clearance = 0.30
clearance_limits = [0.2, 0.5]
at = { x = 225, y = 110, z = 170 }
holds = "x y"
way = "z-"
points = "x+"
blocked_by = [1]
count = 1
mark = "green"
print_limits = "+0.05/-0.10"
seat_limits = "+0.10/-0.05"
"""


def test_one_line_makes_all_three() -> None:
    made = plan(HEAD + SIZE + SEAT)
    (fit,) = made.fits
    key, seat = made.features[1:]
    inner, outer = made.cores[1], made.cores[0]
    assert (fit.label, fit.place, fit.kind, fit.name) == ("K7", "1", "key", "K7-1")
    assert (fit.inner_core_id, fit.outer_core_id, fit.outer_half) == (inner.of_id, outer.of_id, None)
    assert (fit.inner_feature_id, fit.outer_feature_id) == (key.id, seat.id)
    assert (fit.clear_min_mm, fit.clear_max_mm, fit.band_source) == (0.2, 0.5, "stated by the shop")
    assert (fit.at_x, fit.at_y, fit.at_z, fit.holds, fit.points) == (225.0, 110.0, 170.0, "x y", "x+")
    assert (fit.blocked_by, fit.mark, fit.count, fit.way_in) == ("1", "green", 1, "z-")
    assert (key.balloon, key.nominal, key.lower, key.upper, key.scale) == ("K7-1p", 30.0, 29.9, 30.05, "tool")
    assert (seat.balloon, seat.nominal, seat.lower, seat.upper) == ("K7-1s", 30.3, 30.25, 30.4)
    # a print is the core's own body, a seat in a core a recess in it; in the sand it stands proud on the pattern
    assert [(end.core_id, end.facing) for end in key.ends] == [(inner.id, -1), (inner.id, 1)]
    assert [(end.core_id, end.facing) for end in seat.ends] == [(outer.id, 1), (outer.id, -1)]
    drag = plan(HEAD + SIZE + SEAT.replace('"core 1"', '"Drag"')).features[2]
    assert [(end.half, end.facing) for end in drag.ends] == [("drag", -1), ("drag", 1)]
    assert (key.quantity, key.axis) == ("width", "x")
    turned = plan(HEAD + SIZE + SEAT.replace('axis = "x"', 'axis = "round"')).features[1]
    assert (turned.quantity, turned.axis) == ("diameter", "none")


def test_a_clearance_that_is_not_said_is_by_practice() -> None:
    text = HEAD + SIZE + SEAT.replace("clearance_limits = [0.2, 0.5]\n", "")
    for kind, outer, row in (("key", "core 1", "key"), ("print", "cope", "cope print"), ("print", "drag", "print")):
        (fit,) = plan(text.replace('"key"', f'"{kind}"').replace('"core 1"', f'"{outer}"')).fits
        band = clearance_band(30.0, row)
        assert (fit.clear_min_mm, fit.clear_max_mm) == (band.lower, band.upper)


def test_prints_and_seats_that_stand_elsewhere_keep_their_balloons() -> None:
    own = '[[feature]]\nballoon = "P9"\nnominal = 30\nscale = "tool"\na = "core 2"\nb = "core 2"\nbetween = "metal"\n'
    made = plan(
        HEAD
        + SIZE
        + own
        + SEAT.replace("size = 30", 'size = 30\nprint = "p09"\nseat = "Z1"').replace("print_limits", "#")
    )
    assert [feature.balloon for feature in made.features] == ["F1", "P9", "Z1"]
    assert made.fits[0].inner_feature_id == made.features[1].id


@pytest.mark.parametrize(
    ("name", "label", "place"),
    [("K6", "K6", None), ("K6-3", "K6", "3"), ("A-B-left", "A-B", "left"), ("-3", "-3", None), ("K6-", "K6-", None)],
)
def test_what_stands_behind_the_last_dash_is_the_place(name: str, label: str, place: str | None) -> None:
    assert seats.split(name) == (label, place)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("core = 2", "core = 1", "seat K7-1 in: core 1 cannot sit in itself"),
        ('"core 1"', '"core 2"', "core 2 cannot sit in itself"),
        ("core = 2", "core = 5", "seat K7-1 core: there is no [[core]] with number 5"),
        ('in = "core 1"', 'in = "box"', "'box' is neither cope nor drag nor core N"),
        ('in = "core 1"\n', "", "seat K7-1 says what it sits in"),
        ("core = 2\n", "", "seat K7-1 says which core goes in"),
        ("size = 30", 'size = "wide"', "seat K7-1 size: wide is not a size"),
        ("[0.2, 0.5]", "[0, 0.5]", "leaves no room"),
        ("[0.2, 0.5]", "[0.5, 0.2]", "does not go from low to high"),
        ('holds = "x y"', 'holds = "up"', "'up' is no direction"),
        ('way = "z-"', 'way = "down"', "the way in"),
        ("blocked_by = [1]", "blocked_by = [8]", "blocked_by: there is no [[core]] with number 8"),
        ('print_limits = "+0.05/-0.10"', 'print_limits = "so"', "seat K7-1 print_limits"),
        ("size = 30", 'print = "P77"', "there is no feature P77 in this file, and no size to make it from"),
        ("size = 30", 'size = 30\nprint = "F1"', "F1 is a size of the casting, not of a print or seat"),
        ('label = "K7-1"', "", "[[seat]] needs a label"),
        ("size = 30\nclearance = 0.30\nclearance_limits = [0.2, 0.5]", "", "give clearance_limits, or the size"),
        (
            "[[seat]]",
            '[[feature]]\nballoon = "K7-1P"\nnominal = 5\na = "drag"\n[[seat]]',
            "there is a feature K7-1p already",
        ),
    ],
)
def test_what_is_wrong_is_told(old: str, new: str, said: str) -> None:
    with pytest.raises(JobFileError) as told:
        plan(HEAD + SIZE + SEAT.replace(old, new, 1))
    assert said in str(told.value)
