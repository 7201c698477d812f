"""Set-up for machining: closed forms with turns, limits, requirements, the exact rotation, and a casting of a plant."""

from __future__ import annotations

from dataclasses import replace
from math import radians
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from inspect_tui.errors import DataError
from inspect_tui.metrology.faces.stock import SetUpLimits, StockPoint, best_set_up, together

FIXED = SetUpLimits(shift=((0.0, 0.0),) * 3, turn=((0.0, 0.0),) * 3)
UP = (0.0, 0.0, 1.0)
PHI = NormalDist().cdf


def plate(stocks, size=200.0, required=0.0) -> list[StockPoint]:
    """Four corners of a face that looks up."""
    corners = [(0.0, 0.0, 50.0), (size, 0.0, 50.0), (size, size, 50.0), (0.0, size, 50.0)]
    return [
        StockPoint(name=f"corner {k}", at=c, normal=UP, stock_mm=s, required_mm=required)
        for k, (c, s) in enumerate(zip(corners, stocks, strict=True))
    ]


def test_a_tilted_face_is_turned_level():
    """Stock 1 at one edge and 3 at the other: turned about the edges' middle both have 2."""
    hold_z = SetUpLimits(shift=((0, 0), (0, 0), None), turn=(None, None, (0, 0)))
    below = [StockPoint(name="foot", at=(100.0, 100.0, 0.0), normal=(0.0, 0.0, -1.0), stock_mm=2.0)]
    answer = best_set_up([*plate([1.0, 3.0, 3.0, 1.0]), *below], hold_z)
    assert answer.spare_mm == pytest.approx(2.0, abs=0.003)  # the exact turn lowers the plate by 50 (1 - cos)
    assert answer.turn_rad[1] == pytest.approx(2.0 / 200.0, abs=1e-4)  # lowers the far edge
    assert [f.after_mm for f in answer.faces] == pytest.approx([2.0] * 5, abs=0.005)


def test_a_held_casting_is_judged_as_it_stands():
    answer = best_set_up(plate([1.2, 0.4, 0.9, 2.0], required=0.5), FIXED)
    assert answer.spare_mm == answer.spare_before_mm == pytest.approx(-0.1)
    assert not answer.cleans_up
    assert answer.binding == ("corner 1",)
    assert answer.verdict().startswith("Does not clean up (chance <1 %): corner 1 lacks 0.10")


def test_a_casting_right_at_the_requirement_cleans_up():
    answer = best_set_up(plate([0.5, 0.7, 0.9, 2.0], required=0.5), FIXED)
    assert answer.spare_mm == pytest.approx(0.0)
    assert answer.cleans_up


def test_each_face_has_its_own_requirement():
    """A pair of opposite faces with 0.9 and 2.1: equal spare when one needs 1.0 and the other nothing (2 = 1 + 1)."""
    pair = [
        StockPoint(name="flange", at=(0, 0, 0), normal=(1, 0, 0), stock_mm=0.9, required_mm=1.0),
        StockPoint(name="outlet", at=(600, 0, 0), normal=(-1, 0, 0), stock_mm=2.1),
    ]
    answer = best_set_up(pair, SetUpLimits(turn=((0, 0),) * 3))
    assert answer.spare_mm == pytest.approx(1.0)
    assert answer.shift_mm == pytest.approx((1.1, 0.0, 0.0))
    assert "Cleans up" in answer.verdict()


def test_a_shift_stops_at_the_datum_limit():
    pair = [
        StockPoint(name="a", at=(0, 0, 0), normal=(1, 0, 0), stock_mm=0.0),
        StockPoint(name="b", at=(600, 0, 0), normal=(-1, 0, 0), stock_mm=4.0),
    ]
    answer = best_set_up(pair, SetUpLimits(shift=((-0.3, 0.3), (0, 0), (0, 0)), turn=((0, 0),) * 3))
    assert answer.shift_mm[0] == pytest.approx(0.3)
    assert answer.binding == ("a",)


