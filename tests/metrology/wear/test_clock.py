"""Clocks on which wear goes straight: their shape, their speed, and the way back to the count."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inspect_tui.metrology.wear.clock import BEND, BENDS, CURVE, CURVES, LATE, POWER, SLOWEST, STRAIGHT, Clock, clocks

X = np.linspace(0, 6000, 25)
ALL = clocks(X)


def test_there_is_a_clock_for_each_way_and_their_odds_are_certain_together() -> None:
    assert ALL[0].kind == STRAIGHT and len(ALL) == 2 + len(CURVES) + len(BENDS)
    assert sum(clock.prior for clock in ALL) == pytest.approx(1)
    assert clocks([1.0, 2.0, 3.0, 4.0]) == [Clock()] == clocks([5.0] * 9)
    few = clocks([0.0, 1000.0, 2000.0, 3000.0, 6000.0])
    assert sum(clock.prior for clock in few) == pytest.approx(1)
    assert {clock.at for clock in few if clock.kind == BEND} == {1200.0, 2400.0}  # two readings on either side


def test_wear_from_nothing_is_nearly_as_likely_beforehand_as_straight_wear() -> None:
    odds = {clock.gain: clock.prior for clock in ALL if clock.kind == CURVE}
    assert 0.5 < odds[1.0] / ALL[0].prior < 1 and odds[1.0] > 3 * odds[0.7]
    assert odds[-0.7] > 1.5 * odds[-0.35] and ALL[0].prior == max(clock.prior for clock in ALL)


def test_a_finer_grid_is_as_likely_as_the_coarse_one_it_stands_for() -> None:
    def odds(gain: float, u: float) -> dict[float, float]:
        made = clocks(X, (gain, u))
        return {round(c.gain, 6): c.prior / made[0].prior for c in made if c.kind == CURVE}

    coarse = {c.gain: c.prior / ALL[0].prior for c in ALL if c.kind == CURVE}
    spacing = (1.0 - -0.7) / len(CURVES)
    assert odds(0.4, 0.1)[0.7] == pytest.approx(coarse[0.7] * 0.1 / spacing)
    assert odds(0.9, 0.1)[1.0] == pytest.approx(coarse[1.0] * 0.1 / spacing)
    middle = (coarse[0.7] + coarse[1.0]) / 2
    assert odds(0.85, 0.1)[0.85] == pytest.approx(middle * 0.1 / spacing)
    assert odds(0.35, 0.1).keys() == {0.05, 0.15, 0.25, 0.35, 0.45, 0.55, 0.65}


@pytest.mark.parametrize("clock", ALL, ids=lambda c: f"{c.kind} {c.gain:.2f} {c.at:.0f}")
def test_a_clock_runs_as_fast_as_the_count_in_the_mean_and_never_back(clock: Clock) -> None:
    shown = clock.many(X)
    assert shown == pytest.approx([clock.reads(float(x)) for x in X])
    assert np.polyfit(X, shown, 1)[0] == pytest.approx(1)
    further = clock.many(np.linspace(-3000, 60_000, 400))
    assert (np.diff(further) >= -1e-9).all() and (np.diff(clock.many(np.linspace(10, 60_000, 400))) > 0).all()
    for x in (200.0, 3100.0, 5900.0, 9000.0):
        assert clock.rate(x) == pytest.approx((clock.reads(x + 0.5) - clock.reads(x - 0.5)), rel=1e-3)


@settings(max_examples=60)
@given(st.sampled_from(ALL), st.floats(1, 50_000))
def test_the_count_is_got_back_from_the_clock(clock: Clock, cores: float) -> None:
    assert clock.cores(clock.reads(cores)) == pytest.approx(cores, rel=1e-6, abs=1e-3)


def test_what_speeds_up_and_what_slows_down() -> None:
    assert not Clock().speeds_up and not Clock().slows
    for clock in ALL[1:]:
        faster = clock.rate(5990) > clock.rate(10)
        assert clock.speeds_up == faster and clock.slows == (not faster)
    slow = next(c for c in ALL if c.kind == CURVE and c.gain < 0)
    assert slow.rate(1e6) == pytest.approx(SLOWEST / slow.per)  # it never stops
    quick = next(c for c in ALL if c.kind == CURVE and c.gain == 1.0)
    assert quick.rate(0.0) == pytest.approx(0, abs=1e-9) and quick.rate(6000.0) == pytest.approx(2)
    worn_in = next(c for c in ALL if c.kind == BEND and c.gain < 1)
    assert worn_in.rate(10) / worn_in.rate(5990) == pytest.approx(3)


def test_wear_that_comes_late_goes_with_the_third_power_of_the_count() -> None:
    late = next(clock for clock in ALL if clock.kind == POWER)
    assert late.gain == LATE == 3 and late.speeds_up and 0.05 < late.prior < ALL[0].prior / 2
    assert late.reads(6000.0) / late.reads(3000.0) == pytest.approx(8)
    assert late.rate(6000.0) / late.rate(3000.0) == pytest.approx(4)
    assert late.reads(-10.0) == 0.0 == late.rate(-10.0) == late.cores(-1.0)


def test_a_bend_that_shows_is_tried_at_every_place_and_is_no_likelier_for_it() -> None:
    plain, shown = clocks(X.tolist()), clocks(X.tolist(), bend=(1500.0, 0.3, 0.2))
    bends = [c for c in shown if c.kind == BEND]
    low, span = min(X), max(X) - min(X)
    assert {round((c.at - low) / span, 1) for c in bends} >= {0.1, 0.3, 0.5, 0.7, 0.9}
    near = sorted(c.gain for c in bends if c.at == pytest.approx(low + 0.3 * span))
    assert near == pytest.approx([0.3 * float(np.exp(0.2 * k)) for k in (-3, -2, -1, 0, 1, 2, 3)])
    beforehand, fine = (sum(c.prior for c in made if c.kind == BEND) for made in (plain, shown))
    assert fine < beforehand / 2  # seven steps of 0.2 are 1.4 of the 4.16 from an eighth to eight times
