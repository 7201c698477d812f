"""Wild readings in place of a cause: what is learned of them, and how a cause is weighed against them, on paper."""

from __future__ import annotations

from dataclasses import replace
from math import log, sqrt

import numpy as np
import pytest

from inspect_tui.metrology.causes import noise as noise_model
from inspect_tui.metrology.causes import slips
from inspect_tui.metrology.causes.explain import explain
from inspect_tui.metrology.causes.problem import Candidate, Noise
from inspect_tui.metrology.causes.sentences import say_all
from tests.metrology.causes.test_answer import cause, place
from tests.worlds.cuts_by_hand import QUIET

OFFS = {"N": {"1": 0.0, "2": 0.0, "3": 1.0}, "M": {"1": 0.0, "2": 0.0, "3": 1.0}}
MOULD = cause("core 1 x on casting 3", {"N": 1.0, "M": 1.0}, sd=0.8, prior=0.003, serial="3")
SHARE = {"odd_share": 0.004, "odd_mm": 4.0}


def two(u: float = 0.1, offs=OFFS):
    """Two features that on casting 3 alone read 1.0 high."""
    return [place(name, own, u, at=9.0 * n) for n, (name, own) in enumerate(offs.items())]


def weighed(features, cands: list[Candidate], k: int, noise: Noise, best=None, odd=()) -> slips.WildRival:
    t = noise_model.table(features, "drag")
    x = t.columns(cands)
    sd = np.array([c.sd for c in cands])
    odds = np.log([c.prior / (1 - c.prior) for c in cands])
    system = noise_model.system(t, x, noise, odd)
    known = slips.Weighed(table=t, system=system, x=x, sd=sd, odds=odds, best=best or [k])
    return slips.rival(known, noise, odd, k)


def slip(off: float, u: float, share: float = 0.004, wide: float = 16.0) -> float:
    """Log odds that a reading is wild: prior, and N(0, u2 + wide) over N(0, u2)."""
    v = u * u
    return log(share / (1 - share)) - 0.5 * log((v + wide) / v) + 0.5 * off**2 * (1 / v - 1 / (v + wide))


def slab(off: float, u: float, n: int, prior: float = 0.003, sd: float = 0.8) -> float:
    """Log odds of a cause that n readings of this u show alike."""
    h = 1 + n * (sd / u) ** 2
    return log(prior / (1 - prior)) + 0.5 * (sd * n * off / u**2) ** 2 / h - 0.5 * log(h)


# ------------------------------------------------------------------------------ what is learned of slips
def test_what_was_set_aside_makes_the_next_slip_likelier_and_as_wide_as_they_are():
    noise = Noise(odd_share=0.004, odd_mm=4.0)
    assert slips.learned(noise, [], 250) == noise
    known = slips.learned(noise, [1.0, -2.0], 250)
    assert known.odd_share == pytest.approx((0.004 * 250 + 2) / 500)
    assert known.odd_mm == pytest.approx(sqrt((16 + 1 + 4) / 3))
    assert slips.learned(noise, [1.0], 100_000).odd_share == 0.004  # never fewer than believed before


# ------------------------------------------------------------------------------ weighed on paper
def test_a_cause_of_one_mould_is_weighed_against_two_wild_readings():
    """Slab and slips in closed form: the cause gains what two readings show together, each slip what one does."""
    rival = weighed(two(), [MOULD], 0, replace(QUIET, **SHARE))
    assert rival.odds == pytest.approx(slab(1.0, 0.1, 2) - 2 * slip(1.0, 0.1), abs=1e-6)
    rows = {(row, round(off, 6)) for row, off in rival.rows}
    assert rows == {(4, 1.0), (5, 1.0)}  # features N and M on the third casting


def test_a_reading_that_is_no_likelier_wild_is_not_taken_for_wild():
    """0.3 at u 0.1 is no slip: nothing stands against the cause but that it is not there."""
    offs = {name: {"1": 0.0, "2": 0.0, "3": 0.3} for name in "NM"}
    assert slip(0.3, 0.1) < 0
    rival = weighed(two(offs=offs), [MOULD], 0, replace(QUIET, **SHARE))
    assert rival.rows == () and rival.odds == pytest.approx(slab(0.3, 0.1, 2), abs=1e-6)


def test_a_reading_that_is_a_little_likelier_wild_is_taken_for_wild():
    off = next(v / 1000 for v in range(300, 600) if slip(v / 1000, 0.1) > 0.5)
    assert 0.5 < slip(off, 0.1) < 0.6
    offs = {name: {"1": 0.0, "2": 0.0, "3": off} for name in "NM"}
    rival = weighed(two(offs=offs), [MOULD], 0, replace(QUIET, **SHARE))
    assert len(rival.rows) == 2
    assert rival.odds == pytest.approx(slab(off, 0.1, 2) - 2 * slip(off, 0.1), abs=1e-6)


def test_what_is_wild_beside_the_cause_as_well_speaks_for_neither():
    """A third reading of the core, 3.0 low: wild with the cause or without."""
    offs = {**OFFS, "K": {"1": 0.0, "2": 0.0, "3": -3.0}}
    own = replace(MOULD, column={"N": 1.0, "M": 1.0, "K": 1.0})
    noise = replace(QUIET, **SHARE)
    t = noise_model.table(two(offs=offs), "drag")
    row = next(r for r in range(9) if t.place(r) == ("K", "3"))
    aside = weighed(two(offs=offs), [own], 0, noise, odd=(row,))
    assert aside.odds == pytest.approx(slab(1.0, 0.1, 2) - 2 * slip(1.0, 0.1), abs=1e-3)
    inside = weighed(two(offs=offs), [own], 0, noise)
    assert len(inside.rows) == 3
    assert inside.odds == pytest.approx(slab(1.0, 0.1, 2) - 2 * slip(1.0, 0.1), abs=0.5)


