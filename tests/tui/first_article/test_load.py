"""A file of readings taken in at the First article place: asked for, mapped, looked over, written whole or not at all."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input, Static

from inspect_tui.record.store import Record
from inspect_tui.shop.common import find
from inspect_tui.shop.first_article.castings.put_right import open_round
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.files.forms import BOUNCE_S, AtWork, FileForm, Look
from inspect_tui.tui.first_article.screen import FirstArticleScreen
from inspect_tui.tui.panel import Panel
from tests.conftest import SmallShop
from tests.tui.hands import begun_at

Script = Callable[[Pilot[int], InspectApp, FirstArticleScreen], Awaitable[None]]
GOOD = "Casting;F2;F3\nC1;40,1;210,2\nC2;40,2;210,3\n"
ODD = "Gussteil;Breite A1;Ofen\nC1;210.2;2026-01-02\n"


def at_first_article(shop: SmallShop, script: Script, size: tuple[int, int] = (80, 24), serials=("C1", "C2")) -> None:
    if serials:
        open_round(shop.record, find.job(shop.record, "SV-12"), "S1", serials)

    async def go() -> None:
        app = begun_at("first", InspectApp(shop.record, shop.bench()))
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            assert isinstance(app.screen, FirstArticleScreen)
            await script(pilot, app, app.screen)

    asyncio.run(go())


def file(shop: SmallShop, content: str | bytes, name: str = "r1.csv") -> Path:
    path = shop.path.parent / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


async def load(pilot: Pilot[int], path: Path | str, **fields: str) -> None:
    """Ctrl+L, the form filled in, Ctrl+S, and wait until the thread has read the file."""
    if not isinstance(pilot.app.screen, FileForm):
        await pilot.press("ctrl+l")
        await pilot.pause()
    assert isinstance(pilot.app.screen, FileForm)
    for key, value in {"file": str(path), **fields}.items():
        pilot.app.screen.query_one(f"#field-{key}", Input).value = value
    await pilot.press("ctrl+s")
    await at_rest(pilot)


async def at_rest(pilot: Pilot[int]) -> None:
    for _ in range(500):
        await pilot.pause()
        if not isinstance(pilot.app.screen, AtWork):
            break
        await asyncio.sleep(0.02)
    await pilot.pause()


async def enter(pilot: Pilot[int]) -> None:
    """Enter on the summary, as if the moment were over in which it would count as a bounce."""
    assert isinstance(pilot.app.screen, Look)
    pilot.app.screen.since -= BOUNCE_S
    await pilot.press("enter")
    await at_rest(pilot)


def said(app: InspectApp) -> str:
    return app.screen.query_one("#say", Panel).plain


def shown(app: InspectApp, widget: str) -> str:
    return str(app.screen.query_one(widget, Static).render())


def value(record: Record, serial: str, balloon: str, label: str = "S1") -> float | None:
    job = find.job(record, None)
    sampling = Sampling(record, job, pick_round(record, job, label))
    return sampling.cell(sampling.feature(balloon), sampling.casting(serial)).value


def rows_of(record: Record) -> tuple[int, ...]:
    counts = record.counts()
    return tuple(counts[name] for name in ("reading", "import_file", "import_mapping", "session", "item", "lot"))


# ------------------------------------------------------------------------------ a good file


# ------------------------------------------------------------------------------ columns, units, sheets


# ------------------------------------------------------------------------------ refused


# ------------------------------------------------------------------------------ odd things, hostile text


# ------------------------------------------------------------------------------ beside the work


def test_a_record_that_may_only_be_read_says_so_at_once(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        shop.record.stop_writing("A page is damaged.")
        await pilot.press("ctrl+l")
        await pilot.pause()
        assert app.screen is screen
        assert "Not logged. A page is damaged." in said(app)

    at_first_article(shop, script)


def test_the_key_stands_in_the_help(shop: SmallShop) -> None:
    async def script(pilot, app, screen) -> None:
        await pilot.press("f1")
        await pilot.pause()
        assert "Ctrl+L       Take readings in" in str(app.screen.query(Static).first().render())

    at_first_article(shop, script)


# ------------------------------------------------------------------------------ the path


def test_tab_completes_and_goes_on_where_nothing_is_left(shop: SmallShop) -> None:
    path = file(shop, GOOD, "readings.csv")

    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+l")
        await pilot.pause()
        field = app.screen.query_one("#field-file", Input)
        field.value = str(path)[:-6]
        await pilot.press("tab")
        assert field.value == str(path)
        await pilot.press("tab")
        assert app.focused is app.screen.query_one("#field-label", Input)

    at_first_article(shop, script)
