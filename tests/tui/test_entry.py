"""The one-line entry takes each line whole: line ends, bursts and pasted columns."""

from __future__ import annotations

import pytest
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


def test_a_bare_figure_behind_which_the_gauge_sends_its_tab_is_in_the_unit_of_the_gauge(shop: SmallShop) -> None:
    from inspect_tui.model.gauges import InstrumentProfile

    shop.record.add(InstrumentProfile(instrument_of_id=shop.caliper.of_id, end_key="tab"), by=shop.ab.id)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+k")  # lengths are written, and typed, in inches from here on
        await pilot.press(*"212.11", "tab")
        await pilot.press(*"2.3465", "enter")  # by hand
        await pilot.pause()

    run(shop, script)
    assert values(shop) == [212.11, pytest.approx(2.3465 * 25.4)]
