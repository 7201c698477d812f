"""How often the interval for the cores left holds, in worlds that a plain line does not know of.

Few boxes at every run; `python -m tests.benchmarks.wear_worlds 1000` makes the table that stands in the module.
"""

from __future__ import annotations

from math import isfinite

import numpy as np
import pytest

from tests.amounts import some
from tests.benchmarks.wear_worlds import WORLDS, answer, score

BOXES = some(24, 120)
LEAST = some(83, 90) / 100  # 2.5 standard errors of so many boxes below 95 %


AT_EVERY_RUN = ("straight", "4 visits", "lag 0.6", "a slip flagged", "speeds up, 0 to 2", "slows down, 1.6 to 0.4")


@pytest.mark.parametrize("name", [name for name in WORLDS if "late" not in name] if some(0, 1) else AT_EVERY_RUN)
def test_the_interval_holds_in_every_world(name: str) -> None:
    assert score(name, BOXES, seed=7).holds >= LEAST


def test_of_wear_that_comes_late_it_is_said_that_nobody_can_tell() -> None:
    scored = score("late, 11 visits", some(20, 120), seed=4)
    assert scored.open >= 0.95 and scored.endless[0] >= 0.9


@pytest.mark.parametrize("name", ["straight", "repeats, day effects", "a good reading flagged", "10 visits"])
def test_where_wear_is_straight_the_straight_interval_holds_and_is_not_for_show(name: str) -> None:
    scored = score(name, BOXES, seed=9)
    assert scored.straight_holds >= 0.87 and scored.ends > 0.85 and scored.bent <= 0.05


def test_a_good_reading_that_was_flagged_does_not_narrow_the_interval() -> None:
    rng = np.random.default_rng(3)
    ratios = []
    for _ in range(25):
        world = WORLDS["a good reading flagged"](rng)
        flagged = answer(world)[1]
        world.in_question = None
        whole = answer(world)[1]
        ends = [left.straight or (left.low, left.high) for left in (flagged, whole)]
        if all(isfinite(high) for _, high in ends):
            ratios.append((ends[0][1] - ends[0][0]) / (ends[1][1] - ends[1][0]))
    # the worst of a score of good readings, left out for sure, would take a fifth off
    assert len(ratios) > 15 and float(np.median(ratios)) > 0.85


def test_a_slip_that_was_flagged_is_left_out() -> None:
    rng = np.random.default_rng(5)
    out = 0
    for _ in range(25):
        world = WORLDS["a slip flagged"](rng)
        fit, _ = answer(world)
        out += bool(fit.flagged)
    assert out >= 20


def test_bent_wear_is_said_to_bend_where_readings_are_good_enough() -> None:
    rng = np.random.default_rng(6)
    said = []
    for _ in range(20):
        world = WORLDS["speeds up, 0.4 to 1.6"](rng)
        world.y = 0.3 * (0.4 * world.x / 1e4 + 0.6 * (world.x / 1e4) ** 2) + rng.normal(0, 0.0008, len(world.x))
        fit, left = answer(world)
        said.append((fit.bent, left.low <= 1e4 - float(world.x[-1]) <= left.high))
    # not where hardly more than a third of its life was seen
    assert sum(words == "speeds up" for words, _ in said) >= 17 and {words for words, _ in said} <= {"speeds up", ""}
    assert sum(held for _, held in said) >= 17
