"""The sketch in cells: three pictures that were drawn by hand first, and what holds at every width."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.report.draw import sketch as s
from inspect_tui.report.draw.sketch import Area, Line, Sketch, Span, View, Way
from inspect_tui.report.draw.sketch_cells import SIGN, legend_cells, sketch_cells, view_cells


def core(number: int, x0: float, x1: float, y0: float, y1: float, role: str = s.SET, about: bool = False) -> Area:
    names = (f"core {number}", str(number)) if role != s.BESIDE else (f"({number})",)
    return Area(thing=f"core {number}", names=names, x0=x0, x1=x1, y0=y0, y1=y1, role=role, about=about)


def view(*areas: Area, **more: object) -> View:
    """One column a mm, one row two: 41 by 9 cells."""
    return View(
        **{"title": "t", "across": "x", "up": "z", "x0": 0.0, "x1": 40.0, "y0": 0.0, "y1": 16.0, "areas": areas, **more}
    )


def outline(about: bool = False) -> Line:
    return Line(((0.0, 0.0), (40.0, 0.0), (40.0, 16.0), (0.0, 16.0), (0.0, 0.0)), s.OUTLINE, about)


def drawn(shown: View) -> list[str]:
    lines = view_cells(shown, 41, 10).plain.splitlines()
    assert lines[0] == "t"
    return lines[1:]


def picture(text: str) -> list[str]:
    return text.strip("\n").split("\n")


# ------------------------------------------------------------------------------ drawn by hand
def test_a_core_at_hand_on_one_that_is_set() -> None:
    shown = view(
        core(1, 4, 36, 2, 6), core(2, 10, 30, 6, 14, s.HAND), lines=(outline(),), ways=(Way(20.0, 14.0, 0, -1),)
    )
    assert drawn(shown) == picture("""
┏━━━━━━━━━━━━━━━━━━━▼━━━━━━━━━━━━━━━━━━━┓
┃         ▗▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▖         ┃
┃         ▐███████████████████▌         ┃
┃         ▐█████ core 2 ██████▌         ┃
┃         ▐███████████████████▌         ┃
┃   ┌─────▝▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▘─────┐   ┃
┃   │░░░░░░░░░░░░core 1░░░░░░░░░░░░░│   ┃
┃   └───────────────────────────────┘   ┃
┗━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┛
""")


def test_a_parting_with_a_step_a_body_about_one_beside_the_cut_and_a_wall_that_is_measured() -> None:
    parting = Line(((0.0, 6.0), (24.0, 6.0), (24.0, 12.0), (40.0, 12.0)), s.PARTING)
    shown = view(
        core(3, 30, 36, 2, 14, s.BESIDE),
        core(1, 4, 20, 2, 10, about=True),
        core(2, 20, 28, 4, 10),
        lines=(parting,),
        spans=(Span(low=2.0, high=4.0, at=6.0),),
    )
    assert drawn(shown) == picture("""

                              ┌─────┐
                        ╔═════│     │════
    ┌┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┬───────┐ │     │
    ┆░░░░░░░░░░░░░░░│core 2░│ │ (3) │
━▶══┆◀━░░core 1░░░░░│░░░░░░░│ │     │
    ┆░░░░░░░░░░░░░░░├───────┘ │     │
    └┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┘         └─────┘

""")


def test_what_is_known_as_a_line_or_a_point_and_a_size_upward() -> None:
    shown = view(
        core(1, 4, 20, 2, 12, s.HAND, about=True),
        core(4, 28, 28, 4, 12, about=True),
        core(5, 34, 34, 8, 8, about=True),
        spans=(Span(low=2.0, high=12.0, at=8.0, upright=True),),
        ways=(Way(20.0, 8.0, -1, 0),),
    )
    assert drawn(shown) == picture("""


    ▗▄▄▄▲▄▄▄▄▄▄▄▄▄▄▄▖       ┆
    ▐███┃███████████▌       ┆
    ▐███┃ core 1 ███▌◀─     4     •‹5
    ▐███┃███████████▌       ┆
    ▐███┃███████████▌       ┆
    ▝▀▀▀▼▀▀▀▀▀▀▀▀▀▀▀▘

