"""Tests of: a quick check at the bench."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.entry import Entry
from inspect_tui.tui.forms import Form
from inspect_tui.tui.gauges.check_screen import CheckScreen
from inspect_tui.tui.gauges.screen import GaugesScreen
from tests.conftest import SmallShop
from tests.tui.gauges.test_screen import fill, run, text_of, typed


def test_a_quick_check_at_the_bench_says_the_sentence_and_comes_back_with_it(shop: SmallShop) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("k")
        await pilot.pause()
        assert isinstance(app.screen, Form)  # no piece is known yet
        fill(app, size="25.000", u95="0.001")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, CheckScreen)
        await typed(pilot, "25,012")
        assert "logged  ✓ caliper 1 reads 25.012 on the 25.000 block: within its certificate" in text_of(app, "#say")
        await typed(pilot, "abc")
        assert "not a size" in text_of(app, "#say") and app.screen.query_one(Entry).value == "abc"
        await pilot.press("escape")  # clears what is typed, leaves only then
        await pilot.pause()
        assert isinstance(app.screen, CheckScreen)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, GaugesScreen)
        assert "within its certificate" in text_of(app, "#say")

    run(shop, script)
    assert [c.check.value for c in shop.record.gauge_checks(shop.caliper.of_id)] == [25.012]
