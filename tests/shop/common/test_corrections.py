"""Readings put right before they are judged: at 20 degC, with a gauge as warm as its room or as the work."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.sizes.movement import STEEL
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling
from tests.conftest import SmallShop


def test_the_first_castings_of_a_job_are_corrected_to_20_degrees(shop: SmallShop) -> None:
    job = find.job(shop.record, "PB-12")  # grey iron
    desk.open_round(shop.record, job, "S1", ["C1"])
    here = Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)
    here.set_temperature(45.0, 20.0)
    feature, item = here.sampling.feature("F3"), here.sampling.casting("C1")
    here.take(Requirement(feature), item, "210.10")
    cell = here.sampling.cell(feature, item)
    assert cell.raw == pytest.approx(210.10)
    assert cell.value == pytest.approx(210.10 / (1 + 11.1e-6 * 25), abs=1e-9)  # a gauge at 20 degC reads true
    assert cell.corrected == ("read at 45 °C: -0.058 to 20 °C",)
    # the Bench says the same of the same reading
    bench = Bench(shop.record, job, Subject("casting C1", item=item), shop.ab, shop.caliper)
    bench.set_conditions(45.0, None, 20.0)
    task = next(one for one in bench.tasks if one.feature.balloon == "F3")
    judged = bench.judge_values(task, [210.10])
    assert judged.value == pytest.approx(cell.value, abs=1e-12)
    assert judged.budget.u == pytest.approx(cell.u, rel=1e-9)
    assert task.state == cell.answer


def test_a_gauge_as_warm_as_the_work_leaves_the_difference_of_the_two(shop: SmallShop) -> None:
    job = find.job(shop.record, "PB-12")
    desk.open_round(shop.record, job, "S1", ["C1"])
    here = Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)
    here.set_temperature(45.0)
    feature, item = here.sampling.feature("F3"), here.sampling.casting("C1")
    here.take(Requirement(feature), item, "210.10")
    # ISO 1: size at 20 degC = reading * (1 - (a_work - a_instrument) (t - 20)), to first order
    cell = here.sampling.cell(feature, item)
    assert cell.value == pytest.approx(210.10 * (1 - (11.1e-6 - STEEL) * 25), abs=1e-4)
    bench = Bench(shop.record, job, Subject("casting C1", item=item), shop.ab, shop.caliper)
    bench.set_conditions(45.0)
    task = next(one for one in bench.tasks if one.feature.balloon == "F3")
    assert bench.judge_values(task, [210.10]).budget.u == pytest.approx(cell.u, rel=1e-4)
