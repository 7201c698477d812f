"""Readings put right before they are judged: at 20 degC, with a gauge as warm as its room or as the work."""

from __future__ import annotations

from math import hypot

import pytest

from inspect_tui.metrology.sizes.movement import EXPANSION_REL_U, STEEL
from inspect_tui.metrology.typed.show import Style
from inspect_tui.model.first_article import Realigned
from inspect_tui.model.gauges import InstrumentBias
from inspect_tui.model.measuring import Instrument
from inspect_tui.model.work import Feature, Item
from inspect_tui.shop.bench.line import Bench
from inspect_tui.shop.common import find
from inspect_tui.shop.common.corrections import Correction, correction, takes_bias, together
from inspect_tui.shop.common.find import Subject
from inspect_tui.shop.first_article.castings import put_right as desk
from inspect_tui.shop.first_article.castings.filling import Filling
from inspect_tui.shop.first_article.castings.rounds import pick_round
from inspect_tui.shop.first_article.castings.sampling import Requirement, Sampling
from tests.conftest import SmallShop


def test_the_first_castings_of_a_job_are_corrected_to_20_degrees(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")  # grey iron
    desk.open_round(shop.record, job, "S1", ["C1"])
    here = Filling(shop.record, Sampling(shop.record, job, pick_round(shop.record, job, "S1")), shop.ab, shop.caliper)
    here.set_temperature(45.0, 20.0)
    feature, item = here.sampling.feature("F3"), here.sampling.casting("C1")
    here.take(Requirement(feature), item, "210.10")
    cell = here.sampling.cell(feature, item)
    assert cell.raw == pytest.approx(210.10)
    assert cell.value == pytest.approx(210.10 / (1 + 11.1e-6 * 25), abs=1e-9)  # a gauge at 20 degC reads true
    assert cell.corrected == ("read at 45 °C: -0.058 to 20 °C",)
    inches = Sampling(shop.record, job, here.sampling.round, Style("in")).cell(feature, item)
    assert inches.corrected == ("read at 45 °C: -0.00229 to 20 °C",)  # 0.0583 / 25.4
    # the Bench says the same of the same reading
    bench = Bench(shop.record, job, Subject("casting C1", item=item), shop.ab, shop.caliper)
    bench.set_conditions(45.0, None, 20.0)
    task = next(one for one in bench.tasks if one.feature.balloon == "F3")
    judged = bench.judge_values(task, [210.10])
    assert judged.value == pytest.approx(cell.value, abs=1e-12)
    assert judged.budget.u == pytest.approx(cell.u, rel=1e-9)
    assert task.state == cell.answer


def test_a_gauge_as_warm_as_the_work_leaves_the_difference_of_the_two(shop: SmallShop) -> None:
    job = find.job(shop.record, "SV-12")
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


# ------------------------------------------------------------------------------ by hand
KNOWN = InstrumentBias(
    instrument_of_id=b"g", from_on="2020-01-01", bias_mm=0.06, u_mm=0.01, why="w", found_from="check"
)
GAUGE = Instrument(label="height gauge", expansion_per_c=9e-6)
PROTRACTOR = Instrument(label="protractor", unit="deg")
TOP = Feature(balloon="F1", name="top", axis="z", nominal=120.0, lower=119.0, upper=121.0, note="at x = 300, y = 50")
LEAN = Feature(balloon="F2", name="lean", quantity="angle", axis="z", nominal=5.0, lower=4.0, upper=6.0, note=TOP.note)
CASTING = Item(id=b"i", job_of_id=b"j", serial="C1", expansion_per_c=11e-6)
TURNS = (
    Realigned(item_id=b"i", axis="z", along="x", pivot_mm=100.0, slope=0.002, u_slope=1e-4, why="sat on a burr"),
    Realigned(item_id=b"i", axis="z", along="y", pivot_mm=250.0, slope=0.001, u_slope=2e-4, why="target ground"),
)


def test_bias_temperature_and_tilt_of_one_reading_by_hand() -> None:
    made = correction(GAUGE, KNOWN, TOP, CASTING, 30.0, None, TURNS)
    # at x = 300: 0.002 * 200 = 0.4; at y = 50: 0.001 * -200 = -0.2
    assert made.of(120.0) == pytest.approx((120.0 - 0.06) * (1 + 9e-6 * 10) / (1 + 11e-6 * 10) - 0.2, abs=1e-12)
    assert (made.tilt_mm, made.u_tilt) == (pytest.approx(0.2), pytest.approx(hypot(200 * 1e-4, 200 * 2e-4)))
    # one thermometer, 1 degC, for both; each coefficient to 5 % over 10 degC
    rel = hypot(2e-6 * 1.0, EXPANSION_REL_U * 11e-6 * 10, EXPANSION_REL_U * 9e-6 * 10)
    assert made.u(120.0) == pytest.approx(hypot(0.01, rel * 120.0, made.u_tilt), rel=1e-3)
    assert made.said(120.0) == (
        "height gauge reads 0.06 high: -0.060",
        "read at 30 °C: -0.002 to 20 °C",
        "re-aligned -0.200 mm",
    )
    lines = {line.name: line.u for line in made.lines(120.0)}
    assert lines["known bias"] == 0.01 and lines["re-alignment"] == pytest.approx(made.u_tilt)
    assert hypot(*lines.values()) == pytest.approx(made.u(120.0), rel=1e-3)


def test_the_uncertainty_of_a_temperature_grows_with_the_size() -> None:
    assert Correction(rel_u=1e-5, work_c=30.0).u(-200.0) == pytest.approx(0.002)


def test_words_of_a_bias_tell_what_is_left_to_the_temperature() -> None:
    off = Correction(bias=InstrumentBias(**{**_fields(KNOWN), "bias_mm": -20.0}), label="tape", gain=0.999, work_c=30.0)
    assert off.said(100.0)[0].startswith("tape reads 20 low: +20")
    assert "-0.120 to 20" in off.said(100.0)[1]  # 0.1 % of 120


def _fields(bias: InstrumentBias) -> dict[str, object]:
    return {name: getattr(bias, name) for name in bias.__match_args__}


def test_a_tilt_reaches_its_axis_where_the_place_is_stated_and_no_angle() -> None:
    along_x = Feature(balloon="F3", name="length", axis="x", nominal=120.0, note=TOP.note)
    nowhere = Feature(balloon="F4", name="height", axis="z", nominal=120.0)
    for feature in (along_x, nowhere, LEAN):
        assert correction(GAUGE, None, feature, CASTING, None, None, TURNS).nothing, feature.balloon
    assert not correction(GAUGE, None, TOP, CASTING, None, None, TURNS[:1]).nothing


def test_an_angle_is_not_warm_and_takes_the_bias_of_what_reads_degrees() -> None:
    assert not correction(PROTRACTOR, KNOWN, LEAN, CASTING, 30.0).nothing
    made = correction(PROTRACTOR, KNOWN, LEAN, CASTING, 30.0)
    assert (made.gain, made.work_c, made.of(5.0)) == (1.0, None, pytest.approx(4.94))
    assert made.said(5.0) == made.said(5.0, Style("in")) == ("protractor reads 0.06 high: -0.060",)
    assert correction(GAUGE, KNOWN, LEAN, CASTING).nothing and correction(PROTRACTOR, KNOWN, TOP, CASTING).nothing
    assert correction(GAUGE, KNOWN, TOP, CASTING).said(120.0, Style("in")) == (
        "height gauge reads 0.0024 high: -0.00236",
    )
    seen = Feature(balloon="F5", name="crack", quantity="attribute", nominal=0.0)
    assert not takes_bias(GAUGE, seen) and not takes_bias(PROTRACTOR, seen) and takes_bias(GAUGE, TOP)


def test_of_several_setups_the_largest_line_of_each_kind_stands_once() -> None:
    sure, vague = KNOWN, InstrumentBias(**{**_fields(KNOWN), "u_mm": 0.03})
    made = together([120.0, 120.1, 120.2], [Correction(bias=bias, label="g") for bias in (sure, vague, sure)])
    assert made.values == pytest.approx((119.94, 120.04, 120.14))
    assert [(line.name, line.u) for line in made.lines] == [("known bias", 0.03)]
    assert made.said == ("g reads 0.06 high: -0.060",)
