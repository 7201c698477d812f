"""What a new tool or casting is made of: its expansion from the table, so that a warm reading is corrected."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.sizes.movement import STEEL
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find, materials
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import jobs
from tests.conftest import JOB, SmallShop


@pytest.mark.parametrize(
    ("material", "per_c"),
    [
        # ASM data sheets as shipped in materials.csv (found): 60-40-18 11.2, 80-55-06 10.6; the middle of both
        ("ductile iron", 10.9e-6),
        ("grey iron", 11.1e-6),  # 10.8 and 11.4
        ("aluminium 356.0", 21.5e-6),
        ("stainless 316", 15.9e-6),
    ],
)
def test_the_expansion_is_that_of_the_shipped_table(material: str, per_c: float) -> None:
    assert materials.expansion(material) == pytest.approx(per_c, rel=1e-9)


@pytest.mark.parametrize("material", [None, "", "not stated", "sand", "something new"])
def test_what_the_table_does_not_know_has_none(material: str | None) -> None:
    assert materials.expansion(material) is None


def test_the_first_castings_of_a_job_are_corrected_to_20_degrees(shop: SmallShop) -> None:
    job = find.job(shop.record, "PB-12")  # grey iron
    desk.open_round(shop.record, job, "S1", ["C1"])
    here = Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)
    here.set_temperature(45.0, 20.0)
    feature, item = here.sampling.feature("F3"), here.sampling.casting("C1")
    here.take(feature, item, "210.10")
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
    here.take(feature, item, "210.10")
    # ISO 1: size at 20 degC = reading * (1 - (a_work - a_instrument) (t - 20)), to first order
    cell = here.sampling.cell(feature, item)
    assert cell.value == pytest.approx(210.10 * (1 - (11.1e-6 - STEEL) * 25), abs=1e-4)
    bench = Bench(shop.record, job, Subject("casting C1", item=item), shop.ab, shop.caliper)
    bench.set_conditions(45.0)
    task = next(one for one in bench.tasks if one.feature.balloon == "F3")
    assert bench.judge_values(task, [210.10]).budget.u == pytest.approx(cell.u, rel=1e-4)


def test_further_castings_take_what_was_stated_before(shop: SmallShop) -> None:
    job = find.job(shop.record, "PB-12")
    lot = desk.open_round(shop.record, job, "S1", ["C1"], expansion_per_c=12.5e-6)
    desk.add_castings(shop.record, job, lot, ["C2"])
    jobs.add_casting(shop.record, job, "C3")
    assert {i.serial: i.expansion_per_c for i in shop.record.items(job.of_id)} == {
        "C1": 12.5e-6,
        "C2": 12.5e-6,
        "C3": 12.5e-6,
    }


def test_a_tool_of_a_job_file_takes_the_table_unless_it_is_stated(shop: SmallShop) -> None:
    resin = 'label = "box 1"\nmaterial = "tooling resin"'
    text = JOB.replace('number = "PB-12"', 'number = "PB-14"').replace('label = "box 1"', resin)
    plan = jobs.plan_from_file(text)
    box = next(tool for tool in plan.tools if tool.label == "box 1")
    assert box.expansion_per_c == materials.expansion("tooling resin")
    assert box.expansion_per_c is not None
    stated = jobs.plan_from_file(text.replace(resin, resin + "\nexpansion_per_c = 3e-5"))
    assert next(tool for tool in stated.tools if tool.label == "box 1").expansion_per_c == 3e-5
    bare = next(tool for tool in plan.tools if tool.label == "stick 1")
    assert bare.expansion_per_c is None  # its material is not stated
    made = jobs.add_tool(shop.record, find.job(shop.record, "PB-12"), "box 9", "core_box", 1, "aluminium")
    assert made.expansion_per_c == materials.expansion("aluminium")
