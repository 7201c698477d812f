"""Tests of: work orders for the bench."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest

from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.trends import ToolState
from inspect_tui.shop.trends import fleet, work_orders
from inspect_tui.shop.trends import kept as trend_kept
from tests.shop.trends.test_fleet import (
    order_of,
    worn,  # noqa: F401  a fixture
)
from tests.worlds.worn_box import START, WornBox


def test_an_order_says_tool_amount_and_how_long_it_can_wait(worn: WornBox) -> None:
    worn.wear(40)
    order = order_of(worn)
    grown = 0.03e-3 * 200 * 39
    assert order.change.word == "add" and order.change.change_mm == pytest.approx(-grown, abs=0.03)
    assert order.change.casting_words.startswith("metal on")
    assert (
        order.sentence.startswith("box 1: add 0.2") and "cores left" in order.sentence and "at worst" in order.sentence
    )


def test_a_tool_past_its_limit_is_not_to_blow_more(worn: WornBox) -> None:
    worn.wear(30, start=81.45)
    assert order_of(worn).sentence.endswith("at its limit or past it: do not blow more before it is done")


def test_the_worn_face_is_told_by_the_walls_beside_it(worn: WornBox) -> None:
    rng = np.random.default_rng(8)
    for n in range(40):
        day = worn.go(START + timedelta(weeks=n))
        worn.count(200 * n, day)
        worn.lot(f"L{n}", day)
        grown = 0.01 * n
        worn.read(80.80 + grown + rng.normal(0, 0.02))
        if n % 4 == 0:
            casting = worn.item(6.0 + rng.normal(0, 0.03), "TA", "casting", f"L{n}")
            worn.also(casting, 6.0 - grown / 1.01 + rng.normal(0, 0.03), "TB")
    assert order_of(worn).faces == "face B"
    assert "on face B (W width)" in order_of(worn).sentence


def test_without_walls_the_bench_is_asked_which_face_it_is(worn: WornBox) -> None:
    worn.wear(40)
    assert order_of(worn).faces == "the face that has worn (measure from the joint which it is)"


def test_only_what_comes_within_the_time_is_ordered_and_nothing_retired(worn: WornBox) -> None:
    worn.wear(40)
    lines = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines
    assert not work_orders.orders(worn.record, lines, within_weeks=4)
    assert len(work_orders.orders(worn.record, lines, tool="box 1")) == 1
    worn.record.add(ToolState(tool_of_id=worn.box.of_id, state="retired", since_on="2024-11-01"))
    kept_ = trend_kept.compute(worn.record)[0]
    lines = fleet.fleet(kept_, {worn.box.of_id: "2024-11-01"}).lines
    assert not work_orders.orders(worn.record, lines, within_weeks=1000)


def test_an_order_is_said_in_inches(worn: WornBox) -> None:
    worn.wear(40)
    lines = fleet.fleet(trend_kept.compute(worn.record)[0], {}).lines
    (order,) = work_orders.orders(worn.record, lines, within_weeks=1000, style=Style("in"))
    amount = f"{abs(order.change.change_mm) / 25.4:.4f}"
    assert order.sentence.startswith(f"box 1: add {amount} in on ") and order.change.words.startswith(f"add {amount} ")
    assert order.limit == "3.2050"  # 80.60 x 1.01 / 25.4
