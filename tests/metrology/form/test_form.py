"""Form: the zone is no wider than any other that holds the points, turning the piece changes nothing, odd input is told."""

from __future__ import annotations

from math import cos, isclose, pi, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inspect_tui.errors import DataError
from inspect_tui.metrology.form.form import around, diameters, flatness, roundness, straightness
from tests.amounts import some


def line(seed: int, n: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.column_stack([np.sort(rng.uniform(0, 500, n)), rng.normal(0, 0.1, n)])


def surface(seed: int, n: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    return np.column_stack([rng.uniform(0, 300, (n, 2)), rng.normal(0, 0.1, n)])


def lp_zone(points: np.ndarray) -> float:
    """The upright zone by a linear programme, independent of hulls."""
    from scipy.optimize import linprog

    n = len(points)
    rows = np.column_stack([points[:, :-1], np.ones(n)])
    table = np.vstack([np.column_stack([-rows, -np.ones(n)]), np.column_stack([rows, -np.ones(n)])])
    cost = [0.0] * rows.shape[1] + [1.0]
    bounds = [(None, None)] * rows.shape[1] + [(0, None)]
    return 2.0 * float(linprog(cost, table, np.concatenate([-points[:, -1], points[:, -1]]), bounds=bounds).fun)


# ------------------------------------------------------------------------------ straightness
@given(st.integers(0, 10_000), st.integers(3, 40))
@settings(max_examples=40, deadline=None)
def test_straightness_is_the_linear_programme_and_no_direction_is_narrower(seed: int, n: int) -> None:
    p = line(seed, n)
    form = straightness([(x, y) for x, y in p.tolist()])
    assert isclose(form.upright, lp_zone(p), rel_tol=1e-6, abs_tol=1e-9)
    assert form.zone <= form.upright <= form.least_squares + 1e-12
    ways = np.linspace(0, pi, 2000)
    others = np.ptp(p @ np.array([-np.sin(ways), np.cos(ways)]), axis=0)
    assert form.zone <= others.min() + 1e-12
    heights = p[:, 1] - form.base - form.slope * p[:, 0]
    assert isclose(float(heights.max()), form.upright / 2, rel_tol=1e-6, abs_tol=1e-9)
    assert isclose(float(heights.min()), -form.upright / 2, rel_tol=1e-6, abs_tol=1e-9)
    assert len(form.on) == 3


@given(st.integers(0, 1000), st.floats(-3, 3), st.floats(-1000, 1000))
@settings(max_examples=30, deadline=None)
def test_turning_and_moving_the_piece_changes_no_straightness(seed: int, turn: float, move: float) -> None:
    assume(abs(cos(turn)) > 0.05)
    p = line(seed, 12)
    q = p @ np.array([[cos(turn), sin(turn)], [-sin(turn), cos(turn)]]) + move
    one, two = (straightness([(x, y) for x, y in a.tolist()]) for a in (p, q))
    assert isclose(one.zone, two.zone, rel_tol=1e-6, abs_tol=1e-9)
    assert one.on == two.on


# ------------------------------------------------------------------------------ flatness
@given(st.integers(0, 10_000), st.integers(5, 30))
@settings(max_examples=30, deadline=None)
def test_flatness_is_the_linear_programme_and_no_plane_is_narrower(seed: int, n: int) -> None:
    p = surface(seed, n)
    form = flatness([(x, y, z) for x, y, z in p.tolist()])
    assert isclose(form.upright, lp_zone(p), rel_tol=1e-6, abs_tol=1e-9)
    assert form.zone <= form.upright <= form.least_squares + 1e-12
    rng = np.random.default_rng(seed)
    tilts = np.array(form.tilt) + rng.normal(0, 1e-3, (3000, 2))
    others = np.ptp(p[:, 2] - tilts @ p[:, :2].T, axis=1) / np.sqrt(1 + np.square(tilts).sum(axis=1))
    assert form.zone <= others.min() + 1e-12
    assert len(form.on) == 4  # three below and one above, or two and two


def test_a_grid_on_a_tilted_plate_keeps_its_one_high_corner() -> None:
    """By hand: leaning the slab by 0.02 a step along both sides brings the corner to 0 and two neighbours to -0.06."""
    grid = [(100.0 * i, 100.0 * j, 0.001 * 100 * i - 0.0005 * 100 * j) for i in range(3) for j in range(3)]
    assert flatness(grid).zone == pytest.approx(0.0, abs=1e-12)
    corner = [(x, y, z + (0.08 if (x, y) == (200.0, 200.0) else 0.0)) for x, y, z in grid]
    assert flatness(corner).upright == pytest.approx(lp_zone(np.array(corner)), rel=1e-9)
    assert flatness(corner).upright == pytest.approx(0.06, rel=1e-9)
    assert flatness(corner).least_squares > flatness(corner).upright


@given(st.integers(0, 1000), st.floats(-0.01, 0.01), st.floats(-0.01, 0.01))
@settings(max_examples=20, deadline=None)
def test_a_true_turn_of_the_piece_changes_no_flatness(seed: int, a: float, b: float) -> None:
    p = surface(seed, 12)
    turn = np.array([[cos(a), 0, sin(a)], [0, 1, 0], [-sin(a), 0, cos(a)]])
    turn = turn @ np.array([[1, 0, 0], [0, cos(b), -sin(b)], [0, sin(b), cos(b)]])
    one, two = (flatness([(x, y, z) for x, y, z in q.tolist()]) for q in (p, p @ turn.T))
    assert isclose(one.zone, two.zone, rel_tol=1e-6)


# ------------------------------------------------------------------------------ roundness
@given(st.integers(0, 10_000), st.integers(4, 12))
@settings(max_examples=some(5, 100), deadline=None)
def test_no_centre_gives_a_narrower_ring(seed: int, n: int) -> None:
    rng = np.random.default_rng(seed)
    p = np.array(around((60 + rng.normal(0, 0.05, n)).tolist())) + rng.uniform(-5, 5, 2)
    form = roundness([(x, y) for x, y in p.tolist()])
    r = np.sqrt(np.square(p - np.array(form.centre)).sum(axis=1))
    assert isclose(float(np.ptp(r)), form.zone, rel_tol=1e-9, abs_tol=1e-12)
    others = np.array(form.centre) + rng.normal(0, 0.05, (1000, 2))
    others = np.vstack([others, np.array(form.centre) + rng.normal(0, 0.002, (1000, 2))])
    away = np.sqrt(np.square(p[None] - others[:, None]).sum(axis=2))
    assert form.zone <= np.ptp(away, axis=1).min() + 1e-9
    assert form.circumscribed <= away.max(axis=1).min() + 1e-9
    assert form.inscribed >= away.min(axis=1).max() - 1e-9
    assert form.zone <= form.least_squares + 1e-9


def test_three_lobes_are_seen_from_radii_and_not_from_diameters() -> None:
    """r = 50 + 0.1 cos 3t: the ring is 0.2 wide about the middle, and every diameter is 100 (constant width)."""
    ways = [10.0 * i for i in range(36)]
    radii = [50 + 0.1 * cos(3 * radians(a)) for a in ways]
    assert roundness(around(radii, ways)).zone == pytest.approx(0.2, abs=1e-9)
    across = diameters([radii[i] + radii[i + 18] for i in range(18)], ways[:18])
    assert across.at_least == pytest.approx(0.0, abs=1e-12)
    oval = diameters([100.2, 100.0, 99.8, 100.0])
    assert oval.at_least == pytest.approx(0.2)
    assert (oval.largest, oval.smallest, oval.mean) == ((100.2, 0.0), (99.8, 90.0), 100.0)
    assert diameters([5.0, 5.2], [190.0, 20.0]).smallest == (5.0, 10.0)


def test_a_moved_circle_is_round_and_its_centre_is_told() -> None:
    form = roundness([(3 + 20 * cos(a), -4 + 20 * sin(a)) for a in (0.1, 0.9, 2.0, 3.3, 4.0, 5.5)])
    assert form.zone == pytest.approx(0.0, abs=1e-9)
    assert form.centre == pytest.approx((3.0, -4.0), abs=1e-9)
    assert form.inner == pytest.approx(20.0)


def test_the_largest_circle_inside_an_oval_lies_off_its_middle() -> None:
    """By hand, points 1.1 out along x and 0.9 along y: a^2 + 0.81 = (1.1 - a)^2 gives a = 0.1818, radius 0.9182."""
    form = roundness([(1.1, 0.0), (0.0, 0.9), (-1.1, 0.0), (0.0, -0.9)])
    assert form.inscribed == pytest.approx(1.1 - 0.4 / 2.2, abs=1e-6)
    assert form.least_squares == pytest.approx(0.2)  # its least-squares centre is the middle
    assert form.circumscribed == pytest.approx(1.1)


# ------------------------------------------------------------------------------ what cannot be told
def test_what_tells_nothing_is_refused_with_the_reason() -> None:
    with pytest.raises(DataError, match="straightness needs three"):
        straightness([(0, 0), (1, 1)])
    with pytest.raises(DataError, match="at one place"):
        straightness([(1, 0), (1, 1), (1, 2)])
    with pytest.raises(DataError, match="flatness needs four"):
        flatness([(0, 0, 0), (1, 0, 0), (0, 1, 0)])
    with pytest.raises(DataError, match="stand on one line"):
        flatness([(i, 2.0 * i, 0.1 * i * i) for i in range(6)])
    with pytest.raises(DataError, match="roundness needs four"):
        roundness([(1, 0), (0, 1), (-1, 0)])
    with pytest.raises(DataError, match="are of no circle"):
        roundness([(i, i) for i in range(5)])
    with pytest.raises(DataError, match="one diameter tells nothing"):
        diameters([5.0])
    with pytest.raises(DataError, match="2 directions for 3 diameters"):
        diameters([5.0, 5.1, 5.2], [0.0, 90.0])
    with pytest.raises(DataError, match="1 directions for 2 radii"):
        around([1.0, 2.0], [0.0])
    assert straightness([(0, 0), (1, 1), (2, 2)]).zone == 0.0
    assert isclose(straightness([(0, 0), (1, 1), (2, 0)]).zone, 1.0)
