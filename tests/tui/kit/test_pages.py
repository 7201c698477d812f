"""Which rows and text each page of the Kit place shows."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import (
    made,  # noqa: F401  a fixture
    run,
    screen_lines,
    text_of,
)
from tests.worlds.kit_jobs import Kit


def test_every_page_comes_up_at_80_by_24_and_at_160_by_48_within_the_screen(made: Kit) -> None:
    for size in ((80, 24), (160, 48)):

        async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen, size: tuple[int, int] = size) -> None:
            for key, title in (
                ("f", "fits"),
                ("o", "setting order"),
                ("w", "walls and stacks"),
                ("p", "passages"),
                ("i", "sizes on"),
                ("l", "life stories"),
                ("s", "where things are"),
                ("t", "sample casting"),
                ("b", "contraction book"),
                ("k", "cores"),
            ):
                await pilot.press(key)
                await pilot.pause(0.1)
                assert title in text_of(screen, "#head"), key
                assert not screen.wrong
                lines = screen_lines(app)
                assert len(lines) == size[1]
                assert max(len(line) for line in lines) <= size[0]
                assert lines[-1].startswith("f fits")

        run(made, script, size)
