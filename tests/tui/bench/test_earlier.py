"""Earlier readings in a list at the Bench: typed right, moved, taken back; and a figure alone is no note."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from tests.conftest import SmallShop
from tests.tui.bench.test_screen import run, text_of, typed, waiting


def test_an_earlier_reading_is_typed_right_moved_and_taken_back(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11", "59.61", "40.41")
        await pilot.press("ctrl+e", *"F1", "enter", "enter", *"59.62", "enter")
        await pilot.pause()
        assert "F1: 59.61 struck out, 59.62 stands" in text_of(app, "#say")
        await pilot.press("ctrl+e", *"212", "enter", *"meant", "enter", *"P1", "enter")
        await pilot.pause()
        assert "212.11 stands on P1 now, not on F3" in text_of(app, "#say")
        await pilot.press("ctrl+e", *"40.41", "enter", *"Take", "enter", *"jaws", "enter")
        await pilot.pause()
        assert "taken back  F2 40.41" in text_of(app, "#say")

    run(shop, script)
    rows = [(row.reading.typed, row.out) for row in shop.record.readings()]
    assert rows == [("212.11", True), ("59.61", True), ("40.41", True), ("59.62", False), ("212.11", False)]


def test_what_a_gauge_sends_into_a_note_is_asked_about(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await typed(pilot, "212.11")
        await pilot.press("f6", *"59.61", "enter")
        await pilot.pause()
        assert waiting(app) == ["F1 59.61"] and "a reading, or a note?" in text_of(app, "#say")
        await pilot.press("enter")
        await pilot.pause()
        assert "logged  F1 59.61" in text_of(app, "#say")
        await pilot.press("f6", *"7", "enter", "ctrl+e", "enter", *"note", "enter")
        await pilot.pause()
        assert "Note kept: 7" in text_of(app, "#say")
        await pilot.press("f6", *"skin rough", "enter")
        await pilot.pause()

    run(shop, script)
    rows = [(row.reading.typed, [note.text for note in row.notes]) for row in shop.record.readings()]
    assert rows == [("212.11", []), ("59.61", ["7", "skin rough"])]
