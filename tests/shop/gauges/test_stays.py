"""One setup for each change of who, with what, on which day and how warm, with the certificate of its day."""

from __future__ import annotations

from inspect_tui.model.measuring import Calibration
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges.stays import Stays
from tests.conftest import TODAY, SmallShop


def test_each_change_is_a_setup_and_the_same_again_is_not(shop: SmallShop) -> None:
    stays = Stays(shop.record, b"s" * 16, TODAY, instrument_c=19.0, state="finished")
    other, gauge = find.person(shop.record, "IN"), find.instrument(shop.record, "caliper 2")
    asked = [
        (shop.ab, shop.caliper, TODAY, None),
        (other, shop.caliper, TODAY, None),
        (shop.ab, gauge, TODAY, None),
        (shop.ab, shop.caliper, "2026-02-01", None),
        (shop.ab, shop.caliper, TODAY, 31.0),
    ]
    ids = [stays.at(*one) for one in asked]
    made = stays.begun()
    assert [setup.id for setup in made] == ids and len(set(ids)) == 5
    assert [stays.at(*one) for one in asked] == ids and stays.begun() == []
    first, by_other, with_other, earlier, warm = made
    assert {setup.session_id for setup in made} == {b"s" * 16}
    assert {(setup.instrument_c, setup.state) for setup in made} == {(19.0, "finished")}
    assert (first.person_id, by_other.person_id) == (shop.ab.id, other.id)
    assert (first.instrument_id, with_other.instrument_id) == (shop.caliper.id, gauge.id)
    assert (first.on_date, earlier.on_date) == (None, "2026-02-01")
    assert (first.work_c, warm.work_c) == (None, 31.0)


def test_the_certificate_is_that_of_the_day(shop: SmallShop) -> None:
    (old,) = shop.record.calibrations(shop.caliper.of_id)
    new = shop.record.add(Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-02-10", u95_mm=0.03))
    stays = Stays(shop.record, b"s" * 16, TODAY)
    for day in ("2026-01-04", "2026-01-05", "2026-02-09", "2026-02-10", TODAY):
        stays.at(shop.ab, shop.caliper, day)
    assert [setup.calibration_id for setup in stays.begun()] == [None, old.id, old.id, new.id, new.id]
