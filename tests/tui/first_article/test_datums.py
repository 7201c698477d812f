"""Datum targets on the First article place."""

from __future__ import annotations

from inspect_tui.shop.common import find
from tests.conftest import SmallShop
from tests.tui.first_article.test_screen import (
    small,
    text,
)


def test_datum_targets_are_named_changed_and_taken_away(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")

    async def fill(pilot, app, **values: str) -> None:
        for key, value in values.items():
            app.screen.query_one(f"#field-{key}").value = value
        await pilot.press("ctrl+s")
        await pilot.pause()

    async def script(pilot, app, screen) -> None:
        await pilot.press("ctrl+d")
        await pilot.pause()
        await pilot.press("enter")  # there is none yet: a new one
        await pilot.pause()
        await fill(pilot, app, label="A1")
        assert "say where it stands" in str(app.screen.query_one("#wrong").render())
        await fill(pilot, app, x="20", y="30", name="[b]pad[/b]")
        assert "Datum target A1" in text(app, "#say")
        await pilot.press("ctrl+d")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert app.screen.query_one("#field-x").value == "20"
        await fill(pilot, app, use="no")
        assert "taken away" in text(app, "#say")

    small(shop, script)
    assert shop.record.datum_targets(job.of_id) == []
