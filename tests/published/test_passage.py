"""Passages and flow against worked examples."""

from __future__ import annotations

from math import pi

import pytest

from inspect_tui.metrology.kit.capacity import capacity, orifice_flow, series
from inspect_tui.metrology.kit.passage import Formula, parse, value_of
from inspect_tui.model.words import Estimate
from tests.published.assembly_data import example


def formula(text: str, **powers: int) -> Formula:
    found = parse(text, powers)
    assert isinstance(found, Formula), found
    return found


def test_a_sharp_orifice_passes_what_is_printed() -> None:
    given = example("WE30")  # found: printed 0.00934 m3/s
    data = given.inputs
    area = value_of(formula("pi / 4 * d**2", d=1), {"d": data["d_mm"]})
    given.says("q_m3_s", orifice_flow(area, data["head_m"], data["cd"], data["g"]))


def test_speed_follows_the_bore_by_continuity() -> None:
    given = example("WE31")  # memory: continuity, computed
    data = given.inputs
    ratio = formula("d1**2 / d2**2", d1=1, d2=1)
    assert ratio.unit == ""
    given.says("v2", data["v1"] * value_of(ratio, {"d1": data["d1_mm"], "d2": data["d2_mm"]}))
    given.says("v2_actual", data["v1"] * value_of(ratio, {"d1": data["d1_mm"], "d2": data["d2_actual_mm"]}))


def test_an_outlet_passage_cast_narrow_loses_its_share() -> None:
    given = example("WE32")  # memory: geometry; areas set the flow of the machine (found page)
    data = given.inputs
    area = formula("pi * D * b", D=1, b=1)
    drawn = value_of(area, {"D": data["D_mm"], "b": data["b_nominal_mm"]})
    made = value_of(area, {"D": data["D_mm"], "b": data["b_actual_mm"]})
    found = capacity(Estimate(made, 0.0), drawn, 100.0)
    given.says("area_ratio", made / drawn)
    given.says("flow_change_percent", -100.0 * found.short)
    assert found.sentence.startswith("6.0 % under: 94.0 of 100.0 rated")


def test_equal_orifices_in_series_follow_the_closed_form() -> None:
    # fluid mechanics: 1/A^2 = sum of 1/Ai^2, so two equal ones pass as much as one of A / sqrt(2); computed here
    one = Estimate(pi / 4 * 50**2, 0.0)
    assert series([one, one]).value == pytest.approx(one.value / 2**0.5)
