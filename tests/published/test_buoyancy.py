"""Core lift, lift on the cope and sag of a core against worked examples."""

from __future__ import annotations

from math import pi

import pytest

from inspect_tui.metrology.kit.buoyancy import cope_lift, lift, load_on_cope, sag
from tests.published.assembly_data import example


def test_a_core_in_lead_lifts_as_printed() -> None:
    given = example("WE11")  # found: lecture after Groover, 178.4 N
    data = given.inputs
    found = lift(data["volume_cm3"] / 1000, data["volume_cm3"] / 1000, data["rho_metal"], data["rho_core"], data["g"])
    given.says("force_n", found.net)


def test_a_pipe_core_and_its_cope_come_out_as_printed() -> None:
    given = example("WE12")  # found: 856.7, 3469.5, 1650 and 2676.7 N, in N per cm3
    data = given.inputs
    g = 10.0  # any: the example gives weights, not densities
    rho_metal, rho_sand = data["w_metal"] * 1e6 / g, data["w_sand"] * 1e6 / g
    volume = pi / 4 * data["id_cm"] ** 2 * data["length_cm"] / 1000
    core = lift(volume, volume, rho_metal, rho_sand, g).net
    given.says("core_lift_n", core)
    area = data["od_cm"] * data["length_cm"] * 100
    given.says("cope_lift_n", cope_lift(area, data["head_cm"] * 10, rho_metal, g))
    length, width, height = data["cope_cm"]
    cope_kg = length * width * height * data["w_sand"] / g
    given.says("cope_weight_n", cope_kg * g)
    given.says("net_up_n", load_on_cope(area, data["head_cm"] * 10, [core], cope_kg, rho_metal, g))


def test_a_round_core_on_two_prints_bows_as_beam_theory_says() -> None:
    given = example("WE13")  # memory: beam theory; modulus found in Thole and Beckermann (AFS 2010)
    data = given.inputs
    found = sag(data["span_mm"], data["E_mpa"], data["rho_metal"], data["rho_core"], data["d_mm"], g=data["g"])
    given.says("w_n_per_mm", found.load_n_per_mm)
    given.says("deflection_mm", found.bow_mm)
    given.says("stress_mpa", found.stress)


@pytest.mark.parametrize("metal, ratio", [(7160, 3.475), (7820, 3.8875), (2700, 0.6875)])
def test_lift_over_own_weight_of_a_drowned_core(metal: float, ratio: float) -> None:
    # found (aluminium: recalled density): iron 3.475, steel 3.8875, aluminium 0.6875 with sand 1600
    found = lift(1.0, 1.0, metal, 1600)
    assert found.net / found.weight == pytest.approx(ratio)
