"""Tests of: tooling or foundry."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.trends import ItemWeight, WallArea
from inspect_tui.shop.trends import verdict
from tests.shop.trends.test_fleet import (
    side_by_side,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import START, WornBox


def test_box_core_and_casting_grow_together_wear(worn: WornBox) -> None:
    told = side_by_side(worn, wear=0.45)
    assert told.who.verdict == "wear"
    assert told.who.amount is not None and told.who.amount.value == pytest.approx(
        0.30, abs=0.04
    )  # of 0.45, thirds apart
    assert {m.of for m in told.moved} == {"box", "core", "casting"}


def test_castings_step_and_cores_do_not_the_foundry(worn: WornBox) -> None:
    told = side_by_side(worn, contraction=0.001)
    assert told.who.verdict == "foundry"
    assert told.who.amount is not None and told.who.amount.value == pytest.approx(0.001, abs=0.0002)


def test_only_a_position_moves_print_or_seat(worn: WornBox) -> None:
    told = side_by_side(worn, seat=0.30)
    assert told.who.verdict == "print, seat or dowel"
    assert told.who.amount is not None and told.who.amount.value == pytest.approx(0.30, abs=0.05)


def test_a_step_stands_alone_when_the_wear_that_is_known_is_taken_out(worn: WornBox) -> None:
    side_by_side(worn, wear=0.45, contraction=0.001)
    view = worn.view
    day = float((START + timedelta(weeks=20)).toordinal())
    told = verdict.tell_apart(view, worn.trend("L", None), day)
    assert told is not None and told.who.verdict == "foundry"
    moved = {m.name: m.change for m in told.moved}
    assert moved["L on castings"].value == pytest.approx(-0.40, abs=0.08)
    assert moved["W on box 1"].value == pytest.approx(0.0, abs=0.03)
    # over these twenty weeks on either side the box grew by 0.23 more: of that nothing is left in the castings
    assert moved["W on castings"].value == pytest.approx(-0.08, abs=0.06)


def test_nothing_moved_is_said(worn: WornBox) -> None:
    assert side_by_side(worn).who.sentence == "nothing moved beyond what the readings allow"


def test_the_weight_of_castings_cross_checks_all_walls(worn: WornBox) -> None:
    rng = np.random.default_rng(2)
    for n in range(24):
        day = worn.go(START + timedelta(weeks=n))
        worn.count(200 * n, day)
        worn.lot(f"L{n}", day)
        worn.read(80.80 + 0.02 * n + rng.normal(0, 0.02))
        casting = worn.item(80.0 + 0.02 * n, "W", "casting", f"L{n}")
        worn.record.add(
            ItemWeight(item_id=casting.id, weight_kg=float(round(50.0 - 0.06 * n + rng.normal(0, 0.05), 2)))
        )
    told = verdict.tell_apart(worn.view, worn.trend())
    assert told is not None and "lighter: enter their wall area" in told.weight
    worn.record.add(WallArea(job_of_id=worn.job.of_id, area_m2=0.5, density=7100.0, why="drawing"))
    told = verdict.tell_apart(worn.view, worn.trend())
    # from the first to the last third 16 weeks of 0.06 kg: 0.96 kg over 0.5 m2 at 7.1 kg for each mm and m2
    assert told is not None
    wall, u = (
        float(x) for x in told.weight.partition("walls ")[2].partition(" mm thinner in the mean")[0].split(" ± ")
    )
    assert wall == pytest.approx(0.96 / (0.5 * 7.1), abs=u) and u < 0.06
    assert told.sentence.endswith(told.weight)


def test_weights_and_walls_are_said_in_the_style_asked_for(worn: WornBox) -> None:
    for n in range(24):
        day = worn.go(START + timedelta(weeks=n))
        worn.count(200 * n, day)
        worn.lot(f"L{n}", day)
        worn.read(80.80 + 0.02 * n)
        casting = worn.item(80.0 + 0.02 * n, "W", "casting", f"L{n}")
        worn.record.add(ItemWeight(item_id=casting.id, weight_kg=50.0 - 0.06 * n))
    worn.record.add(WallArea(job_of_id=worn.job.of_id, area_m2=0.5, density=7100.0, why="drawing"))
    worn_trend = worn.trend(style=Style("in", mark=","))
    told = verdict.tell_apart(worn_trend.view, worn_trend)
    # 0.96 kg lighter over 0.5 m2 of 7.1 kg for each mm and m2: 0.27 mm, 0.0106 in
    assert (
        told is not None
        and told.weight.startswith("castings are 0,96 ± ")
        and " kg lighter: walls 0,0106 ± " in told.weight
    )
    assert told.weight.endswith(" in thinner in the mean") and "mm" not in told.sentence.split()
