"""The demo's kit: its fits are the scenario's, its shipment what the scenario lists."""

from __future__ import annotations

from inspect_tui.demo import scenario, write_kit
from inspect_tui.demo import workshop as shop
from inspect_tui.record.store import Record


def test_every_fit_of_the_scenario_is_in_the_record_with_its_limits(record: Record) -> None:
    job = record.jobs()[0]
    fits = {f.name: f for f in record.fits(job.of_id)}
    for fact in scenario.FITS:
        for place in fact.places:
            fit = fits.pop(f"{fact.number}-{place}" if place else fact.number)
            assert (fit.clear_min_mm, fit.clear_max_mm) == (fact.low, fact.high)
            assert fit.axis in fact.axes
            assert (fit.gap_feature_id is None) == (fact.male_size is not None)
    assert set(fits) == {"J1-X", "J1-Y"}


def test_what_was_shipped_is_what_the_scenario_lists(record: Record) -> None:
    job = record.jobs()[0]
    ((shipment, lines),) = record.shipments(job.of_id)
    assert (shipment.to_whom, shipment.done_on) == (write_kit.TO_WHOM, write_kit.SHIPPED_ON.isoformat())
    assert tuple(line.what for line in lines) == shop.SHIPPING
    counted = {line.what.split(" with ")[0]: line.loose_pieces for line in lines if line.tool_of_id}
    assert counted["box 3"] == 4 and counted["box 5"] == 2 and counted["box 6"] == 1
