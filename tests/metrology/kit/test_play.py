"""Float: own clearance and that of every core it sits in; the closer of two fits decides."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.play import Play, floats, pushed
from inspect_tui.model.words import Estimate

clearances = st.lists(st.floats(0, 2), min_size=1, max_size=8)


def play(core: str, into: str, c: float, u: float = 0.0, **more: object) -> Play:
    return Play(core=core, into=into, axis=str(more.pop("axis", "y")), clearance=Estimate(c, u), **more)  # type: ignore[arg-type]


@given(clearances)
def test_float_of_a_tower_is_the_sum_of_all_clearances_below_it(cs: list[float]) -> None:
    cores = [str(i) for i in range(len(cs))]
    plays = [play(c, cores[i - 1] if i else "drag", cs[i]) for i, c in enumerate(cores)]
    floating = floats(plays, cores)
    for i, core in enumerate(cores):
        assert floating[core, "y"].total == pytest.approx(sum(cs[: i + 1]))
        assert floating[core, "y"].high.value == pytest.approx(-floating[core, "y"].low.value)


@given(st.lists(st.floats(0, 2), min_size=1, max_size=5))
def test_of_fits_side_by_side_the_closest_decides(cs: list[float]) -> None:
    floating = floats([play("1", "drag", c, name=f"K{i}") for i, c in enumerate(cs)], ["1"])
    assert floating["1", "y"].total == pytest.approx(min(cs))


def test_the_way_to_the_mould_is_named() -> None:
    plays = [play("1", "drag", 0.6, name="K1"), play("5", "1", 0.3, name="K6"), play("6", "5", 0.3, name="K7")]
    floating = floats(plays, ["1", "5", "6"])["6", "y"]
    assert floating.total == pytest.approx(1.2) and floating.high_via == ("K7", "K6", "K1")


def test_a_core_that_can_rise_floats_upward_only() -> None:
    plays = [play("1", "drag", 0.5, axis="z", rise=True), play("5", "1", 0.3, axis="z", rise=True)]
    floating = floats(plays, ["1", "5"])
    assert (floating["5", "z"].low.value, floating["5", "z"].high.value) == (0.0, pytest.approx(0.8))


def test_uncertainty_adds_along_the_way() -> None:
    floating = floats([play("1", "drag", 0.6, 0.06), play("5", "1", 0.3, 0.08)], ["1", "5"])
    assert floating["5", "y"].high.u == pytest.approx(0.05)  # half of each, root of squares


def test_what_nothing_holds_is_absent() -> None:
    floating = floats([play("5", "1", 0.3)], ["1", "5"])
    assert floating == {}


def test_a_clearance_below_zero_gives_no_float() -> None:
    assert floats([play("1", "drag", -0.1)], ["1"])["1", "y"].total == 0.0


def test_an_order_that_puts_a_core_before_its_seat_is_refused() -> None:
    with pytest.raises(DataError, match="give the setting order"):
        floats([play("5", "1", 0.3), play("1", "drag", 0.3)], ["5", "1"])


def test_pushed_to_a_side_it_stands_at_the_end_of_its_float() -> None:
    place = floats([play("2", "drag", 0.0), play("4", "2", 1.2, 0.02)], ["2", "4"])
    assert pushed(place["4", "y"], 1) == Estimate(pytest.approx(0.6), pytest.approx(0.01))
    assert pushed(place["4", "y"], -1).value == pytest.approx(-0.6)
    free = pushed(place["4", "y"], 0)
    assert free.value == pytest.approx(0.0)
    assert free.u**2 == pytest.approx(1.2**2 / 12 + 0.01**2, rel=1e-6)


def test_several_fits_leave_what_their_places_have_in_common() -> None:
    off = Estimate(0.2, 0.03)
    floating = floats([play("1", "drag", 0.6, name="a"), play("1", "drag", 0.6, name="b", off=off)], ["1"])["1", "y"]
    assert (floating.low.value, floating.high.value) == (pytest.approx(-0.1), pytest.approx(0.3))
    assert (floating.low_via, floating.high_via) == (("b",), ("a",)) and floating.low.u == pytest.approx(0.03)
    apart = floats([play("1", "drag", 0.6), play("1", "drag", 0.6, off=Estimate(1.6, 0.0))], ["1"])["1", "y"]
    assert apart.total == 0.0 and apart.low.value == pytest.approx(0.8)  # it does not go in: half of the way
