"""What the Kit place asks of the record beside the screen."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.kit import work
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


def test_a_page_asks_once_for_what_it_needs_and_others_for_nothing(made: Kit) -> None:
    made.add_feature("W", "x", 20.0, (1, 1, 0.0), (1, -1, 20.0), ("stick 1", "box 1"), 19.0, 21.0)
    loaded = work.load(made.record, made.job)
    assert set(loaded.reports) == {str(number) for number in made.core}
    assert [f.balloon for f in loaded.features] == ["F1", "W"]  # prints and seats have no life of their own
    for page, key in (("life", "W"), ("shipping", "box 1"), ("sample", ""), ("plan", ""), ("book", "")):
        assert work.wanting(loaded, page, key), page
        loaded = work.more(made.record, loaded, page, key)
        assert not work.wanting(loaded, page, key), page
    assert set(loaded.stories) == {"W"} and set(loaded.events) == {"box 1"}
    assert loaded.sample is not None or loaded.no_sample
    kept = loaded.stories["W"], loaded.book
    again = work.more(made.record, work.more(made.record, loaded, "life", "W"), "book", "")
    assert (again.stories["W"], again.book) == kept and again.book is kept[1]
    for page, key in (("life", ""), ("shipping", ""), ("fits", "K1"), ("cores", "1")):
        assert not work.wanting(loaded, page, key)


def test_a_tool_that_is_not_there_has_no_events(made: Kit) -> None:
    loaded = work.more(made.record, work.load(made.record, made.job), "shipping", "box 99")
    assert loaded.events == {"box 99": []}
