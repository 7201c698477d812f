"""Numbers on sheets: none covers another, each stands on its size or leads to its place, whatever there are of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations
from math import hypot
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.report.draw.balloons import MOST_TALL, TALL, Ring, Sheet, Taken, picture_sheets, view_sheets, wide
from inspect_tui.report.draw.sketch import Area, View
from tests.worlds.hostile import TEXTS

VIEW = View(
    title="plan, from above",
    across="x",
    up="y",
    x0=-10.0,
    x1=610.0,
    y0=-10.0,
    y1=210.0,
    areas=(Area(thing="core 1", names=("core 1", "1"), x0=50.0, x1=500.0, y0=40.0, y1=160.0),),
)
WIDTH = 520.0


def overlaps(rings: Sequence[Ring]) -> list[tuple[str, str]]:
    """Pairs of numbers whose outlines meet."""
    return [
        (a.balloon, b.balloon)
        for a, b in combinations(rings, 2)
        if a.x < b.x + b.wide and b.x < a.x + a.wide and a.y < b.y + TALL and b.y < a.y + TALL
    ]


def legible(sheets: Sequence[Sheet], numbers: Sequence[str]) -> None:
    """Every number stands once, inside its sheet, free of the others, and every sheet fits a page."""
    assert sorted(ring.balloon for sheet in sheets for ring in sheet.rings) == sorted(numbers)
    for sheet in sheets:
        assert overlaps(sheet.rings) == []
        assert sheet.height <= MOST_TALL + 40.0
        for ring in sheet.rings:
            assert ring.x >= 0.0 and ring.x + ring.wide <= sheet.width and 0.0 <= ring.y <= sheet.height - TALL


def sizes(count: int, seed: int, upright: float = 0.4) -> list[Taken]:
    """Walls, positions and overall lengths: most small, many from the same face."""
    draw = Random(seed)
    made = []
    for n in range(count):
        up = draw.random() < upright
        most = 200.0 if up else 600.0
        low = draw.choice((0.0, draw.uniform(0.0, most)))
        high = min(low + draw.choice((7.0, 14.0, draw.uniform(0.0, most))), most)
        ends = draw.choice(((low, high), (high, low), (low, None), (None, high)))
        balloons = (f"F{n + 1:02d}", f"G{n + 1}") if n % 9 == 0 else (f"F{n + 1:02d}",)
        made.append(Taken(balloons=balloons, ends=ends, upright=up, spot=draw.choice((None, 30.0))))
    return made


@pytest.mark.parametrize("count", [1, 60, 200])
def test_numbers_of_sizes_never_cover_each_other(count: int) -> None:
    made = sizes(count, count)
    legible(view_sheets(VIEW, made), [balloon for one in made for balloon in one.balloons])


@settings(max_examples=25)
@given(st.integers(1, 70), st.integers(0, 10_000), st.sampled_from((0.0, 0.5, 1.0)))
def test_nor_do_those_of_any_sizes(count: int, seed: int, upright: float) -> None:
    made = sizes(count, seed, upright)
    legible(view_sheets(VIEW, made), [balloon for one in made for balloon in one.balloons])


def test_a_size_is_drawn_from_face_to_face_with_its_number_on_it() -> None:
    (sheet,) = view_sheets(VIEW, [Taken(balloons=("F1",), ends=(400.0, 100.0), upright=False)])
    (ring,) = sheet.rings
    scale = (WIDTH - 4.0) / 620.0  # the view fills the sheet but for its edges
    low, high = 2.0 + 110.0 * scale, 2.0 + 410.0 * scale
    assert ring.x + ring.wide / 2 == pytest.approx((low + high) / 2, abs=0.01)
    middle = ring.y + TALL / 2
    assert f'd="M{low:.2f} {middle:.2f}H{high:.2f}"' in sheet.svg
    for x in (low, high):  # a stroke at each end, and a thin line that leads there from the view
        assert f'd="M{x:.2f} {middle - 3:.2f}V{middle + 3:.2f}"' in sheet.svg
    assert "<circle" not in sheet.svg  # nobody said where across it is taken


def test_a_short_size_has_its_number_beside_it_and_one_with_a_spot_its_dots() -> None:
    (sheet,) = view_sheets(VIEW, [Taken(balloons=("F1",), ends=(100.0, 107.0), upright=False, spot=50.0)])
    (ring,) = sheet.rings
    high = 2.0 + 117.0 * (WIDTH - 4.0) / 620.0
    assert ring.x == pytest.approx(high + 3.0, abs=0.01)
    assert sheet.svg.count("<circle") == 2
    (sheet,) = view_sheets(VIEW, [Taken(balloons=("F1",), ends=(600.0, 598.0), upright=False)])
    assert sheet.rings[0].x + wide("F1") < 2.0 + 608.0 * (WIDTH - 4.0) / 620.0  # at the edge it stands before it


def test_the_dots_of_a_size_lie_where_it_is_taken() -> None:
    scale = (WIDTH - 4.0) / 620.0
    (sheet,) = view_sheets(VIEW, [Taken(balloons=("F1",), ends=(100.0, 400.0), upright=False, spot=50.0)])
    y = 15.25 + (210.0 - 50.0) * scale
    for place in (100.0, 400.0):
        assert f'<circle cx="{2.0 + (place + 10.0) * scale:.2f}" cy="{y:.2f}" r="1.5"' in sheet.svg
    (sheet,) = view_sheets(VIEW, [Taken(balloons=("F1",), ends=(20.0, 190.0), upright=True, spot=50.0)])
    scale = (WIDTH * 0.64 - 4.0) / 620.0  # lanes stand beside it
    for place in (20.0, 190.0):
        spot = f'<circle cx="{2.0 + 60.0 * scale:.2f}" cy="{15.25 + (210.0 - place) * scale:.2f}" r="1.5"'
        assert spot in sheet.svg


def test_one_end_alone_is_marked_alone_and_no_size_makes_no_sheet() -> None:
    (sheet,) = view_sheets(VIEW, [Taken(balloons=("F1",), ends=(None, 100.0), upright=True)])
    assert len(sheet.rings) == 1 and sheet.svg.count('stroke-width="1.1"') == 1
    assert view_sheets(VIEW, []) == []


# ------------------------------------------------------------------------------ photographs
def photograph(marks: Sequence[tuple[str, float, float]], size: tuple[int, int] = (1400, 1050)) -> list[Sheet]:
    return picture_sheets("from above", b"\xff\xd8", size, marks)


def spots(count: int, seed: int) -> list[tuple[str, float, float]]:
    """All over the picture, many of them close together."""
    draw = Random(seed)
    return [(f"F{n + 1}", draw.choice((50.0, draw.uniform(0, 100))), draw.uniform(0, 100)) for n in range(count)]


@pytest.mark.parametrize("size", [(1400, 1050), (600, 1400), (1400, 200)])
@pytest.mark.parametrize("count", [1, 60, 200])
def test_numbers_round_a_photograph_never_cover_each_other(count: int, size: tuple[int, int]) -> None:
    marks = spots(count, count)
    sheets = photograph(marks, size)
    legible(sheets, [balloon for balloon, _, _ in marks])
    for sheet in sheets:  # nor the picture
        image = next(part for part in sheet.parts if part.startswith("<image"))
        left, across = (float(image.split(f'{name}="')[1].split('"')[0]) for name in ("<image x", " width"))
        assert all(ring.x + ring.wide <= left or ring.x >= left + across for ring in sheet.rings)


def test_a_line_leads_from_a_number_to_its_place_on_the_picture() -> None:
    (sheet,) = photograph([("F1", 25.0, 40.0), ("F2", 75.0, 90.0)])
    image = next(part for part in sheet.parts if part.startswith("<image"))
    left, top, across, tall = (
        float(image.split(f' {name}="')[1].split('"')[0]) for name in ("x", "y", "width", "height")
    )
    for ring, x, y in zip(sorted(sheet.rings), (0.25, 0.75), (0.40, 0.90), strict=True):
        place = f"{left + across * x:.2f} {top + tall * y:.2f}"
        (leader,) = [part for part in sheet.parts if f"L{place}" in part]
        start = leader.split('d="M')[1].split("L")[0].split()
        edges = (ring.x, ring.x + ring.wide)
        nearest = min(edges, key=lambda edge: hypot(edge - left - across * x, 0.0))
        assert [float(one) for one in start] == pytest.approx([nearest, ring.y + TALL / 2], abs=0.01)


def test_more_than_fit_go_to_the_next_sheet_in_their_order() -> None:
    sheets = photograph(spots(200, 1))
    assert len(sheets) > 1 and "(1 of" in sheets[0].title
    assert [sheet.title[-7:] for sheet in sheets] == [f"{n + 1} of {len(sheets)})"[-7:] for n in range(len(sheets))]
    assert {"F1", "F2"} <= {ring.balloon for ring in sheets[0].rings}


@pytest.mark.parametrize("text", TEXTS)
def test_any_text_stays_text(text: str) -> None:
    from lxml import etree

    for sheet in (
        *view_sheets(VIEW, [Taken(balloons=(text,), ends=(0.0, 50.0), upright=False)]),
        *photograph([(text, 1, 1)]),
    ):
        etree.fromstring(sheet.svg.replace("<svg ", '<svg xmlns:x="x" ', 1).encode())
