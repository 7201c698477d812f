"""Band and chart in cells: they keep to their width, at any width, and hide nothing that stands out."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.report.draw.band import Lane, band
from inspect_tui.report.draw.cells import band_cells, chart_cells, chart_key, histogram_cells
from inspect_tui.report.draw.chart import (
    BAND,
    CASTING,
    CENTRE,
    CONTROL,
    FIT,
    LIMIT,
    NAME,
    Break,
    Chart,
    Fan,
    Level,
    Series,
)

SIZES = st.floats(-1e4, 1e4)
WIDTHS = st.integers(10, 300)


def line_of(width: int = 50, value: float | None = None, u95: float = 0.0, others: Sequence[float] = ()) -> str:
    """The band 1.0 to 2.0 with its target in the middle, as one line of marks."""
    made = band(1.0, 2.0, 1.5, [Lane(value, u95, others=tuple(others))])
    return band_cells(made, width).plain.split("\n")[1]


# ------------------------------------------------------------------------------ the band
@given(
    st.none() | SIZES,
    st.none() | SIZES,
    st.none() | st.floats(-1e9, 1e9),
    st.none() | st.floats(),
    st.floats(0, 1e6),
    st.lists(st.floats(), max_size=5),
    WIDTHS,
)
def test_at_any_width_a_band_keeps_its_width_and_shows_the_reading(
    lower: float | None,
    upper: float | None,
    target: float | None,
    value: float | None,
    u95: float,
    others: list[float],
    width: int,
) -> None:
    made = band(lower, upper, target, [Lane(value, u95, others=tuple(others))])
    figures, line = band_cells(made, width).plain.split("\n")
    assert len(line) == width and len(figures) <= width
    shown = value is not None and value == value
    assert sum(line.count(mark) for mark in "◆◀▶") == shown
    if target is not None and made.range.beyond(target) and not shown:
        assert sum(line.count(mark) for mark in "◁▷") == 1


@pytest.mark.parametrize("width", [-30, 0, 1])
def test_a_band_without_room_is_its_reading_alone(width: int) -> None:
    made = band(59.44, 59.74, 59.59, [Lane(59.66, 0.02, others=(59.5,))])
    assert band_cells(made, width).plain == "\n◆"


def test_the_band_of_the_worked_line() -> None:
    made = band(59.44, 59.74, 59.59, [Lane(59.66, 0.02, others=(59.5,))])
    figures, line = band_cells(made, 50).plain.split("\n")
    assert all(figure in figures for figure in ("59.44", "59.59", "59.74"))
    assert line.index("┼") < line.index("·") < line.index("┬") < line.index("◆") < line.rindex("┼")
    assert "━◆━" in line


def test_marks_stand_to_scale() -> None:
    line = line_of(171, value=1.75)  # 100 columns for the band, 35 beyond each limit
    assert (line.index("┼"), line.rindex("┼"), line.index("┬"), line.index("◆")) == (35, 135, 85, 110)


def test_what_lies_beyond_is_an_arrow_at_its_edge_and_none_hides_another() -> None:
    assert line_of(value=0.0)[0] == "◀" and line_of(value=9.0)[-1] == "▶"
    assert line_of(others=(0.0, 9.0)).startswith("◂") and line_of(others=(0.0, 9.0)).endswith("▸")
    assert line_of(value=9.0, others=(8.0, 0.5)).endswith("─▶")  # its own arrow stands for the earlier ones there
    far = band(1.0, 2.0, 9.0, [Lane(8.0, others=(0.0,))])
    figures, line = band_cells(far, 50).plain.split("\n")
    assert line.startswith("◂") and line.endswith("▷▶") and figures.endswith("9.00")
    assert band_cells(band(1.0, 2.0, -9.0), 50).plain.split("\n")[1][0] == "◁"


def test_the_bar_ends_at_the_edge_of_the_picture() -> None:
    assert line_of(value=1.5, u95=99.0).replace("━", "") == "┼◆┼"


def test_a_hidden_target_is_not_drawn() -> None:
    text = band_cells(band(1.0, 2.0, None), 40).plain
    assert "┬" not in text and "1.50" not in text


def test_one_sided_limits_are_drawn() -> None:
    assert band_cells(band(6.0, None, 7.0, [Lane(6.5)]), 40).plain.count("┼") == 1


def test_figures_are_written_as_the_face_wants_them_and_limits_win() -> None:
    made = band(59.44, 59.74, 59.59)
    assert "2.3402 in" in band_cells(made, 60, figure=lambda mm: f"{mm / 25.4:.4f} in").plain
    assert band_cells(made, 16).plain.split("\n")[0].split() == ["59.44", "59.74"]


def test_each_lane_has_a_line() -> None:
    assert len(band_cells(band(1.0, 2.0, 1.5, [Lane(1.2), Lane(1.3), Lane()]), 40).plain.split("\n")) == 4


# ------------------------------------------------------------------------------ the chart
def rows(chart: Chart, width: int = 60, height: int = 12) -> list[str]:
    return chart_cells(chart, width, height).plain.split("\n")


@given(st.lists(SIZES, min_size=1, max_size=300), WIDTHS, st.integers(4, 40))
def test_a_chart_keeps_its_size(ys: list[float], width: int, height: int) -> None:
    chart = Chart(
        readings=Series(range(len(ys)), ys),
        title="a chart",
        beside=(Series([0.0, 4.0], [ys[0], ys[-1]], FIT), Series([1.0], [ys[0]], CASTING)),
        levels=(Level(ys[0], "a level with a long name"),),
        breaks=(Break(3.0),),
        fan=Fan(xs=(0.0, 2.0, 9.0), middle=(ys[0],) * 3, low=(ys[0] - 1,) * 3, high=(ys[0] + 1,) * 3, now=2.0),
    )
    lines = chart_cells(chart, width, height, cursor=0.0).plain.split("\n")
    assert len(lines) == max(height, 6)
    assert all(len(line) <= width for line in lines)


def test_points_that_signal_are_marked_and_units_are_said() -> None:
    chart = Chart(readings=Series(range(10), [1.0] * 9 + [5.0]), across="lot", signals=((9, 5.0),))
    text = chart_cells(chart, 60, 10).plain
    assert text.count("◆") == 1 and "mm" in text and "lot" in text


def test_an_empty_chart_says_so() -> None:
    assert "nothing to draw" in chart_cells(Chart(readings=Series((), ())), 60, 10).plain
    assert "nothing to draw" in histogram_cells([], [], lower=None, upper=None).plain


def test_readings_beyond_the_picture_are_arrows_at_its_edges_and_hide_no_other_extreme() -> None:
    ys = [1.0, 1.1, 1.2, 1.1] * 60
    ys[100], ys[101] = 50.0, -50.0
    lines = rows(Chart(readings=Series(range(240), ys), low=1.0, high=1.2))
    assert "▲" in lines[0] and "▼" in lines[-3] and "".join(lines).count("▲") == 1
    assert "⠉" in lines[0] or any(c in lines[0] for c in map(chr, range(0x2801, 0x2900)))


@given(st.lists(SIZES, min_size=2, max_size=50), st.integers(8, 40))
def test_the_axis_has_two_round_figures(ys: list[float], height: int) -> None:
    low, high = min(ys), max(ys)
    if high - low < 1e-3:
        return
    lines = chart_cells(Chart(readings=Series(range(len(ys)), ys)), 78, height).plain.split("\n")
    figures = [float(line.partition("┤")[0]) for line in lines if "┤" in line]
    assert len(figures) >= 2 and figures == sorted(figures, reverse=True)
    room = 0.07 * (high - low)
    assert all(low - room <= f <= high + room for f in figures)


def test_a_chart_read_in_inches_has_round_figures_of_inches() -> None:
    lines = rows(Chart(readings=Series(range(3), [25.4, 50.8, 76.2]), unit="in", per=25.4))
    assert [line.partition("┤")[0].strip() for line in lines if "┤" in line] == ["3", "2", "1"]


def test_two_levels_in_one_row_share_it_and_a_label_alone_draws_no_line() -> None:
    levels = (Level(2.0, "limit 2.0", NAME), Level(2.001, "band 2.0", CONTROL))
    readings = Series([1, 2, 3], [1.0, 9.0, 5.0])
    text = chart_cells(Chart(readings=readings, levels=levels), 70, 10).plain
    assert "band 2.0, limit 2.0" in text and "┄" in text
    assert "┄" not in chart_cells(Chart(readings=readings, levels=levels[:1]), 70, 10).plain


def test_a_level_that_the_picture_does_not_come_to_is_left_out() -> None:
    readings = Series([1, 2, 3], [1.0, 9.0, 5.0])
    assert (
        "far"
        not in chart_cells(Chart(readings=readings, levels=(Level(99.0, "far", LIMIT, reach=False),)), 70, 10).plain
    )
    assert "far" in chart_cells(Chart(readings=readings, levels=(Level(99.0, "far", LIMIT),)), 70, 10).plain


def test_a_curved_limit_goes_in_steps_and_a_fitted_line_straight() -> None:
    readings = Series([0.0, 10.0], [0.0, 10.0])
    stepped = rows(Chart(readings=readings, beside=(Series([0.0, 10.0], [2.0, 8.0], CENTRE),)), 60, 14)
    assert sum("─" in line.partition("│")[2] or "─" in line.partition("┤")[2] for line in stepped[:-2]) == 2
    straight = rows(Chart(readings=readings, beside=(Series([0.0, 10.0], [10.0, 0.0], FIT),)), 60, 14)
    assert sum("∙" in line for line in straight) >= 11


def test_lines_of_the_chart_hide_no_reading() -> None:
    n = 40
    readings = Series(range(n), [5.0 if i % 2 else 5.4 for i in range(n)])
    bare = sum(c > chr(0x2800) for c in chart_cells(Chart(readings=readings), 60, 12).plain)
    line, level = Series([0.0, n - 1.0], [5.0, 5.0], FIT), Level(5.0, "limit", BAND)
    fan = Fan(xs=(0.0, n - 1.0), middle=(5.2, 5.2), low=(5.0, 5.0), high=(5.4, 5.4), now=0.0)
    full = chart_cells(Chart(readings=readings, beside=(line,), levels=(level,), fan=fan), 60 + len(" limit"), 12).plain
    assert sum(c > chr(0x2800) for c in full) == bare


def test_the_fan_opens_from_now_on_and_its_line_runs_before() -> None:
    fan = Fan(xs=(0.0, 50.0, 100.0), middle=(1.0, 2.0, 3.0), low=(1.0, 2.0, 1.0), high=(1.0, 2.0, 5.0), now=50.0)
    lines = rows(Chart(readings=Series([0.0, 50.0], [1.0, 2.0]), fan=fan), 110, 20)
    middle = 55
    assert any("-" in line[:middle] for line in lines) and any("-" in line[middle:] for line in lines[:-2])
    assert not any("·" in line[: middle - 2] for line in lines[:-2])
    assert any("·" in line[middle:] for line in lines[:-2])


def test_both_ends_of_the_axis_are_named_and_the_cursor_stands_on_it() -> None:
    chart = Chart(readings=Series([5.0, 15.0], [1.0, 2.0]), across="cores made", named=lambda x: f"<{x:.0f}>")
    lines = chart_cells(chart, 60, 8, cursor=15.0).plain.split("\n")
    assert lines[-1].split()[0] == "<5>" and lines[-1].split()[-1] == "<15>" and "cores made → · mm ↑" in lines[-1]
    assert lines[-2][-1] == "▲"


def test_the_key_says_what_the_marks_are_and_what_is_beyond() -> None:
    chart = Chart(
        readings=Series([0, 1, 2], [1.0, 95.0, 0.1]),
        beside=(Series([0], [1.0], CASTING, "castings", 2),),
        breaks=(Break(1.0, "repair", 1), Break(2.0, "jump", 2), Break(2.0, "repair", 3)),
        fan=Fan(xs=(0.0, 1.0), middle=(1.0, 1.0), low=(1.0, 1.0), high=(1.0, 1.0), now=0.0, label="wear"),
        signals=((0, 1.0),),
        signal="not fitted",
        above=1,
        below=3,
    )
    assert chart_key(chart, 200).plain == (
        "▲ 1 above the picture, up to 95.00  ▼ 3 below it, down to 0.10  o castings (2 far off)  "
        "- wear · 95 %  ┊ repair or jump  ◆ not fitted"
    )
    assert len(chart_key(chart, 30).plain) == 30


def test_a_histogram_writes_its_counts_and_limits() -> None:
    text = histogram_cells([1, 4, 2], [0.0, 0.1, 0.2, 0.3], lower=0.05, upper=0.25, width=60).plain
    assert "┼ lower" in text and "┼ upper" in text and " 4 " in text
