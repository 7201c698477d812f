"""What the Kit place asks of the record beside the screen."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import (
    made,  # noqa: F401  a fixture
    rows_of,
    run,
    text_of,
    until,
)
from tests.worlds.kit_jobs import Kit


def test_life_stories_and_sizes_are_made_beside_the_screen(made: Kit) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("stick 1", "box 1"), 19.0, 21.0)
    made.read("stick 1", {"W": 20.2})
    made.read("box 1", {"W": 20.9})

    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("l")
        await pilot.press("down")
        await until(pilot, lambda: "W" in screen.loaded.stories)
        assert "left its course at box" in text_of(screen, "#detail")
        await pilot.press("i")
        await pilot.pause()
        assert "K1-P" in text_of(screen, "#detail")
        assert any("W" in row and "box 20.20/20.90" in row for row in rows_of(screen))

    run(made, script, (100, 30))
