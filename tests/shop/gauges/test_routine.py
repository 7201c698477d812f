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
