"""What the chart of one size over cores or dates shows: nothing far off is hidden, limits that are near are there."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import PAPER, Style
from inspect_tui.report.draw.cells import chart_cells
from inspect_tui.report.draw.chart import CASTING, CORE, LIMIT, TARGET, frame, reduced
from inspect_tui.report.draw.svg import chart_svg
from inspect_tui.report.draw.trend import CORES, DATE, SLOTS, comparison, place_of, thinned, trend_chart
from tests.worlds.worn_box import START, WornBox

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    made.wear(30)
    made.repair(made.go(START + timedelta(weeks=29), hour=15), at=5800)
    made.wear(20, first_week=30, base=5800, seed=2)
    yield made
    made.record.close()


def test_the_limit_that_a_size_wears_to_is_in_the_picture_and_the_other_only_where_it_lies_near(worn: WornBox) -> None:
    chart = trend_chart(worn.trend())
    assert [(level.label, level.kind, level.reach) for level in chart.levels][1:] == [
        ("limit 81.41", LIMIT, True),
        ("target 80.80", TARGET, True),
    ]
    lower = chart.levels[0]
    assert lower.kind == LIMIT and not lower.reach and not frame(chart).shows(lower.y)
    assert frame(chart).shows(81.41)


def test_a_paper_writes_its_own_minus_and_a_style_its_own_unit(worn: WornBox) -> None:
    assert trend_chart(worn.trend(), style=PAPER).levels[-1].label == "target 80.80"
    inches = trend_chart(worn.trend(), style=Style(unit="in"))
    assert inches.levels[-1].label == "target 3.1811" and (inches.unit, inches.per) == ("in", 25.4)


def test_places_are_counts_or_days_and_mm_stay_mm(worn: WornBox) -> None:
    worn_trend = worn.trend()
    both = comparison(worn_trend, worn_trend)
    assert both is not None
    for chart in (trend_chart(worn_trend), both):
        assert chart.named(9800.0) == "9 800" and chart.steps is None and chart.per == 1.0
    dated = comparison(worn_trend, worn_trend, DATE)
    assert dated is not None
    for chart in (trend_chart(worn_trend, DATE), dated):
        assert chart.named(739000.0) == "2024-04-24" and chart.steps is not None and chart.across == "date"


def test_without_a_forecast_limits_are_in_the_picture_where_they_lie_near(worn: WornBox) -> None:
    worn.go(START + timedelta(weeks=60))
    for n in range(4):
        worn.read(60.6 + n / 100, "H")
    worn_trend = worn.trend("H")
    assert worn_trend.left is None
    span = 3.0 * 0.03
    for level in trend_chart(worn_trend, DATE).levels:
        assert level.kind == TARGET or level.reach == (60.6 - span <= level.y <= 60.63 + span)


def test_readings_far_off_are_counted_and_do_not_stretch_the_picture(worn: WornBox) -> None:
    worn.read(8.1)
    worn.read(95.0)
    worn.read(81.3)  # far from the others too, but the picture reaches to the limit: it is drawn where it lies
    chart = trend_chart(worn.trend())
    assert (chart.above, chart.below) == (1, 1)
    assert not frame(chart).shows(95.0) and frame(chart).shows(81.3)


def test_castings_stand_beside_it_as_the_size_of_the_tool_and_those_far_off_are_counted(worn: WornBox) -> None:
    worn.lot("L1", (START + timedelta(weeks=51)).isoformat())
    worn.item(80.05, "W", "casting", "L1")
    worn.item(70.0, "W", "casting", "L1")
    (series,) = [s for s in trend_chart(worn.trend()).beside if s.kind == CASTING]
    assert series.far == 1 and len(series.ys) == 1 and series.ys[0] == pytest.approx(80.85, abs=0.1)
    assert not [s for s in trend_chart(worn.trend(), castings=False).beside if s.kind == CASTING]


def test_sample_cores_have_a_kind_of_their_own(worn: WornBox) -> None:
    worn.lot("L1", (START + timedelta(weeks=51)).isoformat())
    worn.item(80.83, "W", "core", "L1")
    kinds = {s.kind for s in trend_chart(worn.trend()).beside}
    assert CORE in kinds or worn.trend().main.of == CORE


def test_the_forecast_begins_now_and_repairs_keep_their_numbers(worn: WornBox) -> None:
    worn_trend = worn.trend()
    chart = trend_chart(worn_trend)
    assert chart.fan is not None and worn_trend.now is not None
    assert chart.fan.now == pytest.approx(worn_trend.segments.starts[-1] + worn_trend.now)
    assert [(b.kind, b.number, b.x) for b in chart.breaks] == [("repair", 1, 5800.0)]
    dated = trend_chart(worn_trend, DATE)
    assert dated.fan is not None and dated.fan.xs[0] < dated.fan.now < dated.fan.xs[-1]
    assert dated.named(dated.breaks[0].x) == "2024-07-22"


def test_points_that_were_not_fitted_are_signals(worn: WornBox) -> None:
    worn.read(95.0)
    worn_trend = worn.trend()
    assert worn_trend.fit is not None and len(worn_trend.fit.flagged)
    chart = trend_chart(worn_trend)
    assert chart.signal == "not fitted"
    last = len(worn_trend.main) - 1
    assert (place_of(worn_trend, last, CORES), 95.0) in chart.signals


def test_a_size_without_counts_has_no_chart_over_cores_but_one_over_dates(worn: WornBox) -> None:
    worn.go(START + timedelta(weeks=60))
    for n in range(4):
        worn.read(60.6 + n / 100, "H")
    worn_trend = worn.trend("H")
    over_cores = trend_chart(worn_trend)
    assert over_cores.uncounted and over_cores.said == "no reading has a count" and not over_cores.readings.xs
    assert len(trend_chart(worn_trend, DATE).readings.xs) == 4
    assert place_of(worn_trend, 0, CORES) is None and place_of(worn_trend, 9, DATE) is None
    empty = trend_chart(worn.trend("S", worn.box2))
    assert empty.said == "not measured yet" and not empty.uncounted


def test_two_sizes_are_compared_as_differences_from_their_targets(worn: WornBox) -> None:
    worn_trend = worn.trend()
    chart = comparison(worn_trend, worn_trend)
    assert chart is not None
    assert chart.readings.ys[0] == pytest.approx(float(worn_trend.main.value[0]) - worn_trend.sizes.target)
    assert len(chart.breaks) == len(worn_trend.marks)  # those of one tool once
    assert comparison(worn_trend, worn.trend("S", worn.box2)) is None


@given(st.integers(1601, 6000), st.integers(0, 10**6), st.booleans())
@example(3503, 1677, False)  # a reading on the edge of two stretches
@settings(max_examples=25, deadline=None)
def test_arrays_are_thinned_as_any_series_is_reduced(n: int, seed: int, ties: bool) -> None:
    rng = np.random.default_rng(seed)
    x, y = np.sort(rng.uniform(0, 9000, n)), rng.normal(80.8, 0.05, n)
    y = np.round(y, 1) if ties else y
    assert thinned(x, y) == reduced(x.tolist(), y.tolist(), SLOTS)


# ------------------------------------------------------------------------------ painted
def test_the_drawing_is_well_formed_and_says_itself_in_words(worn: WornBox) -> None:
    for axis in (CORES, DATE):
        root = ElementTree.fromstring(chart_svg(trend_chart(worn.trend(), axis, style=PAPER)))
        title = root.find(f"{SVG}title")
        assert title is not None and "W width on box 1:" in (title.text or "") and "cores left" in (title.text or "")
        said = "".join(text.text or "" for text in root.iter(f"{SVG}text"))
        assert "upper limit 81.41" in said and "repair 1" in said and "target 80.80" in said


def test_a_long_series_gives_a_small_drawing_with_its_extremes(worn: WornBox) -> None:
    worn_trend = worn.trend()
    n = 50_000
    rng = np.random.default_rng(1)
    value = 80.9 + rng.normal(0, 0.03, n)
    value[12_345] = 81.2
    main = replace(
        worn_trend.main,
        ids=[worn_trend.main.ids[0]] * n,
        value=value,
        day=np.linspace(739000, 739300, n),
        count=np.linspace(0, 9800, n),
    )
    chart = trend_chart(replace(worn_trend, main=main, fit=None, alarms=()))
    assert len(chart_svg(chart)) < 60_000
    assert 81.2 in chart.readings.ys and len(chart.readings.xs) <= 800


def test_a_tool_without_a_wear_line_and_castings_alone_are_drawn_too(worn: WornBox) -> None:
    for n in range(30):
        worn.item(400.0 + 0.01 * (n % 5), "L", "casting")
    for one in (worn.trend("L", None), worn.trend("H"), worn.trend("S", worn.box2)):
        for axis in (CORES, DATE):
            ElementTree.fromstring(chart_svg(trend_chart(one, axis)))
            assert chart_cells(trend_chart(one, axis), 80, 20).plain


def test_two_sizes_are_compared_in_inches(worn: WornBox) -> None:
    worn_trend = worn.trend()
    mm, inches = comparison(worn_trend, worn_trend), comparison(worn_trend, worn_trend, style=Style("in"))
    assert mm is not None and (mm.unit, mm.per) == ("mm", 1.0)
    assert inches is not None and (inches.unit, inches.per) == ("in", 25.4)
