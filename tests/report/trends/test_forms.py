"""Papers of trends as files: they hold whatever people typed, and the same record gives the same papers."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from xml.etree import ElementTree

import pytest

from inspect_tui.report.draw.svg import chart_svg
from inspect_tui.report.draw.trend import trend_chart
from inspect_tui.report.paper.file import PaperError
from inspect_tui.report.trends import forms
from inspect_tui.report.trends.forms import write_chart
from inspect_tui.shop.trends import month_sheet
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


@pytest.mark.parametrize("texts", [TEXTS, STEERING], ids=["broken", "steering"])
def test_papers_hold_whatever_people_typed_as_plain_text(worn: WornBox, texts: tuple[str, ...]) -> None:
    repair = worn.record.tool_repairs(worn.box.of_id)[0]
    worn.record.revise(repair, worn.ab.id, what=" ".join(texts), who=" ".join(texts)[:80])
    sheet = month_sheet.sheet(worn.record, "2024-07")
    made = forms.make_sheet(sheet, "html").decode()
    assert "<script" not in made and "<img" not in made
    assert "\x1b" not in made and "‮" not in made
    ElementTree.fromstring(chart_svg(trend_chart(worn.trend())))


def test_hostile_words_in_a_pdf_are_only_words(worn: WornBox) -> None:
    repair = worn.record.tool_repairs(worn.box.of_id)[0]
    worn.record.revise(repair, worn.ab.id, what="#strong[x] $a^2$ // \\ #sys.inputs <script>", who="*b* _c_")
    assert forms.make_sheet(month_sheet.sheet(worn.record, "2024-07"), "pdf").startswith(b"%PDF")


def test_the_same_record_gives_the_same_papers(worn: WornBox) -> None:
    sheet = month_sheet.sheet(worn.record, "2024-07")
    for form in ("html", "pdf"):
        assert forms.make_sheet(sheet, form) == forms.make_sheet(month_sheet.sheet(worn.record, "2024-07"), form)


def test_a_form_that_is_none_is_refused_before_anything_is_written(worn: WornBox, tmp_path: Path) -> None:
    with pytest.raises(PaperError, match=r"none of \.svg, \.png, \.html"):
        write_chart(worn.trend(), tmp_path / "chart.bmp")
    with pytest.raises(PaperError, match="There is no folder"):
        write_chart(worn.trend(), tmp_path / "no" / "chart.svg")
    assert not list(tmp_path.glob("chart*"))
