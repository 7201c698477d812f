"""Panels: what was put while a panel was hidden is on the screen when it comes back."""

from __future__ import annotations

import asyncio

from rich.text import Text
from textual.app import App, ComposeResult
from textual.containers import Horizontal

from inspect_tui.tui.panel import Panel


class Two(App[None]):
    CSS = "Horizontal { height: 1; } #one { width: 10; height: 1; }"

    def compose(self) -> ComposeResult:
        with Horizontal(id="line"):
            yield Panel("old", id="one")


def shown(app: App[None]) -> str:
    lines = app.screen._compositor.render_strips()  # what the terminal gets
    return "".join(segment.text for segment in lines[0])


def test_text_put_while_its_row_is_hidden_shows_with_the_row() -> None:
    async def go() -> None:
        app = Two()
        async with app.run_test(size=(20, 3)) as pilot:
            await pilot.pause()
            assert shown(app).startswith("old")
            app.query_one("#line").display = False
            await pilot.pause()
            app.query_one("#one", Panel).put(Text("new"))
            await pilot.pause()
            app.query_one("#line").display = True
            await pilot.pause()
            assert shown(app).startswith("new")

    asyncio.run(go())
