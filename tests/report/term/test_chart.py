"""Pictures made of text: the band and the chart keep to their width and hide nothing that stands out."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.report.term.band import band_text
from inspect_tui.report.term.chart import Level, chart_text, histogram_text, nice_step, reduced, ticks

SIZES = st.floats(-1e4, 1e4)


@given(SIZES, st.floats(0.01, 100), st.floats(-3, 3), st.integers(20, 160), st.floats(0, 5))
def test_the_band_keeps_its_width_and_shows_the_reading(
    lower: float, width_mm: float, where: float, width: int, u95: float
) -> None:
    upper = lower + width_mm
    value = lower + where * width_mm
    text = band_text(lower=lower, upper=upper, target=(lower + upper) / 2, value=value, u95=u95, width=width).plain
    figures, line = text.split("\n")
    assert len(line) == width and len(figures) <= width
    assert sum(line.count(mark) for mark in "◆◀▶") == 1


def test_the_band_of_the_worked_line() -> None:
    text = band_text(lower=59.44, upper=59.74, target=59.59, value=59.66, u95=0.02, earlier=[59.5], width=50).plain
    figures, line = text.split("\n")
    assert all(figure in figures for figure in ("59.44", "59.59", "59.74"))
    assert line.index("┼") < line.index("·") < line.index("┬") < line.index("◆") < line.rindex("┼")


def test_a_hidden_target_is_not_drawn() -> None:
    text = band_text(lower=1.0, upper=2.0, target=None, width=40).plain
    assert "┬" not in text and "1.50" not in text


def test_one_sided_limits_are_drawn() -> None:
    assert band_text(lower=6.0, upper=None, target=7.0, value=6.5, width=40).plain.count("┼") == 1


@given(st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=2000), st.integers(2, 80))
def test_reducing_keeps_every_extreme(ys: list[float], columns: int) -> None:
    points = reduced(list(range(len(ys))), ys, columns, 0, max(len(ys) - 1, 1))
    kept = [y for _, y in points]
    assert max(kept) == max(ys) and min(kept) == min(ys)
    assert len(points) <= max(2 * columns, 2)


@given(st.lists(SIZES, min_size=1, max_size=300), st.integers(40, 160), st.integers(6, 40))
def test_a_chart_keeps_its_size(ys: list[float], width: int, height: int) -> None:
    lines = chart_text(range(len(ys)), ys, width=width, height=height, levels=[Level(ys[0], "target")]).plain.split(
        "\n"
    )
    assert len(lines) <= height + 1
    assert all(len(line) <= width for line in lines)


def test_points_that_signal_are_marked_and_units_are_said() -> None:
    text = chart_text(range(10), [1.0] * 9 + [5.0], signals=[9], unit="mm", x_name="lot", width=60, height=10).plain
    assert "◆" in text and "mm" in text and "lot" in text


def test_an_empty_chart_says_so() -> None:
    assert "nothing to draw" in chart_text([], []).plain
    assert "nothing to draw" in histogram_text([], [], lower=None, upper=None).plain


def test_a_histogram_writes_its_counts_and_limits() -> None:
    text = histogram_text([1, 4, 2], [0.0, 0.1, 0.2, 0.3], lower=0.05, upper=0.25, width=60).plain
    assert "┼ lower" in text and "┼ upper" in text and " 4 " in text


def test_steps_are_1_2_or_5_times_a_power_of_ten() -> None:
    assert [nice_step(span, 5) for span in (1.0, 0.7, 4.0, 30.0)] == [0.2, 0.2, 1.0, 10.0]
    assert ticks(0.0, 1.0, 5) == [0.0, 0.2, 0.4, 0.6000000000000001, 0.8, 1.0]


@given(st.lists(SIZES, min_size=2, max_size=50), st.integers(8, 40))
def test_the_axis_has_two_round_figures(ys: list[float], height: int) -> None:
    low, high = min(ys), max(ys)
    if high - low < 1e-3:
        return
    lines = chart_text(range(len(ys)), ys, width=78, height=height).plain.split("\n")
    figures = [float(line.partition("┤")[0]) for line in lines if "┤" in line]
    assert len(figures) >= 2 and figures == sorted(figures, reverse=True)
    room = 0.07 * (high - low)
    assert all(low - room <= f <= high + room for f in figures)


def test_two_levels_in_one_row_share_it_and_a_label_alone_draws_no_line() -> None:
    levels = [Level(2.0, "limit 2.0", ""), Level(2.001, "band 2.0")]
    text = chart_text([1, 2, 3], [1.0, 9.0, 5.0], levels=levels, width=70, height=10).plain
    assert "band 2.0, limit 2.0" in text
    assert "┄" not in chart_text([1, 2, 3], [1.0, 9.0, 5.0], levels=levels[:1], width=70, height=10).plain
