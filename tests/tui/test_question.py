"""A question is answered once, whatever is typed behind the answer."""

from __future__ import annotations

from typing import Any

from textual.pilot import Pilot

from inspect_tui.tui import forms
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.question import Chooser, Question
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled, sized
from tests.tui.test_forms import (
    FIELDS,
    run,
)


def test_done_twice_in_one_go_is_used_once(shop: SmallShop) -> None:
    used: list[Any] = []

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        forms.ask(app.screen, "A feature", FIELDS[:1], use=used.append)
        burst(app, "F9", "ctrl+s", "ctrl+s", "enter")
        await settled(pilot)

    run(shop, script)
    assert used == [{"balloon": "F9"}]


def test_only_the_one_on_top_closes_and_only_once(shop: SmallShop) -> None:
    answers: list[tuple[str, str | None]] = []

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        below, above = Question[str](), Question[str]()
        app.push_screen(below, lambda answer: answers.append(("below", answer)))
        app.push_screen(above, lambda answer: answers.append(("above", answer)))
        await pilot.pause()
        below.dismiss("too early")
        await pilot.pause()
        assert app.screen is above and answers == []
        above.dismiss("yes")
        above.dismiss("again")
        await pilot.pause()
        above.dismiss("once more")
        await pilot.pause()
        assert app.screen is below and answers == [("above", "yes")]
        burst(app, "escape", "escape")
        await settled(pilot)
        assert len(app.screen_stack) == 1 and app.is_running

    run(shop, script)
    assert answers == [("above", "yes"), ("below", None)]


def test_a_page_down_in_a_list_that_has_no_room_ends_nothing(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        app.push_screen(Chooser("Which?", [(str(n), f"row {n}") for n in range(50)]))
        await settled(pilot)
        sized(app, 4, 3)
        await settled(pilot)
        burst(app, "down", "down", "pagedown", "pageup")
        await settled(pilot)
        assert app.is_running and app.return_code is None

    run(shop, script)
