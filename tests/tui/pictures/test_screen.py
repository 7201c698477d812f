"""Pictures are seen over a place, one after the other, added and withdrawn there."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from rich.text import Text
from textual.pilot import Pilot
from textual.widgets import Input

from inspect_tui.demo.pictures import drawn
from inspect_tui.record.kinds import CORE, TOOL
from inspect_tui.record.store import Record
from inspect_tui.report.term import photo
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.pictures import balloons
from inspect_tui.shop.pictures.attach import attach
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.pictures import screen as pictures
from inspect_tui.tui.pictures.screen import Pictures
from tests.tui.hands import settled
from tests.worlds.kit_jobs import Kit, two_cores

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


@pytest.fixture
def made(tmp_path: Path):
    with Record.open(tmp_path / "kit.db", create=True) as record:
        made = two_cores(record)
        for n in (1, 2):
            (tmp_path / f"{n}.png").write_bytes(drawn(n))
        attach(record, tmp_path / "1.png", CORE.number, made.core[1].of_id, "[red] from above", made.person.id)
        attach(record, tmp_path / "2.png", TOOL.number, made.tool["box 1"].of_id, None, made.person.id)
        yield made


def run(made: Kit, script: Script) -> None:
    async def go() -> None:
        bench = Bench(made.record, made.job, find.subject(made.record, made.job, "box 1"), made.person, made.caliper)
        app = InspectApp(made.record, bench)
        async with app.run_test(size=(80, 24)) as pilot:
            await settled(pilot)
            await script(pilot, app)

    asyncio.run(go())


def shown(app: InspectApp, panel: str) -> str:
    screen = app.screen
    assert isinstance(screen, Pictures)
    return screen.query_one(panel, Panel).plain


async def seen(pilot: Pilot[int], app: InspectApp, *keys: str) -> None:
    await pilot.press(*keys)
    await settled(pilot)
    assert isinstance(app.screen, Pictures)


def test_the_kit_shows_pictures_of_core_and_box_and_of_the_whole_job(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.go("kit")
        await settled(pilot)
        await pilot.press("down", "down")
        await settled(pilot)
        await seen(pilot, app, "c")
        assert shown(app, "#title").startswith("1 of 2 · core 1: [red] from above (1.png, 240 by 160, ")
        lines = shown(app, "#painting").split("\n")
        assert {photo.HALF} == set("".join(lines)) and len(lines) <= 19 and len(lines[0]) <= 80
        await seen(pilot, app, "right")
        assert "2 of 2 · box 1: 2.png" in shown(app, "#title")
        assert isinstance(app.screen, Pictures)
        app.screen._painted(app.screen.seen[0], Text("too late"))  # of a picture that is looked at no more
        assert {photo.HALF} == set(shown(app, "#painting").replace("\n", ""))
        await seen(pilot, app, "right")
        assert "1 of 2" in shown(app, "#title")
        await pilot.press("escape")
        await settled(pilot)
        await pilot.press("up", "up")
        await settled(pilot)
        await seen(pilot, app, "c")
        assert "1 of 2" in shown(app, "#title")

    run(made, script)


def test_at_the_bench_they_are_added_and_withdrawn(made: Kit, tmp_path: Path) -> None:
    (tmp_path / "3.png").write_bytes(drawn(3))

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await seen(pilot, app, "ctrl+a")
        assert "1 of 2 · core 1" in shown(app, "#title")
        await pilot.press("a")
        await settled(pilot)
        await pilot.press("enter")  # of the things at hand the first: the box
        await settled(pilot)
        app.screen.query_one("#field-path", Input).value = str(tmp_path / "3.png")
        await seen(pilot, app, "ctrl+s")
        assert shown(app, "#told") == "3.png kept (240 by 160 dots)"
        assert "1 of 3" in shown(app, "#title")
        await pilot.press("right", "x")
        await settled(pilot)
        app.screen.query_one("#field-text", Input).value = "of another box"
        await seen(pilot, app, "ctrl+s")
        assert shown(app, "#told") == "2.png is withdrawn."
        assert "2 of 2 · box 1: 3.png" in shown(app, "#title")

    run(made, script)
    (gone,) = made.record.withdrawals().values()
    assert gone.why == "of another box"


def test_numbers_of_sizes_are_put_on_a_picture(made: Kit) -> None:
    balloon = balloons.numbers(made.record, made.job.of_id)[0]

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await seen(pilot, app, "ctrl+a")
        await pilot.press("n")
        await settled(pilot)
        app.screen.query_one("#field-numbers", Input).value = f"{balloon} 120 5"
        await pilot.press("ctrl+s")
        await settled(pilot)
        assert not isinstance(app.screen, Pictures)  # asked again: no percent
        app.screen.query_one("#field-numbers", Input).value = f"{balloon} 12 5"
        await seen(pilot, app, "ctrl+s")
        assert shown(app, "#told").startswith("1.png: 1 number stands there now.")

    run(made, script)
    (picture,) = made.record.numbered_pictures()
    assert picture.balloons == f"{balloon} 12 5" and picture.replaces_id is not None


def test_nothing_yet_and_what_is_not_here_are_said(made: Kit) -> None:
    for path in (made.record.path.parent / "att").rglob("*"):
        if path.is_file():
            path.unlink()

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await seen(pilot, app, "ctrl+a")
        assert shown(app, "#painting") == photo.NOT_HERE
        await pilot.press("escape")
        await settled(pilot)
        await pilot.press("ctrl+f")
        await settled(pilot)
        await seen(pilot, app, "c", "right")  # of the feature that is looked at whole
        assert "2 of 2 · box 1: 2.png" in shown(app, "#title")
        await pilot.press("escape")
        await settled(pilot)
        app.go("kit")
        await settled(pilot)
        await pilot.press("down", "down", "down")
        await settled(pilot)
        await seen(pilot, app, "c")
        assert shown(app, "#painting") == pictures.NONE and "core 2" in shown(app, "#title")
        await seen(pilot, app, "right", "x")

    run(made, script)
