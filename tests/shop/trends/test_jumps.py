"""Repairs that nobody entered are found, and a knock is told apart from wear."""

from __future__ import annotations

import re
from datetime import timedelta

import numpy as np
import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.shop.trends.job_view import JUMP
from tests.shop.trends.test_trend import worn  # noqa: F401  a fixture
from tests.worlds.worn_box import START, WornBox


def test_a_repair_that_nobody_entered_is_found_and_taken_for_one(worn: WornBox) -> None:
    worn.wear(40, rate=0.06e-3)
    worn.wear(40, rate=0.06e-3, first_week=40, base=8000, seed=5)
    worn_trend = worn.trend()
    assert [mark.kind for mark in worn_trend.marks] == [JUMP]
    assert worn_trend.marks[0].count == pytest.approx(7900, abs=300)
    assert (
        "against wear" in worn_trend.remarks[-1]
        and "The line begins anew there; enter the repair, if it was one" in worn_trend.remarks[-1]
    )
    assert worn_trend.fit is not None and worn_trend.fit.rate.value == pytest.approx(0.06e-3, rel=0.15)
    # entered, it is a repair and no riddle any more
    worn.repair((START + timedelta(weeks=39)).isoformat(), at=7900)
    assert [mark.kind for mark in worn.trend().marks] == ["repair"]


def test_a_knock_is_told_apart_from_wear(worn: WornBox) -> None:
    worn.wear(40, rate=0.01e-3)
    worn.wear(40, rate=0.01e-3, first_week=40, start=80.95, seed=5)
    worn_trend = worn.trend()
    assert [mark.kind for mark in worn_trend.marks] == [JUMP]
    assert "with wear" in worn_trend.remarks[-1] and "a knock" in worn_trend.remarks[-1]
    assert worn_trend.fit is not None and worn_trend.fit.rate.value == pytest.approx(0.01e-3, abs=0.006e-3)
    # what nobody explained stays in the readings that surprises are looked for in
    left = worn_trend.unexplained()
    assert np.median(left[45:]) - np.median(left[:35]) == pytest.approx(0.15, abs=0.03)


def test_a_knock_is_said_in_inches(worn: WornBox) -> None:
    worn.wear(40, rate=0.01e-3)
    worn.wear(40, rate=0.01e-3, first_week=40, start=80.95, seed=5)
    (mm,), (inches,) = worn.trend().jumps, worn.trend(style=Style("in")).jumps
    amount, half = (float(figure) for figure in re.findall(r"[-+]?[0-9.]+", mm.words)[:2])
    shown = [float(figure) for figure in re.findall(r"[-+]?[0-9.]+", inches.words)[:2]]
    assert shown == pytest.approx([amount / 25.4, half / 25.4], abs=0.0003)
    assert " mm with wear" in mm.words and " in with wear" in inches.words
