"""Band and chart as drawings: to scale, readable without colour, never broken by what is in them."""

from __future__ import annotations

import re
from xml.etree import ElementTree as Tree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.chart import CASTING, CHECK, LIMIT, TARGET, Break, Chart, Fan, Level, Series
from inspect_tui.report.draw.svg import (
    Scale,
    band_svg,
    chart_svg,
    check_svg,
    fit_svg,
    overview_svg,
    sign_svg,
    stock_svg,
)

SVG = "{http://www.w3.org/2000/svg}"
AT = Scale(band(81.2, 82.8, 82.0).range, 164.0)
SIZES = st.floats(-1000, 1000, allow_nan=False)


def shapes(drawing: str, name: str) -> list[dict[str, str]]:
    return [element.attrib for element in Tree.fromstring(drawing).iter(f"{SVG}{name}")]


def strokes(drawing: str) -> list[float]:
    """Where the heavy upright lines stand: the limits."""
    return [float(s["d"][1:].split()[0]) for s in shapes(drawing, "path") if s.get("stroke-width") == "1.2"]


def test_limits_target_and_reading_stand_to_scale() -> None:
    drawn = band_svg(band(81.2, 82.8, 82.0, [Lane(82.2, 0.1)]), width=164.0)
    assert strokes(drawn) == [pytest.approx(AT.x(81.2), abs=0.01), pytest.approx(AT.x(82.8), abs=0.01)]
    # a quarter of the way from target to limit is a quarter of the way on paper
    assert (AT.x(82.2) - AT.x(82.0)) / (AT.x(82.8) - AT.x(82.0)) == pytest.approx(0.25)
    diamond = next(s for s in shapes(drawn, "path") if s.get("fill") == "#111")
    assert float(diamond["d"][1:].split()[0]) == pytest.approx(AT.x(82.2), abs=0.01)


def test_the_bar_is_as_wide_as_the_expanded_uncertainty() -> None:
    drawn = band_svg(band(81.2, 82.8, 82.0, [Lane(82.2, 0.3)]), width=164.0)
    bar = next(s for s in shapes(drawn, "path") if s.get("stroke-width") == "2.2")
    left, right = re.match(r"M([\d.]+) [\d.]+H([\d.]+)", bar["d"]).groups()  # type: ignore[union-attr]
    assert float(right) - float(left) == pytest.approx(AT.x(82.5) - AT.x(81.9), abs=0.02)


def test_a_reading_beyond_the_drawn_range_is_an_arrow_at_the_edge() -> None:
    far = band_svg(band(81.2, 82.8, 82.0, [Lane(90.0, 0.1, bad=True)]), width=164.0)
    arrow = next(s for s in shapes(far, "path") if s.get("fill") == "#a5140f")
    assert float(arrow["d"][1:].split()[0]) == pytest.approx(163.0)
    near = band_svg(band(81.2, 82.8, 82.0, [Lane(70.0, 0.1)]), width=164.0)
    assert any(s["d"].startswith("M1.00 ") for s in shapes(near, "path"))


def test_it_reads_without_colour_because_shapes_and_figures_carry_it() -> None:
    drawn = band_svg(band(81.2, 82.8, 82.0, [Lane(83.4, 0.1, bad=True)]))
    grey = drawn.replace("#a5140f", "#000000")
    assert [e.text for e in Tree.fromstring(grey).iter(f"{SVG}text")] == ["81.20", "82.80"]
    assert "band 81.20 to 82.80, target 82.00: 83.40" in grey


def test_one_open_side_has_one_stroke_and_the_ground_runs_to_the_edge() -> None:
    drawn = band_svg(band(6.0, None, 7.0, [Lane(7.0, 0.1)]), width=164.0)
    assert len(strokes(drawn)) == 1
    ground = shapes(drawn, "rect")[0]
    assert float(ground["x"]) + float(ground["width"]) == pytest.approx(160.0, abs=0.01)
    assert not shapes(band_svg(band(None, None, 7.0, [Lane(7.0)])), "rect")


def test_every_casting_has_its_own_lane() -> None:
    lanes = [Lane(82.0), Lane(82.1), Lane(None), Lane(82.3)]
    drawn = band_svg(band(81.2, 82.8, 82.0, lanes), lane_height=10.0, head=10.0)
    assert Tree.fromstring(drawn).attrib["viewBox"].endswith(" 50")
    assert len([s for s in shapes(drawn, "path") if s.get("fill") == "#111"]) == 3


@given(
    st.none() | SIZES,
    st.none() | SIZES,
    st.none() | st.floats(-1e9, 1e9),
    st.none() | st.floats(),
    st.floats(0, 50),
    st.lists(st.floats(), max_size=4),
    st.integers(10, 300),
)
def test_at_any_width_a_band_is_a_whole_drawing_inside_its_frame(
    lower: float | None,
    upper: float | None,
    target: float | None,
    value: float | None,
    u95: float,
    more: list[float],
    width: int,
) -> None:
    made = band(lower, upper, target, [Lane(value, u95, others=tuple(more))])
    drawn = band_svg(made, width=width)
    assert "nan" not in drawn and "inf" not in drawn
    for path in shapes(drawn, "path"):
        assert -2.5 <= float(path["d"][1:].split()[0]) <= width + 2.5
    for dot in shapes(drawn, "circle"):
        assert 0.0 <= float(dot["cx"]) <= width


