"""What the Gauges place says, as text."""

from __future__ import annotations

import pytest
from textual.pilot import Pilot

from inspect_tui.frozen import replace
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.gauges import GaugeCheck, InstrumentBias
from inspect_tui.shop.gauges import instruments as gauges
from inspect_tui.shop.gauges import pooled
from inspect_tui.shop.gauges.pooled import Pooled
from inspect_tui.shop.gauges.routine import Routine
from inspect_tui.tui.app import InspectApp
from inspect_tui.tui.gauges import text
from tests.conftest import SmallShop
from tests.tui.gauges.test_screen import (
    run,
    text_of,
    until,
)
from tests.worlds.many_hands import ManyHands, by_turns
from tests.worlds.many_hands import shop as shop_of_many


@pytest.fixture(scope="module")
def many(tmp_path_factory: pytest.TempPathFactory) -> ManyHands:
    """A shop in which caliper G0 reads 0.048 and P1 0.033 more than all others; it is only read."""
    made = shop_of_many(tmp_path_factory.mktemp("many") / "many.db")
    made.read(by_turns(made.sizes, 1, 0.048, 0.033))
    return made


def test_everyday_readings_name_gauge_and_person_and_offer_the_gauge_as_a_bias(many: ManyHands) -> None:
    read_off = pooled.look(many.record)
    g0, g1 = (many.gauges[i].of_id for i in (0, 1))
    said = str(text.daily(Routine((), (), ("one job",)), read_off, "", 80, chosen=g0))
    assert "• caliper G0 reads 0.046 higher than the others, over 74 sizes (+0.04" in said
    assert "• P1 reads 0.033 more than the others, over 69 sizes" in said
    assert said.count("b traces it back over the readings; y then records it as a bias") == 1
    assert said.index("caliper G0") < said.index("b traces") < said.index("P1") < said.index("• one job")
    assert "b traces" not in str(text.daily(None, read_off, "", 80, chosen=g1))
    assert "caliper G0 reads 0.0018 higher" in str(text.daily(None, read_off, "", 80, Style("in")))


def test_everyday_readings_that_agree_say_so_and_a_wait_is_told() -> None:
    said = str(text.daily(Routine((), (), ()), Pooled(looked_at=7), "", 80))
    assert "Nothing stands out over all sizes: 7 gauges and people compared with the others.\n" in said
    assert "Nothing stands out, or there are too few" in said
    assert "looking through the readings" in str(text.daily(None, None, "", 80))


def test_an_instrument_that_reads_off_says_so_beside_its_certificates(many: ManyHands) -> None:
    read_off = pooled.look(many.record)
    line = gauges.line(many.record, many.gauges[0])
    said = str(text.about(line, (), (), 80, pooled=read_off.of(many.gauges[0])))
    assert (
        "everyday readings over all sizes\n  caliper G0 reads 0.046 higher than the others, over 74 sizes: b " in said
    )
    assert "everyday readings" not in str(text.about(line, (), (), 80))


def test_a_bias_without_an_end_holds_from_its_day_on_also_when_that_is_to_come(shop: SmallShop) -> None:
    ended = InstrumentBias(
        instrument_of_id=shop.caliper.of_id,
        from_on="2026-01-01",
        to_on="2026-02-01",
        bias_mm=0.05,
        u_mm=0.0,
        why="seen",
        found_from="stated",
    )
    shop.record.add_all([ended, replace(ended, from_on="2999-01-01", to_on=None)], shop.ab.id)
    said = str(text.about(gauges.line(shop.record, shop.caliper), (), (), 80))
    assert "from 2026-01-01 to 2026-02-01: seen" in said and "from 2999-01-01 on: seen" in said


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
