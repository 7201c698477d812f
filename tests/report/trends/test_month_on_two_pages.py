"""The month's sheet of any fleet: two pages, most urgent first, the rest counted; all of it by request; one wall page."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest
from pypdf import PdfReader

from inspect_tui.frozen import replace
from inspect_tui.metrology.judge.cut import Cut
from inspect_tui.report.paper import pdf
from inspect_tui.report.trends import forms, view
from inspect_tui.shop.trends import month_sheet
from inspect_tui.shop.trends.fleet import FleetLine
from inspect_tui.shop.trends.month_sheet import MonthSheet, Repaired
from inspect_tui.shop.trends.work_orders import WorkOrder
from tests.worlds.trend_rows import kept_trend
from tests.worlds.worn_box import WornBox

LONG = "gas passage width at the outlet of the second branch, across the parting, beside the locator block"
MANY = (10, 60, 300)


@pytest.fixture(scope="module")
def one(tmp_path_factory: pytest.TempPathFactory) -> Iterator[MonthSheet]:
    """The sheet of one worn box, with its chart."""
    made = WornBox(tmp_path_factory.mktemp("worn") / "worn.db")
    made.wear(30)
    yield month_sheet.sheet(made.record, "2024-07", today="2024-08-01")
    made.record.close()


def of_tools(one: MonthSheet, tools: int) -> MonthSheet:
    """A sheet of so many tools with long names: a third of them past their limit and ordered, as many repaired."""
    (trend,) = one.charts
    lines = []
    for n in range(1, tools + 1):
        kind = "past" if n <= tools // 3 else "left"
        kept = kept_trend(1)._replace(label=f"box {n}", name=LONG, kind=kind, risk=1.0 - n / (tools + 1), remarks=LONG)
        lines.append(
            FleetLine(kept=kept, weeks=4.0, weeks_low=2.0, weeks_high=9.0, due="2024-09-01", worst="2024-08-20")
        )
    cut = Cut(
        change_mm=0.2,
        word="add",
        words="add 0.20 (box)",
        casting_words="metal on 0.20",
        to_limit_mm=0.1,
        casting_mm=0.2,
        metal="on",
    )
    orders = [
        WorkOrder(line=line, trend=trend, change=cut, faces="both faces alike", wait="past its limit", limit="81.40")
        for line in lines[: tools // 3]
    ]
    repaired = [Repaired("W-1", line.kept.label, "2024-07-22", f"lined: {LONG}", "W 81.20 to 80.80") for line in lines]
    fleet = replace(one.fleet, lines=tuple(lines))
    return replace(
        one,
        fleet=fleet,
        orders=tuple(orders),
        repaired=tuple(repaired),
        charts=(trend,) * 6,
        report=SimpleNamespace(sentences=[f"F{n} {LONG}: stepped" for n in range(12)], sentence="12 of 60 changed"),
        jobs=tuple((f"JOB-{n}", LONG) for n in range(tools // 10)),
    )


@pytest.mark.parametrize("tools", MANY)
def test_two_pages_whatever_the_fleet(one: MonthSheet, tools: int) -> None:
    sheet = of_tools(one, tools)
    made = PdfReader(io.BytesIO(forms.make_sheet(sheet, "pdf"))).pages
    assert 1 <= len(made) <= 2
    text = " ".join(" ".join(page.extract_text() for page in made).split())
    assert "box 1 " in text and "box 2 " in text and "more, not on this sheet" in text
    if tools > 10:
        assert "more, less urgent" in text and "more, in this month" in text and f"box {tools} " not in text


def test_the_most_urgent_stand_first_and_the_rest_is_counted(one: MonthSheet) -> None:
    sheet = of_tools(one, 60)
    room = view.ROOMS[0]
    shown = view.sheet(sheet, room=room)
    assert [line["tool"] for line in shown["lines"]] == [f"box {n}" for n in range(1, room.lines + 1)]
    assert len(shown["orders"]) == room.orders and shown["more_orders"] == f"and {20 - room.orders} more, less urgent"
    assert shown["more_lines"] == f"and {60 - room.lines} more, less urgent"
    assert shown["more_repairs"] == f"and {60 - room.repaired} more, in this month"
    assert len(shown["charts"]) == room.charts and all(not line["remarks"] for line in shown["lines"])
    exact = view.sheet(of_tools(one, room.lines), room=room)
    assert exact["more_lines"] == ""


def test_all_of_it_by_request(one: MonthSheet) -> None:
    sheet = of_tools(one, 60)
    made = PdfReader(io.BytesIO(forms.make_sheet(sheet, "pdf", details=True))).pages
    text = " ".join(" ".join(page.extract_text() for page in made).split())
    assert len(made) > 2 and "box 60 " in text and "less urgent" not in text
    html = forms.make_sheet(sheet, "html", details=True).decode()
    assert "box 60<" in html and "box 60<" not in forms.make_sheet(sheet, "html").decode()


@pytest.mark.parametrize("tools", MANY)
def test_one_page_for_the_wall(one: MonthSheet, tools: int) -> None:
    sheet = of_tools(one, tools)
    (page,) = PdfReader(io.BytesIO(forms.make_wall(sheet, "pdf"))).pages
    text = " ".join(page.extract_text().split())
    assert "box 1 " in text and "add 0.20 mm" in text and "Measure next" in text
    assert ("more, less urgent" in text) is (tools > 10)
    shown = view.wall(sheet)
    assert shown["lines"][0]["task"].startswith("box 1: add 0.20 mm") and shown["lines"][0]["urgent"]
    assert shown["lines"][-1]["task"] == "" or tools > 40
    assert "box 1<" in forms.make_wall(sheet, "html").decode()


def test_a_wall_page_without_a_forecast_says_so(one: MonthSheet) -> None:
    bare = replace(one, fleet=replace(one.fleet, lines=()), orders=())
    assert "No tool has a forecast yet." in forms.make_wall(bare, "html").decode()
    assert forms.make_wall(bare, "pdf").startswith(b"%PDF")


def test_pages_are_counted_as_another_reader_counts_them(one: MonthSheet, tmp_path: Path) -> None:
    made = forms.make_sheet(of_tools(one, 60), "pdf", details=True)
    assert pdf.pages(made) == len(PdfReader(io.BytesIO(made)).pages)
    target = tmp_path / "wall.html"
    assert forms.write_wall(one, target) == target and forms.write_sheet(one, tmp_path / "s.pdf").stat().st_size > 999
