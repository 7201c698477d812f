"""Sand cores at the Kit place: opened by a form, refused in it, and nothing to see while there are none."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.shop.answers import sand_cores
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from inspect_tui.tui.kit.screen import KitScreen
from tests.tui.kit.test_screen import filled, made, run, text_of, until  # noqa: F401  (made is a fixture)
from tests.worlds.kit_jobs import Kit


def test_sand_cores_are_opened_for_the_core_that_is_looked_at(made: Kit) -> None:
    async def script(pilot: Pilot[int], app: InspectApp, screen: KitScreen) -> None:
        await pilot.press("y")
        await pilot.pause()
        await pilot.press("up", "enter")
        await pilot.pause()
        assert "There are no sand cores yet" in text_of(screen, "#say")
        await pilot.press("down", "down", "y")
        await pilot.pause()
        await pilot.press(*"open", "enter")
        await pilot.pause()
        if not isinstance(app.screen, Form):  # who opens them
            await pilot.press("enter")
            await pilot.pause()
        assert isinstance(app.screen, Form)
        assert app.screen.query_one("#field-core").value == "1"  # type: ignore[attr-defined]
        await filled(pilot, app, marks="A-7 a-7")
        assert "named twice" in str(app.screen.query_one("#wrong").render())  # type: ignore[attr-defined]
        await filled(pilot, app, marks="A-7 A-8", cavity="left")
        await until(pilot, lambda: "A-7, A-8 of core 1 opened" in text_of(screen, "#say"))

    run(made, script)
    assert [(s.item.serial, s.core.number) for s in sand_cores.listed(made.record, made.job)] == [
        ("A-7", 1),
        ("A-8", 1),
    ]
