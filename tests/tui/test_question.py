"""A question is answered once, whatever is typed behind the answer."""

from __future__ import annotations

from typing import Any

from textual.pilot import Pilot

from inspect_tui.tui import forms
from inspect_tui.tui.app import InspectApp
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled
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
