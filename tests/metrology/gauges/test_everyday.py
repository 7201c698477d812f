"""Daily readings: a planted instrument bias and a planted person's spread come out, and nothing out of nothing."""

from __future__ import annotations

from math import isclose, nan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.gauges.everyday import instrument_bias_between, person_spreads

# a feature of the casting and three of the core sample, with the spread of the work itself and its wear per lot
SERIES = (("F10", 0.10, 0.0), ("W", 0.06, 0.0012), ("H", 0.06, 0.0012), ("P", 0.06, 0.0008))
Row = tuple[float, str, str, str, float]


def production(seed: int, bias: float = 0.05, s2: float = 0.09, lots: int = 180, slips: float = 0.003) -> list[Row]:
    """Invented lots: odd ones by bench 1 with CAL1, even ones by bench 2 with CAL2; wear, one repair, a few slips."""
    rng = np.random.default_rng(seed)
    rows = []
    for lot in range(1, lots + 1):
        odd = lot % 2 == 1
        person, instrument = ("bench 1", "CAL1") if odd else ("bench 2", "CAL2")
        for name, spread, wear in SERIES:
            value = 50 + wear * (lot if lot < 100 else lot - 100) + rng.normal(0, spread)
            value += rng.normal(0, 0.03) if odd else bias + rng.normal(0, s2)
            if rng.random() < slips:
                value += 18.0
            rows.append((float(lot), name, instrument, person, round(float(value), 2)))
    return rows


def spreads(rows: list[Row]) -> list[tuple[object, object, float]]:
    return [(person, series, value) for _, series, _, person, value in rows]


def test_the_planted_instrument_bias_is_recovered_with_an_honest_interval() -> None:
    held, found = 0, []
    for seed in range(150):
        b = instrument_bias_between(production(seed), "CAL1", "CAL2")
        held += b.lower <= 0.05 <= b.upper
        found.append(b.estimate.value)
        assert b.differs
    assert held >= 135  # 95 % of 150, four standard errors
    assert np.mean(found) == pytest.approx(0.05, abs=0.002)
    assert np.std(found) == pytest.approx(b.estimate.u, rel=0.25)


def test_person_and_instrument_that_go_together_are_said_not_to_be_separable() -> None:
    rows = production(1)
    assert instrument_bias_between(rows, "CAL1", "CAL2").mixed_with_people
    assert "cannot be told apart" in instrument_bias_between(rows, "CAL1", "CAL2").sentence
    shared = [(o, s, i, "bench 1", v) for o, s, i, _, v in rows]
    assert not instrument_bias_between(shared, "CAL1", "CAL2").mixed_with_people


def test_instruments_that_agree_are_not_accused() -> None:
    accused = sum(instrument_bias_between(production(s, bias=0.0), "CAL1", "CAL2").differs for s in range(200))
    assert accused <= 22  # 5 % of 200, four standard errors
    agree = instrument_bias_between(production(2, bias=0.0), "CAL1", "CAL2")
    assert agree.sentence.startswith("no bias of CAL2 against CAL1 is shown")


def test_swapping_the_instruments_turns_the_sign() -> None:
    rows = production(3)
    one, two = instrument_bias_between(rows, "CAL1", "CAL2"), instrument_bias_between(rows, "CAL2", "CAL1")
    assert isclose(one.estimate.value, -two.estimate.value, rel_tol=1e-9)
    assert isclose(one.estimate.u, two.estimate.u, rel_tol=1e-9)


@given(st.integers(0, 2**32 - 1), st.floats(-0.01, 0.01))
@settings(max_examples=25, deadline=None)
def test_a_going_trend_moves_the_bias_by_next_to_nothing(seed: int, slope: float) -> None:
    rows = production(seed, slips=0.0)
    leaning = [(o, s, i, p, v + slope * o) for o, s, i, p, v in rows]
    one, two = instrument_bias_between(rows, "CAL1", "CAL2"), instrument_bias_between(leaning, "CAL1", "CAL2")
    assert abs(one.estimate.value - two.estimate.value) < max(0.5 * one.estimate.u, abs(slope) / 10)


