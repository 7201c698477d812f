"""The program: a place that cannot be made, and the exit status."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from inspect_tui.tui import app as app_module
from inspect_tui.tui.app import PLACES, InspectApp
from inspect_tui.tui.place import NoPlace
from tests.conftest import SmallShop
from tests.tui.hands import burst, settled
from tests.tui.test_place import (
    Walls,
    run,
    text_of,
    walls,  # noqa: F401  a fixture
)


def test_a_place_that_cannot_be_made_is_one_that_says_so(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(PLACES, "kit", ("Kit", "", "no_such_module", "KitScreen"))

    async def script(pilot: Pilot[int], app: InspectApp, place: Walls) -> None:
        app.go("kit")
        await settled(pilot)
        assert isinstance(app.screen, NoPlace)
        assert "Kit cannot be shown: ModuleNotFoundError" in text_of(app.screen, "#trouble")
        burst(app, "f10", "bench", "enter")
        await settled(pilot)
        assert app.place == "bench"

    run(shop, script)


@pytest.mark.parametrize("fails", [False, True])
def test_the_exit_status_is_1_only_after_a_fault(shop: SmallShop, monkeypatch: pytest.MonkeyPatch, fails: bool) -> None:
    headless = InspectApp.run

    def on_mount(self: InspectApp) -> None:
        self.call_after_refresh(self._boom if fails else self.action_leave)  # type: ignore[attr-defined]

    monkeypatch.setattr(InspectApp, "_boom", lambda self: 1 / 0, raising=False)
    monkeypatch.setattr(InspectApp, "on_mount", on_mount)
    monkeypatch.setattr(InspectApp, "run", lambda self: headless(self, headless=True))
    assert app_module.run(shop.record, shop.bench()) == (1 if fails else 0)
