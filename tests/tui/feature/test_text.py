"""What the Feature place says, as text."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.tui.app import InspectApp
from tests.tui.feature.test_screen import (
    bench_on_f1,
    choose,
    measured,  # noqa: F401  a fixture
    ready,
    run,
    text_of,
)
from tests.worlds.measured import Measured


def test_every_page_says_its_thing(measured: Measured) -> None:
    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("ctrl+f")
        await ready(pilot, app)
        await choose(pilot, "o", "castings")
        await ready(pilot, app)
        await pilot.press("2")
        assert "All 5 inside the band" in text_of(app) and "counts on the right" in text_of(app)
        await pilot.press("3")
        who = text_of(app)
        assert "person" in who and "IN" in who and "lot" in who and "L2" in who and "casting" in who
        await pilot.press("4")
        rows = text_of(app)
        assert "5 readings, 0 not counted" in rows and "59.40  IN" in rows and "C5" in rows
        await pilot.press("5")
        await ready(pilot, app, "budget")
        budget = text_of(app)
        assert "casting C5 with caliper 1" in budget and "calibration" in budget and "U = 0.0" in budget
        await pilot.press("6")
        tells = text_of(app)
        assert "no capability is claimed" in tells and "they rest on" in tells
        await pilot.press("tab")
        assert "individuals" in text_of(app)
        await pilot.press("shift+tab")
        assert "they rest on" in text_of(app)

    run(bench_on_f1(measured), measured.shop, script)