def test_of_equally_good_set_ups_the_smallest_movement_is_taken():
    long_box = [
        StockPoint(name=n, at=(0, 0, 0), normal=v, stock_mm=s)
        for n, v, s in (("l", (1, 0, 0), 9), ("r", (-1, 0, 0), 9), ("t", (0, 1, 0), 1), ("b", (0, -1, 0), 3))
    ]
    answer = best_set_up(long_box, SetUpLimits(shift=(None, None, (0, 0)), turn=((0, 0),) * 3))
    assert answer.spare_mm == pytest.approx(2.0)
    assert answer.shift_mm == pytest.approx((0.0, 1.0, 0.0), abs=1e-6)


def test_large_turns_are_exact_and_not_only_linear():
    """Stock computed at the answer from the plain geometry of the moved points, 1 degree on 800 mm."""
    rng = np.random.default_rng(5)
    tilt = radians(1.0)
    turn = np.array([[np.cos(tilt), 0, np.sin(tilt)], [0, 1, 0], [-np.sin(tilt), 0, np.cos(tilt)]])
    finished = [((x, y, 0.0), (0.0, 0.0, 1.0), 0.0) for x in (0.0, 800.0) for y in (0.0, 300.0)]
    finished += [((x, y, -90.0), (0.0, 0.0, -1.0), 90.0) for x in (0.0, 800.0) for y in (0.0, 300.0)]
    points = []
    for k, (place, normal, plane) in enumerate(finished):
        p = turn @ (np.array(place) + 3.0 * np.array(normal) + rng.normal(0, 0.02, 3))
        stock = float(np.dot(normal, p)) - plane
        points.append(StockPoint(name=f"p{k}", at=tuple(p), normal=normal, stock_mm=stock))
    answer = best_set_up(points, SetUpLimits(shift=((0, 0), (0, 0), None), turn=(None, None, (0, 0))))
    assert answer.spare_mm == pytest.approx(3.0, abs=0.05)
    assert answer.turn_rad[1] == pytest.approx(-tilt, abs=2e-4)
    r, t = np.array(answer.rotation), np.array(answer.shift_mm)
    for p, f, (_, _, plane) in zip(points, answer.faces, finished, strict=True):
        assert np.dot(p.normal, r @ np.array(p.at) + t) - plane == pytest.approx(f.after_mm, abs=1e-9)
    assert np.linalg.det(r) == pytest.approx(1.0)


def test_offsets_for_the_machinist_are_what_the_targets_move():
    foot = StockPoint(name="foot", at=(100.0, 100.0, 0.0), normal=(0.0, 0.0, -1.0), stock_mm=2.0)
    hold_z = SetUpLimits(shift=((0, 0), (0, 0), None), turn=(None, None, (0, 0)))
    answer = best_set_up([*plate([1.0, 3.0, 3.0, 1.0]), foot], hold_z)
    near, far = answer.moved((0.0, 0.0, 0.0)), answer.moved((200.0, 0.0, 0.0))
    assert near[2] == pytest.approx(1.0, abs=0.01)  # the lean side comes up, the far one down
    assert far[2] == pytest.approx(-1.0, abs=0.01)
    assert abs(answer.turn_rad[1]) > 5e-6 and answer.shift_mm[2] == pytest.approx(1.0, abs=0.005)


def test_uncertain_stock_gives_a_probability():
    sure = best_set_up(plate([0.5, 0.6, 0.9, 2.0], required=0.4), FIXED)
    unsure = best_set_up([replace(p, u_mm=0.1) for p in plate([0.5, 0.6, 0.9, 2.0], required=0.4)], FIXED)
    assert sure.p_cleans_up == 1.0
    assert unsure.u_mm == pytest.approx(0.1)
    # one, two and five u above what is needed, and far above: the normal table, all of them at once
    assert unsure.p_cleans_up == pytest.approx(0.8413 * 0.9772, abs=1e-3)
    lone = best_set_up([replace(plate([0.5, 0, 0, 0], required=0.4)[0], u_mm=0.1)], FIXED)
    assert lone.p_cleans_up == pytest.approx(0.8413, abs=1e-4)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 100_000))