""")


def test_thin_bodies_have_ends_and_a_name_beside_them() -> None:
    shown = view(
        core(1, 4, 12, 8, 8.4), core(2, 20, 20.2, 4, 12), core(3, 28, 28.2, 8, 8.2), core(4, 31, 35, 2, 2.2, s.HAND)
    )
    assert drawn(shown) == picture("""


                    ┬
                    │
    ├core 1─┤       2       3
                    │
                    ┴
                               ▐ 4 ▌

""")


def test_a_name_stands_left_of_a_small_body_where_the_right_is_taken() -> None:
    shown = view(core(12, 20, 22, 8, 10), core(2, 23, 36, 6, 14))
    assert drawn(shown) == picture("""
                       ┌────────────┐
                       │░░░░░░░░░░░░│
                 12›┌─┐│░░░core 2░░░│
                    └─┘│░░░░░░░░░░░░│
                       └────────────┘
""")


def test_lines_that_run_into_a_body_end_at_it() -> None:
    shown = view(core(1, 4, 20, 2, 10), core(2, 12, 28, 6, 14), core(3, 20, 36, 2, 10, about=True))
    assert drawn(shown) == picture("""

            ┌───────────────┐
            │░░░░░░░░░░░░░░░│
    ┌───────┤core 2░┌┄┄┄┄┄┄┄┴┄┄┄┄┄┄┄┐
    │░░░░░░░│░░░░░░░┆░░░░░░░░░░░░░░░┆
    │core 1░└───────┤░░░░core 3░░░░░┆
    │░░░░░░░░░░░░░░░┆░░░░░░░░░░░░░░░┆
    └───────────────┴┄┄┄┄┄┄┄┄┄┄┄┄┄┄┄┘

