"""Instruments that read apart are levelled, and one that took over for good is not told from a step."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.trends.instruments_apart import Offset
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_an_instrument_that_reads_apart_is_levelled_in_the_line_but_not_in_the_chart(worn: WornBox) -> None:
    from inspect_tui.model.measuring import Instrument

    other = worn.record.add(Instrument(label="caliper 2", range_hi=1000.0), worn.ab.id)
    rng = np.random.default_rng(6)
    for week in range(60):
        made = 200 * week
        worn.count(made, worn.go(START + timedelta(weeks=week)))
        second = week % 2 == 1 and week < 40  # used in turn, until it was put away
        if second:
            worn.caliper, other = other, worn.caliper
        worn.read(80.80 + 0.02e-3 * made + (0.10 if second else 0.0) + rng.normal(0, 0.02))
        if second:
            worn.caliper, other = other, worn.caliper
    worn_trend = worn.trend()
    assert worn_trend.fit is not None and worn_trend.fit.rate.value == pytest.approx(0.02e-3, abs=0.003e-3)
    assert worn_trend.remarks[-1].startswith("caliper 2 reads 0.1") and "above caliper 1" in worn_trend.remarks[-1]
    assert (
        max(worn_trend.main.value[1:40:2] - 80.80 - 0.02e-3 * worn_trend.main.count[1:40:2]) > 0.10
    )  # as they were read


def test_an_instrument_that_took_over_for_good_is_not_told_from_a_step(worn: WornBox) -> None:
    from inspect_tui.model.measuring import Instrument

    worn.wear(20)
    worn.caliper = worn.record.add(Instrument(label="caliper 2", range_hi=1000.0), worn.ab.id)
    worn.wear(20, first_week=20, start=80.82)
    assert not any("reads" in remark for remark in worn.trend().remarks)


def test_how_far_an_instrument_lies_off_is_said_in_the_style_asked_for() -> None:
    apart = Offset("caliper 2", "caliper 1", -0.127, 0.0127, ())  # 0.005 and twice 0.0005 in
    assert apart.words().startswith("caliper 2 reads 0.13 ± 0.03 below caliper 1: taken out of the wear line")
    assert apart.words(Style("in")).startswith("caliper 2 reads 0.0050 ± 0.0010 below caliper 1")
