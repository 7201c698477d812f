"""Ways in of a kit: bodies in the way decide the order, or are to be looked at; ways that nobody can go are said."""

from __future__ import annotations

import pytest

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.mould import CoreBody
from inspect_tui.record.store import Record
from inspect_tui.shop.kit import check as kit
from inspect_tui.shop.kit.bodies import bodies
from inspect_tui.shop.kit.facts import KitFacts
from inspect_tui.shop.kit.together.blocking import in_the_way
from tests.shop.kit.test_check import (
    checked,
    record,  # noqa: F401  a fixture
)
from tests.worlds.kit_jobs import Kit, begin, with_patterns


def body(
    made: Kit, core: int, x: tuple[float, float], z: tuple[float, float], y: tuple[float, float] = (0, 50)
) -> None:
    made.record.add(CoreBody(core_of_id=made.core[core].of_id, x0=x[0], x1=x[1], y0=y[0], y1=y[1], z0=z[0], z1=z[1]))


def three(record: Record) -> Kit:
    """Cores 7, 10 and 12 side by side in the drag, in this order."""
    made = with_patterns(begin(record))
    for place, number in enumerate((10, 7, 12), start=1):
        made.add_core(number, set_order=place)
        made.add_fit(f"K{number}", number, "drag", holds="x,y,z,rx,ry,rz")
    return made


def blocks(check: kit.KitCheck) -> list[str]:
    return [t.sentence for t in check.found if t.kind == "blocked"]


def test_a_given_body_in_the_way_decides_the_order(record: Record) -> None:
    made = three(record)
    body(made, 7, (0, 100), (0, 30))
    body(made, 10, (80, 180), (60, 90))  # hangs over the end of core 7
    body(made, 12, (300, 400), (0, 90))
    check = checked(made)
    text = "core 7 may be blocked by core 10: look (its way in, z-, meets it 20 mm deep)"
    assert blocks(check) == [text] and [t.cores for t in check.found if t.kind == "blocked"] == [("7", "10")]
    assert check.sequence == ("7", "10", "12") and text in check.order_sentence
    assert kit.check(made.record, made.job, style=Style("in")).found[0].sentence.count("0.79 in deep") == 1
    made.detail(7, set_order=0)
    assert blocks(checked(made)) == []


def test_bodies_that_block_each_other_are_a_ring(record: Record) -> None:
    made = three(record)
    body(made, 7, (0, 100), (0, 30))
    body(made, 7, (150, 250), (60, 90))
    body(made, 10, (80, 140), (60, 90))
    body(made, 10, (130, 200), (0, 30))
    check = checked(made)
    assert check.sequence == () and any("no setting order: 10 -> 7 -> 10" in text for text in blocks(check))
    assert next(t for t in check.found if t.kind == "blocked").cores == ("10", "7")


def test_a_body_about_from_its_sizes_is_to_be_looked_at(record: Record) -> None:
    made = three(record)
    for number, x, z in ((7, (0.0, 100.0), (0.0, 30.0)), (10, (80.0, 180.0), (60.0, 90.0))):
        for axis, (low, high) in (("x", x), ("y", (0.0, 50.0)), ("z", z)):
            made.add_feature(f"F{number}{axis}", axis, high - low, (number, 1, low), (number, -1, high), ())
    check = checked(made)
    assert blocks(check) == [] and check.sequence == ("10", "7", "12")
    assert [t.sentence for t in check.open if t.kind == "blocked"] == [
        "core 7 may be blocked by core 10: look (its way in, z-, meets it 20 mm deep; bodies about, from their sizes)"
    ]
    made.detail(7, set_order=0)
    assert not [t for t in checked(made).open if t.kind == "blocked"]


def test_given_bodies_that_share_room_are_open_unless_one_sits_in_the_other(record: Record) -> None:
    made = three(record)
    body(made, 7, (0, 100), (0, 30))
    body(made, 10, (90, 180), (0, 30))
    text = "core 7 and core 10 stand 10 mm in each other, as their bodies are given"
    assert [t.sentence for t in checked(made).open if t.kind == "blocked"] == [text]
    made.add_fit("K20", 7, 10, holds="x")
    assert not [t for t in checked(made).open if t.kind == "blocked"]


def test_a_core_pushed_in_sideways_needs_room_as_far_as_it_stands_in_its_seat(record: Record) -> None:
    made = three(record)
    made.add_fit("K20", 7, 10, way_in="x-", holds="x")
    body(made, 10, (0, 50), (0, 30))
    body(made, 7, (40, 140), (5, 25), (10, 40))  # 10 mm deep in core 10
    body(made, 12, (145, 180), (0, 30))  # 5 mm beyond its end, and it has to go 12 mm back
    met = [b for b in checked(made).in_the_way.met if b.core == "7"]
    assert [(b.by, b.way, b.depth) for b in met] == [("12", "z- then x-", 7)]
    body(made, 7, (48, 49), (25, 35))  # another box of it, less deep
    assert [b.depth for b in checked(made).in_the_way.met if b.core == "7"] == [7]


def test_how_far_it_is_pushed_is_its_own_length_where_its_seat_tells_nothing(record: Record) -> None:
    made = three(record)
    made.add_fit("K20", 7, 10, way_in="x-", holds="x")
    body(made, 7, (40, 140), (10, 40))
    body(made, 12, (235, 300), (0, 30))  # within its length of 100
    assert [b.depth for b in checked(made).in_the_way.met if b.core == "7"] == [5]


@pytest.mark.parametrize(
    ("way", "into", "text"),
    [
        ("z+", "drag", "K30 of core 7 goes into the drag from below (z+): its sand is there"),
        ("z-", "cope", "K30 of core 7 goes into the cope from above (z-): its sand is there"),
    ],
)
def test_a_way_through_the_sand_is_said(record: Record, way: str, into: str, text: str) -> None:
    made = three(record)
    made.add_fit("K30", 7, into, way_in=way)
    body(made, 7, (0, 100), (0, 30))
    assert blocks(checked(made)) == [text]  # and it is swept along its other way


def test_a_way_that_points_nowhere_is_said_and_the_others_are_gone(record: Record) -> None:
    made = three(record)
    facts = KitFacts(record, made.job)
    facts.fits = [replace(fit, way_in="up") if fit.label == "K7" else fit for fit in facts.fits]
    way = in_the_way(facts, [], bodies(facts))
    assert [t.sentence for t in way.troubles] == [
        "K7 of core 7: 'up' points nowhere: a way in is one of x-, x+, y-, y+, z-, z+"
    ]


def test_two_ways_against_each_other_are_said_and_the_rest_is_worked_out(record: Record) -> None:
    made = three(record)
    made.add_fit("K31", 7, 10, way_in="x-")
    made.add_fit("K32", 7, 10, place="2", way_in="x+")
    body(made, 7, (0, 100), (0, 30))
    assert "core 7: the ways in z-, x-, x+ point against each other: no core goes both" in blocks(checked(made))


def test_the_cope_comes_over_a_core_and_is_no_way_in(record: Record) -> None:
    made = three(record)
    made.add_fit("K33", 7, "cope", way_in="z+")
    made.detail(12, set_order=0)
    body(made, 7, (0, 100), (20, 30))
    body(made, 12, (0, 100), (0, 10))  # below core 7: in the way only of one that comes from below
    assert blocks(checked(made)) == []
