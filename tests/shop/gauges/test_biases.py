"""A bias taken back: it stays in the record, and readings count as they were read again."""

from __future__ import annotations

import pytest

from inspect_tui.errors import NotFound
from inspect_tui.metrology.typed.fields import Wrong
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Instrument
from inspect_tui.shop.common.evidence import Evidence
from inspect_tui.shop.gauges import biases
from tests.conftest import SmallShop
from tests.worlds.measured import Measured


def known(shop: SmallShop, from_on: str = "2026-01-01", off: float = 0.05, to_on: str | None = None) -> InstrumentBias:
    made: InstrumentBias = shop.record.add(
        InstrumentBias(
            instrument_of_id=shop.caliper.of_id,
            from_on=from_on,
            to_on=to_on,
            bias_mm=off,
            u_mm=0.01,
            why="block",
            found_from="stated",
        )
    )
    return made


def test_what_was_taken_back_stays_on_record_and_corrects_nothing(shop: SmallShop) -> None:
    bias, setup = known(shop), Measured(shop).setup()
    assert Evidence(shop.record).gauges.bias(setup, "2026-03-10") == bias
    made = biases.taking_back(bias, {"why": " the wrong block "})
    assert isinstance(made, InstrumentBias)
    shop.record.add(made)
    assert Evidence(shop.record).gauges.bias(setup, "2026-03-10") is None
    (left,) = shop.record.biases(shop.caliper.of_id)
    assert (left.instead_of_id, left.bias_mm, left.why, left.to_on) == (bias.id, 0.0, "the wrong block", None)
    assert biases.said(shop.caliper, left) == "none, 2026-01-01 to now: taken back"
    assert biases.in_force([left]) == []
    known(shop, "2026-01-01", 0.03)  # entered anew, with what it really was
    now = Evidence(shop.record).gauges.bias(setup, "2026-03-10")
    assert now is not None and now.bias_mm == 0.03


def test_which_of_several_is_said_by_its_first_day(shop: SmallShop) -> None:
    with pytest.raises(NotFound, match="No bias of caliper 1 is on record"):
        biases.pick(shop.record, shop.caliper, None)
    early = known(shop, "2025-01-01", -0.02, "2025-06-30")
    assert biases.pick(shop.record, shop.caliper, None).id == early.id
    late, again = known(shop), known(shop, off=0.06)
    with pytest.raises(NotFound, match="has 3 biases on record; say by its first day which: reads"):
        biases.pick(shop.record, shop.caliper, None)
    assert biases.pick(shop.record, shop.caliper, "2025-01-01").id == early.id
    assert biases.pick(shop.record, shop.caliper, "2026-01-01").id == again.id != late.id
    with pytest.raises(NotFound, match="No bias of caliper 1 began on 2026-02-01"):
        biases.pick(shop.record, shop.caliper, "2026-02-01")


@pytest.mark.parametrize(("why", "sentence"), [("  ", "why: say in a few words"), ("x" * 401, "at most 400 fit")])
def test_without_a_reason_nothing_is_taken_back(shop: SmallShop, why: str, sentence: str) -> None:
    wrong = biases.taking_back(known(shop), {"why": why})
    assert isinstance(wrong, Wrong) and sentence in str(wrong)


def test_it_is_said_what_follows_in_the_unit_of_the_gauge(shop: SmallShop) -> None:
    bias = known(shop, off=-0.05, to_on="2026-02-01")
    assert biases.said(shop.caliper, bias) == "reads 0.05 mm low, 2026-01-01 to 2026-02-01"
    assert biases.after(shop.caliper, bias).startswith("Taken back: caliper 1 0.05 mm low, 2026-01-01 to 2026-02-01.")
    protractor = Instrument(label="protractor", unit="deg")
    assert "0.05" in biases.said(protractor, bias) and "deg" in biases.said(protractor, bias)
