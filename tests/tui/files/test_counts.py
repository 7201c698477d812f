"""A table of counts on the screen: columns nobody knows are said, a figure too many is asked, then all is written."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from inspect_tui.tui.files.forms import Columns, FileForm
from inspect_tui.tui.question import Chooser
from inspect_tui.tui.trends.screen import TrendsScreen
from tests.tui.files.test_tools import enter, shown, take
from tests.tui.first_article.test_load import at_rest
from tests.tui.trends.test_screen import (
    fill,
    press,
    run,
    template,  # noqa: F401  a fixture
    text_of,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import WornBox


def test_mapped_columns_foundry_days_and_a_figure_too_many(worn: WornBox, tmp_path: Path) -> None:
    label = worn.box.label
    known = worn.record.tool_counts(worn.box.of_id)
    last = max(known, key=lambda count: count.on_date)
    rows = f"{label};31.12.2025;{last.count + 50}\n{label};15.1.2026;{(last.count + 60) * 10}\n"
    (tmp_path / "counts.csv").write_text(f"box;Stichtag;Stand\n{rows}")

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "i")
        await pilot.press(*"counts only")
        await press(pilot, "enter")
        if isinstance(pilot.app.screen, Chooser):  # who brings it in
            await pilot.press(*"AB")
            await press(pilot, "enter")
        assert isinstance(pilot.app.screen, FileForm)
        await fill(pilot, {"file": str(tmp_path / "counts.csv")})
        await pilot.press("ctrl+s")
        await at_rest(pilot)
        assert isinstance(pilot.app.screen, Columns), shown(pilot, "#wrong")
        assert "date" in shown(pilot, "#wrong")
        for words in ("date", "total"):
            await pilot.press("down", "enter")
            await pilot.pause()
            await take(pilot, words)
        await pilot.press("ctrl+s")
        await at_rest(pilot)
        assert "2 counts taken" in shown(pilot, "#body") and "too many" in shown(pilot, "#body")
        assert len(worn.record.tool_counts(worn.box.of_id)) == len(known)
        await enter(pilot)
        assert "counts.csv: 2 counts taken" in text_of(screen, "#say")

    run(worn, script)
    days = [count.on_date for count in worn.record.tool_counts(worn.box.of_id)]
    assert days[-2:] == ["2025-12-31", "2026-01-15"]