def test_other_causes_are_taken_off_before_a_reading_is_called_wild():
    """Core 2 explains the 1.0 of M: of core 1 only N is left, and one slip stands for it."""
    other = cause("core 2 x on casting 3", {"M": 1.0}, sd=100.0, prior=0.5, parts=("core 2",), serial="3")
    own = replace(MOULD, column={"N": 1.0})
    rival = weighed(two(), [own, other], 0, replace(QUIET, **SHARE), best=[0, 1])
    assert [row for row, _ in rival.rows] == [4]
    assert rival.odds == pytest.approx(slab(1.0, 0.1, 1) - slip(1.0, 0.1), abs=1e-4)


def test_a_cause_with_nothing_left_but_what_was_set_aside_has_no_rival_but_its_absence():
    rival = weighed(two(), [MOULD], 0, QUIET, odd=(4, 5))
    assert rival.rows == () and rival.odds == pytest.approx(log(0.003 / 0.997), abs=1e-3)


# ------------------------------------------------------------------------------ what that does to the answer
def answered(share: float, cands=(MOULD,), offs=OFFS, u: float = 0.1):
    return explain(two(u, offs), candidates=cands, noise=replace(QUIET, odd_share=share), learn_noise=False)


def share_for(odds: float, *, prior: float = 0.003) -> float:
    """The share of slips at which the two readings weigh so much less than the cause (log odds)."""
    low, high = 1e-12, 0.5
    for _ in range(80):
        middle = sqrt(low * high)
        over = slab(1.0, 0.1, 2, prior) - 2 * slip(1.0, 0.1, middle) > odds
        low, high = (middle, high) if over else (low, middle)
    return low


def test_a_cause_of_one_mould_is_named_from_99_percent_against_wild_readings():
    assert answered(share_for(4.7)).named("core 1 x on casting 3")
    answer = answered(share_for(4.5))
    assert not answer.findings
    unclear = answer.cannot_tell[0]
    assert unclear.status == "cannot tell" and set(unclear.wild) == {("N", "3"), ("M", "3")}
    said = next(s.text for s in say_all(answer) if s.name)
    assert "or M and N on casting 3 are both read wrong: what is read cannot tell them apart" in said
    assert "Do not cut. Read M and N on casting 3 again first" in said


def test_readings_that_are_likelier_wild_are_set_aside_and_make_no_cause():
    answer = answered(share_for(-0.5))
    assert not answer.findings and not answer.cannot_tell
    assert {(o.balloon, o.serial) for o in answer.odd} == {("N", "3"), ("M", "3")}
    assert all(o.off_mm == pytest.approx(1.0, abs=0.01) and o.odds > 1 for o in answer.odd)


def test_readings_that_are_less_likely_wild_are_kept_and_asked_about():
    answer = answered(share_for(0.5))
    assert not answer.findings and not answer.odd
    assert set(answer.cannot_tell[0].wild) == {("N", "3"), ("M", "3")}


@pytest.mark.parametrize(("u", "aside"), [(0.3, []), (0.5, ["N"])])
def test_a_reading_that_carries_a_cause_all_alone_is_set_aside(u, aside):
    """M reads the same 1.0 as N, but knows it to 0.3 (3.3 of them) or 0.5 (2.0: it does not show the cause)."""
    features = [place("N", OFFS["N"], 0.1), place("M", OFFS["M"], u, at=9.0)]
    answer = explain(features, candidates=[MOULD], noise=replace(QUIET, odd_share=1e-5), learn_noise=False)
    assert [o.balloon for o in answer.odd] == aside
    assert bool(answer.findings) is not bool(aside)


def test_a_cause_of_one_mould_is_named_from_99_percent_where_nothing_is_wild():
    """What one mould shows by a little is one of hundreds that could show by chance; of all castings 90 % is enough."""
    offs = {name: {"1": 0.0, "2": 0.0, "3": 0.3} for name in "NM"}
    for odds, named in ((4.5, False), (4.7, True)):
        weight = odds - slab(0.3, 0.1, 2, 0.5)
        prior = 1 / (1 + np.exp(-weight))
        answer = answered(1e-9, [replace(MOULD, prior=prior)], offs)
        assert bool(answer.findings) is named
        tilt = replace(
            MOULD, name="tilt at A2 on casting 3", kind="tilt", prior=prior
        )  # there are but two of a casting
        assert answered(1e-9, [tilt], offs).findings
        common = [place("N", 0.3, 0.1), place("M", 0.3, 0.1, at=9.0)]
        weight = 2.5 - slab(0.3, 0.1, 6, 0.5)
        own = cause("core 1 x", {"N": 1.0, "M": 1.0}, sd=0.8, prior=1 / (1 + np.exp(-weight)))
        assert explain(common, candidates=[own], noise=replace(QUIET, odd_share=1e-9), learn_noise=False).findings


def test_one_wild_reading_is_said_in_the_singular():
    """N shows 1.0 with u 0.1, M with u 0.3 only: it is core 1, or N is read wrong and M is off by chance."""
    features = [place("N", OFFS["N"], 0.1), place("M", OFFS["M"], 0.3, at=9.0)]
    answer = explain(features, candidates=[MOULD], noise=replace(QUIET, odd_share=0.03), learn_noise=False)
    unclear = answer.cannot_tell[0]
    assert unclear.wild == (("N", "3"),)
    said = next(s.text for s in say_all(answer) if s.name)
    assert "or N on casting 3 is read wrong: what is read cannot tell them apart" in said
