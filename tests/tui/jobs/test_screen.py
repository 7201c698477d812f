"""Jobs by keyboard: open a tool, add a job, a feature with its sizes showing while typing, a new revision."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from datetime import datetime, timedelta

from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from inspect_tui.record.care import backups
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.panel import Panel
from tests.conftest import SmallShop
from tests.tui.hands import begun_at

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


def run(shop: SmallShop, script: Script) -> InspectApp:
    async def go() -> InspectApp:
        app = begun_at("jobs", InspectApp(shop.record, shop.bench()))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            await pilot.pause()
            await script(pilot, app)
        return app

    return asyncio.run(go())


def text_of(app: InspectApp, widget: str) -> str:
    return str(app.screen.query_one(widget, Static).render())


async def fill(pilot: Pilot[int], app: InspectApp, values: dict[str, str]) -> None:
    for key, value in values.items():
        app.screen.query_one(f"#field-{key}", Input).value = value
    await pilot.pause()


def test_the_list_shows_job_contraction_and_how_far_each_tool_is(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        about = text_of(app, "#about")
        assert "SV-12" in about and "X Y Z 1.00 %" in about and "of the casting" in about
        rows = [str(o.prompt) for o in app.screen.query_one("#subjects", OptionList).options]
        assert any("stick 1" in row and "0 of 4 measured" in row for row in rows)

    run(shop, script)


def test_enter_on_a_tool_opens_it_on_the_bench(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("down", "enter")
        for _ in range(4):
            await pilot.pause()
        assert app.place == "bench"
        assert app.bench and app.bench.subject.label == "box 1"
        assert "box 1" in app.screen.query_one("#head", Panel).plain

    run(shop, script)


def test_it_says_how_old_the_newest_backup_is(shop: SmallShop) -> None:
    now = datetime.now()
    backups.make(shop.path, now - timedelta(hours=5))
    later = [False]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        for _ in range(20):
            if "backup" in text_of(app, "#kept"):
                break
            await pilot.pause(0.02)
        said = text_of(app, "#kept")
        assert "Last good backup 5 h ago in" in said and "not in it" not in said
        later[0] = True

    run(shop, script)
    assert later[0]