def test_wild_readings_and_a_repair_do_little_harm() -> None:
    clean, dirty = production(4, slips=0.0), production(4, slips=0.0)
    dirty[40] = (*dirty[40][:4], 5.2)
    dirty[301] = (*dirty[301][:4], 500.0)
    dirty[302:] = [(o, s, i, p, v - 0.42) for o, s, i, p, v in dirty[302:]]
    one = instrument_bias_between(clean, "CAL1", "CAL2").estimate
    two = instrument_bias_between(dirty, "CAL1", "CAL2").estimate
    assert abs(one.value - two.value) < 0.5 * one.u


def test_too_few_changes_of_instrument_are_refused() -> None:
    with pytest.raises(DataError, match="Read one piece with both"):
        instrument_bias_between(production(1, lots=4), "CAL1", "CAL2")
    with pytest.raises(DataError, match=r"0 time\(s\)"):
        instrument_bias_between(production(1), "CAL1", "CAL9")
    with pytest.raises(DataError, match="not a size"):
        instrument_bias_between([(1.0, "F10", "CAL1", "bench 1", nan)], "CAL1", "CAL2")


# ------------------------------------------------------------------------------ people
def test_the_planted_person_is_named_with_the_planted_spread() -> None:
    inside = held = 0
    for seed in range(60):
        by_person = {x.person: x for x in person_spreads(spreads(production(seed, lots=400)), 0.03)}
        assert by_person["bench 2"].stands_out
        assert not by_person["bench 1"].stands_out
        assert by_person["bench 1"].s is None
        assert by_person["bench 2"].lower is not None
        assert by_person["bench 2"].upper is not None
        inside += abs((by_person["bench 2"].s or 0) - 0.09) <= 0.03
        held += by_person["bench 2"].lower <= 0.09 <= by_person["bench 2"].upper
    assert inside == 60
    assert held >= 50
    assert "the person's own measuring has s = 0.0" in by_person["bench 2"].sentence
    assert by_person["bench 2"].set_aside > 0  # the slips


def test_without_the_others_own_spread_the_answer_is_a_lower_bound() -> None:
    rows = spreads(production(1, lots=400))
    low, full = (next(x for x in person_spreads(rows, s) if x.person == "bench 2") for s in (0.0, 0.03))
    assert (low.s or 0) < (full.s or 0)
    assert (low.s or 0) ** 2 + 0.03**2 == pytest.approx((full.s or 0) ** 2)
    assert "at least" in low.sentence
    assert "at least" not in full.sentence
    by_name = next(x for x in person_spreads(rows, {"bench 2": 0.03}) if x.person == "bench 2")
    assert by_name.s == full.s


def test_people_who_are_alike_are_seldom_named() -> None:
    named = sum(any(x.stands_out for x in person_spreads(spreads(production(s, 0.0, 0.03)))) for s in range(300))
    assert named < 33  # 5 % of 300, four standard errors


def test_a_bias_or_trend_of_a_person_is_no_spread() -> None:
    rows = spreads(production(5, bias=1.5, s2=0.03, slips=0.0))
    assert not any(x.stands_out for x in person_spreads(rows))
    leaning = [(p, s, v + 0.01 * i) for i, (p, s, v) in enumerate(rows)]
    assert not any(x.stands_out for x in person_spreads(leaning))


def test_one_of_three_is_named_and_the_others_are_not_called_narrow() -> None:
    rng = np.random.default_rng(6)
    rows = []
    for i in range(300):
        person = ("a", "b", "c")[i % 3]
        rows.append((person, "F", float(rng.normal(10, 0.05 if person != "b" else 0.2))))
    by_person = {x.person: x for x in person_spreads(rows)}
    assert by_person["b"].stands_out
    assert not by_person["a"].stands_out
    assert not by_person["c"].stands_out
    assert by_person["b"].ratio == pytest.approx(4.0, rel=0.25)
    assert by_person["b"].ratio_lower < 4.0 < by_person["b"].ratio_upper


def test_nobody_to_compare_with_is_refused() -> None:
    with pytest.raises(DataError, match="only a has enough"):
        person_spreads([("a", "F", float(i % 3)) for i in range(10)] + [("b", "F", 1.0)])
    with pytest.raises(DataError, match="only nobody"):
        person_spreads([])
    with pytest.raises(DataError, match="not a size"):
        person_spreads([("a", "F", nan)])
    own = [("a", "F", float(i % 3)) for i in range(10)] + [("b", "G", float(i % 4)) for i in range(10)]
    apart = person_spreads(own)
    assert not any(x.stands_out for x in apart)  # no series that both read
