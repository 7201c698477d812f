"""Tests of: finds jobs, tools, castings, features, people and instruments by what people call them."""

from __future__ import annotations

import pytest

from inspect_tui.metrology.sizes.movement import STEEL, sound_velocity
from inspect_tui.model.measuring import Calibration
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Sampling
from inspect_tui.shop.jobs import jobs
from tests.conftest import SmallShop
from tests.shop.common.test_sound import GAUGE
from tests.shop.common.test_study_feed import line_of, measured


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


def test_a_wall_on_a_casting_carries_it_into_the_verdict(shop: SmallShop) -> None:
    record = shop.record
    gauge = record.add(GAUGE)
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on="2026-01-05", u95_mm=0.1, reference="steel block"))
    job = find.job(record, "PB-12")  # grey iron, F5 a wall of 8 -0.8 +1.0
    desk.open_round(record, job, "S1", ["C1"])
    here = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), shop.ab, gauge)
    feature, item = here.sampling.feature("F5"), here.sampling.casting("C1")
    here.take(feature, item, "7.35")
    cell = here.sampling.cell(feature, item)
    rel = sound_velocity("grey iron").u / sound_velocity("grey iron").value
    assert cell.u == pytest.approx((0.05**2 + (0.05 / 3**0.5) ** 2 + (7.35 * rel) ** 2) ** 0.5, rel=1e-6)
    assert any("grey iron is known to" in note for note in cell.notes)
    assert cell.answer == "undecided"  # 0.15 inside the limit, with what is known of the velocity
    done_on = "2026-06-01"
    record.add(Calibration(instrument_of_id=gauge.of_id, done_on=done_on, u95_mm=0.1, reference="grey iron step block"))
    again = Filling(record, Sampling(record, job, pick_round(record, job, "S1")), shop.ab, gauge)
    again.take(feature, item, "7.35")
    assert again.sampling.cell(feature, item).answer == "conforms"


def test_the_hands_make_the_difference(shop: SmallShop) -> None:
    measured(shop, None)
    other = find.person(shop.record, "IN")
    ab, inspector = shop.bench(), shop.bench()
    inspector.set_person(other)
    u_ab = line_of(ab, "F1", "59.60").judged.budget.u
    u_in = line_of(inspector, "F1", "59.60").judged.budget.u
    assert u_in > u_ab + 0.01
