"""Keys, colours and the mouse, as somebody set them and uses them."""

from __future__ import annotations

import asyncio
from collections.abc import Callable

from textual import events
from textual.geometry import Offset
from textual.pilot import Pilot
from textual.selection import Selection
from textual.widgets import Static

from inspect_tui.shop.settings import write
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.place import Place
from tests.conftest import SmallShop
from tests.tui.hands import settled


async def until(pilot: Pilot[int], there: Callable[[], bool]) -> None:
    for _ in range(500):
        if there():
            return
        await pilot.pause(0.01)
    raise AssertionError("it never came")


def test_colours_and_keys_are_taken_up_and_what_is_wrong_is_said(shop: SmallShop) -> None:
    for key, text in {"show.theme": "gruvbox", "keys.place.places": "f9", "keys.jobs.new": "z"}.items():
        write.put(key, text)

    async def script() -> None:
        app = InspectApp(shop.record, None)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await until(pilot, lambda: bool(app.chosen_keys))
            assert app.theme == "gruvbox" and app.chosen_keys == {"jobs.new": "z"}
            said = [note.message for note in app._notifications]
            assert said == ["keys.place.places = f9: this one stays where everybody finds it; its key stays f10"]
            assert "z job" in str(app.screen.query_one("#foot", Static).render())
            await pilot.press("n")
            assert not isinstance(app.screen, Form)
            await pilot.press("z")
            assert isinstance(app.screen, Form)

    asyncio.run(script())


def test_a_foot_switch_logs_and_asks_the_gauge_by_the_key_that_it_types(shop: SmallShop) -> None:
    write.put("keys.bench.log", "ctrl+s,f13")
    write.put("keys.bench.ask", "f14")

    async def script() -> None:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await until(pilot, lambda: bool(app.chosen_keys))
            assert app.bench is not None
            for key, value in (("f13", "59.60"), ("ctrl+s", "59.62")):
                app.bench.goto("F1")
                await pilot.press(*value, key)
            await pilot.press("f14", "shift+f8")
            await settled(pilot)
            said = [note.message for note in app._notifications]
            assert said == ["The gauge in hand has no line of its own; Gauges (p) says how it speaks."]

    asyncio.run(script())
    key = shop.bench().subject.key
    assert [row.reading.value for row in shop.record.readings(tool_of_id=key, newest_first=False)] == [59.6, 59.62]


def click(place: Place, widget: str, x: int, y: int) -> None:
    on = place.query_one(widget)
    at = on.region.offset + Offset(x, y)
    place.on_click(events.Click(on, x, y, 0, 0, 1, False, False, False, at.x, at.y))


def test_lines_and_keys_of_the_foot_go_by_mouse_and_are_copied(shop: SmallShop) -> None:
    async def script() -> None:
        app = InspectApp(shop.record, shop.bench())
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            place, bench = app.screen, app.bench
            assert isinstance(place, Place) and bench is not None and bench.task is not None
            click(place, "#foot", place.foot().index("F8"), 0)
            await until(
                pilot, lambda: bench.tasks[0].mark == "skipped"
            )  # the key that was clicked waits for its turn as any other
            last = len(bench.tasks) - 1
            click(place, "#list", 6, 1 + last)
            assert bench.index == last
            await pilot.press("ctrl+c")
            assert app.clipboard == bench.style.size(bench.task.sizes.target, unit=True)
            place.selections = {place.query_one("#list", Panel): Selection(None, None)}
            await pilot.press("ctrl+c")
            assert app.clipboard.startswith("0 of ")

    asyncio.run(script())
