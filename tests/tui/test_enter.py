"""Something entered about a tool: what is doubtful is asked once, then it is written and said."""

from __future__ import annotations

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


def test_a_count_that_goes_back_is_asked_about_once_and_then_kept(worn: WornBox) -> None:
    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "n")
        await fill(pilot, {"count": "5000", "on_date": "2024-08-01"})
        await press(pilot, "ctrl+s")
        wrong = str(pilot.app.screen.query_one("#wrong", Static).render())
        assert "would go back from 5 800" in wrong and "Ctrl+S again keeps it" in wrong
        await press(pilot, "ctrl+s")
        assert "entered  box 1: total 5000" in text_of(screen, "#say")

    run(worn, script)
    assert worn.record.tool_counts(worn.box.of_id)[-1].count == 5000


def test_what_is_wrong_stays_in_the_form_with_its_sentence_and_nothing_is_written(worn: WornBox) -> None:
    before = worn.record.tool_counts(worn.box.of_id)

    async def script(pilot: Pilot[int], screen: TrendsScreen) -> None:
        await press(pilot, "n")
        await fill(pilot, {"count": "many", "on_date": "2024-08-01"})
        await press(pilot, "ctrl+s", "ctrl+s")
        assert "whole number" in str(pilot.app.screen.query_one("#wrong", Static).render())
        await fill(pilot, {"count": "6000"})
        await press(pilot, "ctrl+s")
        assert "entered  box 1: total 6000" in text_of(screen, "#say")

    run(worn, script)
    new = worn.record.tool_counts(worn.box.of_id)[len(before) :]
    assert [(count.count, count.on_date) for count in new] == [(6000, "2024-08-01")]