def test_no_random_motion_leaves_more_and_the_dual_balances(seed):
    rng = np.random.default_rng(seed)
    places = rng.uniform(-300, 300, (12, 3))
    normals = rng.normal(size=(12, 3))
    normals = np.vstack([normals, -normals])
    places = np.vstack([places, rng.uniform(-300, 300, (12, 3))])
    points = [
        StockPoint(name=f"{k}", at=tuple(p), normal=tuple(n), stock_mm=float(s), required_mm=float(q))
        for k, (p, n, s, q) in enumerate(
            zip(places, normals, rng.uniform(0, 5, 24), rng.uniform(0, 1, 24), strict=True)
        )
    ]
    limits = SetUpLimits(shift=((-2, 2),) * 3, turn=((-0.003, 0.003),) * 3)
    answer = best_set_up(points, limits)
    assert answer.spare_mm >= answer.spare_before_mm - 1e-7
    assert sum(f.share for f in answer.faces) == pytest.approx(1.0)
    unit = normals / np.linalg.norm(normals, axis=1)[:, None]
    rows = np.hstack([unit, np.cross(places, unit)])
    spare = np.array([p.stock_mm - p.required_mm for p in points])
    motions = np.hstack([rng.uniform(-2, 2, (4000, 3)), rng.uniform(-0.003, 0.003, (4000, 3))])
    assert (spare + motions @ rows.T).min(axis=1).max() <= answer.spare_mm + 0.01  # 0.01: the turns are not exact here
    plain = linprog(
        np.r_[np.zeros(6), -1],
        A_ub=np.hstack([-rows, np.ones((24, 1))]),
        b_ub=spare,
        bounds=[(-2, 2)] * 3 + [(-0.003, 0.003)] * 3 + [(None, None)],
    )
    assert answer.spare_mm == pytest.approx(plain.x[6], abs=0.01)


# ------------------------------------------------------------------------------ shared axes, groups by themselves
def pair(low: float, high: float, u: float = 0.1, need: float = 1.0) -> list[StockPoint]:
    """Two faces that look along X both ways, 200 apart."""
    return [
        StockPoint(name="low", at=(0, 0, 0), normal=(-1, 0, 0), stock_mm=low, required_mm=need, u_mm=u),
        StockPoint(name="high", at=(200, 0, 0), normal=(1, 0, 0), stock_mm=high, required_mm=need, u_mm=u),
    ]


def along_x(shift=None, share: bool = True) -> SetUpLimits:
    return SetUpLimits((shift, (0, 0), (0, 0)), ((0, 0),) * 3, shared=(share, False, False))


def test_shared_stock_is_as_likely_as_its_sum_and_a_told_shift_is_not():
    """1.2 and 1.0 with 0.1 each, 1.0 needed: shared, P(sum >= 2) = Phi(0.2 / 0.1414); told, each of 1.1 by itself."""
    shared, told = (best_set_up(pair(1.2, 1.0), along_x(share=share)) for share in (True, False))
    assert shared.p_cleans_up == pytest.approx(PHI(0.2 / (0.1 * 2**0.5)), abs=1e-4)
    assert told.p_cleans_up == pytest.approx(PHI(1.0) ** 2, abs=1e-4)
    assert shared.spare_mm == told.spare_mm == pytest.approx(0.1)
    assert shared.u_mm == pytest.approx(0.1 / 2**0.5)


def test_what_two_faces_have_in_common_does_not_lie_between_them():
    """Where the casting stands is hardly known (1.0), how wide it is to 0.04: shared, only the width is asked."""
    cov = [[1.0, -1.0 + 0.0008], [-1.0 + 0.0008, 1.0]]
    answer = best_set_up(pair(1.02, 1.02), along_x(), cov)
    assert answer.p_cleans_up == pytest.approx(PHI(0.04 / 0.04), abs=1e-3)
    assert answer.u_mm == pytest.approx(0.02)
    assert best_set_up(pair(1.02, 1.02), along_x(share=False), cov).p_cleans_up < 0.55


def test_a_shared_axis_is_shared_no_further_than_the_limits_give():
    """2.0 and 0.8 (0.1 each, 1.0 needed) within a shift of 0.3 either way, drawn and set up a hundred thousand times."""
    rng = np.random.default_rng(4)
    drawn = rng.normal([2.0, 0.8], 0.1, (200_000, 2)) - 1.0
    for limit in ((-0.3, 0.3), (-0.1, 0.3), (-0.3, 0.1), (-0.5, -0.15)):
        # a shift s toward +X leaves low - s and high + s
        low, high = np.maximum(-drawn[:, 1], limit[0]), np.minimum(drawn[:, 0], limit[1])
        often = float((low <= high).mean())
        assert best_set_up(pair(2.0, 0.8), along_x(limit)).p_cleans_up == pytest.approx(often, abs=0.004)


