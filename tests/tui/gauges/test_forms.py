"""What the Gauges place asks for: a certificate, a bias."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.shop.common import find
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.forms import Form
from inspect_tui.tui.gauges.screen import GaugesScreen
from tests.conftest import SmallShop
from tests.tui.gauges.test_screen import (
    choose,
    fill,
    run,
    text_of,
    until,
)


def test_a_certificate_is_added_and_the_bench_knows_it_at_once(shop: SmallShop) -> None:
    old = find.instrument(shop.record, "caliper 2")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        assert app.bench
        app.bench.set_instrument(old)
        assert app.bench.means and app.bench.means.calibration is None
        await choose(pilot, app, "caliper 2")
        await pilot.press("c")
        await pilot.pause()
        fill(app, done="2026-03-01", u95="zero")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, Form) and "U: " in text_of(app, "#wrong")
        fill(app, u95="0.03")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, GaugesScreen) and "U 0.03 mm" in text_of(app, "#say")
        assert app.bench.means.calibration is not None and app.bench.means.u95() == 0.03

    run(shop, script)


def test_a_bias_typed_by_hand_lists_what_it_changes(shop: SmallShop) -> None:
    bench = shop.bench()
    bench.goto("F2")
    bench.take("40.59")

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("t")
        await pilot.pause()
        fill(app, bias="abc")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "not a size" in text_of(app, "#wrong")
        fill(app, bias="+0.05")
        await pilot.press("ctrl+s")
        await until(pilot, lambda: "1 verdict changes" in " ".join(text_of(app, "#body").split()))
        assert "? → ✓" in text_of(app, "#body")  # by symbol, where words do not fit

    run(shop, script)


def test_a_recorded_bias_is_taken_back_with_why(shop: SmallShop) -> None:
    for day, off in (("2025-01-01", 0.02), ("2026-01-01", 0.05)):
        shop.record.add(
            InstrumentBias(
                instrument_of_id=shop.caliper.of_id,
                from_on=day,
                bias_mm=off,
                u_mm=0.01,
                why="block",
                found_from="stated",
            )
        )

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await choose(pilot, app, "caliper 2")
        await pilot.press("x")
        await pilot.pause()
        assert "No bias of caliper 2 is on record" in text_of(app, "#say")
        await choose(pilot, app, "caliper 1")
        assert "x takes one back" in text_of(app, "#body")
        await pilot.press("x")
        await pilot.pause()
        await pilot.press("enter")  # the newest stands first
        await pilot.pause()
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert isinstance(app.screen, Form) and "why" in text_of(app, "#wrong")
        fill(app, why="the wrong block")
        await pilot.press("ctrl+s")
        await pilot.pause()
        assert "Taken back: caliper 1" in text_of(app, "#say")
        assert "taken back: from 2026-01-01" in " ".join(text_of(app, "#body").split())
        assert app.bench and app.bench.means and app.bench.means.bias and app.bench.means.bias.bias_mm == 0.02

    run(shop, script)
    assert [bias.bias_mm for bias in shop.record.biases(shop.caliper.of_id)] == [0.02, 0.0]
