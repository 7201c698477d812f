"""Buoyancy: lift, what holds a core down, and sag."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.buoyancy import (
    CAUTION,
    IRON_LIQUID,
    Holder,
    Lift,
    bearing,
    chaplet_area,
    cope_lift,
    lift,
    liquid_density,
    load_on_cope,
    sag,
    what_holds,
)

# volume total / in metal dm3 and lift kgf of the invented manifold's cores, liquid iron 7.0 and sand 1.6 kg/dm3
MANIFOLD = {
    "1": (2.25, 1.90, 9.7),
    "7": (1.10, 0.30, 0.3),
    "3": (4.30, 3.10, 14.8),
    "4": (0.75, 0.45, 2.0),
    "5": (1.95, 1.70, 8.8),
    "6": (0.22, 0.15, 0.7),
}


@pytest.mark.parametrize("core", MANIFOLD)
def test_the_manifolds_cores_lift_as_worked_out_by_hand(core: str) -> None:
    total, in_metal, kgf = MANIFOLD[core]
    assert round(lift(total, in_metal).kgf, 1) == kgf


def test_a_core_out_of_the_metal_lies_by_its_weight() -> None:
    block = lift(1.40, 0.0)
    assert block.net < 0 and block.kgf == pytest.approx(-2.24)


@given(st.floats(0.01, 50), st.floats(0, 1))
def test_lift_is_gross_less_weight_and_grows_with_what_is_in_the_metal(total: float, share: float) -> None:
    found = lift(total, total * share)
    assert found.net == pytest.approx(found.gross - found.weight)
    assert found.net <= lift(total, total).net + 1e-9
    # a core wholly in iron lifts (7.0 - 1.6) / 1.6 of its own weight
    assert lift(total, total).net / found.weight == pytest.approx(5.4 / 1.6)


@pytest.mark.parametrize("total, in_metal", [(1.0, 1.1), (1.0, -0.1), (-1.0, 0.0)])
def test_impossible_volumes_are_refused(total: float, in_metal: float) -> None:
    with pytest.raises(DataError, match="at most the whole"):
        lift(total, in_metal)


def test_densities_have_to_be_above_zero() -> None:
    with pytest.raises(DataError, match="kg/m3"):
        lift(1.0, 1.0, rho_metal=0.0)


def test_a_core_held_by_another_presses_on_it() -> None:
    lifts = {"1": Lift(100.0, 20.0), "5": Lift(70.0, 10.0)}
    holders = [Holder("1", "5", is_core=True), Holder("5", "cope print", 2000.0, (0.05, 0.30))]
    first, second = what_holds(lifts, holders, ["1", "5"])
    assert first.core == "1" and first.up == pytest.approx(80.0)
    assert second.carried == pytest.approx(80.0) and second.up == pytest.approx(140.0)
    assert second.stresses[0][1] == pytest.approx(140.0 / 2000.0) and second.stresses[0][2] == "near its limit"
    assert "from cores below" in second.sentence


@given(st.lists(st.floats(1, 200), min_size=2, max_size=6))
def test_no_lift_is_lost_on_its_way_to_the_cope(nets: list[float]) -> None:
    cores = [str(i) for i in range(len(nets))]
    holders = [Holder(c, cores[i + 1], is_core=True) for i, c in enumerate(cores[:-1])] + [Holder(cores[-1], "cope")]
    held = what_holds({c: Lift(n, 0.0) for c, n in zip(cores, nets, strict=True)}, holders, cores)
    assert held[-1].up == pytest.approx(sum(nets))


def test_two_holders_share_by_their_areas() -> None:
    held = what_holds({"3": Lift(90.0, 0.0)}, [Holder("3", "print", 2000.0), Holder("3", "chaplets", 1000.0)], ["3"])[0]
    assert [s[1] for s in held.stresses] == pytest.approx([0.03, 0.03])


def test_holders_without_areas_share_equally() -> None:
    holders = [Holder("3", "5", is_core=True), Holder("3", "clamp")]
    _, upper = what_holds({"3": Lift(90.0, 0.0)}, holders, ["3", "5"])
    assert upper.carried == pytest.approx(45.0)


def test_a_core_that_nothing_holds_is_named() -> None:
    held = what_holds({"3": lift(4.3, 3.1)}, [], ["3"])[0]
    assert held.sentence == "core 3 lifts 14.8 kgf: nothing holds it down"
    lying = what_holds({"2": lift(1.4, 0.0)}, [], ["2"])[0]
    assert "lies by its own weight" in lying.sentence and lying.up == 0.0


def test_cores_that_hold_each_other_down_are_refused() -> None:
    holders = [Holder("1", "2", is_core=True), Holder("2", "1", is_core=True)]
    with pytest.raises(DataError, match="in a ring"):
        what_holds({}, holders, ["1", "2"])


def test_bearing_comes_from_the_table_and_says_what_there_is() -> None:
    assert bearing("green sand") == (0.035, 0.05)  # recalled handbook rule of 5 to 7 psi
    with pytest.raises(DataError, match="the table has"):
        bearing("plaster")


def test_crushing_is_told_from_bearing() -> None:
    words = []
    for area in (100_000.0, 25_000.0, 5_000.0):
        holder = Holder("1", "print", area, (0.03, 0.05))
        words.append(what_holds({"1": Lift(1000.0, 0.0)}, [holder], ["1"])[0].stresses[0][2])
    assert words == ["bears", "near its limit", "crushes"]


@given(st.floats(50, 1000), st.floats(10, 100))
def test_sag_goes_with_the_fourth_power_of_the_span(span: float, d: float) -> None:
    one, two = sag(span, 3900, diameter_mm=d), sag(2 * span, 3900, diameter_mm=d)
    assert two.bow_mm / one.bow_mm == pytest.approx(16)
    assert two.stress / one.stress == pytest.approx(4)
    assert sag(span, 1950, diameter_mm=d).bow_mm == pytest.approx(2 * one.bow_mm)


def test_a_square_core_bows_less_than_a_round_one_of_its_width() -> None:
    round_, square = sag(400, 3900, diameter_mm=40), sag(400, 3900, width_mm=40, height_mm=40)
    assert square.load_n_per_mm > round_.load_n_per_mm
    assert square.bow_mm / round_.bow_mm == pytest.approx((4 / math.pi) * (math.pi * 3 / 16))


@pytest.mark.parametrize("kw", [{}, {"diameter_mm": 0.0}, {"width_mm": 10.0}])
def test_a_sag_needs_a_section(kw: dict[str, float]) -> None:
    with pytest.raises(DataError, match="diameter, or its width and height"):
        sag(100, 3900, **kw)  # type: ignore[arg-type]
    with pytest.raises(DataError, match="above 0"):
        sag(0, 3900, diameter_mm=10)


def test_the_cope_is_loaded_by_head_and_by_lifting_cores_only() -> None:
    bare = cope_lift(10_000.0, 100.0)
    assert load_on_cope(10_000.0, 100.0, [50.0, -20.0], 0.0) == pytest.approx(bare + 50.0)
    assert chaplet_area(10.0) == 290.0 and chaplet_area(-5.0) == 0.0


def test_the_caution_defers_to_the_foundry() -> None:
    assert "foundry's decision" in CAUTION


@pytest.mark.parametrize(
    ("alloy", "low", "high"),
    [
        # handbooks of foundry and physics, as poured, recalled; pure aluminium is 2375 kg/m3 at its melting point
        ("ductile iron", 6800, 7200),
        ("Grey cast iron", 6800, 7200),
        ("cast steel", 6900, 7100),
        ("aluminum alloy 356", 2300, 2500),
        ("aluminium bronze", 6800, 7300),
        ("aluminium-bronze", 6800, 7300),
        ("manganese bronze", 7300, 7900),
        ("tin bronze", 7700, 8200),
        ("gun metal", 7700, 8200),
        ("copper, high conductivity", 7800, 8000),
        ("zinc alloys", 5900, 6600),
        ("magnesium", 1550, 1650),
        ("lead", 10400, 10660),
    ],
)
def test_liquid_metal_weighs_what_the_handbooks_say(alloy: str, low: float, high: float) -> None:
    assert liquid_density(alloy) == (low, high)


def test_no_metal_is_heavier_liquid_than_solid_and_none_is_made_up() -> None:
    # solid: grey iron 7160, steel 7820, aluminium 2700, copper 8730 kg/m3 (Groover, Table 11.1)
    for alloy, solid in [("steel", 7820), ("aluminium", 2700), ("copper", 8730)]:
        found = liquid_density(alloy)
        assert found is not None and found[1] < solid
    assert liquid_density("unobtainium") is None and liquid_density(None) is None and liquid_density("") is None
    iron = liquid_density("iron")
    assert iron is not None and sum(iron) / 2 == IRON_LIQUID
