"""Alarms on the sizes of castings: what raises one, and what only is told."""

from __future__ import annotations

from datetime import timedelta

import numpy as np

from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_a_size_of_the_castings_alone_has_alarms_and_no_wear_line(worn: WornBox) -> None:
    rng = np.random.default_rng(3)
    for n in range(90):
        worn.lot(f"L{n:02}", (START + timedelta(days=2 * n)).isoformat())
        worn.item(400.0 + rng.normal(0, 0.05) - (0.3 if n >= 60 else 0.0), "L", "casting", f"L{n:02}")
    worn_trend = worn.trend("L", None)
    assert worn_trend.fit is None and worn_trend.alarms
    first = worn_trend.main.words(worn_trend.alarms[-1].first)
    assert first in {f"lot L{n}" for n in range(58, 67)} and "below" in worn_trend.alarms[-1].words


def test_a_slip_on_a_casting_raises_no_alarm_but_is_told(worn: WornBox) -> None:
    rng = np.random.default_rng(4)
    for n in range(60):
        value = 402.1 if n == 3 else 15.75 if n == 30 else 400.0 + rng.normal(0, 0.05)
        worn.item(value, "L", "casting")
    worn_trend = worn.trend("L", None)
    assert not worn_trend.alarms
    assert any("402.1, 15.75" in remark and "slip" in remark for remark in worn_trend.remarks)