def test_a_face_aslant_keeps_its_axes_to_the_shift_as_told():
    aslant = StockPoint(name="slope", at=(0, 0, 0), normal=(0.6, 0.8, 0), stock_mm=1.1, required_mm=1.0, u_mm=0.1)
    limits = SetUpLimits((None, (0, 0), (0, 0)), ((0, 0),) * 3, shared=(True, False, False))
    answer = best_set_up([*pair(1.2, 1.0), aslant], limits)
    left = [(f.after_mm - 1.0) / 0.1 for f in answer.faces]
    assert answer.p_cleans_up == pytest.approx(PHI(left[0]) * PHI(left[1]) * PHI(left[2]), abs=1e-4)


def test_a_turned_casting_is_shared_as_it_stands_turned():
    """A hanging top and a foot: turned level first, then what is there along Z is shared."""
    top = [
        StockPoint(name="near", at=(0, 0, 50), normal=UP, stock_mm=1.0, required_mm=1.9, u_mm=0.1),
        StockPoint(name="far", at=(200, 0, 50), normal=UP, stock_mm=3.0, required_mm=1.9, u_mm=0.1),
        StockPoint(name="foot", at=(100, 0, 0), normal=(0, 0, -1), stock_mm=2.0, required_mm=1.9, u_mm=0.1),
    ]
    limits = SetUpLimits(((0, 0), (0, 0), None), ((0, 0), None, (0, 0)), shared=(False, False, True))
    answer = best_set_up(top, limits)
    rng = np.random.default_rng(6)
    spare = np.array([f.after_mm - 1.9 for f in answer.faces]) + rng.normal(0, 0.1, (300_000, 3))
    often = float((np.minimum(spare[:, 0], spare[:, 1]) + spare[:, 2] >= 0).mean())
    assert answer.p_cleans_up == pytest.approx(often, abs=0.004)


def test_groups_by_themselves_make_one_answer_with_the_body():
    body = best_set_up(pair(1.2, 1.12), along_x())
    lean = best_set_up(pair(1.15, 1.0), along_x())
    both = together(body, [lean])
    assert (both.spare_mm, both.u_mm, both.binding) == (lean.spare_mm, lean.u_mm, lean.binding)
    assert both.spare_before_mm == pytest.approx(0.0)
    assert both.p_cleans_up == pytest.approx(body.p_cleans_up * lean.p_cleans_up)
    assert 0.8 < lean.p_cleans_up < body.p_cleans_up < 1.0
    assert [f.share for f in both.faces[:2]] == [0.0, 0.0]
    assert both.shift_mm == body.shift_mm
    alone = together(None, [lean])
    assert (alone.shift_mm, alone.spare_mm) == ((0.0, 0.0, 0.0), lean.spare_mm)
    with pytest.raises(DataError, match="no machined face"):
        together(None, [])


def test_the_chance_stands_in_the_sentence():
    sure, unsure, short = (best_set_up(pair(mm, mm), along_x()) for mm in (1.4, 1.05, 0.97))
    assert sure.verdict() == "Cleans up (chance >99 %): at least 1.40 stock is left on low, high (1.00 needed)."
    assert unsure.verdict().startswith("Cleans up as measured, which is not sure (chance 76 %): at least 1.05 stock")
    assert short.verdict() == "Does not clean up (chance 34 %): low, high lack 0.03 (1.00 needed)."


def test_what_cannot_be_set_up_is_said():
    with pytest.raises(DataError, match="no machined face"):
        best_set_up([])
    with pytest.raises(DataError, match="nothing holds the casting"):
        best_set_up(plate([1, 1, 1, 1]), SetUpLimits(turn=((0, 0),) * 3))
    with pytest.raises(DataError, match="corner 0: the normal"):
        best_set_up([replace(plate([1, 1, 1, 1])[0], normal=(0.0, 0.0, 0.0))])
    with pytest.raises(DataError, match="corner 0: not a number"):
        best_set_up([replace(plate([1, 1, 1, 1])[0], stock_mm=float("nan"))])
    with pytest.raises(DataError, match="lower limit above"):
        best_set_up(plate([1, 1, 1, 1]), SetUpLimits(shift=((1.0, -1.0), None, None)))
