"""Everyday readings of two calipers: a bias between them is found where there is enough to tell, and only there."""

from __future__ import annotations

import numpy as np
import pytest

from inspect_tui.errors import DataError
from inspect_tui.shop.common import find
from inspect_tui.shop.gauges.routine import FEWEST_IN_SERIES, between, routine
from tests.shop.feature.test_view import measured  # noqa: F401  a fixture
from tests.worlds.measured import Measured


def read(shop: Measured, lots: int, bias: float) -> None:
    """A casting of each lot, read by turns with caliper 1 and with caliper 2, which reads `bias` high."""
    rng = np.random.default_rng(5)
    for n in range(lots):
        which = n % 2
        size = round(float(59.0 + which * bias + rng.normal(0, 0.01)), 3)
        shop.on_castings([size], lot=shop.lot(f"L{n:03}"), instrument=f"caliper {1 + which}")


def test_a_bias_between_two_in_turn_is_found_with_its_size(measured: Measured) -> None:
    read(measured, 2 * FEWEST_IN_SERIES, 0.05)
    one, two = (find.instrument(measured.record, f"caliper {n}") for n in (1, 2))
    (between_two,) = routine(measured.record, measured.job, [one, two]).biases
    assert between_two.bias.differs and between_two.to_on is None
    assert between_two.bias.estimate.value == pytest.approx(0.05, abs=4 * between_two.bias.estimate.u)
    assert 0 < between_two.bias.estimate.u < 0.01
    back = between(measured.record, measured.job, two, one)
    assert back.estimate.value == pytest.approx(-between_two.bias.estimate.value)
    told = routine(measured.record, measured.job)
    assert len(told.biases) == 1  # the others read nothing
    assert any("caliper 2" in sentence and "to now" in sentence for sentence in told.sentences)


def test_calipers_that_agree_are_not_told_of(measured: Measured) -> None:
    read(measured, 2 * FEWEST_IN_SERIES, 0.0)
    everyday = routine(measured.record, measured.job)
    assert not everyday.biases[0].bias.differs and not everyday.sentences


def test_a_handful_of_readings_tells_nothing(measured: Measured) -> None:
    read(measured, FEWEST_IN_SERIES - 1, 0.05)
    everyday = routine(measured.record, measured.job)
    assert (everyday.biases, everyday.spreads, everyday.sentences) == ((), (), ())
    one, two = (find.instrument(measured.record, f"caliper {n}") for n in (1, 2))
    with pytest.raises(DataError):
        between(measured.record, measured.job, one, two)


def test_readings_on_tools_and_outside_the_days_are_left_alone(measured: Measured) -> None:
    read(measured, 2 * FEWEST_IN_SERIES, 0.05)
    measured.on_tool([70.0] * 40, instrument="caliper 2")  # another thing altogether
    (between_two,) = routine(measured.record, measured.job).biases
    assert between_two.bias.estimate.value == pytest.approx(0.05, abs=0.02)
    one, two = (find.instrument(measured.record, f"caliper {n}") for n in (1, 2))
    with pytest.raises(DataError):
        between(measured.record, measured.job, one, two, "1990-01-01", "1990-12-31")


@pytest.mark.parametrize("on_tools", [True, False])
def test_a_biased_caliper_and_a_person_who_scatters_are_found_on_tools_as_on_castings(
    measured: Measured, on_tools: bool
) -> None:
    """As planted in the demo: bench 2 reads with caliper 2, 0.05 high, and scatters three times as much."""
    rng = np.random.default_rng(7)
    for n in range(120):
        person, instrument = ("AB", "caliper 1") if n % 2 == 0 else ("IN", "caliper 2")
        scatter, bias = (0.03, 0.0) if n % 2 == 0 else (0.09, 0.05)
        size = [round(float(62.6 + 0.0002 * n + bias + rng.normal(0, scatter)), 2)]
        how = {"person": person, "instrument": instrument}
        measured.on_tool(size, **how) if on_tools else measured.on_castings(size, lot=measured.lot(f"L{n:03}"), **how)
    everyday = routine(measured.record, measured.job)
    (between_two,) = everyday.biases
    assert between_two.bias.differs and between_two.bias.estimate.value == pytest.approx(0.05, abs=0.03)
    assert between_two.bias.mixed_with_people
    (wide,) = [s for s in everyday.spreads if s.stands_out]
    assert wide.person == "IN" and wide.s == pytest.approx(0.09, abs=0.03)


def test_two_tools_are_two_series(measured: Measured) -> None:
    """A size on the stick and on the box that was made from it differ by more than any gauge."""
    for n in range(2 * FEWEST_IN_SERIES):
        on = ("stick 1", "box 1")[n % 2]
        measured.on_tool([62.6 + n % 2 + 0.01 * (n % 3)], on=on, instrument=f"caliper {1 + n % 2}")
    assert not routine(measured.record, measured.job).biases
