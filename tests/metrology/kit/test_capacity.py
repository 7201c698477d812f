"""Capacity from a passage's area: a few percent under stands out, in words too; what buys it back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.capacity import (
    CAVEAT,
    FLOW_UNITS,
    assumed,
    buys_back,
    capacity,
    ellipse,
    exponent_wrong,
    flows,
    in_units,
    parallel,
    series,
)
from inspect_tui.metrology.kit.doubts import Doubt, Doubted, DoubtShare
from inspect_tui.metrology.kit.law import Law, law
from inspect_tui.metrology.kit.passage import Derived, Formula, derive, parse, value_of
from inspect_tui.model.words import Estimate

NOMINAL = ellipse(70.0, 70.0)  # the throat of the invented manifold, 3848.5 mm², rated 46.0 m³/min, at least 45.0


def throat() -> Formula:
    parsed = parse("pi / 4 * F41 * F55", {"F41": 1, "F55": 1})
    assert isinstance(parsed, Formula)
    return parsed


def test_the_throat_before_and_after_its_correction() -> None:
    first = capacity(Estimate(ellipse(70.00, 67.43), 10.0), NOMINAL, 46.0, minimum=45.0)
    assert first.area == pytest.approx(3706.9, abs=0.7)
    assert round(first.value, 1) == 44.3 and first.level == "under by a few percent"
    assert first.p_meets < 0.01
    assert (
        first.sentence.startswith("3.7 % under: 44.3 of 46.0 rated") and "below the minimum of 45.0" in first.sentence
    )
    then = capacity(Estimate(ellipse(70.00, 70.10), 10.0), NOMINAL, 46.0, minimum=45.0)
    assert round(then.value, 1) == 46.1 and then.level == "as rated" and then.p_meets > 0.99


def test_a_miss_of_7_7_percent_is_said_as_such() -> None:
    flow = capacity(Estimate(42.46, 0.0), 46.0, 46.0, unit="m³/min")
    assert flow.sentence == "7.7 % under: 42.5 of 46.0 rated m³/min"
    assert flow.short == pytest.approx(0.077, abs=0.0005)


def test_two_dimensions_a_little_small_lose_what_one_loses_alone() -> None:
    # 1.0 on 26 and 2.0 on 50 together cost what 0.77 on a slot of 10 costs alone: geometry, computed here
    assert pytest.approx(0.923, abs=0.0005) == 25 / 26 * 48 / 50
    both = capacity(Estimate(25.0 * 48.0, 0.0), 26.0 * 50.0, 100.0)
    slot = capacity(Estimate(9.23, 0.0), 10.0, 100.0)
    assert both.value == pytest.approx(slot.value, abs=0.05)


@pytest.mark.parametrize(
    "ratio, level",
    [
        (1.0, "as rated"),
        (0.991, "as rated"),
        (0.985, "under by a few percent"),
        (0.91, "under by a few percent"),
        (0.85, "far under"),
        (1.05, "over"),
    ],
)
def test_levels(ratio: float, level: str) -> None:
    assert capacity(Estimate(1000 * ratio, 0.0), 1000.0, 46.0).level == level


@given(st.floats(0.5, 1.5), st.floats(0.2, 2.0), st.floats(0.001, 0.05))
def test_relative_u_is_the_exponent_times_that_of_the_area(ratio: float, n: float, u: float) -> None:
    flow = capacity(Estimate(1000 * ratio, 1000 * ratio * u), 1000.0, 46.0, n)
    assert flow.value == pytest.approx(46.0 * ratio**n)
    assert flow.u / flow.value == pytest.approx(n * u)
    assert 0 <= flow.p_meets <= 1 and flow.caveat == CAVEAT


def test_the_caveat_says_that_it_is_no_test() -> None:
    assert "no flow test" in CAVEAT and "test stand decides" in CAVEAT and "without a source" in CAVEAT


@pytest.mark.parametrize("area, drawn, rated", [(0, 1, 1), (1, 0, 1), (1, 1, 0), (-5, 1, 1)])
def test_nonsense_is_refused(area: float, drawn: float, rated: float) -> None:
    with pytest.raises(DataError, match="above 0"):
        capacity(Estimate(area, 0.0), drawn, rated)


@given(st.lists(st.floats(10, 1000), min_size=1, max_size=6))
def test_in_series_the_smallest_rules_and_side_by_side_they_add(areas: list[float]) -> None:
    given_ = [Estimate(a, 0.01 * a) for a in areas]
    assert series(given_).value <= min(areas) * (1 + 1e-12)
    assert parallel(given_).value == pytest.approx(sum(areas))
    # equal relative doubt of independent areas comes out no larger
    assert series(given_).u / series(given_).value <= 0.01 + 1e-9
    k = len(areas)
    assert series([Estimate(100.0, 0.0)] * k).value == pytest.approx(100.0 / k**0.5)


def test_series_and_parallel_refuse_nothing_and_none() -> None:
    for bad in ([], [Estimate(0.0, 0.0)]):
        with pytest.raises(DataError):
            series(bad)
    with pytest.raises(DataError):
        parallel([])


def test_the_dimension_that_buys_the_most_back_comes_first() -> None:
    sizes = {"F41": Estimate(70.0, 0.05), "F55": Estimate(50.0, 0.05)}
    buys = buys_back(throat(), sizes, ellipse(70.0, 52.0))
    assert [b.feature for b in buys] == ["F55", "F41"]
    assert buys[0].alone_mm == pytest.approx(2.0, abs=1e-6)
    assert buys[0].percent_per_mm == pytest.approx(2.0)


@given(st.floats(20, 100), st.floats(20, 100), st.floats(0.8, 1.2))
def test_the_change_it_names_reaches_the_wish(w: float, h: float, share: float) -> None:
    wish = ellipse(w, h) * share
    for b in buys_back(throat(), {"F41": Estimate(w, 0.1), "F55": Estimate(h, 0.1)}, wish):
        assert b.alone_mm is not None
        sizes = {"F41": w, "F55": h}
        sizes[b.feature] += b.alone_mm
        assert value_of(throat(), sizes) == pytest.approx(wish, rel=1e-9)


def test_a_wish_out_of_reach_is_none_and_one_already_there_is_zero() -> None:
    sizes = {"F41": Estimate(70.0, 0.1), "F55": Estimate(70.0, 0.1)}
    assert [b.alone_mm for b in buys_back(throat(), sizes, 3 * NOMINAL)] == [None, None]
    assert [b.alone_mm for b in buys_back(throat(), sizes, NOMINAL)] == [0.0, 0.0]


# ------------------------------------------------------------------------------ exponent, law, what is assumed, units
@pytest.mark.parametrize("n", [0.0, -1.0, 10.1, float("nan"), float("inf")])
def test_an_exponent_that_is_no_law_is_told(n: float) -> None:
    said = exponent_wrong(n)
    assert said is not None and "\n" not in said
    with pytest.raises(DataError):
        capacity(Estimate(1000.0, 1.0), 1000.0, 46.0, n)
    assert exponent_wrong(1.0) is None and exponent_wrong(10.0) is None and exponent_wrong(0.5) is None


def test_an_exponent_of_0_says_what_to_type() -> None:
    assert exponent_wrong(0.0) == (
        "an exponent of 0 says that the area does not matter: type 1 where the flow is in proportion to it"
    )


def throat_area(ua: float = 0.0015) -> Derived:
    sizes = {
        name: Doubted(70.0, (Doubt(name, "readings", 0.01, True), Doubt("contraction", "contraction", -70.0 * ua)))
        for name in ("F41", "F55")
    }
    return derive(throat(), sizes)


def test_185_with_contraction_in_common_is_plus_minus_1_1_and_says_what_is_assumed() -> None:
    flow = capacity(throat_area(), NOMINAL, 185.0, unit="m3/h")
    assert flow.sentence == ("as rated: 185.0 of 185.0 m3/h ± 1.1; of that ± 0.1 measured, assumed: contraction ± 1.1")
    assert 2 * flow.u_assumed == pytest.approx(1.11, abs=1e-3)
    assert 2 * flow.u_measured == pytest.approx(2 * 185.0 * 2**0.5 * 0.01 / 70.0, rel=1e-4)
    assert flow.u**2 == pytest.approx(flow.u_measured**2 + flow.u_assumed**2)
    assert flow.how == "in proportion to the area: assumed"
    measured = capacity(throat_area(0.0), NOMINAL, 185.0)
    assert measured.u_assumed == 0.0 and "assumed" not in measured.sentence


def test_every_kind_that_matters_is_named_and_the_small_ones_are_not() -> None:
    kinds = [DoubtShare("contraction", 1.0, False), DoubtShare("wash", 0.2, False), DoubtShare("wear", 0.04, False)]
    assert assumed(kinds) == "; of that ± 0.0 measured, assumed: contraction ± 2.0, wash ± 0.4"
    assert assumed([DoubtShare("gauge", 1.0, True)]) == "" and assumed([]) == ""
    assert assumed([*kinds, DoubtShare("gauge", 0.02, True)]).startswith("; of that ± 0.04 measured")


def test_an_exponent_multiplies_every_part_of_the_doubt() -> None:
    one, two = (capacity(throat_area(), NOMINAL, 185.0, n) for n in (1.0, 2.0))
    assert two.u == pytest.approx(2 * one.u) and two.u_assumed == pytest.approx(2 * one.u_assumed)
    assert two.how == "as the area to the power 2: as stated with the rating"


def stated(*points: tuple[float, float]) -> Law:
    made = law(points)
    assert isinstance(made, Law), made
    return made


def test_the_customers_points_say_the_capacity_and_its_slope_the_uncertainty() -> None:
    line = stated((3600.0, 43.0), (4000.0, 47.0))  # 1 of flow for 100 mm2
    flow = capacity(Estimate(3700.0, 10.0), 3900.0, 46.0, 3.0, 45.0, "m3/min", law=line)
    assert flow.value == pytest.approx(44.0) and flow.u == pytest.approx(0.1)
    assert flow.how == "by 2 points of the customer, 3600 to 4000"
    assert flow.sentence.startswith("4.3 % under: 44.0 of 46.0 rated m3/min ± 0.2; below the minimum of 45.0")


def test_points_that_do_not_say_the_rating_are_told() -> None:
    line = stated((3600.0, 43.0), (4000.0, 47.0))
    assert "as drawn they say 46.0, the rating says 50.0" in capacity(Estimate(3700, 0), 3900, 50.0, law=line).how
    assert "rating says" not in capacity(Estimate(3700, 0), 3900, 46.4, law=line).how
    assert "as drawn, 5000.0, lies outside" in capacity(Estimate(3700, 0), 5000, 46.0, law=line).how
    assert "beyond these points" in capacity(Estimate(3610.0, 6.0), 3900, 46.0, law=line).how
    assert "beyond these points" not in capacity(Estimate(3612.0, 6.0), 3900, 46.0, law=line).how
    with pytest.raises(DataError, match="outside the customer's points"):
        capacity(Estimate(3599.0, 1.0), 3900.0, 46.0, law=line)


def test_the_shape_between_points_is_assumed_and_widens_the_answer() -> None:
    curve = stated((3500.0, 42.0), (3700.0, 44.0), (3850.0, 46.0), (4000.0, 47.0))
    flow = capacity(Estimate(3800.0, 10.0), 3850.0, 46.0, law=curve)
    (shape,) = [share for share in flow.shares if "curve" in share.kind]
    assert not shape.measured and shape.u == pytest.approx(curve.bend(3800.0) / 3**0.5)
    assert flow.u**2 == pytest.approx(shape.u**2 + (10.0 * curve.slope(3800.0, 10.0)) ** 2)
    assert flow.shares == tuple(sorted(flow.shares, key=lambda share: -share.u))
    at_a_point = capacity(Estimate(3850.0, 10.0), 3850.0, 46.0, law=curve)
    assert all("curve" not in share.kind or share.u < 1e-9 for share in at_a_point.shares)


def test_flows_in_the_units_that_people_ask_for() -> None:
    # NIST SP 811 (2008), appendix B.8: 1 gal (US)/min = 6.309020e-5 m3/s, 1 ft3/min = 4.719474e-4 m3/s; 1 L = 1e-3 m3
    per_second = {"m3/h": 1 / 3600, "m3/min": 1 / 60, "l/s": 1e-3, "gal/min": 6.309020e-5, "ft3/min": 4.719474e-4}
    for unit, factor in per_second.items():
        given_ = in_units(100.0, unit)
        assert list(given_) == list(FLOW_UNITS)
        for other, other_factor in per_second.items():
            assert given_[other] == pytest.approx(100.0 * factor / other_factor, rel=2e-7)
    assert in_units(46.0, "m³/min")["m3/h"] == pytest.approx(2760.0)
    assert in_units(46.0, "kW") == {} and in_units(46.0, "") == {} and in_units(46.0, "furlongs") == {}


def test_a_small_flow_is_said_to_three_figures_and_a_great_one_without_tenths() -> None:
    assert flows(0.03, "m3/min") == ("that is 1.8 m³/h, 0.03 m³/min, 0.5 L/s, 7.9 gal/min (US), 1.1 ft³/min")
    assert flows(1000.0, "L/s").startswith("that is 3600 m³/h, 60.0 m³/min, 1000 L/s")
    assert flows(1.0, "kW") == "" and flows(1.0, "") == ""