""")


# ------------------------------------------------------------------------------ what is said
def test_hidden_and_small_bodies_are_said() -> None:
    shown = view(core(1, 10, 20, 6, 10), core(2, 4, 36, 2, 14, s.HAND), core(12, 5, 5.2, 13, 13.2))
    lines = drawn(shown)
    assert lines[-2:] == ["Hidden in this view: core 1.", "Too small to name in this view: core 12."]


@pytest.mark.parametrize(
    ("way", "arrow"),
    [
        (Way(10.0, 10.0, 1, -1), ["        ╲", "         ↘"]),
        (Way(30.0, 10.0, -1, -1), [" " * 32 + "╱", " " * 31 + "↙"]),
        (Way(30.0, 6.0, -1, 1), [" " * 31 + "↖", " " * 32 + "╲"]),
        (Way(10.0, 6.0, 1, 1), ["         ↗", "        ╱"]),
    ],
)
def test_an_oblique_way_in_has_its_head_at_the_corner_and_a_shaft(way: Way, arrow: list[str]) -> None:
    body = ["          ┌───────────────────┐", "          │░░░░░░core 1░░░░░░░│", "          └───────────────────┘"]
    lines = [line for line in drawn(view(core(1, 10, 30, 6, 10), ways=(way,))) if line.strip()]
    assert lines == ([*arrow, *body] if way.dy < 0 else [*body, *arrow])


def test_the_title_says_what_is_drawn_out_of_scale() -> None:
    flat = view(core(1, 4, 36, 7, 9), y0=6.0, y1=10.0)
    assert view_cells(flat, 41, 10).plain.splitlines()[0] == "t · z drawn 4.0 times as large as x"
    tall = view(core(1, 1, 3, 4, 12), x1=4.0)
    assert view_cells(tall, 60, 12).plain.splitlines()[0] == "t · x drawn 4.6 times as large as z"


def test_the_extent_stands_where_it_has_room() -> None:
    shown = view(core(1, 4, 36, 2, 14), extent="x 0 to 40")
    assert view_cells(shown, 41, 10).plain.startswith("t; x 0 to 40\n")
    long = view(core(1, 4, 36, 2, 14), extent="x 0 to 40, and so on to the end of it all")
    assert view_cells(long, 41, 10).plain.startswith("t\n")
    assert view_cells(long, 41).plain.startswith("t; x 0 to 40, and so on to the end of it\nall\n")


def test_the_legend_packs_its_signs_into_lines() -> None:
    made = Sketch(
        title="m", views=(), legend=((s.HAND, "core 1"), (s.SET, "cores"), (s.BESIDE, "beside the cut")), said=("no",)
    )
    assert legend_cells(made, 40).plain == "█ core 1   ░ cores   ( ) beside the cut\n"
    assert legend_cells(made, 30).plain == "█ core 1   ░ cores\n( ) beside the cut\n"
    assert sketch_cells(made, 40).plain == "m\n█ core 1   ░ cores   ( ) beside the cut\nno\n"
    assert sketch_cells(made, 40, words=False).plain == "m\n"
    assert set(SIGN) == set(s.SIGNS)


def test_a_view_that_is_not_to_scale_has_its_rows() -> None:
    shown = view(core(1, 4, 36, 2, 14), true=False, rows=20)
    assert len(view_cells(shown, 60, 8).plain.splitlines()) == 1 + 16  # of 20, without the blank ones


# ------------------------------------------------------------------------------ any mould, any width
coordinate = st.floats(-50, 90, allow_nan=False)
areas = st.lists(
    st.tuples(coordinate, coordinate, coordinate, coordinate, st.sampled_from([s.SET, s.BESIDE]), st.booleans()),
    min_size=1,
    max_size=9,
)


@settings(max_examples=40, deadline=None)
@given(areas, st.integers(40, 200), st.one_of(st.none(), st.integers(4, 40)), st.booleans())
def test_every_core_is_named_and_nothing_stands_outside(
    boxes: list[tuple[float, float, float, float, str, bool]], width: int, height: int | None, hand: bool
) -> None:
    made = [
        core(n, *sorted(box[:2]), *sorted(box[2:4]), s.HAND if hand and n == len(boxes) else box[4], box[5])
        for n, box in enumerate(boxes, start=1)
    ]
    shown = view(
        *made,
        spans=(Span(low=-60.0, high=3.0, at=8.0), Span(low=None, high=2.0, at=3.0, upright=True)),
        ways=(Way(20, 99, 0, -1),),
    )
    text = view_cells(shown, width, height)
    assert max(len(line) for line in text.plain.splitlines()) <= width
    if height is not None:
        pictured = [line for line in text.plain.splitlines() if not line.startswith(("t", "Hidden", "Too", "core"))]
        assert len(pictured) <= max(height, 4)
    for n in range(1, len(boxes) + 1):
        assert any(sign in text.plain for sign in (f"core {n}", f"({n})", str(n)))
    assert text.plain == view_cells(shown, width, height).plain


@pytest.mark.parametrize("width", [40, 77, 120, 200])
def test_names_do_not_touch(width: int) -> None:
    """Fourteen cores in a row, each its number: two numbers never read as one."""
    shown = view(*(core(n, 2.6 * n - 1.5, 2.6 * n + 1, 4, 12) for n in range(1, 15)))
    words = view_cells(shown, width, 12).plain
    assert sorted(int(n) for n in re.findall(r"\d+", words)) == list(range(1, 15))


@pytest.mark.parametrize("room", [(-1, 0), (0, 0), (1, 1), (2, 1), (3, 2)])
def test_a_window_without_room_is_no_fault(room: tuple[int, int]) -> None:
    """A panel that is hidden, or in a window pulled to nothing, has no columns; it is drawn when it has some again."""
    shown = view(core(1, 0, 10, 0, 10), core(2, 12, 40, 3, 3), spans=(Span(low=1.0, high=3.0, at=8.0),))
    view_cells(shown, *room)


def test_keys_and_ends_of_the_core_at_hand() -> None:
    shown = view(
        core(2, 10, 30, 6, 14, s.HAND),
        lines=(outline(),),
        keys=(s.Key("K6-1", "red", 14.0, 12.0), s.Key("K6-2", "red", 28.0, 6.0)),
        ends=(("left", "inlet"), ("up", "out\u202elet")),
    )
    assert drawn(shown) == picture("""
┏━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┓
┃         ▗▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▄▖         ┃
┃         ▐███◆███████████████▌         ┃
┃         ▐█████ core 2 ██████▌         ┃
┃         ▐███████████████████▌         ┃
┃         ▝▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀▀◆▀▘         ┃
┃                                       ┃
┃                                       ┃
┗━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━━┛
← inlet   ↑ out‹U+202E›let
""")
