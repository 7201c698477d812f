"""Readings as gauges send them: with prefix and letters, ended by Tab, with bytes lost on the way."""

from __future__ import annotations

import asyncio
import os
import pty
import tty
from collections.abc import Awaitable, Callable
from uuid import UUID

from textual import events
from textual.pilot import Pilot

from inspect_tui.model.gauges import InstrumentProfile
from inspect_tui.shop.common import find
from inspect_tui.tui import hearing
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def run(shop: SmallShop, script: Script, **speaks: str) -> list[tuple[float, str, str]]:
    """What stands in the record afterwards: value, as typed, unit."""
    profile = InstrumentProfile(instrument_of_id=shop.caliper.of_id, **speaks)  # type: ignore[arg-type]
    shop.record.add(profile, shop.ab.id)

    async def go() -> None:
        app = InspectApp(shop.record, shop.bench("drag pattern"))
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await script(pilot, app)

    asyncio.run(go())
    readings = [logged.reading for logged in shop.record.readings()]
    return [(round(reading.value, 4), reading.typed, reading.typed_unit) for reading in readings]


def test_a_tab_ends_a_reading_where_the_gauge_sends_it_and_the_enter_behind_it_is_nothing(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, list("01A+0245.40M\t\r"))
        await settled(pilot)

    read = run(shop, script, prefix="01A", unit_letters="M=mm", end_key="both")
    assert [(value, unit) for value, _, unit in read] == [(245.4, "mm")]


def test_without_a_profile_a_tab_ends_nothing(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        burst(app, "243.20", "tab")
        await settled(pilot)
        assert app.screen.query_one(Entry).end_keys == ("enter",)

    assert run(shop, script, prefix="01A") == []


def test_a_byte_that_is_lost_never_joins_figures(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        for word in ("2", "4"):
            burst(app, word)
        app.post_message(events.Key("ctrl+@", "\x00"))
        burst(app, "3.2\r")
        await settled(pilot)

    assert run(shop, script) == []


def test_a_gauge_of_inches_is_read_in_inches_and_a_hand_in_its_own(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert hearing.as_typed(app.screen, "ID9.6614I") == "9.6614 in"
        assert hearing.as_typed(app.screen, "243.2") == "243.2"
        assert hearing.as_typed(app.screen, "ID9.57X") == "ID9.57X\u2400"
        app.screen.query_one(Entry).receive("9.6614 in")
        await settled(pilot)

    ((value, _, unit),) = run(shop, script, prefix="ID", unit_letters="M=mm I=in")
    assert (value, unit) == (245.3996, "in")


def test_a_label_opens_its_tool_and_is_never_a_reading(shop: SmallShop) -> None:
    tools = {tool.label: tool for tool in shop.record.tools(find.job(shop.record, "SV-12").of_id)}
    codes = [f"SV-12 | box 1 | {UUID(bytes=tools['box 1'].of_id)}", "SV-12 | 59.66 | 5", f"1 | 59 | {UUID(int=7)}"]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        for code in codes:
            burst(app, list(f"{code}\r"))
            await settled(pilot)
            assert app.bench is not None and app.bench.subject.label == "box 1" and not app.bench.waiting
        said = [note.message for note in app._notifications]
        assert said[-2:] == [
            "The label of 59.66 was not read whole: scan it again. Nothing was logged.",
            "This record does not hold 59 of job 1. Nothing was logged.",
        ]

    assert run(shop, script) == []


def test_readings_come_over_the_gauges_own_line(shop: SmallShop) -> None:
    theirs, ours = pty.openpty()
    tty.setraw(ours)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        for _ in range(500):
            if app._wire is not None:
                break
            await pilot.pause(0.01)
        app.action_ask_gauge()
        assert os.read(theirs, 5) == b"?"
        os.write(theirs, b"01A+0245.40M\r\n")
        for _ in range(500):
            if shop.record.readings():
                break
            await pilot.pause(0.01)
        app.hang_up()

    read = run(shop, script, prefix="01A", unit_letters="M=mm", port=os.ttyname(ours), request="?")
    assert read == [(245.4, "245.40 mm", "mm")]
    os.close(theirs)
    os.close(ours)
