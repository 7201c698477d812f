"""The one-line entry takes each line whole: line ends, bursts and pasted columns."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from tests.conftest import SmallShop
from tests.tui.bench.test_screen import (
    burst,
    fits,
    prepare_again,
    run,
    text_of,
    values,
)


def test_line_ends_of_two_characters_count_once(shop: SmallShop) -> None:
    wanted = [fits(i) for i in range(20)]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        prepare_again(app)
        burst(app, "".join(value + "\r\n" for value in wanted))
        for _ in range(60):
            await pilot.pause()

    run(shop, script)
    assert values(shop) == [float(value) for value in wanted]


def test_a_pasted_column_is_several_readings(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.screen.query_one(Entry).post_message(events.Paste("212.11\r\n59.61\n40.41\n"))
        for _ in range(10):
            await pilot.pause()

    run(shop, script)
    assert values(shop) == [212.11, 59.61, 40.41]


def test_a_line_of_a_pasted_page_that_is_no_reading_waits_and_the_rest_go_where_they_fit(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        entry = app.screen.query_one(Entry)
        entry.post_message(events.Paste("212.11\nthe second line\n40.41\n39.91\n"))
        for _ in range(10):
            await pilot.pause()
        assert entry.value == "" and app.bench
        assert [(line.balloon, line.text) for line in app.bench.waiting] == [("F1", "the second line")]
        assert "the second " in text_of(app, "#say")
        entry.value = "59.61"
        await pilot.press("enter")
        await pilot.pause()

    run(shop, script)
    assert values(shop) == [212.11, 40.41, 39.91, 59.61]
