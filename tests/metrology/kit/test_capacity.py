"""Capacity from a passage's area: a few percent under stands out, in words too; what buys it back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.kit.capacity import CAVEAT, buys_back, capacity, ellipse, parallel, series
from inspect_tui.metrology.kit.passage import Formula, parse, value_of
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
