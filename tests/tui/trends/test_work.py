"""What the Trends place asks of the record beside the screen."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

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
