"""What a reading was made with: instrument, certificate and study as they stood then, in those hands."""

from __future__ import annotations

import time

import pytest

from inspect_tui.frozen import replace
from inspect_tui.model.gauges import InstrumentBias, InstrumentState
from inspect_tui.model.measuring import Calibration, Instrument, Person
from inspect_tui.record.chain.ids import IdMaker
from inspect_tui.shop.common import find
from inspect_tui.shop.common.gauges_then import GaugesThen, known_by, read_badly
from tests.conftest import TODAY, SmallShop
from tests.shop.common.test_study_feed import line_of, measured
from tests.worlds.measured import Measured


def test_the_hands_make_the_difference(shop: SmallShop) -> None:
    measured(shop, None)
    other = find.person(shop.record, "IN")
    ab, inspector = shop.bench(), shop.bench()
    inspector.set_person(other)
    u_ab = line_of(ab, "F1", "59.60").judged.budget.u
    u_in = line_of(inspector, "F1", "59.60").judged.budget.u
    assert u_in > u_ab + 0.01


def test_a_setup_has_the_certificate_that_it_names_and_not_a_later_one(shop: SmallShop) -> None:
    setup = Measured(shop).setup()
    shop.record.add(Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-03-01", u95_mm=0.09))
    gauges = GaugesThen(shop.record)
    named = gauges.means(setup, "2026-03-10").calibration
    assert named is not None and (named.done_on, named.u95_mm) == ("2026-01-05", 0.04)
    assert gauges.means(replace(setup, calibration_id=None), "2026-03-10").calibration is None


def test_who_came_since_is_known_after_reading_again(shop: SmallShop) -> None:
    setup, gauges = Measured(shop).setup(), GaugesThen(shop.record)
    newcomer = shop.record.add(Person(initials="NN"))
    theirs = replace(setup, person_id=newcomer.id)
    assert gauges.knows(setup) and not gauges.knows(theirs)
    gauges.reload()
    assert gauges.knows(theirs)
    assert not gauges.knows(replace(setup, instrument_id=b"?")) and not gauges.knows(
        replace(setup, calibration_id=b"?")
    )


@pytest.mark.parametrize(("day", "held"), [("2026-02-01", True), ("2026-01-10", False), ("2026-02-21", False)])
def test_a_bias_holds_from_day_to_day_and_only_for_who_knew_it(shop: SmallShop, day: str, held: bool) -> None:
    setup = Measured(shop).setup()
    before = time.time_ns() // 1000 - 60_000_000
    shop.record.add(
        InstrumentBias(
            instrument_of_id=shop.caliper.of_id,
            from_on="2026-01-20",
            to_on="2026-02-20",
            bias_mm=0.05,
            u_mm=0.004,
            why="jaw bent",
            found_from="check piece",
        )
    )
    known = GaugesThen(shop.record)
    bias = known.bias(setup, day)
    assert (bias is not None and bias.bias_mm == 0.05) == held
    assert known.means(setup, day).bias == bias
    assert GaugesThen(shop.record, until_us=before).bias(setup, day) is None  # it came to light later


def test_readings_with_a_gauge_that_is_out_of_use_are_named(shop: SmallShop) -> None:
    made = Measured(shop)
    readings = made.on_tool([60.0, 60.1]) + made.on_tool([60.2], instrument="caliper 2")
    state = InstrumentState(instrument_of_id=shop.caliper.of_id, state="out_of_use", since_on="2000-01-01", why="bent")
    shop.record.add(state)
    bad = read_badly(GaugesThen(shop.record), shop.record.readings(limit=10))
    assert bad == {reading.id for reading in readings[:2]}


def test_a_row_tells_when_it_was_written() -> None:
    row = (1_000).to_bytes(6, "big") + bytes(10)  # RFC 9562: 48 bits of milliseconds stand first
    assert known_by(row, None) and known_by(row, 1_000_000) and not known_by(row, 999_999)


def known(shop: SmallShop, **changes: object) -> InstrumentBias:
    plain = {"from_on": "2026-01-20", "bias_mm": 0.05, "u_mm": 0.004, "why": "jaw bent", "found_from": "check piece"}
    return shop.record.add(InstrumentBias(instrument_of_id=shop.caliper.of_id, **(plain | changes)))


def at(shop: SmallShop, now_us: int) -> None:
    """It is that moment (microseconds UTC) for the rows that come: their ids tell it."""
    shop.record._ids = IdMaker(lambda: (now_us, 0))


def test_a_bias_that_was_taken_back_later_was_known_till_then(shop: SmallShop) -> None:
    setup, first = Measured(shop).setup(), known(shop)
    now = time.time_ns() // 1000
    at(shop, now + 60_000_000)
    known(shop, bias_mm=0.0, instead_of_id=first.id)
    assert GaugesThen(shop.record).bias(setup, "2026-03-01") is None
    then = GaugesThen(shop.record, until_us=now + 30_000_000).bias(setup, "2026-03-01")
    assert then is not None and then.id == first.id


def test_an_adjusting_ends_the_bias_of_its_own_gauge_once_it_is_known(shop: SmallShop) -> None:
    setup = Measured(shop).setup()
    known(shop)
    other = find.instrument(shop.record, "caliper 2")
    shop.record.add(Calibration(instrument_of_id=other.of_id, done_on="2026-02-01", result="adjusted", u95_mm=0.04))
    assert GaugesThen(shop.record).bias(setup, "2026-03-01") is not None
    now = time.time_ns() // 1000
    at(shop, now + 60_000_000)
    own = {"done_on": "2026-02-01", "result": "adjusted", "u95_mm": 0.04}
    shop.record.add(Calibration(instrument_of_id=shop.caliper.of_id, **own))
    assert GaugesThen(shop.record).bias(setup, "2026-03-01") is None
    assert GaugesThen(shop.record, until_us=now + 30_000_000).bias(setup, "2026-03-01") is not None


def test_means_are_those_of_the_certificate_and_the_day(shop: SmallShop) -> None:
    setup = Measured(shop).setup()
    later = shop.record.add(Calibration(instrument_of_id=shop.caliper.of_id, done_on="2026-03-01", u95_mm=0.09))
    known(shop, from_on="2026-02-20")
    gauges = GaugesThen(shop.record)
    assert [gauges.means(setup, day).bias is None for day in ("2026-03-10", "2026-02-01")] == [False, True]
    assert gauges.means(replace(setup, calibration_id=later.id), "2026-03-10").u95() == 0.09
    assert gauges.means(setup, "2026-03-10").u95() == 0.04
    # measured on a day that was said, before the certificate: it says nothing of that day
    assert gauges.means(setup, "2025-12-01").calibration is None


def test_what_came_to_light_meanwhile_is_known_after_reading_again(shop: SmallShop) -> None:
    setup, gauges = Measured(shop).setup(), GaugesThen(shop.record)
    assert gauges.bias(setup, "2026-03-01") is None and not gauges.biased(setup)
    known(shop)
    gauges.reload()
    assert gauges.bias(setup, "2026-03-01") is not None and gauges.biased(setup)


def test_the_study_of_a_gauge_speaks_for_its_later_versions(shop: SmallShop) -> None:
    measured(shop, None)
    setup = Measured(shop).setup()
    setup = replace(setup, instrument_id=shop.record.revise(shop.caliper, label="caliper 1a").id)
    feature = next(task.feature for task in shop.bench().tasks if task.feature.balloon == "F1")
    assert GaugesThen(shop.record).fed(setup, "2026-03-10", feature).study is not None


def test_a_gauge_at_hand_is_looked_up_alone_and_one_that_came_meanwhile_too(shop: SmallShop) -> None:
    gauges, asked = GaugesThen(shop.record), []
    shop.record._con.set_trace_callback(asked.append)

    def checks() -> list[str]:
        said = [sql for sql in asked if "gauge_check t" in sql]
        asked.clear()
        return said

    means = gauges.at_hand(shop.caliper, TODAY)
    assert means.calibration is not None and means.calibration.u95_mm == 0.04
    (alone,) = checks()
    new = shop.record.add(Instrument(label="caliper 9", kind="caliper", unit="mm", resolution=0.01))
    shop.record.add(Calibration(instrument_of_id=new.of_id, done_on="2026-03-01", u95_mm=0.02))
    assert gauges.at_hand(new, TODAY).u95() == 0.02
    assert len(checks()) == 1
    assert gauges.at_hand(shop.caliper, TODAY).u95() == 0.04  # the second one: now those of all are read
    (of_all,) = checks()
    assert "i.of_id = " in alone and "i.of_id = " not in of_all
    assert gauges.at_hand(find.instrument(shop.record, "caliper 2"), TODAY).calibration is None and not checks()
    shop.record._con.set_trace_callback(None)
