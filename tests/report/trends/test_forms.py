"""Charts and sheets of trends: nothing far off is hidden, papers hold whatever people typed, drawings are well formed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from inspect_tui.report.draw.chart_svg import chart_svg
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.term import fleet as term_fleet
from inspect_tui.report.term import trend as term_trend
from inspect_tui.report.trends import forms, view
from inspect_tui.report.trends.forms import write_chart
from inspect_tui.shop.trends import fleet, work_orders
from inspect_tui.shop.trends import forecast as trend_forecast
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.shop.trends import month_sheet as trend_sheet
from tests.worlds.hostile import STEERING, TEXTS
from tests.worlds.worn_box import START, WornBox


@pytest.fixture
def worn(tmp_path: Path) -> Iterator[WornBox]:
    made = WornBox(tmp_path / "worn.db")
    made.wear(30)
    made.repair(made.go(START + timedelta(weeks=29), hour=15), at=5800)
    made.wear(20, first_week=30, base=5800, seed=2)
    yield made
    made.record.close()


# ------------------------------------------------------------------------------ the terminal
@given(
    hnp.arrays(np.float64, st.integers(1, 5000), elements=st.floats(-1e3, 1e3)),
    st.integers(2, 60),
    st.integers(0, 10**6),
)
@settings(max_examples=60, deadline=None)
def test_reducing_a_series_keeps_every_stretchs_extremes(values: np.ndarray, slots: int, seed: int) -> None:
    x = np.sort(np.random.default_rng(seed).uniform(0, 100, len(values)))
    xs, ys = term_trend.reduced(x, values, slots)
    assert len(xs) == len(ys) <= max(2 * slots, 4 * slots)
    assert max(ys) == values.max() and min(ys) == values.min()
    kept = set(zip(xs, ys, strict=True))
    assert kept <= set(zip(x.tolist(), values.tolist(), strict=True))
    if len(values) > 4 * slots:
        slot = ((x - x.min()) * ((slots - 1) / ((x.max() - x.min()) or 1.0))).astype(int)
        for k in np.unique(slot):
            own = {y for a, y in kept if x[slot == k].min() <= a <= x[slot == k].max()}
            assert values[slot == k].max() in own and values[slot == k].min() in own


@pytest.mark.parametrize(("width", "height"), [(60, 9), (80, 18), (160, 40)])
@pytest.mark.parametrize("axis", [term_trend.CORES, term_trend.DATE])
def test_the_chart_fits_its_room_and_names_both_ends_of_its_axis(
    worn: WornBox, width: int, height: int, axis: str
) -> None:
    lines = term_trend.chart(worn.trend(), width, height, axis=axis, cursor=3).plain.split("\n")
    assert len(lines) <= height and all(len(line) <= width for line in lines)
    ends = ("0", "cores made") if axis == term_trend.CORES else ("2024-01-01", "date")
    assert all(end in lines[-2] for end in ends)
    assert "▲" in lines[-3] and "┊" in "".join(lines)


def test_readings_far_off_are_at_the_edge_and_counted(worn: WornBox) -> None:
    worn.read(8.1)
    worn.read(95.0)
    last = term_trend.chart(worn.trend(), 100, 18).plain.split("\n")[-1]
    assert "▲ 1 above the picture, up to 95.00" in last and "▼ 1 below it, down to 8.10" in last


def test_a_size_without_counts_says_how_to_see_it(worn: WornBox) -> None:
    worn.go(START + timedelta(weeks=60))
    for n in range(4):
        worn.read(60.6 + n / 100, "H")
    assert "press x for the chart over dates" in term_trend.chart(worn.trend("H"), 80, 18).plain
    dots = set(map(chr, range(0x2801, 0x2900)))
    assert dots & set(term_trend.chart(worn.trend("H"), 80, 18, axis=term_trend.DATE).plain)
    assert "not measured yet" in term_trend.chart(worn.trend("S", worn.box2), 80, 18).plain


def test_the_reading_under_the_cursor_has_the_casting_of_its_lot_beside_it(worn: WornBox) -> None:
    worn.lot("L1", (START + timedelta(weeks=51)).isoformat())
    worn.item(80.83, "W", "core", "L1")
    worn.item(80.05, "W", "casting", "L1")
    one = worn.trend()
    assert "nearest casting 80.05 (lot L1)" in term_trend.point_words(one, len(one.main) - 1, "AB caliper 1")


def test_a_list_row_says_its_sign_and_its_words_without_colour(worn: WornBox) -> None:
    line = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines[0]
    for width in (80, 160):
        row = term_fleet.list_row(line, width)
        assert len(row.plain) <= width
        assert row.plain.startswith("· box 1") and "left" in row.plain and "%" in row.plain


# ------------------------------------------------------------------------------ drawings and papers
def test_the_drawing_is_well_formed_and_says_itself_in_words(worn: WornBox) -> None:
    for axis in (term_trend.CORES, term_trend.DATE):
        root = ElementTree.fromstring(chart_svg(worn.trend(), axis=axis))
        title = root.find("{http://www.w3.org/2000/svg}title")
        assert title is not None and "W width on box 1:" in (title.text or "") and "cores left" in (title.text or "")
        said = "".join(text.text or "" for text in root.iter("{http://www.w3.org/2000/svg}text"))
        assert "upper limit 81.41" in said and "repair 1" in said and "target 80.80" in said


def test_a_long_series_gives_a_small_drawing_with_its_extremes(worn: WornBox) -> None:
    from inspect_tui.frozen import replace

    one = worn.trend()
    n = 50_000
    rng = np.random.default_rng(1)
    value = 80.9 + rng.normal(0, 0.03, n)
    value[12_345] = 81.2
    main = replace(
        one.main,
        ids=[one.main.ids[0]] * n,
        value=value,
        day=np.linspace(739000, 739300, n),
        count=np.linspace(0, 9800, n),
    )
    drawn = chart_svg(replace(one, main=main))
    assert len(drawn) < 60_000
    xs, ys = term_trend.reduced(main.count, value, 400)
    assert 81.2 in ys and len(xs) <= 800


def test_a_tool_without_a_wear_line_and_castings_alone_are_drawn_too(worn: WornBox) -> None:
    for n in range(30):
        worn.item(400.0 + 0.01 * (n % 5), "L", "casting")
    for one in (worn.trend("L", None), worn.trend("H"), worn.trend("S", worn.box2)):
        ElementTree.fromstring(chart_svg(one))
        ElementTree.fromstring(chart_svg(one, axis=term_trend.DATE))


@pytest.mark.parametrize("text", [*TEXTS, *STEERING])
def test_papers_hold_whatever_people_typed_as_plain_text(worn: WornBox, text: str) -> None:
    repair = worn.record.tool_repairs(worn.box.of_id)[0]
    try:
        worn.record.revise(repair, worn.ab.id, what=text, who=text[:80])
    except Exception as refused:  # the record takes characters out that steer; what it refuses is not in a paper
        assert "empty" in str(refused)
        return
    sheet = trend_sheet.sheet(worn.record, "2024-07")
    made = forms.make_sheet(sheet, "html").decode()
    assert "<script" not in made and "<img" not in made
    assert "\x1b" not in made and "‮" not in made
    ElementTree.fromstring(chart_svg(worn.trend()))


def test_hostile_words_in_a_pdf_are_only_words(worn: WornBox) -> None:
    repair = worn.record.tool_repairs(worn.box.of_id)[0]
    worn.record.revise(repair, worn.ab.id, what="#strong[x] $a^2$ // \\ #sys.inputs <script>", who="*b* _c_")
    assert forms.make_sheet(trend_sheet.sheet(worn.record, "2024-07"), "pdf").startswith(b"%PDF")


def test_the_same_record_gives_the_same_papers(worn: WornBox) -> None:
    sheet = trend_sheet.sheet(worn.record, "2024-07")
    for form in ("html", "pdf"):
        assert forms.make_sheet(sheet, form) == forms.make_sheet(trend_sheet.sheet(worn.record, "2024-07"), form)


def test_the_sheet_says_repair_order_wear_and_what_changed(worn: WornBox) -> None:
    shown = view.sheet(trend_sheet.sheet(worn.record, "2024-07"))
    assert shown["repaired"][0]["words"] == "lined: lined" and shown["repaired"][0]["effect"].startswith("W 8")
    assert shown["lines"][0]["tool"] == "box 1" and shown["lines"][0]["risk"]
    assert shown["no_orders"] and shown["changed_sentence"].startswith("nothing to say")
    assert len(shown["charts"]) == 1 and shown["heads"]


def test_an_order_is_printed_with_both_kinds_of_words(worn: WornBox) -> None:
    lines = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines
    orders = work_orders.orders(worn.record, lines, within_weeks=1000)
    said = term_fleet.orders_text(orders, 78).plain
    assert "☐ box 1: add" in said and "the tool: add" in said and "the casting: metal on" in said
    assert all(len(line) <= 78 for line in said.splitlines())


def test_a_form_that_is_none_is_refused_before_anything_is_written(worn: WornBox, tmp_path: Path) -> None:
    with pytest.raises(PaperError, match=r"none of \.svg, \.png, \.html"):
        write_chart(worn.trend(), tmp_path / "chart.bmp")
    with pytest.raises(PaperError, match="There is no folder"):
        write_chart(worn.trend(), tmp_path / "no" / "chart.svg")
    assert not list(tmp_path.glob("chart*"))


def test_headlines_are_the_words_of_every_form(worn: WornBox) -> None:
    one = worn.trend()
    made = view.chart(one)
    assert made["lines"] == trend_forecast.headline(one)
    assert made["marks"] == ["repair 1, 2024-07-22: lined: lined"]
