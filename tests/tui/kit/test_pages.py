"""Which rows and text each page of the Kit place shows."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from inspect_tui.metrology.typed.show import MM
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.kit import pages, work
from inspect_tui.tui.kit.screen import TITLES, KitScreen
from tests.tui.kit.test_screen import (
    made,  # noqa: F401  a fixture
    rows_of,
    run,
    screen_lines,
    text_of,
    until,
)
from tests.worlds.kit_jobs import Kit


def test_every_page_comes_up_at_80_by_24_and_at_160_by_48_within_the_screen(made: Kit) -> None:
    for size in ((80, 24), (160, 48)):

        async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen, size: tuple[int, int] = size) -> None:
            for key, title in (
                ("f", "fits"),
                ("o", "setting order"),
                ("v", "the mould"),
                ("w", "walls and stacks"),
                ("p", "passages"),
                ("i", "sizes on"),
                ("l", "life stories"),
                ("s", "where things are"),
                ("t", "sample casting"),
                ("r", "measuring plan"),
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


@pytest.mark.parametrize("room", [-33, 0, 1, 12])
def test_every_page_is_written_where_there_is_no_room_for_it(made: Kit, room: int) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("stick 1", "box 1"), 19.0, 21.0)
    made.read("box 1", {"K1-P": 40.1, "W": 20.9})
    loaded = work.load(made.record, made.job, MM)
    for page in TITLES:
        for core in ("kit", "1"):
            for key in [key for key, _ in pages.rows(loaded, page, core, room)] or [""]:
                loaded = work.more(made.record, loaded, page, key)
                assert pages.about(loaded, page, core, key, room) is not None


def test_the_page_of_the_mould_draws_the_chosen_core_and_says_what_is_not_known(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("v")
        await pilot.pause()
        assert rows_of(screen) == ["plan and section", "section from the end", "exploded stack"]
        assert "Nothing tells how far these reach: core 1 along" in words(screen)
        for axis, low, high in (("x", 0.0, 60.0), ("y", 0.0, 40.0), ("z", 5.0, 25.0)):
            made.add_feature(f"B{axis}", axis, high - low, (1, -1, low), (1, 1, high))
        screen.arrive()
        await until(pilot, lambda: "plan, from above" in words(screen))
        assert "█" not in words(screen) and "core 1" in words(screen)
        await pilot.press("tab", "down", "down")
        await until(pilot, lambda: "core 1, the one at hand" in words(screen))
        assert "Set later and not drawn: core 2." in words(screen)
        await pilot.press("tab", "down", "down")
        await pilot.pause()
        assert "exploded stack" in words(screen) and "2. core 2" in words(screen)

    run(made, script, (100, 40))


def words(screen: KitScreen) -> str:
    return " ".join(text_of(screen, "#detail").split())


def test_a_wide_page_of_cores_draws_the_core_below_what_is_said_of_it(made: Kit) -> None:
    for axis, low, high in (("x", 0.0, 60.0), ("y", 0.0, 40.0), ("z", 5.0, 25.0)):
        made.add_feature(f"B{axis}", axis, high - low, (1, -1, low), (1, 1, high))
    loaded = work.load(made.record, made.job)
    wide = pages.about(loaded, "kit", "1", "", pages.WIDE).plain
    assert wide.index("core 1 core 1") < wide.index("core 1, the one at hand")
    assert "plan, from above" in wide and max(len(line) for line in wide.splitlines() if "█" in line) <= pages.WIDE
    assert "plan, from above" not in pages.about(loaded, "kit", "1", "", pages.WIDE - 1).plain
    assert "plan, from above" not in pages.about(loaded, "kit", "kit", "", 200).plain
