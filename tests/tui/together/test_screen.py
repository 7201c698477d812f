"""The other benches on the screen: set, exchanged with beside the work, stopped, away; what is to be decided is decided."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList, Static

from inspect_tui.frozen import replace
from inspect_tui.model.measuring import Person
from inspect_tui.record.merge import portions
from inspect_tui.record.merge.folder import sync_folder
from inspect_tui.record.store import Record
from inspect_tui.shop.settings import write
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.panel import Panel
from inspect_tui.tui.together import screen
from inspect_tui.tui.together.screen import TogetherScreen
from tests.conftest import SmallShop

Script = Callable[[Pilot[int], InspectApp], Awaitable[None]]


@pytest.fixture
def share(tmp_path: Path) -> Path:
    folder = tmp_path / "share"
    folder.mkdir()
    return folder


@pytest.fixture
def other(shop: SmallShop, share: Path, tmp_path: Path) -> Iterator[Record]:
    """Another bench of the shop that knows all that this one knows."""
    sync_folder(shop.record, share)
    (tmp_path / "other").mkdir()
    with Record.open(
        tmp_path / "other" / "shop.db", create=True, state_dir=tmp_path / "other" / "state", bench="bench b"
    ) as record:
        sync_folder(record, share)
        yield record


def run(shop: SmallShop, script: Script, place: str = "jobs") -> None:
    async def go() -> None:
        app = InspectApp(shop.record, shop.bench("box 1"))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause()
            app.begin_together()
            if place != "bench":
                app.go(place)
            await pilot.pause()
            await script(pilot, app)

    asyncio.run(go())


async def till(pilot: Pilot[int], holds: Callable[[], object]) -> None:
    """Wait for what happens beside the screen."""
    for _ in range(1000):
        await pilot.pause()
        if holds():
            return
        await asyncio.sleep(0.01)
    raise AssertionError("it never came to that")


def how(app: InspectApp) -> str:
    assert isinstance(app.screen, TogetherScreen)
    return app.screen.how().plain


def rows(app: InspectApp, listed: str) -> list[str]:
    return [str(option.prompt) for option in app.screen.query_one(listed, OptionList).options]


async def fill(pilot: Pilot[int], app: InspectApp, **values: str) -> None:
    for key, value in values.items():
        app.screen.query_one(f"#field-{key}", Input).value = value
    await pilot.press("ctrl+s")
    await pilot.pause()


def test_a_folder_is_named_exchanged_with_and_what_was_said_apart_is_decided(
    shop: SmallShop, other: Record, share: Path
) -> None:
    twin = replace(shop.caliper, id=b"", of_id=b"", label="caliper 9")
    for record in (shop.record, other):
        record.add(twin, record.people()[0].id)
    sync_folder(other, share)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("x")
        await pilot.pause()
        assert "w says with which folder" in how(app)
        await pilot.press("s")  # with nobody yet: asks with whom
        await pilot.pause()
        await fill(pilot, app, where="share")
        assert "no whole path" in str(app.screen.query_one("#wrong", Static).render())
        await fill(pilot, app, where=str(share))
        await till(pilot, lambda: app.together.standing and app.together.standing.where)
        assert "1 not yet sent, exchanged" in how(app)
        await pilot.press("s")
        await till(pilot, lambda: app.together.clashes and not app.together.running)
        assert "Exchanged: 3 entries came in." in how(app) and "all sent" in how(app)
        await till(pilot, lambda: isinstance(app.screen, TogetherScreen) and app.screen.shown)
        assert rows(app, "#open") == [f"one name      gauge caliper 9  ({app.together.clashes[0].benches[0]}, bench b)"]
        await pilot.press("enter")
        await pilot.pause()
        assert [row.split()[0] for row in rows(app, "#rows")] == ["same", "apart", "rename", "rename"]
        await pilot.press("enter")
        await pilot.pause()
        await fill(pilot, app, why="")
        assert "say why" in str(app.screen.query_one("#wrong", Static).render())
        await fill(pilot, app, why="entered at both")
        await till(pilot, lambda: not app.together.clashes and "1 not yet sent" in how(app))
        assert "caliper 9: they are one from now on." in how(app)
        await pilot.press("escape")
        await pilot.pause()
        assert "all sent" not in str(app.screen.query_one("#kept", Static).render())

    run(shop, script)
    assert len([gauge for gauge in shop.record.instruments() if gauge.label == "caliper 9"]) == 1


def test_away_from_the_shop_is_normal_and_said(shop: SmallShop, other: Record, share: Path) -> None:
    write.put("share.with", str(share))
    write.put("share.every", "never")
    share.rename(share.with_name("gone"))
    shop.record.add(Person(initials="KB"))

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await till(pilot, lambda: app.together.standing)
        assert screen.line(app.together)[0].startswith(f"With {share}: 1 not yet sent, exchanged")
        await pilot.press("x", "s")
        await till(pilot, lambda: app.together.last and not app.together.running)
        assert "Not reached: there is no folder" in how(app)
        assert "1 entry of this bench is not yet sent. Nothing is lost, and work goes on." in how(app)

    run(shop, script)


def test_readings_are_logged_while_an_exchange_runs_and_it_can_be_stopped(
    shop: SmallShop, other: Record, share: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """40 portions come in, each followed by a reading at the Bench; then it is stopped, and later on ended."""
    monkeypatch.setattr(portions, "PAUSE_S", 0.0)
    monkeypatch.setattr(portions, "ENTRIES", 5)
    other.add_all([Person(initials=f"P{n}") for n in range(200)])
    sync_folder(other, share)
    write.put("share.with", str(share))
    write.put("share.every", "never")
    go_on, told = threading.Semaphore(0), threading.Semaphore(0)
    taken = portions.take_in_proven

    def one_by_one(*args: object, **more: object) -> object:
        go_on.acquire()
        try:
            return taken(*args, **more)  # type: ignore[arg-type]
        finally:
            told.release()

    monkeypatch.setattr(portions, "take_in_proven", one_by_one)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.together.exchange()
        for n in range(10):
            go_on.release()
            assert app.bench is not None
            app.bench.goto("F1")
            await pilot.press(*f"59.{50 + n}", "enter")
            await till(pilot, lambda: told.acquire(blocking=False))
        await till(pilot, lambda: len(shop.record.readings()) == 10)
        assert app.together.running
        app.together.stop()
        for _ in range(50):
            go_on.release()
        await till(pilot, lambda: not app.together.running and app.together.wrong)
        assert "Stopped: what had come in stays" in str(app.together.wrong)
        assert 0 < len([p for p in shop.record.people() if p.initials.startswith("P")]) < 200
        for _ in range(100):
            go_on.release()
        app.together.exchange()
        await till(pilot, lambda: not app.together.running and app.together.last)
        assert len([p for p in shop.record.people() if p.initials.startswith("P")]) == 200

    run(shop, script, "bench")
    assert [r.value for r in shop.record.readings()] == [pytest.approx(59.5 + n / 100) for n in range(10)]
    assert shop.record.verify().ok


def test_places_show_what_came_from_elsewhere_and_what_is_to_be_decided(
    shop: SmallShop, other: Record, share: Path
) -> None:
    (box, *_) = [tool for tool in shop.record.tools(shop.record.jobs()[0].of_id) if tool.label == "box 1"]
    other.revise(box, other.people()[0].id, label="box one")
    sync_folder(other, share)

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert any(row.startswith("box 1 ") for row in rows(app, "#subjects"))
        with Record.open(shop.path) as beside:
            beside.revise(box, beside.people()[0].id, label="box 1a")
        await till(pilot, lambda: any("box 1a" in row for row in rows(app, "#subjects")))
        with Record.open(shop.path) as beside:
            sync_folder(beside, share)
        await till(pilot, lambda: any("≠" in row for row in rows(app, "#subjects")))
        assert "1 thing is to be decided: Ctrl+P." in str(app.screen.query_one("#kept", Static).render())
        app.go("bench")
        await till(pilot, lambda: "≠ EDITED TWICE" in app.screen.query_one("#head", Panel).plain)

    run(shop, script)