def test_a_target_or_other_reading_beyond_the_range_is_an_arrow_too() -> None:
    target = band_svg(band(81.2, 82.8, 90.0), width=164.0)
    (arrow,) = [s for s in shapes(target, "path") if s.get("fill") == "#fff"]
    assert arrow["d"].startswith("M163.00 ")
    others = band_svg(band(81.2, 82.8, 82.0, [Lane(82.1, others=(60.0, 61.0, 95.0))]), width=164.0)
    starts = [s["d"].split()[0] for s in shapes(others, "path") if s.get("fill") == "#111"]
    assert sorted(starts)[:2] == ["M1.00", "M163.00"] and not shapes(others, "circle")


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


# ------------------------------------------------------------------------------ the chart
def a_chart(**more: object) -> Chart:
    return Chart(
        readings=Series([0.0, 50.0, 100.0], [10.0, 12.0, 11.0]), title="W width", said="W width on box 1", **more
    )  # type: ignore[arg-type]


def words(drawing: str) -> list[str]:
    return [e.text or "" for e in Tree.fromstring(drawing).iter(f"{SVG}text")]


def test_readings_are_dots_to_scale_and_those_far_off_arrows() -> None:
    dots, *_ = [s for s in shapes(chart_svg(a_chart()), "path") if s.get("stroke-linecap") == "round"]
    xs = [float(x) for x in re.findall(r"M([\d.]+) ", dots["d"])]
    assert xs == [38.0, 248.0, 458.0]  # 520 points less the room left and right
    ys = [float(y) for y in re.findall(r"M[\d.]+ ([\d.]+)h0", dots["d"])]
    assert ys[0] - ys[2] == pytest.approx((ys[0] - ys[1]) / 2, abs=0.11)
    far = chart_svg(a_chart(low=10.0, high=11.0))
    assert [s["d"] for s in shapes(far, "path") if s.get("fill") == "#a5140f"] == ["M246.0 19.0h4l-2 -4z"]


def test_levels_say_their_names_and_only_those_in_the_picture_are_drawn() -> None:
    levels = (
        Level(12.5, "upper 12.50", LIMIT, True, "upper limit 12.50"),
        Level(9.0, "lower 9.00", LIMIT, False, "lower limit 9.00"),
        Level(11.0, "target 11.00", TARGET),
    )
    drawn = chart_svg(a_chart(levels=levels, ground=(9.0, 12.5)))
    assert {"upper limit 12.50", "target 11.00"} <= set(words(drawn)) and "lower limit 9.00" not in words(drawn)
    assert [s["stroke-width"] for s in shapes(drawn, "path") if s["d"].endswith("H458.00")] == ["1.1", ".5"]
    assert shapes(drawn, "rect")[1]["fill"] == "#e9e9e9"


def test_castings_are_rings_other_checks_crosses_and_the_key_says_so() -> None:
    beside = (Series([10.0, 20.0], [11.0, 99.0], CASTING), Series([30.0], [11.5], CHECK))
    drawn = chart_svg(a_chart(beside=beside))
    assert len(shapes(drawn, "circle")) == 2
    assert "● readings · ○ castings, as the size of the tool · × other checks" in words(drawn)
    assert "● readings" in words(chart_svg(a_chart()))


def test_repairs_are_numbered_and_the_forecast_is_shaded() -> None:
    fan = Fan(
        xs=(0.0, 50.0, 100.0),
        middle=(10.0, 11.0, 12.0),
        low=(10.0, 11.0, 11.5),
        high=(10.0, 11.0, 12.5),
        now=50.0,
        label="wear",
    )
    drawn = chart_svg(a_chart(breaks=(Break(20.0, "repair", 1), Break(-5.0, "jump", 2)), fan=fan))
    assert "repair 1" in words(drawn) and "jump 2" not in words(drawn)
    assert any("line: wear, grey: 95 % of it ahead" in w for w in words(drawn))
    (shade,) = [s for s in shapes(drawn, "path") if s.get("fill-opacity") == ".25"]
    assert shade["d"].startswith("M248.00 ")  # from now on
    lines = [s for s in shapes(drawn, "path") if s.get("stroke-width") == "1"]
    assert [s.get("stroke-dasharray") for s in lines] == [None, "4 2"]


def test_a_chart_without_readings_says_why() -> None:
    drawn = chart_svg(Chart(readings=Series((), ()), title="W width", said="not measured yet"))
    assert words(drawn) == ["not measured yet"] and "<title>W width: not measured yet</title>" in drawn


def test_a_chart_read_in_inches_has_round_figures_of_inches() -> None:
    drawn = chart_svg(Chart(readings=Series(range(3), [25.4, 50.8, 76.2]), unit="in", per=25.4))
    assert {"1.0", "2.0", "3.0", "in"} <= set(words(drawn))


def test_hostile_words_are_only_words() -> None:
    drawn = chart_svg(a_chart(breaks=(Break(20.0, "<script>&", 1),)))
    assert "<script>& 1" in words(drawn)
