"""What the Trends place asks of the record beside the screen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from inspect_tui.errors import NotFound
from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import MM
from inspect_tui.shop.trends import kept as trend_kept
from inspect_tui.tui.trends import work
from inspect_tui.tui.trends.screen import TrendsScreen
from tests.tui.trends.test_screen import (
    fill,
    press,
    run,
    template,  # noqa: F401  a fixture
    text_of,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox


def test_a_chart_and_the_months_sheet_are_written_where_they_are_told_to(worn: WornBox, tmp_path: Path) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "p")
        await fill(pilot, {"path": str(tmp_path / "sheet.docx")})
        await press(pilot, "ctrl+s")
        assert ".html, .pdf" in str(pilot.app.screen.query_one("#wrong", Static).render())
        await fill(pilot, {"path": str(tmp_path / "sheet.html")})
        await press(pilot, "ctrl+s")
        assert "written:" in text_of(screen, "#say")
        await press(pilot, "enter", "p")
        await fill(pilot, {"path": str(tmp_path / "chart.svg")})
        await press(pilot, "ctrl+s")
        assert "written:" in text_of(screen, "#say")
        await press(pilot, "p")
        await fill(pilot, {"path": str(tmp_path / "chart.svg")})
        await press(pilot, "ctrl+s")
        assert "there already and was left as it is" in " ".join(text_of(screen, "#say").split())

    run(worn, script)
    assert (tmp_path / "sheet.html").read_text("utf-8").startswith("<!doctype html>")
    assert "<svg" in (tmp_path / "chart.svg").read_text("utf-8")


class Heard:
    """Who waits for findings; gone after `patience` of them."""

    def __init__(self, patience: int = 99) -> None:
        self.findings: list[dict[str, Any]] = []
        self.patience = patience

    def __call__(self, **found: Any) -> bool:
        self.findings.append(found)
        return len(self.findings) <= self.patience


def wish(worn: WornBox) -> work.TrendWish:
    rows, _ = trend_kept.compute(worn.record)
    return work.TrendWish.of(next(row for row in rows if row.balloon == "W" and row.source != "casting"))


def test_the_size_of_a_row_is_that_of_its_tool_or_of_the_castings(worn: WornBox) -> None:
    rows, _ = trend_kept.compute(worn.record)
    by_source = {row.source == "casting": work.TrendWish.of(row) for row in rows if row.balloon == "W"}
    assert by_source[True].tool_of_id is None and by_source[False].tool_of_id == worn.box.of_id
    assert by_source[True].root == by_source[False].root == worn.features["W"].id


def test_a_chart_comes_first_and_then_who_moved_it_and_who_measured(worn: WornBox) -> None:
    heard = Heard()
    work.gather_trend(worn.record, wish(worn), heard, MM, None)
    assert [set(found) for found in heard.findings] == [{"trend"}, {"told", "people"}]
    assert heard.findings[0]["trend"].fit is not None and "AB" in heard.findings[1]["people"]


def test_very_many_readings_are_shown_before_their_line_is_fitted(
    worn: WornBox, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(work, "MANY", 3)
    heard = Heard()
    work.gather_trend(worn.record, wish(worn), heard, MM, None)
    bare, whole = (found["trend"] for found in heard.findings[:2])
    assert bare.fit is None and whole.fit is not None and len(bare.main) == len(whole.main)


def test_nothing_more_is_worked_out_when_nobody_wants_it(worn: WornBox, monkeypatch: pytest.MonkeyPatch) -> None:
    heard = Heard(patience=0)
    work.gather_trend(worn.record, wish(worn), heard, MM, None)
    assert len(heard.findings) == 1
    beside = Heard()
    work.gather_trend(worn.record, wish(worn), beside, MM, None, name="other")
    assert [set(found) for found in beside.findings] == [{"other"}]  # who moved it is asked for the chart at hand only
    monkeypatch.setattr(work, "MANY", 3)
    gone = Heard(patience=0)
    work.gather_trend(worn.record, wish(worn), gone, MM, None)
    assert len(gone.findings) == 1 and gone.findings[0]["trend"].fit is None


def test_a_size_that_left_the_drawing_is_said(worn: WornBox) -> None:
    with pytest.raises(NotFound, match="no longer on the newest drawing"):
        work.look(worn.record, replace(wish(worn), root=b"gone"), MM, None)


def test_summaries_are_kept_where_they_can_be_and_handed_over_where_not(worn: WornBox, tmp_path: Path) -> None:
    handed = Heard()
    work.bring_up(worn.record, None, handed)
    (only,) = handed.findings
    assert only["kept"] and only["recent"] is not None and only["working"] == ""
    heard = Heard()
    work.bring_up(worn.record, worn.record.path, heard)
    assert any("working through job W-1" in found["working"] for found in heard.findings)
    assert heard.findings[-1]["recent"] is None
    again = Heard()
    work.bring_up(worn.record, worn.record.path, again)
    assert again.findings == [{"working": ""}]  # nothing is new
