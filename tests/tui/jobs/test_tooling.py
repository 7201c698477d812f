"""On the Jobs place tools and cores are entered with lists to choose from, one like another, and more is said of them."""

from __future__ import annotations

from textual.pilot import Pilot
from textual.widgets import Input

from inspect_tui.shop.jobs.by_row import row_form
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from tests.conftest import SmallShop
from tests.tui.jobs.test_changes import _narrow, _settle
from tests.tui.jobs.test_screen import fill, run, text_of


def test_tools_are_entered_one_like_another_and_details_said_later(shop: SmallShop) -> None:
    job = shop.record.job("SV-12")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("t")
        await _settle(pilot)
        await fill(pilot, app, {"label": "piece 1"})
        app.screen.query_one("#field-kind", Input).focus()
        await pilot.press("ctrl+l")
        await _settle(pilot)
        await _narrow(pilot, app, "loose")
        assert app.screen.query_one("#field-kind", Input).value == "loose_piece"
        await fill(pilot, app, {"core": "1", "mark": "red"})
        await pilot.press("ctrl+g")
        await _settle(pilot)
        assert "tool piece 1 added. Another like it" in text_of(app, "#wrong").replace("Tool", "tool")
        assert app.screen.query_one("#field-label", Input).value == "piece 2"
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert not isinstance(app.screen, Form)
        await pilot.press("d")
        await _settle(pilot)
        await _narrow(pilot, app, "piece 2")
        assert app.screen.query_one("#field-mark", Input).value == "red"
        await fill(pilot, app, {"weight_kg": "850 g", "dowels": "x"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "dowels: " in text_of(app, "#wrong")
        await fill(pilot, app, {"dowels": "2"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "weight_kg nothing → 0.85" in text_of(app, "#say")

    run(shop, script)
    made = {tool.label: tool for tool in shop.record.tools(job.of_id)}
    assert {"piece 1", "piece 2"} <= set(made) and made["piece 2"].kind == "loose_piece"
    assert shop.record.tool_details(job.of_id)[made["piece 2"].of_id].dowels == 2


def test_a_core_and_the_mould_are_entered_on_the_screen(shop: SmallShop) -> None:
    job = shop.record.job("SV-12")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("k")
        await _settle(pilot)
        await _narrow(pilot, app, "new core")
        await pilot.press("ctrl+n")  # as core 1, with the next number
        await _settle(pilot)
        await _narrow(pilot, app, "1")
        assert app.screen.query_one("#field-number", Input).value == "2"
        await fill(pilot, app, {"name": "second", "body": "0 1 0 1 0 1"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        await pilot.press("k")
        await _settle(pilot)
        await _narrow(pilot, app, "outline")
        await fill(pilot, app, {"x": "0 to 640", "y": "0 200", "z": "0..190"})
        await pilot.press("ctrl+s")
        await _settle(pilot)
        assert "Mould added" in text_of(app, "#say")
        await pilot.press("k")
        await _settle(pilot)
        await _narrow(pilot, app, "second")
        assert app.screen.query_one("#field-body", Input).value == "0 1 0 1 0 1"

    run(shop, script)
    assert [core.name for core in shop.record.cores(job.of_id) if core.number == 2] == ["second"]
    assert row_form.first(shop.record, job, "mould")["x"] == "0 to 640"
