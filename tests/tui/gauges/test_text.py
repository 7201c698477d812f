"""What the Gauges place says, as text."""

from __future__ import annotations

from textual.pilot import Pilot

from inspect_tui.model.gauges import GaugeCheck
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.tui.app import InspectApp
from tests.conftest import SmallShop
from tests.tui.gauges.test_screen import (
    run,
    text_of,
    until,
)


def test_the_course_of_the_checks_is_drawn_and_said(shop: SmallShop) -> None:
    setup = gauges.gauge_setup(shop.record, shop.ab, shop.caliper, "checks")
    values = [50.0 + 0.01 * (n * 7 % 5 // 2) + (0.06 if n > 11 else 0.0) for n in range(24)]
    shop.record.add_all(
        [
            GaugeCheck(setup_id=setup, reference="block 50", reference_mm=50.0, value=v, typed=f"{v:.2f}")
            for v in values
        ],
        shop.ab.id,
    )

    async def script(pilot: Pilot[int], app: InspectApp) -> None:
        await pilot.press("h")
        await until(pilot, lambda: "from reading 13 on" in " ".join(text_of(app, "#body").split()))
        body = text_of(app, "#body")
        assert "+allowed" in body and "◆" in body and "check →" in body

    run(shop, script)
