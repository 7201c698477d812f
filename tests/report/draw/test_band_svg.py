"""The band as a drawing: to scale, readable without colour, never broken by what is in it."""

from __future__ import annotations

import re
from xml.etree import ElementTree as Tree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.report.draw.band_svg import (
    Lane,
    band_svg,
    check_svg,
    fit_svg,
    overview_svg,
    scale,
    sign_svg,
    stock_svg,
)

SVG = "{http://www.w3.org/2000/svg}"
SIZES = st.floats(-1000, 1000, allow_nan=False)


def shapes(drawing: str, name: str) -> list[dict[str, str]]:
    return [element.attrib for element in Tree.fromstring(drawing).iter(f"{SVG}{name}")]


def strokes(drawing: str) -> list[float]:
    """Where the heavy upright lines stand: the limits."""
    return [float(s["d"][1:].split()[0]) for s in shapes(drawing, "path") if s.get("stroke-width") == "1.2"]


def test_limits_target_and_reading_stand_to_scale() -> None:
    drawn = band_svg([Lane(82.2, 0.1)], lower=81.2, upper=82.8, target=82.0, width=164.0)
    at = scale(81.2, 82.8, 82.0, (), 164.0)
    assert strokes(drawn) == [pytest.approx(at.x(81.2), abs=0.01), pytest.approx(at.x(82.8), abs=0.01)]
    # a quarter of the way from target to limit is a quarter of the way on paper
    assert (at.x(82.2) - at.x(82.0)) / (at.x(82.8) - at.x(82.0)) == pytest.approx(0.25)
    diamond = next(s for s in shapes(drawn, "path") if s.get("fill") == "#111")
    assert float(diamond["d"][1:].split()[0]) == pytest.approx(at.x(82.2), abs=0.01)


def test_the_drawn_range_is_the_band_and_a_third_of_it_on_each_side() -> None:
    at = scale(81.2, 82.8, 82.0, (), 164.0)
    assert (at.low, at.high) == (pytest.approx(81.2 - 0.56), pytest.approx(82.8 + 0.56))  # as on the screen
    assert at.x(at.low) == pytest.approx(4.0) and at.x(at.high) == pytest.approx(160.0)


def test_the_bar_is_as_wide_as_the_expanded_uncertainty() -> None:
    at = scale(81.2, 82.8, 82.0, (), 164.0)
    drawn = band_svg([Lane(82.2, 0.3)], lower=81.2, upper=82.8, target=82.0, width=164.0)
    bar = next(s for s in shapes(drawn, "path") if s.get("stroke-width") == "2.2")
    left, right = re.match(r"M([\d.]+) [\d.]+H([\d.]+)", bar["d"]).groups()  # type: ignore[union-attr]
    assert float(right) - float(left) == pytest.approx(at.x(82.5) - at.x(81.9), abs=0.02)


def test_a_reading_beyond_the_drawn_range_is_an_arrow_at_the_edge() -> None:
    far = band_svg([Lane(90.0, 0.1, bad=True)], lower=81.2, upper=82.8, target=82.0, width=164.0)
    arrow = next(s for s in shapes(far, "path") if s.get("fill") == "#a5140f")
    assert float(arrow["d"][1:].split()[0]) == pytest.approx(163.0)
    near = band_svg([Lane(70.0, 0.1)], lower=81.2, upper=82.8, target=82.0, width=164.0)
    assert any(s["d"].startswith("M1.00 ") for s in shapes(near, "path"))


def test_it_reads_without_colour_because_shapes_and_figures_carry_it() -> None:
    drawn = band_svg([Lane(83.4, 0.1, bad=True)], lower=81.2, upper=82.8, target=82.0)
    grey = drawn.replace("#a5140f", "#000000")
    assert [e.text for e in Tree.fromstring(grey).iter(f"{SVG}text")] == ["81.20", "82.80"]
    assert "band 81.20 to 82.80, target 82.00: 83.40" in grey


def test_one_open_side_has_one_stroke_and_the_ground_runs_to_the_edge() -> None:
    drawn = band_svg([Lane(7.0, 0.1)], lower=6.0, upper=None, target=7.0, width=164.0)
    assert len(strokes(drawn)) == 1
    ground = shapes(drawn, "rect")[0]
    assert float(ground["x"]) + float(ground["width"]) == pytest.approx(160.0, abs=0.01)
    assert not shapes(band_svg([Lane(7.0)], lower=None, upper=None, target=7.0), "rect")


def test_every_casting_has_its_own_lane() -> None:
    lanes = [Lane(82.0), Lane(82.1), Lane(None), Lane(82.3)]
    drawn = band_svg(lanes, lower=81.2, upper=82.8, target=82.0, lane_height=10.0, head=10.0)
    assert Tree.fromstring(drawn).attrib["viewBox"].endswith(" 50")
    assert len([s for s in shapes(drawn, "path") if s.get("fill") == "#111"]) == 3


@given(SIZES, SIZES, SIZES, st.floats(0, 50), st.lists(SIZES, max_size=4))
def test_any_sizes_give_a_whole_drawing_inside_its_frame(
    a: float, b: float, value: float, u: float, more: list[float]
) -> None:
    lower, upper = min(a, b), max(a, b)
    drawn = band_svg([Lane(value, u, others=tuple(more))], lower=lower, upper=upper, target=(a + b) / 2, width=164.0)
    assert "nan" not in drawn and "inf" not in drawn
    for path in shapes(drawn, "path"):
        assert 0.0 <= float(path["d"][1:].split()[0]) <= 164.0


def test_the_fit_shows_where_it_rubs_goes_and_floats() -> None:
    words = [e.text for e in Tree.fromstring(fit_svg(0.45, 0.3, 0.7)).iter(f"{SVG}text")]
    assert words == ["0.30", "0.70", "rubs", "goes", "floats"]
    assert "clearance −0.10 mm" in fit_svg(-0.1, 0.2, 0.5)


def test_the_check_says_go_between_its_limits() -> None:
    assert [e.text for e in Tree.fromstring(check_svg(6.2, 8.0)).iter(f"{SVG}text")] == [
        "6.2",
        "8.0",
        "GO",
        "no-go",
        "no-go",
    ]
    assert [e.text for e in Tree.fromstring(check_svg(6.2, None)).iter(f"{SVG}text")] == ["6.2", "GO", "no-go"]


def test_stock_shows_before_after_and_the_least() -> None:
    drawn = stock_svg(1.0, 0.7, 1.4, 0.2, 3.0)
    (ring,) = shapes(drawn, "circle")
    (stroke,) = (float(s["d"][1:].split()[0]) for s in shapes(drawn, "path") if s.get("stroke-width") == "1.2")
    assert float(ring["cx"]) < stroke  # as it stands there is too little
    assert "0.70 mm as it stands, 1.40 mm set up, 1.00 mm needed" in drawn


def test_the_overview_names_what_is_outside_and_escapes_names() -> None:
    drawn = overview_svg([("F1", 0.2, "good"), ("<b>&F2", 1.4, "bad"), ("F3", -0.99, "doubt"), ("F4", 9.0, "bad")])
    words = [e.text for e in Tree.fromstring(drawn).iter(f"{SVG}text")]
    assert "<b>&F2" in words and "F3" in words and "F4" in words and "F1" not in words


def test_the_sign_is_a_drawing() -> None:
    Tree.fromstring(sign_svg())
